"""How many beats each stretch of a class holds, so that all start on a downbeat.

A stretch is as long as the plan says, so its beats are counted and its tempo
follows. Bars have four beats. In order of preference, for the stretches of one
section, with every tempo within ``TOLERANCE`` of the one that is wanted and never
above the most that is allowed:

1. one tempo, whole bars in every stretch; the nearest to the wanted one;
2. the same without the openings and the recovery breaks, which then go by
   themselves, as near as they can to the tempo of the rest;
3. whole bars in every stretch, tempos within ``UNHEARD`` of each other;
4. one tempo, a bar of two beats at the end of the stretches that need it;
5. each stretch its own nearest tempo: whole bars, or else a last bar of two beats,
   or else of one or three; where none comes within the tolerance, as many beats as
   the tempo allowed at most leaves room for.
"""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass
from itertools import groupby
from typing import TYPE_CHECKING

from cuetrack.cues.model import SegmentKind
from cuetrack.plan.model import SectionKind

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    from cuetrack.cues.model import Segment

BAR_BEATS = 4
TOLERANCE = 0.08
"""How far a tempo may be from the wanted one, as a share of it."""

UNHEARD = 0.01
"""A change of tempo nobody notices, as a share; our own cautious choice."""

_MINUTE_MS = 60_000
_QUANTA = (BAR_BEATS, 2, 1)


@dataclass(frozen=True, slots=True, kw_only=True)
class TempoRequest:
    """A tempo that is wanted and the most that is allowed, beats a minute."""

    bpm: float
    most_bpm: float

    def allows(self, bpm: float) -> bool:
        """Return whether a tempo is near enough and not too fast."""
        return bpm <= self.most_bpm + 1e-9 and abs(bpm / self.bpm - 1) <= TOLERANCE


ADVISED = {
    # Common practice for seated and older people: warm-up 100-120, seated work
    # 110-130, cool-down below 100. We stay at or under the middle of each.
    SectionKind.WELCOME: TempoRequest(bpm=72, most_bpm=80),
    SectionKind.WARM_UP: TempoRequest(bpm=104, most_bpm=112),
    SectionKind.INTERVALS: TempoRequest(bpm=116, most_bpm=120),
    SectionKind.RECOVERY: TempoRequest(bpm=96, most_bpm=104),
    SectionKind.COOL_DOWN: TempoRequest(bpm=84, most_bpm=92),
    SectionKind.CLOSE: TempoRequest(bpm=72, most_bpm=80),
}
"""Tempos for older seated people where the plan states none."""


def tempo_request(kind: SectionKind, tempo_bpm: float | None = None) -> TempoRequest:
    """Return the request for a section, given the tempo a plan wants for it.

    A stated tempo above what is advised is taken at its word and not exceeded.
    """
    advised = ADVISED[kind]
    if tempo_bpm is None:
        return advised
    return TempoRequest(bpm=tempo_bpm, most_bpm=max(advised.most_bpm, tempo_bpm))


def in_proportion(kind: SectionKind, work_bpm: float) -> float:
    """Return the tempo of a section when the work of the class has ``work_bpm``.

    >>> in_proportion(SectionKind.COOL_DOWN, 116)
    84.0
    """
    return work_bpm * ADVISED[kind].bpm / ADVISED[SectionKind.INTERVALS].bpm


def count_beats(segments: Sequence[Segment], request: TempoRequest) -> tuple[int, ...]:
    """Return the number of beats in each segment of one section, at least 1."""
    lengths = [segment.length_ms for segment in segments]
    together = _common(lengths, request, BAR_BEATS)
    if together is not None:
        return tuple(together)
    beats = [0] * len(segments)
    main = [n for n, one in enumerate(segments) if _part(one) is None]
    _settle(beats, main, lengths, request)
    if main:
        request = TempoRequest(
            bpm=_usual_bpm(beats, main, lengths), most_bpm=request.most_bpm
        )
    aside = [n for n, one in enumerate(segments) if _part(one) is not None]
    for _, group in groupby(
        sorted(aside, key=lambda n: str(_part(segments[n]))),
        key=lambda n: _part(segments[n]),
    ):
        _settle(beats, list(group), lengths, request)
    return tuple(beats)


def bpm_of(beats: int, length_ms: int) -> float:
    """Return the tempo at which ``beats`` fill a length.

    >>> bpm_of(80, 40_000)
    120.0
    """
    return beats * _MINUTE_MS / length_ms


def _part(segment: Segment) -> SegmentKind | None:
    """Return the group a segment goes by itself with, None for the main one."""
    aside = {SegmentKind.OPENING, SegmentKind.RECOVERY}
    return segment.kind if segment.kind in aside else None


def _settle(
    beats: list[int], which: list[int], lengths: Sequence[int], request: TempoRequest
) -> None:
    """Fill in the beats of one group."""
    found = _solve([lengths[n] for n in which], request) if which else ()
    for n, count in zip(which, found, strict=True):
        beats[n] = count


def _solve(lengths: Sequence[int], request: TempoRequest) -> Sequence[int]:
    ways: tuple[Callable[[], Sequence[int] | None], ...] = (
        lambda: _common(lengths, request, BAR_BEATS),
        lambda: _nearly_common(lengths, request),
        lambda: _common(lengths, request, 2),
    )
    for way in ways:
        found = way()
        if found is not None:
            return found
    return [_alone(length, request) for length in lengths]


def _common(
    lengths: Sequence[int], request: TempoRequest, quantum: int
) -> list[int] | None:
    """Return beats at one tempo, all multiples of ``quantum``; None where none is.

    A length that goes into every stretch goes into their greatest common divisor.
    """
    unit_ms = math.gcd(*lengths)
    best = _nearest_count(unit_ms, request, quantum)
    return None if best is None else [best * (length // unit_ms) for length in lengths]


def _nearest_count(length_ms: int, request: TempoRequest, quantum: int) -> int | None:
    """Return the allowed count of beats nearest to the wanted tempo."""
    exact = length_ms * request.bpm / (_MINUTE_MS * quantum)
    counts = {quantum * n for n in (math.floor(exact), math.ceil(exact)) if n}
    allowed = [n for n in counts if request.allows(bpm_of(n, length_ms))]
    return min(
        allowed, key=lambda n: _distance(bpm_of(n, length_ms), request), default=None
    )


def _nearly_common(lengths: Sequence[int], request: TempoRequest) -> list[int] | None:
    """Return whole bars at tempos that nobody tells apart, None if there are none."""
    best: tuple[float, list[int]] | None = None
    for target in sorted(_bar_tempos(set(lengths), request)):
        beats = [_bars_at(length, target) for length in lengths]
        tempos = [bpm_of(n, length) for n, length in zip(beats, lengths, strict=True)]
        if not all(request.allows(bpm) for bpm in tempos):
            continue
        if max(tempos) / min(tempos) - 1 > UNHEARD:
            continue
        far = max(_distance(bpm, request) for bpm in tempos)
        if best is None or far < best[0]:
            best = far, beats
    return None if best is None else best[1]


def _bar_tempos(lengths: Iterable[int], request: TempoRequest) -> set[float]:
    """Return every allowed tempo at which some stretch has whole bars."""
    found = set()
    for length in lengths:
        least = math.floor(
            length * request.bpm * (1 - TOLERANCE) / _MINUTE_MS / BAR_BEATS
        )
        most = math.ceil(
            length * request.bpm * (1 + TOLERANCE) / _MINUTE_MS / BAR_BEATS
        )
        found |= {bpm_of(BAR_BEATS * n, length) for n in range(least, most + 1)}
    return {bpm for bpm in found if request.allows(bpm)}


def _bars_at(length_ms: int, bpm: float) -> int:
    return BAR_BEATS * max(1, round(length_ms * bpm / _MINUTE_MS / BAR_BEATS))


def _alone(length_ms: int, request: TempoRequest) -> int:
    for quantum in _QUANTA:
        found = _nearest_count(length_ms, request, quantum)
        if found is not None:
            return found
    return max(
        1, math.floor(length_ms * min(request.most_bpm, request.bpm) / _MINUTE_MS)
    )


def _usual_bpm(beats: list[int], which: list[int], lengths: Sequence[int]) -> float:
    """Return the tempo that lasts longest."""
    lasting: Counter[float] = Counter()
    for n in which:
        lasting[round(bpm_of(beats[n], lengths[n]), 6)] += lengths[n]
    return max(lasting, key=lambda bpm: (lasting[bpm], -bpm))


def _distance(bpm: float, request: TempoRequest) -> float:
    return abs(math.log(bpm / request.bpm))
