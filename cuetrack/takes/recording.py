"""From takes and a script to a voice: what was read, what to hear, what is missing."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, Final

from cuetrack.errors import TrackError, UsageError
from cuetrack.languages.folders import base_language
from cuetrack.languages.normalisation import say_as
from cuetrack.movements.library import library_entries
from cuetrack.speech.keys import file_digest
from cuetrack.speech.recorded_facts import TakeOrigin
from cuetrack.takes.activity import SoundStretch
from cuetrack.takes.cutting import line_read, speech_span
from cuetrack.takes.doubts import CutDoubt, DoubtfulReading
from cuetrack.takes.judging import JudgedReading, Judgement, judged
from cuetrack.takes.omissions import passed_over
from cuetrack.takes.passage_ear import PassageEar, is_installed
from cuetrack.takes.reading_script import LineKind
from cuetrack.takes.script_ear import ScriptEar
from cuetrack.takes.soundcheck import LEAST_OF_A_LINE_S, checked_sound
from cuetrack.takes.take import read_take
from cuetrack.takes.witnesses import ScriptWords, witnessed
from cuetrack.times import SAMPLE_RATE_HZ, SECOND_MS, clock
from cuetrack.verification.recogniser import LANGUAGE
from cuetrack.verification.vocabulary import words_of

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Iterable, Sequence

    from cuetrack.takes.reading_script import ReadingLine, ReadingScript
    from cuetrack.takes.take import Take
    from cuetrack.takes.voice_folder import LineRead

MOST_DOUBTS: Final = 2
"""How many doubtful readings of one line a person is asked to hear."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingEvent:
    """Something in a take that the reader should know: when, which line, what.

    ``number`` is that of the line on the sheet.
    """

    take: str
    at: str
    number: int
    text: str
    what: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SittingResult:
    """What came of takes: lines that are good, readings to hear, and what happened.

    ``by_larger`` says whether the larger recogniser heard them, too.
    """

    lines: tuple[LineRead, ...]
    doubts: tuple[CutDoubt, ...]
    events: tuple[ReadingEvent, ...]
    origins: tuple[TakeOrigin, ...]
    by_larger: bool


class LineListener:
    """Hears takes of one script, with every recogniser that is there.

    Raises UsageError where there is none, or none for the language.
    """

    def __init__(
        self, script: ReadingScript, names: Iterable[str] | None = None
    ) -> None:
        if base_language(script.language) != LANGUAGE:
            raise UsageError(
                "Only English readings can be told apart so far.",
                "For other languages no recogniser comes along.",
            )
        if names is None:
            names = [entry.name for entry in library_entries()]
        self._lines = script.lines
        read = " ".join(line.text.casefold() for line in script.lines)
        self._names = tuple(sorted(names, key=lambda name: name not in read))
        self._ear = ScriptEar([line.text for line in script.lines], self._names)
        self._larger = PassageEar() if is_installed() else None
        self._script = ScriptWords(
            lines=tuple(self._words(line.text) for line in script.lines),
            names=tuple(self._words(name) for name in self._names),
        )

    @property
    def by_larger(self) -> bool:
        """Whether the larger recogniser hears, too."""
        return self._larger is not None

    def readings(self, take: Take, at_line: int = 0) -> list[JudgedReading]:
        """Return each reading in a take, judged, in order."""
        larger = None
        if self._larger is not None:
            larger = self._larger.hear(take.samples, LANGUAGE, self._names, say_as)
        found = witnessed(take.samples, self._script, self._ear, larger, at_line)
        return judged(found, self._script, self._ear.sounds_of)

    @staticmethod
    def _words(text: str) -> tuple[str, ...]:
        return tuple(words_of(say_as(text))) or ("",)


def sit(
    paths: Sequence[Path],
    script: ReadingScript,
    tell: Callable[[str], None],
    have: Collection[str] = (),
) -> SittingResult:
    """Return what was read in these takes; of a line read twice the last good one.

    Lines whose ids are in ``have`` need not be read: that they were not is not told.
    Raises TrackError where the sound of a take is not good enough, all said at once.
    """
    with TemporaryDirectory(ignore_cleanup_errors=True) as folder:
        takes = [
            read_take(path, Path(folder) / f"{number}.raw")
            for number, path in enumerate(paths)
        ]
        refuse_poor(takes, paths)
        listener = LineListener(script)
        tally = _Tally(script, have)
        at_line = 0
        for take in takes:
            tell(f"Listening to {take.name}")
            readings = listener.readings(take, at_line)
            tally.add(take, readings)
            if readings:
                at_line = min(readings[-1].reading.line + 1, len(script.lines) - 1)
        return tally.result(paths, by_larger=listener.by_larger)


def refuse_poor(takes: Sequence[Take], paths: Sequence[Path]) -> None:
    """Raise TrackError where the sound of a take is not good enough."""
    for take, path in zip(takes, paths, strict=True):
        verdict = checked_sound(take, LEAST_OF_A_LINE_S)
        if not verdict.usable:
            raise TrackError(
                "cannot become a voice. " + " ".join(verdict.faults),
                "Read it again; try half a minute first, with --first.",
                file=path,
            )


class _Tally:
    """What takes have of each line so far; later readings replace earlier ones."""

    def __init__(self, script: ReadingScript, have: Collection[str]) -> None:
        self._lines = script.lines
        self._have = have
        self._good: dict[int, LineRead] = {}
        self._doubts: dict[int, list[CutDoubt]] = {}
        self._events: list[ReadingEvent] = []

    def add(self, take: Take, readings: Sequence[JudgedReading]) -> None:
        """Take in the readings of one more take."""
        due = passed_over([one.reading.line for one in readings])
        for place, one in enumerate(readings):
            self._take_in(take, one)
            for number in (n for n, behind in due.items() if behind == place):
                if self._lines[number].id not in self._have:
                    what = "not heard; it was due about here"
                    self._tell(take, one.reading.end, number, what)

    def _take_in(self, take: Take, one: JudgedReading) -> None:
        number, start = one.reading.line, one.reading.start
        line = self._lines[number]
        if one.judgement is Judgement.GOOD:
            if number in self._good:
                self._tell(take, start, number, "read again; the later one counts")
            self._good[number] = _cut(take, one, line)
            return
        self._tell(take, start, number, one.why)
        if one.judgement is Judgement.DOUBTFUL:
            doubts = self._doubts.setdefault(number, [])
            doubts.append(_doubt(take, one, line, _cut(take, one, line)))
            del doubts[:-MOST_DOUBTS]

    def result(self, paths: Sequence[Path], *, by_larger: bool) -> SittingResult:
        """Return what all takes came to."""
        return SittingResult(
            lines=tuple(self._good[number] for number in sorted(self._good)),
            doubts=tuple(
                doubt
                for number in sorted(self._doubts)
                if number not in self._good
                for doubt in self._doubts[number]
            ),
            events=tuple(self._events),
            origins=tuple(
                TakeOrigin(file=path.name, sha256=file_digest(path)) for path in paths
            ),
            by_larger=by_larger,
        )

    def _tell(self, take: Take, frame: int, number: int, what: str) -> None:
        self._events.append(
            ReadingEvent(
                take=take.name,
                at=_time(frame),
                number=number + 1,
                text=self._lines[number].text,
                what=what,
            )
        )


def _cut(take: Take, one: JudgedReading, line: ReadingLine) -> LineRead:
    whole = SoundStretch(start=one.reading.start, end=one.reading.end)
    return line_read(
        take.samples,
        speech_span(take.samples, whole),
        line.text,
        counts=line.kind is LineKind.COUNT,
    )


def _doubt(
    take: Take, one: JudgedReading, line: ReadingLine, cut: LineRead
) -> CutDoubt:
    where = f"{take.name} {one.reading.start}"
    mark = hashlib.sha256(where.encode()).hexdigest()[:6]
    heard = one.reading.freely if one.reading.larger is None else one.reading.larger
    reading = DoubtfulReading(
        id=f"{line.id}-{mark}",
        text=line.text,
        take=take.name,
        at=_time(one.reading.start),
        why=one.why,
        heard=" ".join(heard),
        speech_start=cut.speech_start,
        speech_end=cut.speech_end,
        beat=cut.beat,
    )
    return CutDoubt(reading=reading, line=cut)


def _time(frame: int) -> str:
    return clock(frame * SECOND_MS // SAMPLE_RATE_HZ)
