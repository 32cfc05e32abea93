"""``cuetrack make``: the track of a plan, and what goes with it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from rich.text import Text

from cuetrack.cli.plain import in_quotes
from cuetrack.cli.show import (
    console,
    losses_line,
    show_hearing,
    show_lines,
    show_titled,
)
from cuetrack.cli.watch import watching
from cuetrack.output.track.files import safe_name
from cuetrack.output.track.formats import DEFAULT_FORMAT, FORMATS
from cuetrack.pipeline.made import Made
from cuetrack.times import clock

if TYPE_CHECKING:
    from argparse import Namespace

    from rich.console import Console

    from cuetrack.cli.subcommands import Commands
    from cuetrack.pipeline.receipts import Receipt

ABOUT = """\
Speak every cue of a plan, mix voice, tones and music, and write one track, its
captions and its cue sheet. What was spoken before is not spoken again.

  NAME.mp3         the track, with chapters
  NAME.vtt         captions
  NAME.cues.json   what is said when; `cuetrack verify` measures by it

With --all also, each after NAME:

  .glance.a4.pdf  .glance.letter.pdf   the class on one page, to lead from
  .home.a4.pdf  .home.letter.pdf       the movements to do at home
  .picture.svg  .picture.png           the class as a picture to pin up
  .follow.html       a page to watch that plays the track; double-click it
  .notice.txt        for an e-mail or a notice board
  .srt  .chapters.vtt                  captions and chapters once more

With --film also NAME.mp4, a film for a television or any phone; it takes about as
long as the class on a slow computer.

Of all that is said a large-print script is made by `cuetrack handout run-sheet`.

Files that are already there are kept unless you say --overwrite. Where nothing has
changed since the last make, nothing is done; --again makes the track all the same.
"""

MOST_FILLED = 5
"""How many texts that another voice says are shown; a sheet has them all."""

HEARING_LIMITS = (
    "Reckoned, not heard by anybody: listen in your own room before the class. What "
    "the figures rest on and leave out: cuetrack make --hearing."
)


def add_to(commands: Commands) -> None:
    """Add this command to the command line."""
    command = commands.add_parser(
        "make",
        help="speak, mix and write the track of a plan",
        description=ABOUT,
    )
    command.add_argument("plan", type=Path, metavar="PLAN", help="a plan, in YAML")
    command.add_argument(
        "--out",
        type=Path,
        metavar="FOLDER",
        help="where to write; made if it is not there (default: beside the plan)",
    )
    command.add_argument(
        "--format",
        choices=tuple(FORMATS),
        default=DEFAULT_FORMAT,
        help=formats_by_use(),
    )
    command.add_argument(
        "--voice", metavar="NAME", help="who speaks, instead of the voice of the plan"
    )
    command.add_argument(
        "--all",
        action="store_true",
        help="also what people are handed: sheets to lead from and to take home, "
        "picture, follow page, notice, captions as SRT and chapters",
    )
    command.add_argument(
        "--film", action="store_true", help="also a film, NAME.mp4; takes minutes"
    )
    command.add_argument(
        "--overwrite", action="store_true", help="replace files that are there"
    )
    command.add_argument(
        "--again", action="store_true", help="make it even if nothing has changed"
    )
    command.add_argument(
        "--hearing",
        action="store_true",
        help="show for every cue how much of it the group can follow",
    )
    command.add_argument(
        "--quiet", action="store_true", help="no progress bar, only the result"
    )
    command.add_argument(
        "--json", action="store_true", help="print one JSON object, for other programs"
    )
    command.set_defaults(run=run)


def formats_by_use() -> str:
    """Return what each format is good for, in one sentence.

    >>> formats_by_use()[:41]
    'mp3 and m4a for players, wav and flac for'
    """
    uses = dict.fromkeys(one.good_for for one in FORMATS.values())
    told = [
        " and ".join(one.extension for one in FORMATS.values() if one.good_for == use)
        + f" for {use}"
        for use in uses
    ]
    return f"{', '.join(told)} (default: {DEFAULT_FORMAT})"


def run(arguments: Namespace) -> int:
    """Make the track, if anything has changed, and show what came of it."""
    if arguments.json:
        return run_json(arguments)
    made = made_of(arguments)
    if isinstance(made, Made):
        show_made(made, every_cue=arguments.hearing)
    else:
        show_unchanged(track_of(arguments), made)
    return 0


def run_json(arguments: Namespace) -> int:
    """Make the track and print what came of it as one JSON object."""
    from cuetrack.cli.as_json import print_json, refusals_as_json
    from cuetrack.pipeline.make_report import MakeReport, make_report

    with refusals_as_json(MakeReport, arguments.plan):
        made = made_of(arguments)
    print_json(make_report(made) if isinstance(made, Made) else made.report)
    return 0


def track_of(arguments: Namespace) -> Path:
    """Return the file the track will be."""
    folder: Path = arguments.out or arguments.plan.parent
    return folder / f"{safe_name(arguments.plan.stem)}.{arguments.format}"


def made_of(arguments: Namespace) -> Made | Receipt:
    """Make the track, watched on standard error; if nothing changed, tell of the last.

    The last track may be replaced by the same again.
    """
    from cuetrack.pipeline.checking import in_voice, read_plan
    from cuetrack.pipeline.handing_out import IN_ALL, Handout
    from cuetrack.pipeline.receipts import unchanged

    plan = in_voice(read_plan(arguments.plan), arguments.voice)
    handouts = (
        *(IN_ALL if arguments.all else ()),
        *((Handout.FILM,) if arguments.film else ()),
    )
    last = unchanged(
        track_of(arguments), plan, extension=arguments.format, handouts=handouts
    )
    if last is not None and not (arguments.again or arguments.hearing):
        return last
    from cuetrack.pipeline.making import MakeRequest, make

    with watching(quiet=arguments.quiet) as watch:
        request = MakeRequest(
            folder=arguments.out or arguments.plan.parent,
            format=arguments.format,
            overwrite=arguments.overwrite,
            renew=arguments.again,
            handouts=handouts,
            watch=watch,
        )
        return make(plan, request)


def show_unchanged(track: Path, last: Receipt) -> None:
    """Say that the track is there already, and how to make it all the same."""
    screen = console()
    screen.print(
        "Nothing has changed since this track was made, so nothing was done.\n"
        "To make it all the same, add --again.\n"
    )
    for name in last.files:
        screen.print(str(track.with_name(name)), soft_wrap=True, markup=False)


def show_made(made: Made, *, every_cue: bool) -> None:
    """Show the track first, then what was lost, found and heard, and the files."""
    from cuetrack.review.report import brief_lines

    screen = console()
    length = clock(made.cue_file.duration_ms)
    screen.print(Text(f"Made: {made.plan.title}, {length}", style="bold"))
    shown = f"cuetrack check {in_quotes(made.plan.file)} --details"
    screen.print(f"{losses_line(made.placed)} Which and why: {shown}", soft_wrap=True)
    show_lines(screen, brief_lines(made.findings))
    if made.music_notes:
        show_titled(screen, "Music", made.music_notes)
    limits = made.hearing.limits if every_cue else HEARING_LIMITS
    show_titled(screen, "Hearing", (*made.hearing.summary, limits))
    if every_cue:
        show_hearing(screen, made.hearing)
    show_files(screen, made)


def show_person(screen: Console, made: Made) -> None:
    """Show whose voice is heard, and what another one says in its place."""
    from cuetrack.pipeline.checking import voice_of

    person = made.cue_file.speech and made.cue_file.speech.person
    if not person:
        return
    screen.print(f"Read by {person.name}; {person.consent}.", markup=False)
    if not made.filled_in:
        return
    count = len(made.filled_in)
    screen.print(
        f"{person.filled_by} says {count} {'text' if count == 1 else 'texts'} that "
        f"{person.name} has not read:",
        markup=False,
    )
    for text in made.filled_in[:MOST_FILLED]:
        screen.print(f"  {text}", markup=False)
    if count > MOST_FILLED:
        screen.print(f"  and {count - MOST_FILLED} more.")
    plan, folder = map(in_quotes, (made.plan.file, voice_of(made.plan).folder))
    again = f"cuetrack voices script {plan} --missing-from {folder}"
    screen.print(f"A sheet of what to read: {again}", soft_wrap=True, markup=False)


def show_files(screen: Console, made: Made) -> None:
    """Show what was written, how loud it is and what to do next."""
    levels = made.levels
    screen.print()
    screen.print(
        f"Voice {made.voice}; {made.spoken_anew} wordings spoken anew, the others "
        "from the store."
    )
    show_person(screen, made)
    screen.print(
        f"Loudness {levels.integrated_lufs:.1f} LUFS, true peak "
        f"{levels.true_peak_dbtp:.1f} dBTP, measured after encoding."
    )
    tagged = FORMATS[made.files.track.suffix[1:]].tagging is not None
    chapters = "with chapters" if tagged else "without title and chapters"
    screen.print()
    screen.print(f"Written (the track {chapters}):", style="bold")
    for path in made.files.all():
        screen.print(str(path), soft_wrap=True)
    screen.print()
    track = in_quotes(made.files.track)
    screen.print(f"Measure it:  cuetrack verify {track}", soft_wrap=True)
