"""What a leader reads aloud, line by line, as WebVTT captions with an id per line."""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING, Final

from cuetrack.documents.webvtt import (
    TimedText,
    escaped,
    read_webvtt,
    unescaped,
    webvtt_of,
)
from cuetrack.errors import SpeechError
from cuetrack.speech.breaths import line_id

if TYPE_CHECKING:
    from pathlib import Path

MOST_BYTES: Final = 8 * 2**20
MOST_LINES: Final = 20_000
_CLASSES: Final = re.compile(r"<c\.([a-z-]+)\.([a-z-]+)>")
_LANGUAGE: Final = re.compile(r"^Language: ([A-Za-z0-9-]{2,35})$", re.MULTILINE)


class LineKind(StrEnum):
    """What a line is for."""

    COUNT = "count-word"
    START = "start"
    STOP = "stop"
    TIME_CALL = "time-call"
    SAFETY = "safety"
    SENTENCE = "sentence"


class ReadingPart(StrEnum):
    """The parts of a reading, in their order."""

    COUNTS = "counts"
    """The words of a count, read to a click, a word at a time."""
    ENOUGH = "enough"
    """What a class must have, in the fewest words it may be said in."""
    FULL = "full"
    SHORTER = "shorter"


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingLine:
    """One breath: ``id`` is that of its words, ``start_ms`` when it is due to be read.

    The times are those of a steady reading, for a screen that shows line by line.
    """

    id: str
    text: str
    kind: LineKind
    part: ReadingPart
    start_ms: int
    end_ms: int


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingScript:
    """Every line to be read, in its order; line N of the sheet is the Nth."""

    language: str
    lines: tuple[ReadingLine, ...]

    @property
    def length_ms(self) -> int:
        """How long a steady reading of it takes."""
        return self.lines[-1].end_ms if self.lines else 0


def script_webvtt(script: ReadingScript) -> str:
    """Return a script as WebVTT: kind and part of a line are classes of its text."""
    cues = [
        TimedText(
            id=line.id,
            start_ms=line.start_ms,
            end_ms=line.end_ms,
            text=f"<c.{line.kind}.{line.part}>{escaped(line.text)}</c>",
        )
        for line in script.lines
    ]
    return webvtt_of(cues, f"Language: {script.language}")


def read_script(path: Path) -> ReadingScript:
    """Return the script in a WebVTT file.

    Raises SpeechError where the file cannot be read, is no script, or a line's text is
    not the one its id is of.
    """
    try:
        with path.open("rb") as file:
            content = file.read(MOST_BYTES + 1)
        timed = read_webvtt(content.decode("utf-8"))
    except (OSError, ValueError) as error:
        raise SpeechError(f"cannot be read: {error}.", file=path) from error
    if len(content) > MOST_BYTES or len(timed.cues) > MOST_LINES:
        raise SpeechError("is too large for a reading script.", file=path)
    languages = [found for note in timed.notes if (found := _LANGUAGE.search(note))]
    if not languages:
        raise SpeechError(
            "does not say its language.",
            "Give the script as `cuetrack voices script` wrote it.",
            file=path,
        )
    lines = tuple(_line_of(cue, path) for cue in timed.cues)
    if len({line.id for line in lines}) < len(lines):
        raise SpeechError("has a line twice.", "Take one of the two out.", file=path)
    return ReadingScript(language=languages[0][1], lines=lines)


def _line_of(cue: TimedText, path: Path) -> ReadingLine:
    text, found = unescaped(cue.text), _CLASSES.match(cue.text)
    kind_name, part_name = found.groups() if found else ("", "")
    try:
        kind, part = LineKind(kind_name), ReadingPart(part_name)
    except ValueError:
        raise SpeechError(
            f"the line {text!r} has no kind that is known.", file=path
        ) from None
    if not cue.id or line_id(text) != cue.id:
        raise SpeechError(
            f"the line {text!r} was changed: its id is no longer its own.",
            "Write the script again from the plan.",
            file=path,
        )
    return ReadingLine(
        id=cue.id,
        text=text,
        kind=kind,
        part=part,
        start_ms=cue.start_ms,
        end_ms=cue.end_ms,
    )
