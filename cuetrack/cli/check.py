"""``cuetrack check``: see the class before anything is spoken."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from rich.text import Text

from cuetrack.cli.movements import show_unknown
from cuetrack.cli.show import (
    console,
    show_class,
    show_lines,
    show_losses,
    show_moved,
)
from cuetrack.cli.verdict import show_verdict, verdict_line
from cuetrack.cli.watch import watching
from cuetrack.pipeline.checking import check, read_plan
from cuetrack.pipeline.own_sentences import moved_sentences
from cuetrack.review.closing import closing_lines
from cuetrack.review.load import load_lines, load_of
from cuetrack.review.report import review_lines

if TYPE_CHECKING:
    from argparse import Namespace

    from rich.console import Console

    from cuetrack.cli.subcommands import Commands
    from cuetrack.pipeline.checking import Checked

WIDEST = 88

ABOUT = """\
Read a plan, lay it out and say first whether it can be made as it is, how long it
lasts and what needs a decision. With --details also every cue that is said in
fewer words or left out and why, how much work it is by region, and the whole plan
review with its reasons and sources.

Nothing is spoken and nothing is written. Lengths of speech come from clips that
are stored already; the others are estimated, a little on the long side. Music that
you bring is read to its end, which takes some seconds the first time.

A rule of the review that you have thought about is answered in the plan, and then
listed with your reason:

  acknowledge:
    T13: They know these two movements well.
"""


def add_to(commands: Commands) -> None:
    """Add this command to the command line."""
    command = commands.add_parser(
        "check",
        help="see the times of a plan, and what is wrong",
        description=ABOUT,
    )
    command.add_argument("plan", type=Path, metavar="PLAN", help="a plan, in YAML")
    command.add_argument(
        "--details",
        action="store_true",
        help="also what is shortened or left out, the work by region, the whole review",
    )
    command.add_argument(
        "--json", action="store_true", help="print one JSON object, for other programs"
    )
    command.set_defaults(run=run)


def run(arguments: Namespace) -> int:
    """Show the plan laid out; 0 when it can be made as it is.

    An error of the plan review that nobody acknowledged makes it fall short.
    """
    if arguments.json:
        return run_json(arguments.plan)
    with watching(quiet=False) as watch:
        checked = check(read_plan(arguments.plan), watch)
    screen = console()
    if arguments.details:
        show_details(screen, checked)
    else:
        show_verdict(screen, checked)
    return 0 if checked.ready else 1


def show_details(screen: Console, checked: Checked) -> None:
    """Show all that is known of a plan: verdict, times, losses, work, review."""
    plan, timeline = checked.plan, checked.placed.sheet.timeline
    screen.print(Text(verdict_line(checked), style="bold"))
    show_class(screen, plan, timeline)
    show_losses(screen, checked.placed)
    show_moved(screen, moved_sentences(plan, checked.placed))
    show_unknown(screen, plan)
    show_lines(screen, load_lines(load_of(plan, timeline)))
    closing = closing_lines(plan, timeline)
    width = min(WIDEST, screen.width)
    show_lines(screen, review_lines(checked.findings, width, closing))
    if checked.estimated:
        screen.print(
            f"\n{checked.estimated} of {checked.wordings} wordings are not spoken yet; "
            "their length is estimated.",
            style="dim",
        )


def run_json(path: Path) -> int:
    """Print what was found as one JSON object; the exit status is the same."""
    from cuetrack.cli.as_json import print_json, refusals_as_json
    from cuetrack.pipeline.check_report import CheckReport, check_report

    with refusals_as_json(CheckReport, path), watching(quiet=False) as watch:
        checked = check(read_plan(path), watch)
    print_json(check_report(checked))
    return 0 if checked.ready else 1
