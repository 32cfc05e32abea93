"""Whether every piece of a cue is there: holes and wrong pieces inside words.

A cue is looked at in windows of 40 ms, every 10 ms, in seven bands. What each should
hold is known: the clip, at the gain the whole cue has in that band, which takes in
whatever encoder and tone control did. A window can be judged where the clip stands
`CLEAR_DB` over bed and encoder's error, as they are in the rest of the cue. Above
2.5 kHz encoders at low rates put noise in place of the sound, as loud as it was:
there its power is enough. Whatever else sounds, there is never less than the clip:
where there is, it is gone, however far under the bed it was.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from cuetrack.verification.cells import CellGrid, Cells, compare
from cuetrack.verification.limits import (
    CHANGED_CLEAR_DB,
    CLEAR_DB,
    GONE_SHARE,
    LOW_RATE_HOLE_MS,
)
from cuetrack.verification.spectrum import SEARCH_RATE_HZ, Samples32

if TYPE_CHECKING:
    from cuetrack.arrays import Flags, Floats

WINDOW_MS, HOP_MS = 40, 10
_GRID = CellGrid(
    rate_hz=SEARCH_RATE_HZ,
    window=SEARCH_RATE_HZ * WINDOW_MS // 1000,
    hop=SEARCH_RATE_HZ * HOP_MS // 1000,
    edges_hz=(200, 400, 630, 1000, 1600, 2500, 4000, 5800),
)
_NOISY_BANDS = slice(5, 7)
_FLOOR = 0.003
"""25 dB below the mean of a band nothing is judged, however clean the file."""

_WEAK_SHARE = 0.5
_OVERLAP = WINDOW_MS // HOP_MS
_LEAST = 1e-20
_DEAD_SHARE = 0.03
"""15 dB under the clip; in honest files, also at low rates, no piece is under 0.1."""

_FAINT_SHARE = 10**-4.4
"""44 dB under a voice at -16 dBFS lies at -60, where nothing is heard beside it."""

_FEWEST_GONE = 3
_FEWEST_CHANGED = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """A piece that is not as spoken, in ms from the start of the cue.

    ``gone`` says that nothing is there, not something else. ``to_end`` and
    ``from_start`` say that no piece behind or before it is there; then it reaches to
    that end. ``seen_ms`` of it were seen to be missing or wrong in one.
    """

    start_ms: int
    length_ms: int
    seen_ms: int
    gone: bool
    from_start: bool
    to_end: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class CuePieces:
    """What the pieces of one cue show.

    ``judged`` of its ``windows`` stand clear enough to be judged.
    """

    faults: tuple[Fault, ...]
    windows: int
    judged: int

    def without_short_holes(self) -> CuePieces:
        """Return the same, holes left out that an encoder at a low rate may make."""
        kept = (one for one in self.faults if not _is_short_hole(one))
        return replace(self, faults=tuple(kept))


def _is_short_hole(fault: Fault) -> bool:
    return fault.gone and fault.seen_ms < LOW_RATE_HOLE_MS


def pieces_of(heard: Samples32, known: Samples32) -> CuePieces:
    """Return what the pieces of a cue show.

    Parameters
    ----------
    heard, known
        The file at the place of the cue, and the clip: both limited to the band of
        the search, at its rate, of one length.
    """
    cells = compare(heard, known, _GRID)
    kept = _share(cells, cells.speech.mean(axis=0) + _LEAST) >= _WEAK_SHARE
    if not kept.any():
        return CuePieces(faults=(), windows=len(kept), judged=0)
    cells = cells.at_gains_of(kept)
    around = _around(cells, kept)
    clear_db = 10 * np.log10(np.mean(cells.speech / around, axis=1) + _LEAST)
    share = _share(cells, around)
    power = _ratio(cells.heard / around, cells.speech / around)
    clear = clear_db >= CLEAR_DB
    dead = _is_dead(cells)
    gone = clear & (share < GONE_SHARE) & (power < _WEAK_SHARE) | dead
    spoken = ~gone & (clear | _is_audible(cells) & (share >= GONE_SHARE))
    low = slice(0, _NOISY_BANDS.start)
    low_speech = _ratio(cells.speech[:, low] / around[:, low], np.ones((1, low.stop)))
    low_there = cells.present[:, low] / around[:, low]
    share = _ratio(low_there, cells.speech[:, low] / around[:, low])
    clear_low = 10 * np.log10(low_speech + _LEAST) >= CHANGED_CLEAR_DB
    changed = clear_low & (share < GONE_SHARE) & ~gone
    found = [
        _fault(run, spoken if dead[slice(*run)].any() else clear & ~flags, is_gone)
        for flags, fewest, is_gone in (
            (gone, _FEWEST_GONE, True),
            (changed, _FEWEST_CHANGED, False),
        )
        for run in _runs(flags)
        if run[1] - run[0] >= fewest
    ]
    return CuePieces(
        faults=tuple(sorted(found, key=lambda one: (one.gone, -one.length_ms))),
        windows=len(kept),
        judged=int(clear.sum()),
    )


def _is_audible(cells: Cells) -> Flags:
    """Return in which windows the clip is heard where nothing else sounds."""
    spoken = cells.speech.sum(axis=1)
    found: Flags = spoken > _FAINT_SHARE * spoken.mean()
    return found


def _is_dead(cells: Cells) -> Flags:
    """Return which windows have less sound of any kind than the clip has there."""
    dead = cells.heard.sum(axis=1) < _DEAD_SHARE * cells.speech.sum(axis=1)
    found: Flags = dead & _is_audible(cells)
    return found


def _share(cells: Cells, around: Floats) -> Floats:
    """Return how much of each window is there, bands weighed by what surrounds them."""
    present = cells.present
    there = np.minimum(cells.heard, cells.speech)[:, _NOISY_BANDS]
    present[:, _NOISY_BANDS] = np.maximum(present[:, _NOISY_BANDS], there)
    return _ratio(present / around, cells.speech / around)


def _ratio(upper: Floats, lower: Floats) -> Floats:
    found: Floats = upper.sum(axis=1) / np.maximum(lower.sum(axis=1), _LEAST)
    return found


def _around(cells: Cells, kept: Flags) -> Floats:
    """Return bed and error for each window and band: those of the rest of the cue.

    What is in doubt does not vouch for itself: a run of weak windows is measured by
    all the others.
    """
    residue = cells.residue
    floor = _FLOOR * cells.speech.mean(axis=0) + _LEAST
    found = np.tile(residue.mean(axis=0) + floor, (len(residue), 1))
    for first, last in _runs(~kept):
        others = np.ones(len(kept), np.bool_)
        others[max(0, first - _OVERLAP) : last + _OVERLAP] = False
        if others.any():
            found[first:last] = residue[others].mean(axis=0) + floor
    return found


def _fault(run: tuple[int, int], there: Flags, gone: bool) -> Fault:  # noqa: FBT001
    first, last = run
    from_start = not bool(there[:first].any())
    to_end = gone and not bool(there[last:].any())
    seen_ms = (last - first - 1) * HOP_MS + WINDOW_MS
    start_ms = 0 if gone and from_start else first * HOP_MS
    end_ms = first * HOP_MS + seen_ms
    if to_end:
        end_ms = (len(there) - 1) * HOP_MS + WINDOW_MS
    return Fault(
        start_ms=start_ms,
        length_ms=end_ms - start_ms,
        seen_ms=seen_ms,
        gone=gone,
        from_start=from_start,
        to_end=to_end,
    )


def _runs(flags: Flags) -> list[tuple[int, int]]:
    """Return start and end of each run of true."""
    edges = np.flatnonzero(np.diff(np.pad(flags.astype(np.int8), 1)))
    return [(int(a), int(b)) for a, b in zip(edges[::2], edges[1::2], strict=True)]
