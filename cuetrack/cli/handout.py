"""``cuetrack handout``: one of the things a class is handed, without a new track."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from cuetrack.cli.show import console
from cuetrack.cli.watch import watching
from cuetrack.errors import UsageError

if TYPE_CHECKING:
    from argparse import Namespace

    from cuetrack.cli.subcommands import Commands

KINDS = (
    "glance-sheet",
    "home-sheet",
    "picture",
    "notice",
    "run-sheet",
    "follow-page",
    "captions",
    "plot",
    "film",
)

ABOUT = """\
Make one of the things that people are handed, alone. From the plan, before
anything is spoken:

  glance-sheet  the class on one page: figures and times, to lead from (PDF)
  home-sheet    the movements to do at home, six to a page (PDF)
  picture       the class as a picture to pin up (SVG, PNG)
  notice        text for an e-mail or a notice board
  run-sheet     all that is said, in large print, for the stand (PDF, HTML)

From the cue sheet of a finished track:

  follow-page   a page to watch that plays the track
  captions      SRT and chapters
  plot          when the voice speaks and the tones sound (SVG, PNG)
  film          for a television or any phone: figure, seconds, captions (MP4)

These look for NAME.cues.json, page and film for the track too, in the folder they
write to. A film takes minutes; `cuetrack verify NAME.mp4` measures it as a track.
"""


def add_to(commands: Commands) -> None:
    """Add this command to the command line."""
    command = commands.add_parser(
        "handout",
        help="make a sheet, picture, notice, page, film or captions alone",
        description=ABOUT,
    )
    command.add_argument("kind", choices=KINDS, metavar="KIND", help="what to make")
    command.add_argument("plan", type=Path, metavar="PLAN", help="a plan, in YAML")
    command.add_argument(
        "--out",
        type=Path,
        metavar="FOLDER",
        help="where to write (default: beside the plan)",
    )
    command.add_argument(
        "--overwrite", action="store_true", help="replace files that are there"
    )
    command.add_argument(
        "--without-captions",
        action="store_true",
        help="draw none in the picture of a film; a player can still show them",
    )
    command.add_argument(
        "--silent",
        action="store_true",
        help="the follow page before anything is spoken: it runs, without sound",
    )
    command.set_defaults(run=run)


def _silent(arguments: Namespace) -> int:
    """Write the follow page without a track."""
    from cuetrack.pipeline.checking import read_plan
    from cuetrack.pipeline.silent_page import write_silent_page

    if arguments.kind != "follow-page":
        raise UsageError("--silent is for the follow page.", "Leave it out.")
    plan: Path = arguments.plan
    folder = arguments.out or plan.parent
    page = write_silent_page(
        read_plan(plan), plan.stem, folder, overwrite=arguments.overwrite
    )
    console().print(str(page), soft_wrap=True)
    return 0


def run(arguments: Namespace) -> int:
    """Make it and name the files."""
    from cuetrack.pipeline.checking import read_plan
    from cuetrack.pipeline.handing_out import Handout, hand_out_alone

    if arguments.silent:
        return _silent(arguments)
    with watching(quiet=False) as watch:
        paths = hand_out_alone(
            read_plan(arguments.plan),
            arguments.plan.stem,
            Handout(arguments.kind),
            arguments.out or arguments.plan.parent,
            overwrite=arguments.overwrite,
            captions_drawn=not arguments.without_captions,
            watch=watch,
        )
    screen = console()
    for path in paths:
        screen.print(str(path), soft_wrap=True)
    return 0
