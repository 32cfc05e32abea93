"""``cuetrack hear``: a minute, a section, a cue or a line, before the whole is made."""

from __future__ import annotations

from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

from rich.table import Table

from cuetrack.cli.changed_plans import asked_time
from cuetrack.cli.show import console
from cuetrack.cli.watch import watching
from cuetrack.times import clock

if TYPE_CHECKING:
    from argparse import Namespace

    from cuetrack.cli.subcommands import Commands
    from cuetrack.pipeline.excerpt import Excerpt
    from cuetrack.plan.model import Plan

ABOUT = """\
Hear a piece of a class in seconds, before the whole track is made: only what is
said in it is spoken. Or hear how a voice says a line of yours.

  cuetrack hear my-class.yaml --from 6:10
  cuetrack hear my-class.yaml --section Cool-down --out cool-down.mp3
  cuetrack hear my-class.yaml --from 6:10 --one-cue
  cuetrack hear "Sit tall, feet flat." --voice joe

Without --out it is played at once. Times are those of the whole track, within a
second: what is not spoken yet is estimated.
"""


def add_to(commands: Commands) -> None:
    """Add this command to the command line."""
    command = commands.add_parser(
        "hear",
        help="hear a piece of a class, or one line, in seconds",
        description=ABOUT,
    )
    command.add_argument(
        "what", metavar="PLAN|TEXT", help="a plan that exists, or what is to be said"
    )
    command.add_argument(
        "--from",
        dest="start",
        metavar="TIME",
        help="where in the class to begin, such as 6:10 (default: at its start)",
    )
    length = command.add_mutually_exclusive_group()
    length.add_argument(
        "--lasting",
        default="1 min",
        metavar="TIME",
        help="how much of it (default: 1 min)",
    )
    length.add_argument("--section", metavar="TITLE", help="a whole section instead")
    length.add_argument(
        "--one-cue",
        action="store_true",
        help="only the first cue from there on, no music",
    )
    command.add_argument(
        "--voice",
        metavar="NAME|FOLDER",
        help="who says it, instead of the voice of the plan",
    )
    command.add_argument(
        "--language", default="en", metavar="CODE", help="of a line of yours (en)"
    )
    command.add_argument(
        "--out",
        type=Path,
        metavar="FILE",
        help="write it, as WAV, MP3 or another format by the ending of the name",
    )
    command.add_argument(
        "--overwrite", action="store_true", help="replace a file of that name"
    )
    command.set_defaults(run=run)


def run(arguments: Namespace) -> int:
    """Write what is asked for, or play it."""
    from cuetrack.output.track.files import refuse_taken
    from cuetrack.output.track.formats import track_format

    plan = _plan(arguments)
    if arguments.out is None:
        return _play(arguments, plan)
    track_format(arguments.out.suffix)
    if not arguments.overwrite:
        refuse_taken([arguments.out])
    _tell(arguments, plan, arguments.out)
    console().print(f"Written: {arguments.out}", soft_wrap=True)
    return 0


def _plan(arguments: Namespace) -> Plan | None:
    """Return the class to be heard, None for a line."""
    from cuetrack.pipeline.checking import in_voice, read_plan

    if not is_plan(arguments.what):
        return None
    return in_voice(read_plan(Path(arguments.what)), arguments.voice)


def _play(arguments: Namespace, plan: Plan | None) -> int:
    from cuetrack.cli.player import play, players

    players()
    with TemporaryDirectory() as folder:
        path = Path(folder) / "excerpt.wav"
        _tell(arguments, plan, path)
        play(path)
    return 0


def _tell(arguments: Namespace, plan: Plan | None, path: Path) -> None:
    """Write the sound and show its words."""
    from cuetrack.pipeline.excerpt import write_line

    if plan is not None:
        _show(_write_piece(arguments, plan, path))
        return
    voice = write_line(arguments.what, arguments.voice, arguments.language, path)
    console().print(f"{voice}: {arguments.what}")


def is_plan(what: str) -> bool:
    """Whether the words name a plan: a file that exists, or a name like one.

    >>> is_plan("Sit tall, feet flat."), is_plan("my-class.yaml")
    (False, True)
    """
    if what.casefold().endswith((".yaml", ".yml")):
        return True
    try:
        return Path(what).is_file()
    except OSError:
        return False


def _write_piece(arguments: Namespace, plan: Plan, path: Path) -> Excerpt:
    from cuetrack.cues.timeline import lay_out
    from cuetrack.pipeline.excerpt import ClassSpan, section_span, write_excerpt

    timeline = lay_out(plan)
    if arguments.section:
        span = section_span(timeline, arguments.section)
    else:
        start_ms = asked_time(arguments.start) if arguments.start else 0
        rest_ms = (
            timeline.end_ms if arguments.one_cue else asked_time(arguments.lasting)
        )
        span = ClassSpan(start_ms=start_ms, end_ms=start_ms + rest_ms)
    with watching(quiet=False) as watch:
        return write_excerpt(plan, span, path, watch, one_cue=arguments.one_cue)


def _show(excerpt: Excerpt) -> None:
    table = Table.grid(padding=(0, 2, 0, 0))
    table.add_column(justify="right", min_width=7)
    for cue in excerpt.cues:
        table.add_row(clock(cue.start_ms), cue.wording.text)
    console().print(table)
