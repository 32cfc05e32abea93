"""``cuetrack voices``: who can speak."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.table import Table

from cuetrack.cli.show import console

if TYPE_CHECKING:
    from argparse import Namespace

    from cuetrack.cli.subcommands import Commands

ABOUT = """\
List the voices cuetrack can use: those it brings, and those you added. A plan
names one with `voice: NAME`; without it, the first voice of its language speaks.
"""


def add_to(commands: Commands) -> None:
    """Add this command to the command line."""
    command = commands.add_parser(
        "voices", help="list the voices that can speak", description=ABOUT
    )
    command.set_defaults(run=run)


def run(_arguments: Namespace) -> int:
    """Show every voice with its language and engine."""
    from cuetrack.speech.voices import known_voices, voice_named

    table = Table(box=None, pad_edge=False, header_style="bold")
    for heading in ("voice", "language", "engine"):
        table.add_column(heading)
    for name in known_voices():
        voice = voice_named(name)
        table.add_row(voice.name, voice.language, voice.engine)
    console().print(table)
    return 0
