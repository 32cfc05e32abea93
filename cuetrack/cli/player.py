"""Plays a sound file with what the system brings."""

from __future__ import annotations

import shutil
import subprocess
import sys
from typing import TYPE_CHECKING, Final

from cuetrack.errors import UsageError

if TYPE_CHECKING:
    from pathlib import Path

PLAYERS: Final = {
    "linux": (("pw-play",), ("paplay",), ("aplay", "--quiet")),
    "darwin": (("afplay",),),
    "win32": (
        (
            "powershell",
            "-NoProfile",
            "-Command",
            "& {(New-Object Media.SoundPlayer $args[0]).PlaySync()}",
        ),
    ),
}
"""What plays a WAV file on each system, the best first. Only Linux was tried."""


def play(path: Path) -> None:
    """Play a WAV file to its end.

    Raises UsageError when the system has no player, or none that finds an output.
    """
    for words in PLAYERS.get(sys.platform, PLAYERS["linux"]):
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
