"""``cuetrack voices record``: a voice of one's own, from what is read aloud."""

from __future__ import annotations

from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

from cuetrack.cli.help_text import ProseAndExamples
from cuetrack.cli.show import console

if TYPE_CHECKING:
    from argparse import Namespace

    from cuetrack.cli.subcommands import Commands
    from cuetrack.takes.soundcheck import SoundVerdict

ABOUT = """\
Hear whether what a phone recorded is good enough to become a voice. Read for half a
minute first and ask for a verdict, before you read for an hour:

  cuetrack voices record trial.m4a --first

The recordings are only read, on this computer; nothing is sent anywhere.
"""


def add_to(steps: Commands) -> None:
    """Add this command to the command line."""
    command = steps.add_parser(
        "record",
        help="hear whether a recording is good enough to become a voice",
        description=ABOUT,
        formatter_class=ProseAndExamples,
    )
    command.add_argument(
        "takes",
        nargs="+",
        type=Path,
        metavar="TAKE",
        help="recordings as the phone made them: m4a, opus, mp3, wav",
    )
    command.add_argument(
        "--first",
        action="store_true",
        required=True,
        help="only say whether they sound good enough",
    )
    command.set_defaults(run=run)


def run(arguments: Namespace) -> int:
    """Say of each take whether it can be used; 1 when one cannot."""
    from cuetrack.takes.soundcheck import checked_sound
    from cuetrack.takes.take import read_take

    usable = True
    with TemporaryDirectory(ignore_cleanup_errors=True) as folder:
        for number, path in enumerate(arguments.takes):
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
