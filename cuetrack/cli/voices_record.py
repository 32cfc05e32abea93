"""``cuetrack voices record``: a voice of one's own, from what is read aloud."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from itertools import groupby
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

import platformdirs
from rich.text import Text

from cuetrack.cli.show import console, show_titled
from cuetrack.errors import UsageError

if TYPE_CHECKING:
    from argparse import Namespace
    from collections.abc import Collection

    from cuetrack.cli.subcommands import Commands
    from cuetrack.speech.recorded_facts import RecordedFacts
    from cuetrack.takes.doubts import DoubtfulReading
    from cuetrack.takes.recording import SittingResult
    from cuetrack.takes.soundcheck import SoundVerdict

ABOUT = """\
Make a voice from what a phone recorded while somebody read a script. First read for
half a minute and ask whether it sounds good enough, before you read for an hour:

  cuetrack voices record trial.m4a --first

Then give what was read, in any number of sittings, at once or one after the other:

  cuetrack voices record one.m4a two.m4a --script my-class.reading.vtt
    --out mary --who "Mary Hill" --consent "my classes at Larkfield Hall"

What is doubtful waits on a page, to be heard and kept or dropped. The page saves your
decisions where your browser saves files; they are looked for there, too:

  cuetrack voices record --decisions decisions.json --out mary

What nobody read is left out, or said by another voice:

  cuetrack voices record --out mary --filling joe

The recordings are only read, on this computer; nothing is sent anywhere. The folder
can be carried on a stick, and removed whole.
"""


def add_to(steps: Commands) -> None:
    """Add this step to the command for voices."""
    step = steps.add_parser(
        "record",
        help="make a voice of your own from what was read aloud",
        description=ABOUT,
    )
    step.add_argument(
        "takes",
        nargs="*",
        type=Path,
        metavar="TAKE",
        help="recordings as the phone made them: m4a, opus, mp3, wav",
    )
    step.add_argument(
        "--first", action="store_true", help="only say whether they sound good enough"
    )
    step.add_argument(
        "--script", type=Path, metavar="FILE", help="what was read (.reading.vtt)"
    )
    step.add_argument(
        "--out", type=Path, metavar="FOLDER", help="the folder of the voice"
    )
    step.add_argument("--who", metavar="NAME", help="who is heard")
    step.add_argument(
        "--consent", metavar="USE", help="what this person lets the voice be used for"
    )
    step.add_argument(
        "--filling",
        default="",
        metavar="VOICE",
        help="the voice that says what was not read (none)",
    )
    step.add_argument(
        "--decisions",
        type=Path,
        metavar="FILE",
        help="what the page saved: keep or drop what was doubtful",
    )
    step.set_defaults(run=run)


def run(arguments: Namespace) -> int:
    """Judge takes, add them to a voice, or settle what was doubtful."""
    from cuetrack.speech.voices import find_voice
    from cuetrack.verification.recogniser import LANGUAGE

    if arguments.first:
        return _first(arguments.takes)
    if arguments.out is None:
        raise UsageError("Name the folder of the voice: --out FOLDER.")
    if arguments.filling:
        find_voice(arguments.filling, LANGUAGE)
    if arguments.decisions:
        return _decide(arguments)
    if arguments.filling and not arguments.takes:
        return _fill(arguments)
    return _record(arguments)


def _first(takes: list[Path]) -> int:
    """Say of each take whether it can be used; 1 when one cannot."""
    from cuetrack.takes.soundcheck import checked_sound
    from cuetrack.takes.take import read_take

    if not takes:
        raise UsageError("Name a recording.")
    usable = True
    with TemporaryDirectory(ignore_cleanup_errors=True) as folder:
        for number, path in enumerate(takes):
            take = read_take(path, Path(folder) / f"{number}.raw")
            verdict = checked_sound(take)
            usable &= verdict.usable
            show_verdict(verdict)
    return 0 if usable else 1


def show_verdict(verdict: SoundVerdict) -> None:
    """Show whether a take can be used, why not, and its figures."""
    screen = console()
    told = "good enough, read on." if verdict.usable else "not yet. Read it again."
    screen.print(f"{verdict.name}: {told}", style="bold")
    for line in (*verdict.faults, *verdict.hints):
        screen.print(line)
    figures = verdict.figures
    screen.print(
        f"Speech {figures.speech_s:.0f} s at {figures.level_dbfs:.0f} dB; noise "
        f"{figures.noise_db:.0f} dB and hum {min(figures.hum_db, 99):.0f} dB below it; "
        f"echo {figures.clarity_db:.0f} dB below it (15 or more is good)."
    )


def _record(arguments: Namespace) -> int:
    """Add what was read to the voice; 1 while something is to be heard or missing."""
    from cuetrack.speech.breaths import line_id
    from cuetrack.takes.doubts import settled_ids, write_doubts
    from cuetrack.takes.reading_script import read_script
    from cuetrack.takes.recording import sit
    from cuetrack.takes.voice_folder import VoiceFacts, add_to_voice

    if not arguments.takes or arguments.script is None:
        raise UsageError(
            "Name recordings and the script that was read: TAKE... --script FILE."
        )
    script = read_script(arguments.script)
    person = _person(arguments)
    stderr = console(stderr=True)
    had = settled_ids(arguments.out)
    result = sit(arguments.takes, script, stderr.print, had)
    if result.lines:
        of_takes = replace(person, takes=result.origins)
        facts = VoiceFacts(language=script.language, person=of_takes)
        add_to_voice(arguments.out, facts, result.lines)
    there = settled_ids(arguments.out)
    waiting = write_doubts(arguments.out, result.doubts, there)
    known = there | {line_id(one.text) for one in waiting}
    missing = [
        number
        for number, line in enumerate(script.lines, start=1)
        if line.id not in known
    ]
    _show(arguments.out, result, waiting, missing)
    return 1 if waiting or missing else 0


def _person(arguments: Namespace) -> RecordedFacts:
    """Return who is heard: as the folder says, or as was asked for."""
    from cuetrack.speech.recorded_facts import VOICE_FILE, Consent, RecordedFacts
    from cuetrack.speech.voice_files import read_voice

    path = arguments.out / VOICE_FILE
    filling = arguments.filling
    if path.exists() and (known := read_voice(path).recorded) and not arguments.who:
        return replace(known, filling=filling) if filling else known
    if not arguments.who or not arguments.consent:
        raise UsageError(
            "Say who is heard, and what they agreed to: "
            '--who "Mary Hill" --consent "my classes at Larkfield Hall".',
            "A voice is made only of a person who agreed.",
        )
    today = dt.datetime.now(dt.UTC).astimezone().date().isoformat()
    consent = Consent(by=arguments.who, day=today, use=arguments.consent)
    return RecordedFacts(who=arguments.who, consent=consent, filling=filling)


def _show(
    folder: Path,
    result: SittingResult,
    waiting: tuple[DoubtfulReading, ...],
    missing: list[int],
) -> None:
    """Show what came of the takes, the verdict first."""
    screen = console()
    screen.print(
        f"Lines that went into {folder}: {len(result.lines)}; still to be read: "
        f"{len(missing)}. Readings for you to hear: {len(waiting)}.",
        style="bold",
        soft_wrap=True,
    )
    _show_next(folder, waiting, missing)
    if not result.by_larger:
        screen.print(
            'With the larger recogniser (pip install ".[takes]") more would be '
            "trusted, and more slips noticed."
        )
    for take, events in groupby(result.events, key=lambda event: event.take):
        told = [f"{e.at:>7}  line {e.number}: {e.text}  ({e.what})" for e in events]
        show_titled(screen, f"What happened in {take}, and when", told)


def _show_next(
    folder: Path, waiting: Collection[DoubtfulReading], missing: list[int]
) -> None:
    """Show what is to be done next: hear, read, or use the voice."""
    from cuetrack.takes.doubts import DECISIONS_FILE, FOLDER, PAGE_FILE

    screen = console()
    steps = []
    if waiting:
        steps += [
            "Open this page in a browser, keep or drop each reading, and save:",
            f"  {folder / FOLDER / PAGE_FILE}",
            "Then type:",
            f"  cuetrack voices record --decisions {DECISIONS_FILE} --out {folder}",
        ]
    if missing:
        steps += [
            f"Still to be read: {told_in_runs(missing)}. A sheet of what a plan lacks:",
            f"  cuetrack voices script PLAN --missing-from {folder}",
        ]
    steps.append(f"A plan beside this folder speaks with it by  voice: {folder.name}")
    for step in steps:
        screen.print(Text(step), soft_wrap=step.startswith(" "))


def told_in_runs(numbers: list[int]) -> str:
    """Return line numbers in words, those that follow each other as a run.

    >>> told_in_runs([3, 7, 8, 9])
    'line 3, lines 7 to 9'
    """
    runs: list[list[int]] = []
    for number in numbers:
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    return ", ".join(
        f"line {run[0]}" if len(run) == 1 else f"lines {run[0]} to {run[-1]}"
        for run in runs
    )


def _decide(arguments: Namespace) -> int:
    """Take the decisions of the page into the voice; 1 while something still waits."""
    from cuetrack.takes.doubts import kept_doubts, read_decisions, settle

    path = _where_saved(arguments.decisions)
    decisions = read_decisions(path, kept_doubts(arguments.out))
    waiting = settle(arguments.out, decisions, _person(arguments))
    screen = console()
    screen.print(
        f"Readings kept: {len(decisions.keep)}, dropped: {len(decisions.drop)}, "
        f"still to be heard: {len(waiting)}.",
        style="bold",
    )
    screen.print("A sheet of what a plan still lacks:")
    screen.print(
        f"  cuetrack voices script PLAN --missing-from {arguments.out}",
        soft_wrap=True,
    )
    return 1 if waiting else 0


def _where_saved(path: Path) -> Path:
    """Return where the page's file is: as named, or where browsers save files."""
    saved = platformdirs.user_downloads_path() / path
    return saved if not path.exists() and saved.exists() else path


def _fill(arguments: Namespace) -> int:
    """Let another voice say what was not read."""
    from cuetrack.speech.recorded_facts import VOICE_FILE
    from cuetrack.speech.voice_files import read_voice
    from cuetrack.takes.voice_folder import VoiceFacts, add_to_voice

    person = _person(arguments)
    language = read_voice(arguments.out / VOICE_FILE).language
    add_to_voice(arguments.out, VoiceFacts(language=language, person=person), ())
    console().print(f"What {person.who} has not read is said by {person.filling}.")
    return 0
