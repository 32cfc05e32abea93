"""``cuetrack verify``: measure a finished track against its cue sheet."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from cuetrack.cli.show import console
from cuetrack.cli.watch import watching
from cuetrack.errors import UsageError
from cuetrack.plan.model import Group

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace
    from collections.abc import Iterable

    from cuetrack.cli.subcommands import Commands

ABOUT = """\
Read a finished track, find every tone and every spoken cue in the sound, and show
measured against planned. Nothing of how the track was made is used but its cue
sheet. Exit status 0 only when every cue is where it belongs.

With --recording, hear the room instead: play the track where the class is, leave a
phone recording where the last row sits, and give that file here. It tells who can
follow the calls at that place, the one step that helps most and by how much, and
when a hearing loop is the answer. Exit status 0 when half of the people of that age
follow nearly all of them.
"""

YOUNGEST, OLDEST = 18, 110
QUIETEST_DB, LOUDEST_DB = 40, 90
SCREEN_LINES = 24
"""A longer report ends with its verdict, since its first line has scrolled away."""


def add_to(commands: Commands) -> None:
    """Add this command to the command line."""
    command = commands.add_parser(
        "verify", help="measure that every cue is on time", description=ABOUT
    )
    command.add_argument(
        "track", type=Path, nargs="?", metavar="TRACK", help="the finished file"
    )
    command.add_argument(
        "--limits",
        action="store_true",
        help="say what can be told of a file, and what not",
    )
    command.add_argument(
        "--cues",
        type=Path,
        metavar="FILE",
        help="its cue sheet (default: NAME.cues.json beside the track)",
    )
    command.add_argument(
        "--listen",
        action="store_true",
        help="also let a speech recogniser listen for every phrase, without the clips "
        "(needs the extra cuetrack[listen])",
    )
    command.add_argument(
        "--brief", action="store_true", help="only list what is not as planned"
    )
    command.add_argument(
        "--json", action="store_true", help="print the measurements as JSON"
    )
    add_room_to(command)
    command.set_defaults(run=run)


def add_room_to(command: ArgumentParser) -> None:
    """Add what belongs to a recording of the room."""
    room = command.add_argument_group("the room")
    room.add_argument(
        "--recording",
        type=Path,
        metavar="FILE",
        help="a recording made in the room while the track played; any part of it, "
        "a minute or more",
    )
    room.add_argument(
        "--age",
        type=int,
        metavar="YEARS",
        help="whose hearing counts (75; the age in your plan is not known here)",
    )
    room.add_argument(
        "--level",
        type=float,
        metavar="DB",
        help="how loud speech is where it was recorded, in dB SPL (65, whatever your "
        "plan says)",
    )


def run(arguments: Namespace) -> int:
    """Measure and show; 0 when all is as it should be, 1 when not."""
    if arguments.limits:
        from cuetrack.verification.limits import limit_lines

        show(limit_lines())
        return 0
    if arguments.track is None:
        raise UsageError("verify needs a finished file.", "Name it: verify TRACK.")
    if arguments.recording is not None:
        return run_room(arguments)
    if arguments.age is not None or arguments.level is not None:
        raise UsageError("--age and --level belong to --recording.", "Give that too.")
    return run_track(arguments)


def run_room(arguments: Namespace) -> int:
    """Hear the room and show; 0 when the place is good or fair."""
    from cuetrack.pipeline.verifying import hear_room
    from cuetrack.verification.room import room_lines, to_json

    if arguments.listen:
        raise UsageError(
            "--listen is for the track, --recording for the room.",
            "Do one, then the other.",
        )
    group = group_of(arguments)
    with watching(quiet=arguments.json) as watch:
        report = hear_room(
            arguments.track, arguments.recording, arguments.cues, group, watch
        )
    if arguments.json:
        result = {"room": to_json(report)}
        print(json.dumps(result, indent=1))
    else:
        show(room_lines(report, every_row=not arguments.brief))
    return 0 if report.passed else 1


def group_of(arguments: Namespace) -> Group:
    """Return the group of --age and --level, else that of a plan without a group."""
    group = Group()
    if arguments.age is not None:
        if not YOUNGEST <= arguments.age <= OLDEST:
            raise UsageError(
                f"--age is {arguments.age}.", f"Give years from {YOUNGEST} to {OLDEST}."
            )
        group = replace(group, age=arguments.age)
    if arguments.level is not None:
        if not QUIETEST_DB <= arguments.level <= LOUDEST_DB:
            raise UsageError(
                f"--level is {arguments.level:g}.",
                f"Give dB from {QUIETEST_DB} to {LOUDEST_DB}.",
            )
        group = replace(group, level_db_spl=arguments.level)
    return group


def run_track(arguments: Namespace) -> int:
    """Measure the track and show; 0 when all is as planned."""
    from cuetrack.pipeline.verifying import listen_to, verify
    from cuetrack.verification.listening import listening_lines, listening_to_json
    from cuetrack.verification.recogniser import require_recogniser
    from cuetrack.verification.report import report_lines, to_json

    if arguments.listen:
        require_recogniser()
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
        print(json.dumps(result, indent=1))
    else:
        lines = report_lines(report, every_row=not arguments.brief)
        if heard is not None:
            lines += ["", *listening_lines(heard, every_row=not arguments.brief)]
        if len(lines) > SCREEN_LINES:
            lines += ["", report.headline]
        show(lines)
    return 0 if report.passed and (heard is None or heard.passed is not False) else 1


def show(lines: Iterable[str]) -> None:
    """Print the lines of a report, however long."""
    screen = console()
    for line in lines:
        screen.print(line, soft_wrap=True)
