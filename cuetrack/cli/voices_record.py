"""``cuetrack voices record``: a voice of one's own, from what is read aloud."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

from cuetrack.cli.help_text import ProseAndExamples
from cuetrack.cli.show import console, show_titled
from cuetrack.errors import UsageError

if TYPE_CHECKING:
    from argparse import Namespace

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

What is doubtful waits on a page, to be heard and kept or dropped:

  cuetrack voices record --decisions decisions.json --out mary

The recordings are only read, on this computer; nothing is sent anywhere. The folder
can be carried on a stick, and removed whole.
"""
MOST_SHOWN = 40


def add_to(steps: Commands) -> None:
    """Add this step to the command for voices."""
    step = steps.add_parser(
        "record",
        help="make a voice of your own from what was read aloud",
        description=ABOUT,
        formatter_class=ProseAndExamples,
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
    if arguments.first:
        return _first(arguments.takes)
    if arguments.out is None:
        raise UsageError("Name the folder of the voice: --out FOLDER.")
    if arguments.decisions:
        return _decide(arguments)
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
    result = sit(arguments.takes, script, stderr.print)
    if result.lines:
        of_takes = replace(person, takes=result.origins)
        facts = VoiceFacts(language=script.language, person=of_takes)
        add_to_voice(arguments.out, facts, result.lines)
    there = settled_ids(arguments.out)
    waiting = write_doubts(arguments.out, result.doubts, there)
    known = there | {line_id(one.text) for one in waiting}
    missing = [line.text for line in script.lines if line.id not in known]
    _show(arguments.out, result, waiting, missing)
    return 1 if waiting or missing else 0


def _person(arguments: Namespace) -> RecordedFacts:
    """Return who is heard: as the folder says, or as was asked for."""
    from cuetrack.speech.recorded_facts import VOICE_FILE, Consent, RecordedFacts
    from cuetrack.speech.voice_files import read_voice

    path = arguments.out / VOICE_FILE
    if path.exists() and (known := read_voice(path).recorded) and not arguments.who:
        return known
    if not arguments.who or not arguments.consent:
        raise UsageError(
            "Say who is heard, and what they agreed to: "
            '--who "Mary Hill" --consent "my classes at Larkfield Hall".',
            "A voice is made only of a person who agreed.",
        )
    today = dt.datetime.now(dt.UTC).astimezone().date().isoformat()
    consent = Consent(by=arguments.who, day=today, use=arguments.consent)
    return RecordedFacts(who=arguments.who, consent=consent, filling=arguments.filling)


def _show(
    folder: Path,
    result: SittingResult,
    waiting: tuple[DoubtfulReading, ...],
    missing: list[str],
) -> None:
    """Show what came of the takes, the verdict first."""
    from cuetrack.takes.doubts import FOLDER, PAGE_FILE

    screen = console()
    screen.print(
        f"{len(result.lines)} lines went into {folder}, {len(waiting)} readings are "
        f"to be heard, {len(missing)} lines are still to be read.",
        style="bold",
        soft_wrap=True,
    )
    if waiting:
        screen.print("Hear and decide on this page:")
        screen.print(f"  {folder / FOLDER / PAGE_FILE}", soft_wrap=True)
    if not result.by_larger:
        screen.print(
            'With the larger recogniser (pip install ".[takes]") more would be '
            "trusted, and more slips noticed."
        )
    told = [f"{e.at:>7}  {e.take}: {e.text}  ({e.what})" for e in result.events]
    _show_some("What happened, and when", told)
    _show_some("Still to be read", missing)


def _show_some(title: str, lines: list[str]) -> None:
    if lines:
        left = len(lines) - MOST_SHOWN
        more = [f"and {left} more"] if left > 0 else []
        show_titled(console(), title, [*lines[:MOST_SHOWN], *more])


def _decide(arguments: Namespace) -> int:
    """Take the decisions of the page into the voice; 1 while something still waits."""
    from cuetrack.takes.doubts import kept_doubts, read_decisions, settle

    decisions = read_decisions(arguments.decisions, kept_doubts(arguments.out))
    waiting = settle(arguments.out, decisions, _person(arguments))
    screen = console()
    screen.print(
        f"{len(decisions.keep)} readings were kept, {len(decisions.drop)} dropped; "
        f"{len(waiting)} wait to be heard.",
        style="bold",
    )
    screen.print(
        "What is still to be read: cuetrack voices script PLAN "
        f"--missing-from {arguments.out}",
        soft_wrap=True,
    )
    return 1 if waiting else 0
