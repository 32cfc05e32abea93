"""``cuetrack verify``: measure a finished track against its cue sheet."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING

from cuetrack.cli.show import console
from cuetrack.cli.watch import watching

if TYPE_CHECKING:
    from argparse import Namespace

    from cuetrack.cli.arguments import Commands

ABOUT = """\
Read a finished track, find every tone and every spoken cue in the sound, and show
measured against planned. Nothing of how the track was made is used but its cue
sheet. Exit status 0 only when every cue is where it belongs.
"""


def add_to(commands: Commands) -> None:
    """Add this command to the command line."""
    command = commands.add_parser(
        "verify", help="measure that every cue is on time", description=ABOUT
    )
    command.add_argument("track", type=Path, metavar="TRACK", help="the finished file")
    command.add_argument(
        "--cues",
        type=Path,
        metavar="FILE",
        help="its cue sheet (default: NAME.cues.json beside the track)",
    )
    command.add_argument(
        "--listen",
        action="store_true",
        help="also let a speech recogniser listen for every phrase, without the clips",
    )
    command.add_argument(
        "--brief", action="store_true", help="only list what is not as planned"
    )
    command.add_argument(
        "--json", action="store_true", help="print the measurements as JSON"
    )
    command.set_defaults(run=run)


def run(arguments: Namespace) -> int:
    """Measure and show; 0 when all is as planned, 1 when not."""
    from cuetrack.pipeline.verifying import listen_to, verify
    from cuetrack.verify.listening import listening_lines, listening_to_json
    from cuetrack.verify.report import report_lines, to_json

    with watching(quiet=arguments.json) as watch:
        report = verify(arguments.track, arguments.cues, watch)
        heard = (
            listen_to(arguments.track, arguments.cues, watch)
            if arguments.listen
            else None
        )
    if arguments.json:
        result = {"measured": to_json(report)}
        if heard is not None:
            result["heard"] = listening_to_json(heard)
        print(json.dumps(result, indent=1, ensure_ascii=False))
    else:
        lines = report_lines(report, every_row=not arguments.brief)
        if heard is not None:
            lines += ["", *listening_lines(heard, every_row=not arguments.brief)]
        screen = console()
        for line in lines:
            screen.print(line, markup=False, soft_wrap=True)
    return 0 if report.passed and (heard is None or heard.passed is not False) else 1
