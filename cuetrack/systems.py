"""Where Linux, macOS and Windows differ: each difference stands here, once.

Only Linux on Intel was ever tried. What stands here for the other two follows their
manuals, and was never run on them.
"""

from __future__ import annotations

import ctypes
import os
import platform
import signal
import sys
from contextlib import suppress
from typing import Final

if sys.platform == "win32":
    import msvcrt
    from _ctypes import FreeLibrary as _unload  # noqa: N813 - one name for both
else:
    import fcntl
    from _ctypes import dlclose as _unload

NAME: Final = f"{platform.system()} {platform.release()}"
"""The system and its version, on which the sound of its voices depends."""

STOPS: Final[tuple[signal.Signals, ...]] = tuple(
    getattr(signal, name)
    for name in ("SIGTERM", "SIGHUP", "SIGBREAK")
    if hasattr(signal, name)
)
"""The signals that say stop: Windows has no hang-up, and a break of its own."""

BRINGS_VOICES: Final = sys.platform in {"darwin", "win32"}
"""Whether a speech system is part of the system."""

SPEECH_ENDING: Final = "aiff" if sys.platform == "darwin" else "wav"
"""What a file must be called that the system's voice speaks into."""

_SOUND_PLAYER = "& {(New-Object Media.SoundPlayer $args[0]).PlaySync()}"
PLAYERS: Final[tuple[tuple[str, ...], ...]] = {
    "darwin": (("afplay",),),
    "win32": (("powershell", "-NoProfile", "-Command", _SOUND_PLAYER),),
}.get(sys.platform, (("pw-play",), ("paplay",), ("aplay", "--quiet")))
"""What plays a WAV file when its name is added, the best first."""


def unload(library: ctypes.CDLL) -> None:
    """Let go of a library, so that the next one loaded is fresh."""
    _unload(library._handle)  # noqa: SLF001 - the only way to unload


def return_freed_memory() -> None:
    """Give the system what this process has freed; only the C library of GNU can."""
    with suppress(AttributeError, TypeError, OSError):
        ctypes.CDLL(None).malloc_trim(0)


def core_count() -> int:
    """Return how many cores this process may use; on Linux that may be fewer."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def lock_if_free(file: int) -> bool:
    """Lock an open file until its descriptor is closed; return whether it is ours.

    Where the disk knows no locks, every file is ours.
    """
    try:
        if sys.platform == "win32":
            msvcrt.locking(file, msvcrt.LK_NBLCK, 1)
        else:
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError as error:
        return not (sys.platform == "win32" or isinstance(error, BlockingIOError))
    return True
