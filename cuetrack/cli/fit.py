"""``cuetrack fit``: make a class end on its slot."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING

from cuetrack.cli.changed_plans import (
    asked_time,
    beside,
    new_findings,
    read_both,
    show_changes,
    show_new_findings,
    step_findings,
)
from cuetrack.cli.help_text import ProseAndExamples
from cuetrack.cli.show import console, show_lines
from cuetrack.errors import CuetrackError
from cuetrack.output.track.files import write_text
from cuetrack.times import duration

if TYPE_CHECKING:
    from argparse import Namespace

    from rich.console import Console

    from cuetrack.cli.subcommands import Commands
    from cuetrack.plan.model import Plan
    from cuetrack.planning.alternatives import Bounds
    from cuetrack.planning.fitting import NoFit

KEEPABLE = ("work", "rest", "rounds", "breaks", "movements", "warm-up", "cool-down")

ABOUT = """\
Change a plan as little as can be so that the track ends exactly on the slot, and
write it as a new plan. Comments, order and layout of yours stay.

Work and rest move by five seconds; rounds, the break between them, the warm-up and
the cool-down may change; welcome and close take up the rest. The warm-up and the
cool-down keep five minutes. Movements are left out by the order you give them, with
a line such as "importance: 1" (left out first) to 5 (never); 3 when you say nothing.
"""


def add_to(commands: Commands) -> None:
    """Add this command to the command line."""
    command = commands.add_parser(
        "fit",
        help="make a plan end on its slot",
        description=ABOUT,
        formatter_class=ProseAndExamples,
    )
    command.add_argument("plan", type=Path, metavar="PLAN", help="a plan, in YAML")
    command.add_argument(
        "--to", required=True, metavar="TIME", help='the slot, such as "30 min"'
    )
    command.add_argument(
        "--keep",
        action="append",
        default=[],
        choices=KEEPABLE,
        help="what may not change; may be given more than once",
    )
    for what, least, most in (("work", "20 s", "60 s"), ("rest", "20 s", "60 s")):
        command.add_argument(
            f"--{what}",
            nargs=2,
            metavar=("LEAST", "MOST"),
            default=[least, most],
            help=f"how short and how long the {what} may become ({least} to {most})",
        )
    command.add_argument(
        "--out", type=Path, metavar="FILE", help="the new plan (NAME-30-min.yaml)"
    )
    command.add_argument(
        "--overwrite", action="store_true", help="replace a plan of that name"
    )
    command.set_defaults(run=run)


def run(arguments: Namespace) -> int:
    """Fit the plan and write it; 1 when no change within the bounds will do."""
    from cuetrack.planning.diff import changes
    from cuetrack.planning.editing import rewritten
    from cuetrack.planning.fitting import NoFit, fit, length_ms

    path: Path = arguments.plan
    slot_ms = asked_time(arguments.to)
    text, plan, read = read_both(path)
    screen = console()
    found = fit(plan, slot_ms, _bounds(arguments))
    if isinstance(found, NoFit):
        raise CuetrackError(_why_not(plan, length_ms(plan), found))
    if found.plan == plan:
        screen.print(f"The class lasts {duration(slot_ms)} as it is; nothing to do.")
        return 0
    note = f"Left out to fit {duration(slot_ms)}:"
    new = rewritten(text, plan, found.plan, read, note=note)
    findings = (*new_findings(plan, found.plan), *step_findings(plan, found.plan))
    out = beside(plan, path, arguments.out or fitted_name(path, slot_ms))
    write_text(out, new, overwrite=arguments.overwrite)
    screen.print(f"{plan.title}: {duration(length_ms(plan))} before.\n")
    show_changes(screen, changes(plan, found.plan))
    screen.print(f"\nThe class now lasts {duration(slot_ms)}, to the second.")
    show_new_findings(screen, findings)
    _show_title(screen, plan)
    screen.print(f"\nWritten: {out}\nNext: cuetrack check {out}", soft_wrap=True)
    return 0


def _show_title(screen: Console, plan: Plan) -> None:
    if re.search(r"\bminutes?\b|\bmin\b", plan.title, re.IGNORECASE):
        show_lines(screen, [f'The title still says "{plan.title}"; you may change it.'])


def _bounds(arguments: Namespace) -> Bounds:
    from cuetrack.planning.alternatives import Bounds

    work, rest = (
        tuple(asked_time(time) for time in times)
        for times in (arguments.work, arguments.rest)
    )
    return Bounds(
        work_ms=(work[0], work[1]),
        rest_ms=(rest[0], rest[1]),
        keep=frozenset(arguments.keep),
    )


def fitted_name(path: Path, slot_ms: int) -> Path:
    """Return the name of a fitted plan, beside the old one.

    >>> fitted_name(Path("hall.yaml"), 1_800_000).name
    'hall-30-min.yaml'
    """
    slot = re.sub(r"\W+", "-", duration(slot_ms)).strip("-")
    return path.with_name(f"{path.stem}-{slot}{path.suffix or '.yaml'}")


def _why_not(plan: Plan, now_ms: int, found: NoFit) -> str:
    said = f"{plan.title} lasts {duration(now_ms)} and cannot be made to last "
    said += f"{duration(found.slot_ms)} within the bounds."
    near = [
        f"the nearest {side} is {duration(length_ms)}"
        for side, length_ms in (
            ("shorter length", found.below_ms),
            ("longer length", found.above_ms),
        )
        if length_ms is not None
    ]
    if near:
        said += f" {'; '.join(near).capitalize()}."
    if found.below_ms is None:
        said += " The warm-up, the cool-down, one round of three movements and the "
        said += "safety words are kept. Start from a shorter plan: cuetrack new."
    else:
        said += " Add a movement or a round, or give wider bounds (--work, --rest)."
    return said
