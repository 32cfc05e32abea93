"""Whether the voice stands over what else sounds, by the promise that a make gives."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from cuetrack.sound.duck_solving import LOSS_LIMIT
from cuetrack.times import clock
from cuetrack.verification.background import LISTENING_BANDS, clarity_of
from cuetrack.verification.limits import (
    COVERED_FREE_LU,
    COVERED_LEAST_LOSS,
    COVERED_LOSS,
    COVERED_LOSS_SHORT,
    COVERED_LU,
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
    from collections.abc import Mapping, Sequence

    from cuetrack.arrays import Floats
    from cuetrack.plan.model import Group
    from cuetrack.verification.background import Clarity
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
    ``covered`` says of each that is, by what. ``check`` is None where there is none.
    """

    losses: dict[str, float]
    covered: dict[str, str]
    check: Check | None


NOTHING_FOUND = BackgroundFinding(losses={}, covered={}, check=None)


def find_background(
    detections: Sequence[Detection], group: Group, *, low_rate: bool = False
) -> BackgroundFinding:
    """Return what the group loses of each spoken cue, and what to say of all."""
    found = [one for one in detections if one.close is not None and one.close.whole]
    if not found:
        return NOTHING_FOUND
    backgrounds = [one.close.background for one in found if one.close is not None]
    clarity = clarity_of(backgrounds, group)
    leniency = LOW_RATE_LOSS if low_rate else 1.0
    covered = _covered(found, clarity, leniency)
    middle_lu = float(np.median(clarity.over_lu))
    rest = np.array([one.rest for one in backgrounds])
    flicker = float(np.median([one.flicker for one in backgrounds]))
    noisy = is_noise(rest, flicker) and middle_lu < STEADY_OVER_LU
    mean = float(np.mean(clarity.losses))
    least_lu = MIDDLE_OVER_LU if mean >= COVERED_LEAST_LOSS else COVERED_FREE_LU
    faint = mean > MEAN_LOSS * leniency or middle_lu < least_lu
    if covered:
        sentence = _covered_sentence(covered, found, clarity)
    elif faint:
        sentence = (
            f"The voice stands only {middle_lu:.0f} LU over what else sounds, and "
            f"loses {mean * 100:.1f} of 100 points of clarity to it on average."
        )
    else:
        sentence = _clear_sentence(middle_lu, float(clarity.losses.max()))
    if noisy:
        sentence = (
            f"A steady noise lies under the voice, {middle_lu:.0f} LU below it."
            f"{f' {sentence}' if covered else ''}"
        )
    return BackgroundFinding(
        losses={
            one.target.id: float(loss)
            for one, loss in zip(found, clarity.losses, strict=True)
        },
        covered=covered,
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


def _covered(
    found: Sequence[Detection], clarity: Clarity, leniency: float
) -> dict[str, str]:
    """Return by what each cue is covered that is, by its id."""
    covered = {}
    for one, loss, over_lu in zip(found, clarity.losses, clarity.over_lu, strict=True):
        short = one.target.frames < SHORT_FRAMES
        least_lu = COVERED_LU if loss >= COVERED_LEAST_LOSS else COVERED_FREE_LU
        most = leniency * (COVERED_LOSS_SHORT if short else COVERED_LOSS)
        if loss > most:
            points = f"{loss * 100:.0f} of 100 points of clarity"
            covered[one.target.id] = f"what sounds with it costs {points}"
        elif over_lu < least_lu:
            covered[one.target.id] = f"something sounds {_below(over_lu)} it"
    return covered


def _covered_sentence(
    covered: Mapping[str, str], found: Sequence[Detection], clarity: Clarity
) -> str:
    indices = [index for index, one in enumerate(found) if one.target.id in covered]
    costs = [round(100 * float(clarity.losses[index])) for index in indices]
    costly = max(costs) > LOSS_LIMIT * 100
    worst = max(
        indices,
        key=lambda index: clarity.losses[index] if costly else -clarity.over_lu[index],
    )
    target = found[worst].target
    cost = (
        f"costs {max(costs)} of 100 points of clarity, where a make allows "
        f"{LOSS_LIMIT * 100:g}, and "
    )
    return (
        f"What else sounds covers {len(covered)} of {len(found)} spoken cues, most of "
        f'all "{target.text}" at {clock(int(target.row.start_ms))}: it '
        f"{cost if costly else ''}lies {_below(clarity.over_lu[worst])} the voice."
    )


def _below(over_lu: float) -> str:
    """Return how far under the voice something lies, or over it, in words."""
    amount = f"{abs(over_lu):.0f} LU"
    return f"{amount} below" if over_lu >= 0 else f"{amount} above"


def _clear_sentence(middle_lu: float, most: float) -> str:
    if middle_lu > _ALONE_LU:
        return "Nothing else sounds under the voice."
    return (
        f"The voice stands clear of what else sounds, by {middle_lu:.0f} LU for half "
        f"of the cues; none loses more than {max(most, 0.0) * 100:.1f} of 100 points "
        "of clarity to it."
    )
