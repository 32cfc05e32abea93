"""The two sides of a stereo file against each other."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

import numpy as np
from scipy import fft

from cuetrack.times import clock
from cuetrack.verification.dead_side import dead_side
from cuetrack.verification.limits import LATE_LEAST, LATE_SHARE, LEANING_DB, UNEVEN_DB
from cuetrack.verification.report import Check

if TYPE_CHECKING:
    from collections.abc import Iterable

    from cuetrack.arrays import Block, Floats

NAME = "both sides"
TURNED = "sides not turned"
_SILENT_SHARE = 1e-5
_SAME_SHARE = 1e-7
_TURNED = -0.1
_THINNING = 8
_LENGTH = 8192
_MOMENT = 512
"""85 ms, sixteen to a block of the file."""

_NEAR_MS = 1000.0
_ONE_SOUND = 0.95
"""Where sides correlate so well, nearly all that sounds is one thing: the voice."""

_REACH = 300
"""Sides are fitted on each other at a rate of 6 kHz, up to 50 ms apart."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class StereoSides:
    """Energies of both sides, and what they share.

    ``late_ms`` is by how much the right side comes after the left, 0 where the two
    fit best as they are. ``lean_db`` is by how much the left is louder in the middle
    of all moments at which both hold one sound, by their power. ``powers`` are the
    mean squares of both in each moment of ``moment_ms``, shape (moments, 2).
    """

    left: float = 0.0
    right: float = 0.0
    shared: float = 0.0
    late_ms: float = 0.0
    lean_db: float = 0.0
    powers: Floats = field(default_factory=lambda: np.empty((0, 2)))
    moment_ms: float = 1.0

    @property
    def turned(self) -> bool:
        """Whether one is upside down: the voice, in the middle, cancels out."""
        both = (self.left * self.right) ** 0.5
        return bool(self.shared < _TURNED * both and not self.late_ms)

    @property
    def weaker(self) -> tuple[str, float] | None:
        """Which side is much weaker than the other, and by how many dB."""
        if not (self.left and self.right):
            return None
        of_all_db = float(10 * np.log10(self.left / self.right))
        lean_db = of_all_db if abs(of_all_db) > UNEVEN_DB else self.lean_db
        if abs(lean_db) <= LEANING_DB:
            return None
        return ("left" if lean_db < 0 else "right", abs(lean_db))

    @property
    def silent(self) -> str | None:
        """Which of them is silent while the other is not."""
        low, high = sorted((self.left, self.right))
        if low > _SILENT_SHARE * high or not high:
            return None
        return "left" if low == self.left else "right"

    @property
    def same(self) -> bool:
        """Whether they hold the same sound."""
        both = self.left + self.right
        return both > 0 and both - 2 * self.shared < _SAME_SHARE * both


class StereoMeter:
    """Adds up the sides of a file of two channels; of others nothing."""

    def __init__(self) -> None:
        self._sums = np.zeros(3)
        self._moments: list[Floats] = []
        self._fit = np.zeros(_LENGTH // 2 + 1, np.complex128)

    def add(self, block: Block) -> None:
        """Take in the next block, shape (frames, channels)."""
        if block.shape[1] != 2:
            return
        left, right = block.T
        pairs = ((left, left), (right, right), (left, right))
        self._sums += [float(np.dot(one, other)) for one, other in pairs]
        steps = len(block) // _THINNING
        thin = block[: steps * _THINNING].reshape(steps, _THINNING, 2).mean(axis=1)
        self._moments.append(_moments(thin))
        one, other = fft.rfft(thin, _LENGTH, axis=0).T
        self._fit += np.conj(one) * other

    def sides(self, rate_hz: int) -> StereoSides:
        """Return what was added up, of a file of this rate."""
        left, right, shared = map(float, self._sums)
        fit = np.roll(fft.irfft(self._fit, _LENGTH), _REACH)[: 2 * _REACH + 1]
        best = int(np.argmax(fit))
        moments = np.concatenate([np.empty((0, 3)), *self._moments])
        powers = moments[:, :2]
        both = _MOMENT * float(np.prod(powers.sum(axis=0))) ** 0.5
        late = fit[best] > max(LATE_SHARE * abs(fit[_REACH]), LATE_LEAST * both)
        lag_ms = (best - _REACH) * _THINNING * 1000 / rate_hz
        late_ms = lag_ms if late else 0.0
        one_sound = moments[:, 2] ** 2 > _ONE_SOUND**2 * np.prod(powers, axis=1)
        return StereoSides(
            left=left,
            right=right,
            shared=shared,
            late_ms=late_ms,
            lean_db=_lean_db(powers[one_sound]),
            powers=powers,
            moment_ms=_MOMENT * _THINNING * 1000 / rate_hz,
        )


def _moments(thin: Block) -> Floats:
    """Return mean squares of both sides and what they share, shape (moments, 3)."""
    count = len(thin) // _MOMENT
    moments = thin[: count * _MOMENT].reshape(count, _MOMENT, 2).astype(np.float64)
    shared = np.prod(moments, axis=2, keepdims=True)
    found: Floats = np.concatenate([np.square(moments), shared], axis=2).mean(axis=1)
    return found


def _lean_db(powers: Floats) -> float:
    """Return the middle of left over right, moments weighed by their power."""
    if not len(powers):
        return 0.0
    left, right = np.maximum(powers, powers.max() * _SILENT_SHARE).T
    leans = 10 * np.log10(left / right)
    order = np.argsort(leans)
    weights = np.cumsum((left + right)[order])
    return float(leans[order][np.searchsorted(weights, weights[-1] / 2)])


def sides_checks(
    sides: StereoSides,
    cues_ms: Iterable[tuple[float, float]] = (),
    *,
    voiced: bool = True,
) -> tuple[Check, ...]:
    """Return what is to be said of the sides, nothing where all is as it should be.

    Parameters
    ----------
    sides
        What the file has.
    cues_ms
        From when to when the spoken cues sound.
    voiced
        Whether the voice was found, at last with one side turned.
    """
    if silence := _silence(sides, cues_ms):
        return (_check(silence, passed=False),)
    if sides.late_ms:
        side = "right" if sides.late_ms > 0 else "left"
        sentence = (
            f"The {side} side comes {abs(sides.late_ms):.1f} ms after the other: on a "
            "single loudspeaker the voice sounds hollow. Put both on one place."
        )
        return (_check(sentence, passed=False),)
    if sides.turned:
        sentence = (
            "One side is turned upside down against the other: on a single "
            "loudspeaker the voice disappears. Turn that side back."
            if voiced
            else "The two sides are against each other, and there is no voice: what "
            "was in the middle was taken out, as a karaoke setting does. Take the "
            "track as it was made."
        )
        return (replace(_check(sentence, passed=False), name=TURNED),)
    if sides.weaker is not None:
        side, under_db = sides.weaker
        sentence = f"The {side} side is {under_db:.0f} dB quieter than the other."
        return (_check(sentence, passed=False),)
    if sides.same:
        sentence = (
            "Both sides are the same, as of music of one channel; music of two has "
            "lost its width."
        )
        return (_check(sentence, passed=None),)
    return ()


def _silence(sides: StereoSides, cues_ms: Iterable[tuple[float, float]]) -> str:
    """Return which side is silent and when, empty where none is."""
    if sides.silent is not None:
        return f"The {sides.silent} side of the file is silent."
    dead = dead_side(sides.powers, sides.moment_ms, cues_ms)
    if dead is None:
        return ""
    start, end = (clock(round(ms, -3)) for ms in (dead.start_ms, dead.end_ms))
    to_the_end = dead.end_ms + _NEAR_MS > len(sides.powers) * sides.moment_ms
    when = f"From {start} {'on' if to_the_end else f'to {end}'}"
    return f"{when} the {dead.side} side of the file is silent."


def _check(sentence: str, *, passed: bool | None) -> Check:
    wanted = "two sides that sound alike, and not against each other"
    return Check(
        name=NAME, measured=None, wanted=wanted, passed=passed, sentence=sentence
    )
