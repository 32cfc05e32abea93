"""``cuetrack voices``: who can speak, and a voice of your own."""

from __future__ import annotations

from typing import TYPE_CHECKING

from cuetrack.cli import voices_record, voices_script
from cuetrack.cli.show import console, headed

if TYPE_CHECKING:
    from argparse import Namespace

    from cuetrack.cli.subcommands import Commands
    from cuetrack.speech.model import Voice

ABOUT = """\
List the voices cuetrack can use: those it brings, and those you added. A plan
names one with `voice: NAME`; without it, the first voice of its language speaks.

  cuetrack voices                  who can speak
  cuetrack voices try clara        ten lines in a voice, with a verdict
  cuetrack voices script my-class.yaml    what to read for a voice of your own
  cuetrack voices record trial.m4a --first    is it recorded well enough?
"""

TRY = """\
Let a voice say ten lines: pace, loudness, cut ends and count words, with a verdict.
Do this once with a model that you added, before the first make.

  cuetrack voices try clara
"""


def add_to(commands: Commands) -> None:
    """Add this command to the command line."""
    command = commands.add_parser(
        "voices",
        help="who can speak, and a voice of your own",
        description=ABOUT,
    )
    command.set_defaults(run=run_list)
    steps = command.add_subparsers(title="steps", metavar="STEP", required=False)
    attempt = steps.add_parser(
        "try",
        help="ten lines in a voice, with a verdict",
        description=TRY,
    )
    attempt.add_argument("name", metavar="NAME", help="a voice of the list")
    attempt.set_defaults(run=run_try)
    voices_script.add_to(steps)
    voices_record.add_to(steps)


def run_list(_: Namespace) -> int:
    """Show every voice."""
    from cuetrack.errors import SpeechError
    from cuetrack.speech.keys import missing_of
    from cuetrack.speech.voices import known_voices, voice_named

    table = headed("voice", "language", "engine", "words/min", "ready")
    licences = []
    for name in known_voices():
        try:
            voice = voice_named(name)
        except SpeechError as error:
            table.add_row(name, "", "", "", str(error))
            continue
        pace = str(voice.words_a_minute or "not measured")
        ready = missing_of(voice) or "yes"
        table.add_row(voice.name, voice.language, voice.engine, pace, ready)
        licences.append((voice.name, _licence(voice)))
    screen = console()
    screen.print(table)
    screen.print("\nLicences", style="bold")
    for name, licence in licences:
        screen.print(f"{name}: {' '.join(licence.split())}")
    return 0


def _licence(voice: Voice) -> str:
    if voice.recorded is None:
        return voice.licence or "not stated"
    agreed = voice.recorded.consent
    return f"read by {voice.recorded.who}; {agreed.by} agreed on {agreed.day}"


def run_try(arguments: Namespace) -> int:
    """Try a voice; 1 when it should not be used."""
    from cuetrack.speech.trial import tried
    from cuetrack.speech.voices import voice_named

    trial = tried(voice_named(arguments.name))
    screen = console()
    screen.print(trial.verdict, style="bold")
    for line in (*trial.remarks, *trial.figures):
        screen.print(line)
    return 0 if trial.sound else 1
