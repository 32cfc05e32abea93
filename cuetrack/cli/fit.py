"""``cuetrack fit``: make a class end on its slot."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING

from rich.text import Text

from cuetrack.cli.changed_plans import (
    asked_time,
    beside,
    new_findings,
    read_both,
    show_new_findings,
    step_findings,
)
from cuetrack.cli.plain import in_quotes
from cuetrack.cli.show import console, headed, show_lines
from cuetrack.errors import CuetrackError
from cuetrack.output.track.files import write_text
from cuetrack.times import duration

if TYPE_CHECKING:
    from argparse import Namespace
    from collections.abc import Iterable

    from rich.console import Console

    from cuetrack.cli.subcommands import Commands
    from cuetrack.plan.model import Plan
    from cuetrack.planning.alternatives import Bounds
    from cuetrack.planning.choices import FreeChange
    from cuetrack.planning.fitting import NoFit

_LARGE_CHANGE = 0.25
"""Own threshold: what differs by a quarter of its length is another class."""

HELD = {
    "work": "every work stays as long as it is",
    "rest": "every rest between works stays as long as it is",
    "rounds": "no round is added or taken away",
    "breaks": "the break between rounds stays as long as it is",
    "movements": "no movement is left out",
    "warm-up": "the warm-up stays as long as it is",
    "cool-down": "the cool-down stays as long as it is",
}
"""What --keep takes, and what each holds."""

ABOUT = """\
Change a plan as little as can be so that the track ends exactly on the slot, and
write it as a new plan. Comments, order and layout of yours stay.

Work and rest move by five seconds; rounds, the break between them, the warm-up and
the cool-down may change; welcome and close take up the rest. The warm-up and the
cool-down keep five minutes, with weak hearts fifteen and ten. The work grows by a
fifth at most, a rest by fifteen seconds. Movements are left out by the order you give
them, with a line such as "importance: 1" (left out first) to 5 (never); 3 when you say
nothing. The last lively work always stays, and the last strength work for the legs and
for the upper back.

--keep holds one thing, and may be given more than once:
""" + "".join(f"  {kind:11}{what}\n" for kind, what in HELD.items())


def add_to(commands: Commands) -> None:
    """Add this command to the command line."""
    command = commands.add_parser(
        "fit",
        help="make a plan end on its slot",
        description=ABOUT,
    )
    command.add_argument("plan", type=Path, metavar="PLAN", help="a plan, in YAML")
    command.add_argument(
        "--to",
        required=True,
        metavar="TIME",
        help='the slot, such as "30 min"; a bare number counts minutes',
    )
    command.add_argument(
        "--keep",
        action="append",
        default=[],
        choices=tuple(HELD),
        help="hold one of the things above as it is",
    )
    for what, least, most in (("work", "20 s", "60 s"), ("rest", "20 s", "60 s")):
        command.add_argument(
            f"--{what}",
            nargs=2,
            metavar=("LEAST", "MOST"),
            default=[least, most],
            help=f"the {what} becomes no shorter and no longer ({least} to {most})",
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
    from cuetrack.planning.choices import choices
    from cuetrack.planning.editing import rewritten
    from cuetrack.planning.fitting import NoFit, fit, length_ms

    path: Path = arguments.plan
    bare = re.fullmatch(r"\d+(?:[.,]\d+)?", arguments.to.strip())
    slot_ms = asked_time(f"{arguments.to} min" if bare else arguments.to)
    text, plan, read = read_both(path)
    screen = console()
    bounds = _bounds(arguments)
    found = fit(plan, slot_ms, bounds)
    if isinstance(found, NoFit):
        raise CuetrackError(_why_not(plan, length_ms(plan), found, bounds))
    if found.plan == plan:
        screen.print(f"The class lasts {duration(slot_ms)} as it is; nothing to do.")
        return 0
    note = f"Left out to fit {duration(slot_ms)}:"
    new = rewritten(text, plan, found.plan, read, note=note)
    findings = (*new_findings(plan, found.plan), *step_findings(plan, found.plan))
    out = beside(plan, path, arguments.out or fitted_name(path, slot_ms))
    write_text(out, new, overwrite=arguments.overwrite)
    screen.print(f"{plan.title}: {duration(length_ms(plan))} before.\n")
    _show_choices(screen, choices(plan, found.plan, bounds))
    screen.print(f"\nThe class now lasts {duration(slot_ms)}, to the second.")
    if abs(slot_ms - length_ms(plan)) >= _LARGE_CHANGE * length_ms(plan):
        anew = f"cuetrack new --minutes {slot_ms // 60_000}"
        told = f"So large a change may be better planned anew: {anew}"
        screen.print(told, soft_wrap=True)
    show_new_findings(screen, findings)
    _show_title(screen, plan)
    screen.print(
        f"\nWritten: {out}\nNext: cuetrack check {in_quotes(out)}", soft_wrap=True
    )
    return 0


def _show_choices(screen: Console, told: Iterable[FreeChange]) -> None:
    """Show what was chosen and what else was possible, in one table."""
    table = headed("what", "before", "now", "could be")
    for each in told:
        style = "bold" if each.before != each.after else ""
        after = Text(each.after, style=style)
        table.add_row(Text(each.what), Text(each.before), after, Text(each.possible))
    screen.print(table)


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


def _why_not(plan: Plan, now_ms: int, found: NoFit, bounds: Bounds) -> str:
    from cuetrack.planning.fitting import ways_out
    from cuetrack.planning.request import LONGEST_SLOT_MS, SHORTEST_SLOT_MS

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
    out = [_freed(bounds, each) for each in ways_out(plan, found.slot_ms, bounds)]
    if out:
        return f"{said} It can be done {', or '.join(out)}."
    if found.below_ms is None:
        said += " Warm-up and cool-down, a round of three movements and the safety "
        said += "words are as short as they may be, so nothing else is free."
    elif found.above_ms is None:
        said += " Parts, rests and breaks are as long as they may be, and more than a "
        said += "fifth more work at once is too large a step. Build up over some weeks "
        said += "(cuetrack weeks), or add movements of your own."
    if SHORTEST_SLOT_MS <= found.slot_ms <= LONGEST_SLOT_MS:
        said += f" Or start anew: cuetrack new --minutes {found.slot_ms // 60_000}."
    return said


def _freed(bounds: Bounds, other: Bounds) -> str:
    """Return how somebody would free what other bounds free."""
    words = [f"without --keep {kind}" for kind in sorted(bounds.keep - other.keep)]
    words[1:] = [word.removeprefix("without ") for word in words[1:]]
    words += [
        f"with a wider --{what}"
        for what in ("work", "rest")
        if getattr(bounds, f"{what}_ms") != getattr(other, f"{what}_ms")
    ]
    return " and ".join(words)
