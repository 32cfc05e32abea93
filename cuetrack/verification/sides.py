"""The two sides of a stereo file against each other."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from cuetrack.verification.report import Check

if TYPE_CHECKING:
    from cuetrack.arrays import Block

NAME = "both sides"
_SILENT_SHARE = 1e-5
_SAME_SHARE = 1e-7
_TURNED = -0.1


@dataclass(frozen=True, slots=True, kw_only=True)
class StereoSides:
    """Energies of both sides, of their difference, and what they share."""

    left: float = 0.0
    right: float = 0.0
    shared: float = 0.0

    @property
    def turned(self) -> bool:
        """Whether one is upside down: the voice, in the middle, cancels out."""
        both = (self.left * self.right) ** 0.5
        return bool(self.shared < _TURNED * both)

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

    def add(self, block: Block) -> None:
        """Take in the next block, shape (frames, channels)."""
        if block.shape[1] == 2:
            left, right = block.T
            pairs = ((left, left), (right, right), (left, right))
            self._sums += [float(np.dot(one, other)) for one, other in pairs]

    def sides(self) -> StereoSides:
        """Return what was added up."""
        left, right, shared = map(float, self._sums)
        return StereoSides(left=left, right=right, shared=shared)


def sides_checks(sides: StereoSides) -> tuple[Check, ...]:
    """Return what is to be said of the sides, nothing where all is as it should be."""
    if sides.silent is not None:
        return (
            _check(f"The {sides.silent} side of the file is silent.", passed=False),
        )
    if sides.turned:
        sentence = (
            "One side is turned upside down against the other: on a single "
            "loudspeaker the voice disappears. Turn that side back."
        )
        return (_check(sentence, passed=False),)
    if sides.same:
        sentence = "Both sides are the same; music, if there is any, lost its width."
        return (_check(sentence, passed=None),)
    return ()


def _check(sentence: str, *, passed: bool | None) -> Check:
    wanted = "two sides that sound, and not against each other"
    return Check(
        name=NAME, measured=None, wanted=wanted, passed=passed, sentence=sentence
    )
