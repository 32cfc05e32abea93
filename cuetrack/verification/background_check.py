"""Whether the voice stands over what else sounds, by the promise that a make gives."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from cuetrack.sound.duck_solving import LOSS_LIMIT
from cuetrack.times import clock
from cuetrack.verification.background import LISTENING_BANDS, clarity_of
from cuetrack.verification.limits import (
    COVERED_LOSS,
    COVERED_LOSS_SHORT,
    LOW_RATE_LOSS,
    MEAN_LOSS,
    MIDDLE_OVER_LU,
    SHORT_FRAMES,
    STEADY_FLICKER,
    STEADY_OVER_LU,
    STEADY_SPREAD_DB,
)
from cuetrack.verification.report import Check

if TYPE_CHECKING:
    from collections.abc import Sequence

    from cuetrack.arrays import Floats
    from cuetrack.plan.model import Group
    from cuetrack.verification.measuring import Detection

NAME = "voice over background"
_ALONE_LU = 40.0
_LEAST_POWER = 1e-16
_STEP_DB = 6.0
"""A noise has no step at 4 kHz, a bed whose band of speech gives way has."""

_BELOW_STEP, _ABOVE_STEP = slice(12, 15), slice(17, 19)  # 2-3.15 kHz, 6.3-8 kHz


@dataclass(frozen=True, slots=True, kw_only=True)
class BackgroundFinding:
    """What the background does to the cues that were found.

    ``losses`` are by the id of a cue, of those whose own pieces are all there;
    ``check`` is None where there is none.
    """

    losses: dict[str, float]
    check: Check | None


def is_covered(frames: int, loss: float, *, low_rate: bool) -> bool:
    """Whether a cue that lasts so long loses more than it may."""
    most = COVERED_LOSS_SHORT if frames < SHORT_FRAMES else COVERED_LOSS
    return loss > most * (LOW_RATE_LOSS if low_rate else 1.0)


def find_background(
    detections: Sequence[Detection], group: Group, *, low_rate: bool = False
) -> BackgroundFinding:
    """Return what the group loses of each spoken cue, and what to say of all."""
    backgrounds = {
        one.target.id: one.close.background
        for one in detections
        if one.close is not None and one.close.whole
    }
    if not backgrounds:
        return BackgroundFinding(losses={}, check=None)
    clarity = clarity_of(list(backgrounds.values()), group)
    losses = dict(zip(backgrounds, map(float, clarity.losses), strict=True))
    middle_lu = float(np.median(clarity.over_lu))
    found = [one for one in detections if one.target.id in losses]
    covered = [
        one
        for one in found
        if is_covered(one.target.frames, losses[one.target.id], low_rate=low_rate)
    ]
    rest = np.array([background.rest for background in backgrounds.values()])
    flicker = float(np.median([one.flicker for one in backgrounds.values()]))
    noisy = is_noise(rest, flicker) and middle_lu < STEADY_OVER_LU
    mean = float(np.mean(clarity.losses))
    faint = (
        mean > MEAN_LOSS * (LOW_RATE_LOSS if low_rate else 1.0)
        or middle_lu < MIDDLE_OVER_LU
    )
    if covered:
        worst = max(covered, key=lambda one: losses[one.target.id])
        sentence = _covered_sentence(len(covered), len(found), worst, losses)
    elif faint:
        sentence = (
            f"The voice stands only {middle_lu:.0f} LU over what else sounds, and "
            f"loses {mean * 100:.1f} of 100 points of clarity to it on average."
        )
    else:
        sentence = _clear_sentence(middle_lu, max(losses.values()))
    if noisy:
        sentence = (
            f"A steady noise lies under the voice, {middle_lu:.0f} LU below it."
            f"{f' {sentence}' if covered else ''}"
        )
    return BackgroundFinding(
        losses=losses,
        check=Check(
            name=NAME,
            measured=round(middle_lu, 1),
            wanted=f"at least {MIDDLE_OVER_LU:g} LU in the middle, and no more than "
            f"{COVERED_LOSS * 100:g} of 100 points of clarity lost",
            passed=not (covered or faint or noisy),
            sentence=sentence,
        ),
    )


def is_noise(rest: Floats, flicker: float) -> bool:
    """Whether a background is a steady noise.

    Parameters
    ----------
    rest
        The background of each cue in each band, mean squares, shape (cues, 20).
    flicker
        How much it changes within the cues.
    """
    levels_db = 10 * np.log10(
        np.maximum(rest[:, LISTENING_BANDS].sum(axis=1), _LEAST_POWER)
    )
    widths = np.arange(rest.shape[1]) / 10  # each band is 10**0.1 as wide as the last
    density_db = (
        10 * np.log10(np.maximum(rest.mean(axis=0), _LEAST_POWER)) - 10 * widths
    )
    step_db = density_db[_ABOVE_STEP].mean() - density_db[_BELOW_STEP].mean()
    return (
        flicker < STEADY_FLICKER
        and float(np.std(levels_db)) < STEADY_SPREAD_DB
        and bool(step_db < _STEP_DB)
    )


def _covered_sentence(
    covered: int, found: int, worst: Detection, losses: dict[str, float]
) -> str:
    at = clock(int(worst.target.row.start_ms))
    loss = losses[worst.target.id]
    return (
        f"What else sounds covers {covered} of {found} spoken cues, most of all "
        f'"{worst.target.text}" at {at}: it costs {loss * 100:.0f} of 100 points of '
        f"clarity, and a make allows {LOSS_LIMIT * 100:g}."
    )


def _clear_sentence(middle_lu: float, most: float) -> str:
    if middle_lu > _ALONE_LU:
        return "Nothing else sounds under the voice."
    return (
        f"The voice stands clear of what else sounds, by {middle_lu:.0f} LU for half "
        f"of the cues; none loses more than {max(most, 0.0) * 100:.1f} of 100 points "
        "of clarity to it."
    )
