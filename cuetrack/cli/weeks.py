"""``cuetrack weeks``: a block of weeks that builds up from one plan."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Final

from rich.text import Text

from cuetrack.cli.changed_plans import beside, new_findings, read_both, step_findings
from cuetrack.cli.plain import in_quotes
from cuetrack.cli.show import console, figures, headed, show_lines
from cuetrack.errors import OutputError, UsageError
from cuetrack.output.track.file_set import replacing_set
from cuetrack.output.track.files import write_text
from cuetrack.times import clock, duration

if TYPE_CHECKING:
    from argparse import Namespace

    from rich.table import Table

    from cuetrack.cli.subcommands import Commands
    from cuetrack.plan.model import Plan
    from cuetrack.planning.progression import Week

ABOUT = """\
Write a plan for each of some weeks, starting from one plan. One thing gets harder at
a time: five seconds from rest to work, then a movement more, then a round more, never
more than a fifth more work in a week. Every fourth week is easier. After weeks without
a class (--missed 5,6) it goes on a step lower. A plan that says how long it lasts keeps
that slot; warm-up and cool-down give a fifth of theirs at most, and new people get one
round more at most. Your comments and layout stay.

People differ: go on only when the week felt like 5 to 6 of 10 and everyone could
talk; otherwise do the same week again.
"""


def add_to(commands: Commands) -> None:
    """Add this command to the command line."""
    command = commands.add_parser(
        "weeks",
        help="build up from one plan over some weeks",
        description=ABOUT,
    )
    command.add_argument("plan", type=Path, metavar="PLAN", help="a plan, in YAML")
    command.add_argument(
        "--weeks", type=int, default=8, metavar="NUMBER", help="how many (8)"
    )
    command.add_argument(
        "--missed", default="", metavar="LIST", help="weeks without a class, as 5,6"
    )
    command.add_argument(
        "--after-absence",
        action="store_true",
        help="the group was away before the first week: start a step lower",
    )
    command.add_argument(
        "--out", type=Path, metavar="FOLDER", help="where to write (the plan's folder)"
    )
    command.add_argument(
        "--overwrite", action="store_true", help="replace plans of those names"
    )
    command.set_defaults(run=run)


def run(arguments: Namespace) -> int:
    """Write the weeks and show what each changes."""
    from cuetrack.planning.editing import rewritten
    from cuetrack.planning.progression import MOST_WEEKS, block

    path: Path = arguments.plan
    if not 2 <= arguments.weeks <= MOST_WEEKS:
        raise UsageError(f"--weeks takes a number from 2 to {MOST_WEEKS}.")
    missed = missed_weeks(arguments.missed, arguments.weeks)
    text, plan, read = read_both(path)
    weeks = block(
        plan,
        arguments.weeks,
        missed=missed,
        after_absence=arguments.after_absence,
    )
    folder: Path = arguments.out or path.parent
    texts = {
        folder / f"{path.stem}-week-{week.number}{path.suffix or '.yaml'}": rewritten(
            text, plan, week.plan, read
        )
        for week in weeks
        if week.plan is not None
    }
    for out in texts:
        beside(plan, path, out)
        if out.exists() and not arguments.overwrite:
            raise OutputError(
                "there is a plan of this name already.",
                "Choose another folder with --out, or add --overwrite to replace it.",
                file=out,
            )
    with replacing_set(list(texts), overwrite=arguments.overwrite) as aside:
        for out, new in texts.items():
            write_text(aside / out.name, new)
    screen = console()
    screen.print(_table(plan, weeks))
    show_lines(screen, _standstill(plan, weeks))
    show_lines(screen, _findings(plan, weeks, after_absence=arguments.after_absence))
    where = "this folder" if folder == Path() else folder
    screen.print(f"\nWritten: {len(texts)} plans in {where}", soft_wrap=True)
    first = in_quotes(next(iter(texts)))
    screen.print(f"Next: cuetrack check {first}", soft_wrap=True)
    return 0


def missed_weeks(text: str, weeks: int) -> frozenset[int]:
    """Return the numbers in a list such as ``5,6``.

    Raises
    ------
    UsageError
        When something in it is no week of the block, or no week is left.

    >>> sorted(missed_weeks("5, 6", 8))
    [5, 6]
    """
    parts = [part.strip() for part in text.split(",") if part.strip()]
    if not all(part.isdecimal() and 1 <= int(part) <= weeks for part in parts):
        raise UsageError(
            f"--missed {text}: name weeks from 1 to {weeks}, with commas between, "
            "as 5,6."
        )
    missed = frozenset(map(int, parts))
    if len(missed) == weeks:
        raise UsageError("--missed names every week; then there is nothing to plan.")
    return missed


def _table(plan: Plan, weeks: tuple[Week, ...]) -> Table:
    from cuetrack.planning.diff import changes
    from cuetrack.planning.fitting import length_ms
    from cuetrack.planning.steps import work_ms

    figured = map(figures, ("week", "lasts", "work"))
    table = headed(*figured, "what is new", "could have been instead")
    before, first = plan, True
    for week in weeks:
        if week.plan is None:
            table.add_row(str(week.number), "", "", "no class", "")
            continue
        told = [
            f"{c.what} {c.before} to {c.after}"
            for c in changes(before, replace_title(week.plan, plan))
            if not c.what.startswith(("welcome", "close"))
        ]
        why = "easier week: " if week.easier else ""
        why += "after the gap: " if week.after_gap else ""
        what = "; ".join(told) or ("as it is" if first else "as the week before")
        table.add_row(
            str(week.number),
            clock(length_ms(week.plan)),
            clock(work_ms(week.plan)),
            Text(why + what),
            Text("; ".join(week.others)),
        )
        before, first = replace_title(week.plan, plan), False
    return table


def _standstill(plan: Plan, weeks: tuple[Week, ...]) -> list[str]:
    """Return what to say where the last weeks have nothing more to add."""
    from cuetrack.planning.steps import work_ms

    worked = {week.number: work_ms(week.plan) for week in weeks if week.plan}
    most_ms = max(worked.values())
    reached = min(number for number, ms in worked.items() if ms == most_ms)
    later = [number for number, ms in worked.items() if ms == most_ms][1:]
    if len(later) < _STANDING_WEEKS:
        return []
    room = "for this group"
    if plan.lasts_ms is not None:
        room += f" in {duration(plan.lasts_ms)}"
    told = f"After week {reached} nothing harder is wise {room}. The same again keeps "
    told += "what was gained; a longer slot has room for more: cuetrack new, or fit."
    return ["", told]


_STANDING_WEEKS: Final = 2
"""So many weeks that only repeat the fullest one are told."""


def replace_title(week: Plan, plan: Plan) -> Plan:
    """Return a week under the title of the plan it came from."""
    from dataclasses import replace

    return replace(week, title=plan.title)


def _findings(plan: Plan, weeks: tuple[Week, ...], *, after_absence: bool) -> list[str]:
    """Return what the review says of a week and of the step to it, and not of the plan.

    ``after_absence`` says that the group was away before the first week.
    """
    lines: list[str] = []
    before = plan
    for week in weeks:
        if week.plan is None:
            continue
        away = week.after_gap or (after_absence and before is plan)
        found = (
            *new_findings(plan, week.plan),
            *step_findings(before, week.plan, after_absence=away),
        )
        lines += [f"  Week {week.number}: {f.rule.id} {f.what}" for f in found]
        before = week.plan
    return ["New in the plan review:", *lines] if lines else []
