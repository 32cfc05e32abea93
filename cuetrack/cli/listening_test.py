"""``cuetrack listening-test``: does the class come across in the hall? Ask people."""

from __future__ import annotations

from argparse import RawDescriptionHelpFormatter
from pathlib import Path
from typing import TYPE_CHECKING

from cuetrack.cli.plain import in_quotes
from cuetrack.cli.show import console
from cuetrack.cli.watch import watching
from cuetrack.output.track.formats import DEFAULT_FORMAT, FORMATS
from cuetrack.times import clock

if TYPE_CHECKING:
    from argparse import Namespace

    from cuetrack.cli.subcommands import Commands

ABOUT = """\
Try with people whether the calls of a class come across in your hall, in ten minutes.

  cuetrack listening-test make my-class.yaml      a track and sheets to print
  cuetrack listening-test score answers.txt       what came of the ticked sheets

Play the track where the class is, as loud as the class. People sit where they always
sit, and tick on the sheet which of four sentences was said. Then type in the ticks, a
line for each number, in any text editor:

  sheet
  1 b yes      number, letter, heard easily or not
  2 a no
  3 -          no tick
  sheet        the next one

No names are asked for or kept. It is no hearing test: that is for professionals.
"""


def add_to(commands: Commands) -> None:
    """Add this command to the command line."""
    group = commands.add_parser(
        "listening-test",
        help="try with people whether the calls come across in the hall",
        description=ABOUT,
        formatter_class=RawDescriptionHelpFormatter,
    )
    steps = group.add_subparsers(title="steps", metavar="STEP", required=True)
    make = steps.add_parser("make", help="the track, the answer sheets and the key")
    make.add_argument("plan", type=Path, metavar="PLAN", help="a plan, in YAML")
    make.add_argument(
        "--out", type=Path, metavar="FOLDER", help="where to write (beside the plan)"
    )
    make.add_argument(
        "--format",
        choices=tuple(FORMATS),
        default=DEFAULT_FORMAT,
        help=f"of the track (default: {DEFAULT_FORMAT})",
    )
    make.add_argument(
        "--seed",
        type=int,
        default=1,
        metavar="NUMBER",
        help="another number gives other calls in another order (1)",
    )
    make.add_argument(
        "--overwrite", action="store_true", help="replace files that are there"
    )
    make.add_argument("--quiet", action="store_true", help="no progress bar")
    make.set_defaults(run=run_make)
    score = steps.add_parser("score", help="what came of the ticked sheets")
    score.add_argument(
        "answers", type=Path, metavar="ANSWERS", help="the ticks, typed into a file"
    )
    score.add_argument(
        "--key",
        type=Path,
        metavar="FILE",
        help="the key (default: the NAME.listening-test.key.json beside the answers)",
    )
    score.set_defaults(run=run_score)


def run_make(arguments: Namespace) -> int:
    """Make the test and name its files."""
    from cuetrack.pipeline.checking import read_plan
    from cuetrack.pipeline.listening_test import make_listening_test
    from cuetrack.pipeline.making import MakeRequest

    plan = read_plan(arguments.plan)
    with watching(quiet=arguments.quiet) as watch:
        request = MakeRequest(
            folder=arguments.out or arguments.plan.parent,
            format=arguments.format,
            overwrite=arguments.overwrite,
            watch=watch,
        )
        made = make_listening_test(plan, request, arguments.seed)
    screen = console()
    over = "over the music of the class" if made.has_music else "without music"
    screen.print(f"{len(made.questions)} calls {over}, {clock(made.length_ms)}.")
    for path in made.files:
        screen.print(f"  {path}", soft_wrap=True)
    screen.print("Print the sheet, play the track in the hall, type in the ticks, then")
    screen.print("  cuetrack listening-test score answers.txt --key", end=" ")
    screen.print(in_quotes(made.files[-1]), soft_wrap=True)
    return 0


def run_score(arguments: Namespace) -> int:
    """Score the answers and say what came of them."""
    from cuetrack.pipeline.listening_test import score_answers
    from cuetrack.verification.answers import score_lines

    screen = console()
    for line in score_lines(score_answers(arguments.answers, arguments.key)):
        screen.print(line, soft_wrap=True)
    return 0
