"""Plays a sound file with what the system brings."""

from __future__ import annotations

import shutil
import subprocess
from typing import TYPE_CHECKING

from cuetrack.errors import UsageError
from cuetrack.systems import PLAYERS

if TYPE_CHECKING:
    from pathlib import Path


def play(path: Path) -> None:
    """Play a WAV file to its end.

    Raises UsageError when the system has no player, or none that finds an output.
    """
    for words in PLAYERS:
        program = shutil.which(words[0])
        if program is None:
            continue
        done = subprocess.run(  # noqa: S603 - a fixed program, a file of ours
            [program, *words[1:], str(path)], check=False, capture_output=True
        )
        if done.returncode == 0:
            return
    raise UsageError(
        "This computer has nothing that plays a sound from the command line.",
        "Write a file with --out line.wav and open that.",
    )
