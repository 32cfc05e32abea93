"""Everything cuetrack raises on purpose, in one tree.

::

    CuetrackError
    ├── LanguageError    a language is missing words, or has mistakes in its folder
    ├── PlanError        every mistake found in one plan file, each a Problem
    ├── SpeechError      a voice is missing, broken, or lost a clip
    ├── PlacementError   something that must be said cannot fit
    ├── MusicError       a music file cannot be used
    ├── OutputError      a file cannot be written, or would be overwritten
    ├── AnswerError      every mistake found in the answers to a listening test
    ├── TrackError       a finished track or its cue sheet cannot be read
    └── UsageError       the command line asks for something that makes no sense

Each carries what is wrong as `Problem` values: where, what, and what to do about it;
its text is theirs. Anything else that escapes is a defect of cuetrack.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

if TYPE_CHECKING:
    from collections.abc import Iterable
    from pathlib import Path


@dataclass(frozen=True, slots=True, kw_only=True, order=True)
class Problem:
    """One thing that is wrong: where, what, what to do.

    ``line`` and ``column`` count from 1, as editors show them; 0 means that it belongs
    to the whole of ``file``, which is empty where no file is to blame. ``rule`` is the
    rule of the review that was broken, if it was one, and ``refusal`` what only a
    reader can know, such as a sum of times; empty where the form itself is wrong.
    """

    file: str = ""
    line: int = 0
    column: int = 0
    rule: str = ""
    what: str
    remedy: str = ""
    refusal: str = ""

    def __str__(self) -> str:
        """Return ``FILE:LINE:COLUMN: RULE: what is wrong. What to do.``."""
        place = f"{self.file}:{self.line}:{self.column}" if self.line else self.file
        told = [f"{part}:" for part in (place, self.rule) if part]
        return " ".join([*told, self.what, *filter(None, [self.remedy])])


class CuetrackError(Exception):
    """Base of every error cuetrack raises on purpose; ``problems`` is what is wrong.

    ``id`` names the kind of error for other programs.
    """

    id: ClassVar[str] = "failure"

    def __init__(self, what: str, remedy: str = "", *, file: Path | str = "") -> None:
        self._carry([Problem(file=str(file), what=what, remedy=remedy)])

    def _carry(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(problems)
        super().__init__("\n".join(map(str, self.problems)))


class PlanError(CuetrackError):
    """A plan cannot be used; carries every problem found, in file order."""

    id = "plan"

    def __init__(self, problems: Iterable[Problem]) -> None:
        self._carry(sorted(problems))


class LanguageError(CuetrackError):
    """A language has no words for what is asked, or its folder has mistakes."""

    id = "language"


class SpeechError(CuetrackError):
    """A voice cannot be found, loaded or trusted; the text says which and why."""

    id = "speech"


class PlacementError(CuetrackError):
    """Something that must be said cannot fit where the plan puts it.

    ``missing_ms`` maps a cue's id to the milliseconds by which it is too long; the
    problems are those of these cues, in their order. A check adds the errors of the
    review, in file order.
    """

    id = "placement"

    def __init__(self, problems: Iterable[Problem], missing_ms: dict[str, int]) -> None:
        self.missing_ms = missing_ms
        self._carry(problems)


class MusicError(CuetrackError):
    """A music file cannot be read or is of no use as a bed."""

    id = "music"


class OutputError(CuetrackError):
    """A file cannot be written, or would replace one that is already there."""

    id = "output"


class AnswerError(CuetrackError):
    """Answers typed in cannot be scored; carries every problem found, in file order."""

    id = "answers"

    def __init__(self, problems: Iterable[Problem]) -> None:
        self._carry(sorted(problems))


class TrackError(CuetrackError):
    """A finished track or its cue sheet cannot be read."""

    id = "track"


class UsageError(CuetrackError):
    """The command line asks for something that makes no sense."""

    id = "usage"
