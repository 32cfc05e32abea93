"""How far the bed must go down under each cue, solved from what people hear.

The bed first gives up its band of speech, by 18 dB at least: outside models of hearing
want that, and mind little what is left. Then all of it goes down until speech stands
``FLOOR_LU`` above the rest and the music costs no counted listener more than
``LOSS_LIMIT`` of the Speech Intelligibility Index against the same clip in quiet.
Where the rest is most of what is heard, a deeper cut costs no loudness and helps:
it is taken. Where it leaves more of the music, or where the plan asks for WCAG 2.2
success criterion 1.4.7, the whole bed goes ``ACCESSIBLE_LU`` under speech instead.

Tunes that sing are as strong as speech where vowels have their first formants, and
what a cut leaves of them fills the gaps between words. So, but for that criterion,
speech is to stand ``CLEAR_DB`` over the bed there, by a deeper cut if need be.

The index never falls when the bed does, so the answer on a grid of ``STEP_DB`` is
found exactly, by halving.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from cuetrack.sound.hearing.bands import SILENCE_DB, ClipSpectrum, power_sum_db
from cuetrack.sound.hearing.listeners import listeners_of
from cuetrack.sound.hearing.sii import NO_NOISE_DB, BandLevels, third_octave_sii

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from cuetrack.plan.model import Group
    from cuetrack.sound.hearing.listeners import Listener

LOSS_LIMIT = 0.02
"""Most of the index the bed may cost anyone; our own choice."""

FLOOR_LU = 10.0
"""Least distance of speech over music: Torcoli et al., JAES 67(12), 2019."""

ACCESSIBLE_LU = 20.0
"""The same by WCAG 2.2, success criterion 1.4.7 (level AAA)."""

CLEAR_DB = 28.0
"""Least distance of speech over music in `CLEAR_BANDS`; found with HASPI v2."""

CLEAR_BANDS = slice(2, 9)
"""The third octaves from 250 Hz to 1 kHz: the first formants of vowels."""

CUTS_DB = (18.0, 24.0, 27.0, 30.0)
"""How far the band of speech can go down; the first is always needed."""

SAFER_DB = 24.0
"""A cut up to this is taken where it costs hardly any loudness."""

SPARE_LU = 0.5
"""That is, so much more than the least of all cuts."""

CAP_DB = 40.0
"""Deepest duck; music that needs more should be turned down as a whole."""

STEP_DB = 0.1
"""Depths are whole multiples of this."""

SILENT_BED = ClipSpectrum(band_db=(SILENCE_DB,) * 18, loudness_lufs=SILENCE_DB)
"""The bed where there is none."""

CUES_AT_ONCE = 256
"""So many are solved together, for the memory; no answer depends on it."""

_WHOLE_STEP = 1e-9  # so that rounding noise does not cost a step


@dataclass(frozen=True, slots=True, kw_only=True)
class SolvedDuck:
    """The answer for one cue.

    The band of speech goes down by ``cut_db``, then the whole bed by ``depth_db``;
    together they take ``lowered_lu`` of its loudness, and ``separation_lu`` is speech
    over what remains. ``sii_quiet`` and ``sii_mix`` hold one index a listener, in the
    order of `listeners_of`. ``met`` is False where even the deepest duck leaves a
    promise open.
    """

    cut_db: float
    depth_db: float
    lowered_lu: float
    separation_lu: float
    sii_quiet: tuple[float, ...]
    sii_mix: tuple[float, ...]
    met: bool

    @property
    def loss(self) -> float:
        """The most the music costs any listener."""
        pairs = zip(self.sii_quiet, self.sii_mix, strict=True)
        return max(quiet - mix for quiet, mix in pairs)


@dataclass(frozen=True, slots=True, kw_only=True)
class ListenersAtLevel:
    """The listeners, and how a level in the file becomes a level at the ear.

    ``offset_db`` added to dB re full scale gives dB SPL.
    """

    listeners: tuple[Listener, ...]
    offset_db: float

    @property
    def thresholds_db_hl(self) -> BandLevels:
        """Thresholds, shape (listeners, 18)."""
        return np.array([listener.threshold_db_hl for listener in self.listeners])


def listeners_at_level(
    group: Group, speech: Sequence[ClipSpectrum]
) -> ListenersAtLevel:
    """Return the listeners of a group for whom this speech is as loud as it states.

    One setting of the loudspeaker holds for the whole track: the average power
    of all its clips, while they speak, is taken to arrive at the stated level.
    """
    levels = np.array([clip.level_db for clip in speech])
    mean_db = 10 * math.log10(float(np.mean(10 ** (levels / 10)))) if speech else 0.0
    return ListenersAtLevel(
        listeners=listeners_of(group), offset_db=group.level_db_spl - mean_db
    )


def solve_ducks(
    speech: Sequence[ClipSpectrum],
    beds: Mapping[float, Sequence[ClipSpectrum]],
    group: Group,
    *,
    well_under: Sequence[bool] = (),
) -> tuple[SolvedDuck, ...]:
    """Return the least duck for each cue.

    Parameters
    ----------
    speech
        ClipSpectrum of each cue's clip while it speaks, at its level in the mix.
    beds
        ClipSpectrum of the bed under each cue, at its own level in the mix: by how far
        its band of speech is down, 0 for the bed as it is and some of `CUTS_DB`.
    group
        Whose ears are counted, and how loud speech reaches them.
    well_under
        Whether the bed is to go 20 LU under the cue as a whole; not given, it is not.

    Raises
    ------
    ValueError
        If there is not one bed spectrum for each cue.
    """
    if any(len(bed) != len(speech) for bed in beds.values()):
        counts = ", ".join(str(len(bed)) for bed in beds.values())
        raise ValueError(
            f"{len(speech)} cues, {counts} stretches of the bed: give one for each."
        )
    if not speech:
        return ()
    audience = listeners_at_level(group, speech)
    asked = well_under or (False,) * len(speech)
    solved: list[SolvedDuck] = []
    for start in range(0, len(speech), CUES_AT_ONCE):
        part = slice(start, start + CUES_AT_ONCE)
        under = {cut_db: bed[part] for cut_db, bed in beds.items()}
        solved += _solved_together(speech[part], under, audience, asked[part])
    return tuple(solved)


def _solved_together(
    speech: Sequence[ClipSpectrum],
    beds: Mapping[float, Sequence[ClipSpectrum]],
    audience: ListenersAtLevel,
    well_under: Sequence[bool],
) -> list[SolvedDuck]:
    heard = {cut_db: Hearing(speech, bed, audience) for cut_db, bed in beds.items()}
    ways = zip(
        *(
            _solved(one, cut_db, one.separation_lu - heard[0].separation_lu)
            for cut_db, one in sorted(heard.items())
        ),
        strict=True,
    )
    least = [_least(whole, cuts) for whole, *cuts in ways]
    if not any(well_under):
        return least
    accessible = _solved(heard[0], 0, np.zeros(len(speech)), clear_db=-math.inf)
    return [
        whole if well else one
        for one, whole, well in zip(least, accessible, well_under, strict=True)
    ]


def _least(whole: SolvedDuck, cuts: Sequence[SolvedDuck]) -> SolvedDuck:
    """Return the way that leaves the bed loudest, of like ones the safer cut."""
    kept = [one for one in cuts if one.met]
    loudest = min(kept, key=lambda one: one.lowered_lu, default=None)
    if not cuts or (
        whole.met and (loudest is None or whole.lowered_lu <= loudest.lowered_lu)
    ):
        return whole
    if loudest is None:
        return cuts[-1]
    most_lu = loudest.lowered_lu + SPARE_LU
    usual = [o for o in kept if o.cut_db <= SAFER_DB and o.lowered_lu <= most_lu]
    return usual[-1] if usual else loudest


def _solved(
    heard: Hearing,
    cut_db: float,
    cut_lu: npt.NDArray[np.float64],
    *,
    clear_db: float = CLEAR_DB,
) -> list[SolvedDuck]:
    """Return the least duck for each cue of a bed after a cut, which took so much."""
    least_lu = FLOOR_LU if cut_db else ACCESSIBLE_LU
    missing_db = np.maximum(
        least_lu - heard.separation_lu, clear_db - heard.clearance_db
    )
    wanted = np.ceil(missing_db / STEP_DB - _WHOLE_STEP)
    cap = round(CAP_DB / STEP_DB)
    floors = np.clip(wanted, 0, cap).astype(np.int64)
    depths, enough = _least_steps(heard, floors, cap)
    mix = heard.mix(depths * STEP_DB)
    depths_db = [round(int(depth) * STEP_DB, 6) for depth in depths]
    return [
        SolvedDuck(
            cut_db=cut_db,
            depth_db=depth_db,
            lowered_lu=float(cut_lu[cue]) + depth_db,
            separation_lu=float(heard.separation_lu[cue] + depth_db),
            sii_quiet=tuple(float(index) for index in heard.quiet[cue]),
            sii_mix=tuple(float(index) for index in mix[cue]),
            met=bool(enough[cue] and wanted[cue] <= cap),
        )
        for cue, depth_db in enumerate(depths_db)
    ]


class Hearing:
    """What each listener hears of each cue, in quiet and at any depth of the bed.

    Parameters
    ----------
    speech, bed
        One spectrum a cue, re full scale.
    audience
        Listeners and calibration.
    """

    def __init__(
        self,
        speech: Sequence[ClipSpectrum],
        bed: Sequence[ClipSpectrum],
        audience: ListenersAtLevel,
    ) -> None:
        self._thresholds = audience.thresholds_db_hl
        self._speech = _at_the_ear(speech, audience.offset_db)
        self._bed = _at_the_ear(bed, audience.offset_db)
        self.separation_lu = np.array(
            [
                clip.loudness_lufs - under.loudness_lufs
                for clip, under in zip(speech, bed, strict=True)
            ]
        )
        self.clearance_db = np.array(
            [
                power_sum_db(clip.band_db[CLEAR_BANDS])
                - power_sum_db(under.band_db[CLEAR_BANDS])
                for clip, under in zip(speech, bed, strict=True)
            ]
        )
        self.quiet = third_octave_sii(self._speech, threshold_db_hl=self._thresholds)

    def mix(self, depths_db: npt.ArrayLike) -> BandLevels:
        """Return the index of each cue over the bed at its depth, (cues, listeners)."""
        lowered = self._bed - np.reshape(np.asarray(depths_db, float), (-1, 1, 1))
        noise = np.maximum(lowered, NO_NOISE_DB)
        return third_octave_sii(self._speech, noise, self._thresholds)

    def losses(self, depths_db: npt.ArrayLike) -> BandLevels:
        """Return the most that the bed costs any listener, shape (cues,)."""
        lost: BandLevels = np.max(self.quiet - self.mix(depths_db), axis=1)
        return lost


def _least_steps(
    heard: Hearing, floors: npt.NDArray[np.int64], cap: int
) -> tuple[npt.NDArray[np.int64], npt.NDArray[np.bool_]]:
    """Return the fewest steps from the floor at which the loss is within the limit.

    The second array is False where even ``cap`` steps lose more.
    """

    def fine(steps: npt.NDArray[np.int64]) -> npt.NDArray[np.bool_]:
        within: npt.NDArray[np.bool_] = heard.losses(steps * STEP_DB) <= LOSS_LIMIT
        return within

    highs = np.full_like(floors, cap)
    enough = fine(highs)
    highs = np.where(fine(floors), floors, highs)
    lows = floors.copy()  # Too little, or equal to the answer.
    while np.any(highs - lows > 1):
        middle = (lows + highs) // 2
        good = fine(middle)
        highs = np.where(good, middle, highs)
        lows = np.where(good, lows, middle)
    return highs, enough


def _at_the_ear(spectra: Sequence[ClipSpectrum], offset_db: float) -> BandLevels:
    """Return spectrum levels, dB SPL per Hz, shape (cues, 1, 18)."""
    levels: BandLevels = np.array([one.spectrum_level_db for one in spectra])
    return levels[:, None, :] + offset_db
