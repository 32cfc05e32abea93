"""Everything cuetrack raises on purpose, in one tree.

::

    CuetrackError
    ├── LanguageError    a language is missing words, or has mistakes in its folder
    ├── PlanError        every mistake found in one plan file, each a Problem
    ├── SpeechError      a voice is missing, broken, or lost a clip
    ├── PlacementError   something that must be said cannot fit
    ├── MusicError       a music file cannot be used
    ├── OutputError      a file cannot be written, or would be overwritten
    ├── TrackError       a finished track or its cue sheet cannot be read
    └── UsageError       the command line asks for something that makes no sense

Each message says what was found, what was expected, and what to do about it.
Anything else that escapes is a defect of cuetrack.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable


class CuetrackError(Exception):
    """Base of every error cuetrack raises on purpose."""


@dataclass(frozen=True, slots=True, kw_only=True, order=True)
class Problem:
    """One mistake in a plan: where it is, what is wrong, what to do.

    ``line`` and ``column`` count from 1, as editors show them; 0 means the
    mistake belongs to the whole file.
    """

    file: str
    line: int
    column: int
    what: str
    remedy: str

    def __str__(self) -> str:
        """Return ``FILE:LINE:COLUMN: what is wrong. What to do.``."""
        place = f"{self.file}:{self.line}:{self.column}" if self.line else self.file
        return f"{place}: {self.what} {self.remedy}"


class PlanError(CuetrackError):
    """A plan cannot be used; carries every problem found, in file order."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(sorted(problems))
        super().__init__("\n".join(str(problem) for problem in self.problems))


class LanguageError(CuetrackError):
    """A language has no words for what is asked, or its folder has mistakes."""


class SpeechError(CuetrackError):
    """A voice cannot be found, loaded or trusted; the text says which and why."""


class PlacementError(CuetrackError):
    """Something that must be said cannot fit where the plan puts it.

    ``missing_ms`` maps a cue's id to the milliseconds by which it is too long.
    """

    def __init__(self, message: str, missing_ms: dict[str, int]) -> None:
        self.missing_ms = missing_ms
        super().__init__(message)


class MusicError(CuetrackError):
    """A music file cannot be read or is of no use as a bed."""


class OutputError(CuetrackError):
    """A file cannot be written, or would replace one that is already there."""


class TrackError(CuetrackError):
    """A finished track or its cue sheet cannot be read."""


class UsageError(CuetrackError):
    """The command line asks for something that makes no sense."""
