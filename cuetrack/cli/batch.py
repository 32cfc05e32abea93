"""``cuetrack batch``: the tracks of many plans."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING

import msgspec
from rich.table import Column
from rich.text import Text

from cuetrack.cli.show import console, figures, headed
from cuetrack.cli.watch import watching
from cuetrack.errors import UsageError
from cuetrack.output.track.formats import DEFAULT_FORMAT, FORMATS
from cuetrack.times import clock

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace
    from collections.abc import Iterator, Sequence

    from cuetrack.batch.doing import Outcome
    from cuetrack.batch.work import Work
    from cuetrack.cli.subcommands import Commands

MOST_ROWS = 200
"""Of a longer table only what failed is shown."""

ABOUT = """\
Make the tracks of many plans: of a folder, or of a list with the name of a plan on
each line. --voice and --format may be given several times; then every plan is made in
each voice and each format, in a folder for each.

What is there already and has not changed is not made again: after an interruption, or
when some plans have changed, give the same command once more. A plan that fails stops
no other. Files that this program did not write, or that were changed since, are kept
unless you say --overwrite.

A cluster's array of jobs makes a part each, all with the same clip store and folder:

  cuetrack batch plans --out tracks --part $SLURM_ARRAY_TASK_ID/100
"""


def add_to(commands: Commands) -> None:
    """Add this command to the command line."""
    command = commands.add_parser(
        "batch",
        help="make the tracks of many plans",
        description=ABOUT,
    )
    command.add_argument(
        "plans", type=Path, metavar="FOLDER|LIST", help="plans, or a list of them"
    )
    command.add_argument(
        "--out",
        type=Path,
        metavar="FOLDER",
        help="where to write; made if it is not there (default: the folder of the "
        "plans, or of the list)",
    )
    command.add_argument(
        "--format",
        action="append",
        choices=tuple(FORMATS),
        help=f"several if you like (default: {DEFAULT_FORMAT})",
    )
    command.add_argument(
        "--voice",
        action="append",
        metavar="NAME|FOLDER",
        help="several if you like (default: the voice of each plan)",
    )
    _add_who_works(command)
    command.add_argument(
        "--all", action="store_true", help="also everything people are handed"
    )
    command.add_argument(
        "--overwrite", action="store_true", help="replace files that are there"
    )
    command.add_argument(
        "--quiet", action="store_true", help="no progress bar, only the result"
    )
    command.add_argument(
        "--json",
        action="store_true",
        help="print a line of JSON for each track, as soon as it is done",
    )
    command.set_defaults(run=run)


def _add_who_works(command: ArgumentParser) -> None:
    command.add_argument(
        "--part", metavar="K/N", default="1/1", help="make only the K-th of N parts"
    )
    command.add_argument(
        "--processes",
        type=int,
        metavar="NUMBER",
        help="how many work at once (default: one for each core); each takes some "
        "300 MB of memory, 800 MB while it speaks with a neural voice",
    )
    command.add_argument(
        "--cluster",
        metavar="ADDRESS",
        help="let the workers of a Dask scheduler do it: tcp://HOST:PORT",
    )


def run(arguments: Namespace) -> int:
    """Make the tracks; 1 where one of them failed."""
    from cuetrack.batch.work import part_of

    works = part_of(wanted(arguments), arguments.part)
    outcomes = []
    with watching(quiet=arguments.quiet) as watch:
        watch("making tracks", 0, len(works))
        for outcome in done(works, arguments):
            outcomes.append(outcome)
            watch("making tracks", len(outcomes), len(works))
            if arguments.json:
                print(json.dumps(msgspec.to_builtins(outcome)), flush=True)
    order = {str(work.track): place for place, work in enumerate(works)}
    outcomes.sort(key=lambda one: order[one.track])
    if not arguments.json:
        show(outcomes)
    return int(any(one.problems for one in outcomes))


def wanted(arguments: Namespace) -> list[Work]:
    """Return all that the batch is to make.

    Raises UsageError when the command asks for what there is not.
    """
    from cuetrack.batch.work import plans_of, works_of

    source: Path = arguments.plans
    asked = [_seen_from_anywhere(voice) for voice in arguments.voice or ()]
    return works_of(
        plans_of(source),
        out=arguments.out or (source if source.is_dir() else source.parent),
        formats=list(dict.fromkeys(arguments.format or (DEFAULT_FORMAT,))),
        voices=list(dict.fromkeys(asked)) or [None],
        handouts=arguments.all,
        overwrite=arguments.overwrite,
    )


def _seen_from_anywhere(name: str) -> str:
    """Return the name of a voice that there is, or the whole path of its folder."""
    from cuetrack.speech.voices import voice_named

    voice = voice_named(name)
    return str(voice.folder) if voice.recorded else name


def done(works: Sequence[Work], arguments: Namespace) -> Iterator[Outcome]:
    """Yield what becomes of each piece of work, by whoever is to do it."""
    if arguments.cluster:
        from cuetrack.batch.cluster import done_by_cluster

        return done_by_cluster(works, arguments.cluster)
    from cuetrack.batch.processes import done_by_processes
    from cuetrack.systems import core_count

    count = core_count() if arguments.processes is None else arguments.processes
    if count < 1:
        raise UsageError("--processes takes a number from 1 up.")
    return done_by_processes(works, count)


def show(outcomes: Sequence[Outcome]) -> None:
    """Show a table of the tracks, why some failed, and how many did not."""
    screen = console()
    shown = [one for one in outcomes if one.problems or len(outcomes) <= MOST_ROWS]
    track = Column("track", overflow="fold")
    table = headed(track, figures("lasts"), "what became of it", figures("took"))
    for one in shown:
        lasts = "" if one.duration_ms is None else clock(one.duration_ms)
        table.add_row(Text(one.track), lasts, _told(one), f"{one.took_s:.1f} s")
    if shown:
        screen.print(table)
    for one in outcomes:
        for problem in one.problems:
            screen.print(Text(problem), style="red", soft_wrap=True)
    counts = dict.fromkeys(("made", "unchanged", "failed"), 0)
    for one in outcomes:
        counts[one.state] += 1
    screen.print(
        f"\n{counts['made']} made, {counts['unchanged']} unchanged, "
        f"{counts['failed']} failed."
    )


def _told(one: Outcome) -> str:
    return f"made, {one.spoken_anew} wordings spoken" if one.spoken_anew else one.state
