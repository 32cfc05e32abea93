"""What is heard of each reading of a line, by every ear there is."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np
from scipy.ndimage import uniform_filter1d

from cuetrack.takes.activity import HOP, SoundStretch, loudness_of, sound_stretches
from cuetrack.takes.alignment import aligned
from cuetrack.takes.rivals import rivals
from cuetrack.times import frames_from_ms

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

    from cuetrack.arrays import Samples
    from cuetrack.takes.activity import Loudness
    from cuetrack.takes.alignment import HeardWord, LineReading
    from cuetrack.takes.rivals import SpokenWords
    from cuetrack.takes.script_ear import ScriptEar

_PAUSE: Final = frames_from_ms(300)
_LONGEST: Final = frames_from_ms(12_000)
_SILENCE: Final = frames_from_ms(120)
_BETWEEN: Final = frames_from_ms(180)
_PAUSE_HOPS: Final = 9
"""A pause between lines is longer than the closure of a stop within a word."""
_SHARED: Final = 0.4


@dataclass(frozen=True, slots=True, kw_only=True)
class WitnessedReading:
    """A reading of a line and what was heard of it.

    ``line`` is its index; ``start`` and ``end`` are frames of the take. ``first`` and
    ``last`` say which of the line's words it begins and ends with. ``freely`` is what
    was heard word by word, ``chosen`` the phrase that was chosen among the line and its
    rivals, "" if none, ``rival`` what is wrong with that; ``larger`` is what the larger
    recogniser heard, None where there is none. ``alone``: pauses are around it.
    ``beside`` are words of no line that were heard in the same breath, next to it, and
    ``cut_off`` is how much sound of that breath is not in the reading, frames.
    """

    line: int
    start: int
    end: int
    first: int
    last: int
    freely: SpokenWords
    chosen: SpokenWords
    rival: str
    larger: SpokenWords | None
    alone: bool
    beside: SpokenWords = ()
    cut_off: int = 0

    @property
    def frames(self) -> int:
        """How long it is."""
        return self.end - self.start


@dataclass(frozen=True, slots=True, kw_only=True)
class ScriptWords:
    """The words of each line, and those of the names of movements."""

    lines: tuple[SpokenWords, ...]
    names: tuple[SpokenWords, ...]


def witnessed(
    samples: Samples,
    script: ScriptWords,
    ear: ScriptEar,
    larger: Sequence[HeardWord] | None,
    at_line: int = 0,
) -> list[WitnessedReading]:
    """Return each reading of a line in a take, in order, with what was heard of it."""
    loudness = loudness_of(samples)
    stretches = sound_stretches(loudness)
    heard = ear.hear(samples, passages(stretches))
    readings = aligned([one.word for one in heard], script.lines, at_line)
    spans = [_span_of(one, heard, stretches, loudness) for one in readings]
    second = None if larger is None else _by_time(larger, script, at_line)
    starts, ends = {s.start for s in stretches}, {s.end for s in stretches}
    taken = {at for one in readings for at in one.heard}
    found = []
    for reading, span in zip(readings, spans, strict=True):
        words = script.lines[reading.line]
        others = rivals(words, script.lines, script.names)
        sound = np.pad(samples[span.start : span.end], _SILENCE)
        phrases = {" ".join(one): one for one in (words, *others)}
        chosen = phrases.get(ear.which(sound, phrases), ())
        beside, cut_off = _beside(reading, span, heard, taken, stretches)
        found.append(
            WitnessedReading(
                line=reading.line,
                start=span.start,
                end=span.end,
                first=reading.first,
                last=reading.last,
                freely=tuple(heard[at].word for at in reading.heard),
                chosen=chosen,
                rival=others.get(chosen, ""),
                larger=None if second is None else _said_in(span, second),
                alone=span.start in starts and span.end in ends,
                beside=beside,
                cut_off=cut_off,
            )
        )
    return found


def passages(stretches: Sequence[SoundStretch]) -> list[SoundStretch]:
    """Return stretches joined over short pauses, so that words have their context."""
    joined: list[SoundStretch] = []
    for one in stretches:
        before = joined[-1] if joined else None
        if (
            before
            and one.start - before.end < _PAUSE
            and one.end - before.start < _LONGEST
        ):
            joined[-1] = SoundStretch(start=before.start, end=one.end)
        else:
            joined.append(one)
    return joined


def _span_of(
    reading: LineReading,
    heard: Sequence[HeardWord],
    stretches: Sequence[SoundStretch],
    loudness: Loudness,
) -> SoundStretch:
    """Return where a reading starts and ends: at a pause, or between two words."""
    first, last = heard[reading.heard[0]], heard[reading.heard[-1]]
    opening, closing = _stretch_at(first, stretches), _stretch_at(last, stretches)
    start, end = opening.start, closing.end
    if reading.heard[0] > 0:
        before = heard[reading.heard[0] - 1]
        if before.end > start:
            start = max(start, _quietest(before.end, first.start, loudness))
    if reading.heard[-1] + 1 < len(heard):
        after = heard[reading.heard[-1] + 1]
        if after.start < end:
            end = min(end, _quietest(last.end, after.start, loudness))
    return SoundStretch(start=start, end=max(end, start + HOP))


def _beside(
    reading: LineReading,
    span: SoundStretch,
    heard: Sequence[HeardWord],
    taken: Collection[int],
    stretches: Sequence[SoundStretch],
) -> tuple[SpokenWords, int]:
    """Return words of no line that a reading has beside it without a pause.

    And how many frames of their sound were cut off.
    """
    words, cut_off = [], 0
    for at, end in ((reading.heard[0] - 1, 0), (reading.heard[-1] + 1, -1)):
        own = _stretch_at(heard[reading.heard[end]], stretches)
        if not 0 <= at < len(heard) or at in taken:
            continue
        if _stretch_at(heard[at], stretches) == own:
            words.append(heard[at].word)
            cut_off = max(
                cut_off, own.end - span.end if end else span.start - own.start
            )
    return tuple(words), cut_off


def _stretch_at(word: HeardWord, stretches: Sequence[SoundStretch]) -> SoundStretch:
    """Return the stretch that a word lies in, or most of it."""
    return max(
        stretches,
        key=lambda one: min(one.end, word.end) - max(one.start, word.start),
    )


def _quietest(before: int, after: int, loudness: Loudness) -> int:
    """Return the frame in the middle of the quietest pause between two words."""
    first = max((min(before, after) - _BETWEEN) // HOP, 0)
    last = (max(before, after) + _BETWEEN) // HOP + 1
    powers = 10 ** (loudness.levels[first:last] / 10)
    calm = uniform_filter1d(powers, _PAUSE_HOPS, mode="nearest")
    return (first + int(np.argmin(calm))) * HOP


def _by_time(
    heard: Sequence[HeardWord], script: ScriptWords, at_line: int
) -> list[tuple[SoundStretch, SpokenWords]]:
    """Return when each reading was heard by the larger recogniser, and its words."""
    readings = aligned([one.word for one in heard], script.lines, at_line)
    return [
        (
            SoundStretch(start=heard[r.heard[0]].start, end=heard[r.heard[-1]].end),
            tuple(heard[at].word for at in r.heard),
        )
        for r in readings
    ]


def _said_in(
    span: SoundStretch, second: Sequence[tuple[SoundStretch, SpokenWords]]
) -> SpokenWords:
    """Return the words of the reading that shares most of its time with a span."""
    best = _SHARED
    words: SpokenWords = ()
    for other, said in second:
        shared = min(span.end, other.end) - max(span.start, other.start)
        share = shared / (span.frames + other.frames - shared)
        if share > best:
            best, words = share, said
    return words
