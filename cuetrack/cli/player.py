"""Plays a sound file with what the system brings."""

from __future__ import annotations

import shutil
import subprocess
from typing import TYPE_CHECKING

from cuetrack.errors import UsageError
from cuetrack.systems import PLAYERS

if TYPE_CHECKING:
    from pathlib import Path


def players() -> tuple[tuple[str, ...], ...]:
    """Return the commands this system has that play a WAV file, the best first.

    Raises UsageError when it has none.
    """
    here = tuple(
        (program, *words[1:])
        for words in PLAYERS
        if (program := shutil.which(words[0]))
    )
    if not here:
        raise _silent()
    return here


def play(path: Path) -> None:
    """Play a WAV file to its end.

    Raises UsageError when the system has no player, or none that finds an output.
    """
    for command in players():
        done = subprocess.run(  # noqa: S603 - a fixed program, a file of ours
            [*command, str(path)], check=False, capture_output=True
        )
        if done.returncode == 0:
            return
    raise _silent()


def _silent() -> UsageError:
    return UsageError(
        "This computer has nothing that plays a sound from the command line.",
        "Write a file with --out line.wav and open that.",
    )
