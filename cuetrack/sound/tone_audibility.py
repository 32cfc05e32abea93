"""Whether each tone is heard by those who hear worst, and how loud it must be.

A tone is heard when one of its one-third-octave bands, at the ear,

- lies ``OVER_THRESHOLD_DB`` above the hearing threshold of the worse-hearing
  tenth at the stated age (ISO 7029:2017 and ISO 226:2023), more if it is short,
- reaches the least level ISO 24501:2010 gives for that band in quiet, with its
  5 dB for tones that start or end something, and
- lies ``OVER_BED_DB`` above the bed in that band (ISO 7731:2003 asks for 13 dB
  above the masked threshold in a one-third octave),

and the whole tone reaches ``LEAST_LEVEL_DB``. It is never made louder than
``LIMIT_DB`` at the ear; where that is not enough the bed goes down under it. No
conformity with ISO 24500, 24501 or 7731 is claimed.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from cuetrack.sound.duck_solving import CAP_DB, STEP_DB
from cuetrack.sound.hearing.bands import active_spectrum
from cuetrack.sound.hearing.listeners import worst_listener
from cuetrack.sound.hearing.sii_tables import CENTRES_HZ
from cuetrack.sound.hearing.thresholds import tone_threshold_db_spl

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from cuetrack.arrays import Samples
    from cuetrack.cues.tonekinds import ToneKind
    from cuetrack.plan.model import Group
    from cuetrack.sound.hearing.bands import ClipSpectrum
    from cuetrack.sound.hearing.sii import BandLevels

OVER_THRESHOLD_DB = 10.0
OVER_BED_DB = 15.0
LEAST_LEVEL_DB = 60.0
"""Sounds for older users at the ear: review table in PMC4777049 (2012)."""
LIMIT_DB = 70.0
"""Upper limit for tones up to 2500 Hz: ISO 24501:2010 (JIS S 0014:2013)."""

QUIET_MINIMUM_DB = {
    **dict.fromkeys((400, 500, 630, 800, 1000, 1250), 25.0),
    1600: 30.0,
    2000: 35.0,
    2500: 40.0,
}
"""Least band level in quiet by centre, dB SPL: ISO 24501:2010 as JIS S 0014:2013.

Bands it keeps for very quiet places or special products are left out."""
START_OR_END_DB = 5.0

PEAK_LIMIT_DBFS = -3.0
"""Highest sample peak a tone may reach before the master."""

INTEGRATION_MS = 200.0
"""Shorter tones need more level, 10 dB for a tenth; from memory, a rule of thumb."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ToneLevel:
    """One tone of the track, after its gain and its duck.

    ``band_hz`` is the band in which it stands out best; ``over_threshold_db`` and
    ``over_bed_db`` are its distances there, the latter infinite with no bed under
    it. ``duck_depth_db`` is how much further the bed must go down.
    """

    kind: ToneKind
    level_db_spl: float
    band_hz: float
    over_threshold_db: float
    over_bed_db: float
    duck_depth_db: float
    audible: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class ToneLevels:
    """The answer for all tones: a gain for each kind, a row for each tone."""

    gains_db: tuple[tuple[ToneKind, float], ...]
    rows: tuple[ToneLevel, ...]

    def gain_db(self, kind: ToneKind) -> float:
        """Return the gain of a kind; 0 for one that does not sound."""
        return dict(self.gains_db).get(kind, 0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class _ToneAtEar:
    """A kind of tone at the ear, and what it needs whatever the bed."""

    bands_db: BandLevels
    level_db: float
    peak_dbfs: float
    needed_db: BandLevels
    threshold_db: BandLevels


def solve_tones(
    kinds: Sequence[ToneKind],
    bed: Sequence[ClipSpectrum],
    group: Group,
    *,
    sounds: Mapping[ToneKind, Samples],
    ear_offset_db: float,
    peak_limit_dbfs: float = PEAK_LIMIT_DBFS,
) -> ToneLevels:
    """Return the least gain of each kind of tone at which every one is heard.

    A tone is never softer than it was made unless the limit asks for it. Where
    the limit forbids the gain it needs, the bed is to go down under it.

    Parameters
    ----------
    bed
        ClipSpectrum of the bed under each, as it sounds there, ducks included.
    group
        Whose ears are counted.
    sounds
        The samples of each kind, 48 kHz mono, as they would be mixed.
    ear_offset_db
        What turns dB re full scale into dB SPL at the ear, see `listeners_at_level`.
    peak_limit_dbfs
        Highest sample peak a tone may reach.

    Raises
    ------
    ValueError
        If there is not one bed spectrum for each tone.
    """
    if len(kinds) != len(bed):
        raise ValueError(
            f"{len(kinds)} tones, {len(bed)} stretches of the bed: give one for each."
        )
    heard = {
        kind: _sound(sounds[kind], group, ear_offset_db)
        for kind in dict.fromkeys(kinds)
    }
    beds_db = [np.array(under.band_db) + ear_offset_db for under in bed]
    gains_db = {
        kind: _gain_db(
            tone,
            [under for one, under in zip(kinds, beds_db, strict=True) if one == kind],
            peak_limit_dbfs,
        )
        for kind, tone in heard.items()
    }
    rows = tuple(
        _row(kind, heard[kind], gains_db[kind], under)
        for kind, under in zip(kinds, beds_db, strict=True)
    )
    return ToneLevels(gains_db=tuple(gains_db.items()), rows=rows)


def _sound(samples: Samples, group: Group, ear_offset_db: float) -> _ToneAtEar:
    spectrum = active_spectrum(samples).raised(ear_offset_db)
    centres_hz = CENTRES_HZ
    loss = worst_listener(group.age).threshold_db_hl
    length_ms = len(samples) / 48
    short_db = max(0.0, 10 * math.log10(INTEGRATION_MS / length_ms))
    threshold = tone_threshold_db_spl(centres_hz, loss) + short_db
    quiet = np.array([QUIET_MINIMUM_DB.get(int(hz), math.inf) for hz in centres_hz])
    return _ToneAtEar(
        bands_db=np.array(spectrum.band_db),
        level_db=spectrum.level_db,
        peak_dbfs=20 * math.log10(float(np.max(np.abs(samples)))),
        needed_db=np.maximum(quiet + START_OR_END_DB, threshold + OVER_THRESHOLD_DB),
        threshold_db=threshold,
    )


def _gain_db(
    tone: _ToneAtEar, beds_db: Sequence[BandLevels], peak_limit_dbfs: float
) -> float:
    """Return the least gain that serves all the places a tone sounds, or the limit."""
    needed = [
        np.min(np.maximum(tone.needed_db, bed + OVER_BED_DB) - tone.bands_db)
        for bed in beds_db
    ]
    wanted = max(0.0, LEAST_LEVEL_DB - tone.level_db, *needed)
    most = min(LIMIT_DB - tone.level_db, peak_limit_dbfs - tone.peak_dbfs)
    return min(_steps_up(wanted), round(math.floor(most / STEP_DB) * STEP_DB, 6))


def _row(
    kind: ToneKind, tone: _ToneAtEar, gain_db: float, bed_db: BandLevels
) -> ToneLevel:
    bands = tone.bands_db + gain_db
    loud_enough = bands >= tone.needed_db
    over_bed = bands - bed_db
    candidates = np.where(loud_enough, over_bed, -math.inf)
    # Where no band is loud enough, show the one nearest to it.
    best = int(np.argmax(candidates if loud_enough.any() else bands - tone.needed_db))
    depth_db = _steps_up(max(0.0, OVER_BED_DB - float(over_bed[best])))
    depth_db = min(depth_db, CAP_DB) if loud_enough.any() else 0.0
    separated = float(over_bed[best]) + depth_db >= OVER_BED_DB - 1e-9
    return ToneLevel(
        kind=kind,
        level_db_spl=tone.level_db + gain_db,
        band_hz=CENTRES_HZ[best],
        over_threshold_db=float(bands[best] - tone.threshold_db[best]),
        over_bed_db=float(over_bed[best]) + depth_db,
        duck_depth_db=depth_db,
        audible=bool(loud_enough.any()) and separated,
    )


def _steps_up(decibels: float) -> float:
    """Return the decibels rounded up to the grid of depths and gains."""
    return round(math.ceil(decibels / STEP_DB - 1e-9) * STEP_DB, 6)
