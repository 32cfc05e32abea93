"""``cuetrack gentler`` and ``brisker``: one class for two groups in one hall."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from cuetrack.cli.changed_plans import (
    beside,
    new_findings,
    read_both,
    show_changes,
    show_new_findings,
)
from cuetrack.cli.plain import in_quotes
from cuetrack.cli.show import console
from cuetrack.output.track.files import write_text
from cuetrack.times import clock

if TYPE_CHECKING:
    from argparse import Namespace

    from cuetrack.cli.subcommands import Commands

ABOUT = """\
Write a {manner} version of a plan: {how}.
Movements, rounds and length are the same, and rounds begin together within seconds,
so that two groups can do their class side by side in one hall. Your comments and
layout stay.
"""
HOW = {
    "gentler": "a little less work and more rest, a calmer voice, and the easier way\n"
    "of each movement told first",
    "brisker": "a little more work and less rest, a livelier voice, and, unless the\n"
    "group is new, the harder way of each movement told sooner",
}


def add_to(commands: Commands) -> None:
    """Add both commands to the command line."""
    for manner, how in HOW.items():
        command = commands.add_parser(
            manner,
            help=f"write a {manner} version of a plan",
            description=ABOUT.format(manner=manner, how=how),
        )
        command.add_argument("plan", type=Path, metavar="PLAN", help="a plan, in YAML")
        command.add_argument(
            "--out",
            type=Path,
            metavar="FILE",
            help=f"the new plan (NAME-{manner}.yaml)",
        )
        command.add_argument(
            "--overwrite", action="store_true", help="replace a plan of that name"
        )
        command.set_defaults(run=run, manner=manner)


def run(arguments: Namespace) -> int:
    """Write the version and show what is otherwise."""
    from cuetrack.planning.diff import changes
    from cuetrack.planning.editing import rewritten
    from cuetrack.planning.fitting import length_ms
    from cuetrack.planning.variants import Manner, version

    path: Path = arguments.plan
    text, plan, read = read_both(path)
    wanted = version(plan, Manner(arguments.manner))
    new = rewritten(text, plan, wanted, read)
    findings = new_findings(plan, wanted)
    name = f"{path.stem}-{arguments.manner}{path.suffix or '.yaml'}"
    out = beside(plan, path, arguments.out or path.with_name(name))
    write_text(out, new, overwrite=arguments.overwrite)
    screen = console()
    show_changes(screen, changes(plan, wanted))
    same = "as long as before" if length_ms(plan) == length_ms(wanted) else "now"
    screen.print(f"\nThe class lasts {clock(length_ms(wanted))}, {same}.")
    clocks = [
        [section.intervals for section in part.sections if section.intervals]
        for part in (plan, wanted)
    ]
    if clocks[0] == clocks[1]:
        screen.print("Work and rest stay: another step would not suit this group.")
    show_new_findings(screen, findings)
    screen.print(
        f"\nWritten: {out}\nNext: cuetrack check {in_quotes(out)}", soft_wrap=True
    )
    return 0
