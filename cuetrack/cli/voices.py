"""``cuetrack voices``: who can speak."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.table import Table

from cuetrack.cli.help_text import ProseAndExamples
from cuetrack.cli.show import console

if TYPE_CHECKING:
    from argparse import Namespace

    from cuetrack.cli.subcommands import Commands

ABOUT = """\
List the voices cuetrack can use: those it brings, and those you added. A plan
names one with `voice: NAME`; without it, the first voice of its language speaks.

With a name, that voice is tried on ten lines: pace, loudness, cut ends and count
words, with a verdict. Do this once with a voice of your own, before the first make.

  cuetrack voices
  cuetrack voices clara
"""


def add_to(commands: Commands) -> None:
    """Add this command to the command line."""
    command = commands.add_parser(
        "voices",
        help="list the voices that can speak, or try one",
        description=ABOUT,
        formatter_class=ProseAndExamples,
    )
    command.add_argument("name", nargs="?", metavar="NAME", help="a voice to try")
    command.set_defaults(run=run)


def run(arguments: Namespace) -> int:
    """Show every voice, or try one; 1 when that one should not be used."""
    return _list() if arguments.name is None else _try(arguments.name)


def _list() -> int:
    from cuetrack.errors import SpeechError
    from cuetrack.speech.keys import missing_of
    from cuetrack.speech.voices import known_voices, voice_named

    table = Table(box=None, pad_edge=False, header_style="bold")
    for heading in ("voice", "language", "engine", "words/min", "ready"):
        table.add_column(heading)
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
        licences.append((voice.name, voice.licence or "not stated"))
    screen = console()
    screen.print(table)
    screen.print("\nLicences", style="bold")
    for name, licence in licences:
        screen.print(f"{name}: {' '.join(licence.split())}")
    return 0


def _try(name: str) -> int:
    from cuetrack.speech.trial import tried
    from cuetrack.speech.voices import voice_named

    trial = tried(voice_named(name))
    screen = console()
    screen.print(trial.verdict, style="bold")
    for line in (*trial.remarks, *trial.figures):
        screen.print(line)
    return 0 if trial.sound else 1
