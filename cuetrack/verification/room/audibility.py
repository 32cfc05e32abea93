"""What listeners at the recorder's place follow of each cue, as it is and otherwise.

The index is that of ANSI S3.5-1997. Background and music are noise to it, and so
is the part of the speech that comes more than 50 ms after the direct sound: the
division of useful from detrimental sound by Bradley (JASA 80, 1986; from memory),
put to the index band by band. A recording has no absolute level: the average cue
is taken to arrive at the level that is stated for the group.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from cuetrack.sound.hearing.sii import NO_NOISE_DB, third_octave_sii
from cuetrack.sound.hearing.sii_tables import BANDWIDTH_DB
from cuetrack.verification.room.grades import people_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from cuetrack.arrays import Floats
    from cuetrack.plan.model import Group
    from cuetrack.verification.room.levels import CuePowers
    from cuetrack.verification.room.response import Decay


A_WEIGHTING_DB = np.array(
    [
        *(-13.4, -10.9, -8.6, -6.6, -4.8, -3.2, -1.9, -0.8, 0.0),
        *(0.6, 1.0, 1.2, 1.3, 1.2, 1.0, 0.5, -0.1, -1.1),
    ]
)
"""At 160 Hz to 8 kHz: IEC 61672-1, table 3 (from memory)."""

FIRST_LATER_S = 0.03
"""The first loudspeaker is taken to be ten metres farther than a second one."""

_LEAST_POWER = 1e-16


@dataclass(frozen=True, slots=True, kw_only=True)
class LevelChange:
    """What is done otherwise than when it was recorded, in dB.

    ``loudspeaker_db`` raises speech and music together, ``noise_db`` what is not of
    the track. ``distance`` is that of the loudspeaker against what it was: half of it
    brings the direct sound 6 dB up over all the room adds. ``second`` is another one
    there, as loud as the first, which goes on: the room then answers to both. In
    either case they are turned down to the level there was.
    """

    music_db: float = 0.0
    loudspeaker_db: float = 0.0
    noise_db: float = 0.0
    distance: float = 1.0
    second: bool = False
    echo: bool = True


AS_IT_IS = LevelChange()


class Audience:
    """The listeners at the recorder's place, and the cues as they arrive there.

    Parameters
    ----------
    cues
        At least one.
    decay
        How the room answers; None counts no reverberation.
    group
        Whose ears are counted, and how loud the average cue reaches them.
    """

    def __init__(
        self, cues: Sequence[CuePowers], decay: Decay | None, group: Group
    ) -> None:
        self._speech = np.array([cue.speech for cue in cues])
        self._music = np.array([cue.music for cue in cues])
        self._noise = np.array([cue.noise for cue in cues])
        self._decay = decay
        mean = float(np.mean(self._speech.sum(axis=1)))
        self._offset_db = group.level_db_spl - float(_db(mean))
        self.people = people_of(group.age)
        self._thresholds = np.array([one.threshold_db_hl for one in self.people])

    def indices(self, change: LevelChange = AS_IT_IS) -> Floats:
        """Return the index of each cue for each of the people, (cues, people)."""
        loud = 10 ** (change.loudspeaker_db / 10)
        late_share = _late_share(self._decay, change) if change.echo else 0.0
        late = self._speech * late_share * loud
        early = self._speech * (1 - late_share) * loud
        music = self._music * loud * 10 ** (change.music_db / 10)
        noise = self._noise * 10 ** (change.noise_db / 10)
        speech_db, noise_db = (
            self._at_the_ear(powers) for powers in (early, noise + music + late)
        )
        noise_db = np.maximum(noise_db, NO_NOISE_DB)
        return third_octave_sii(speech_db, noise_db, self._thresholds)

    def _at_the_ear(self, powers: Floats) -> Floats:
        """Return spectrum levels in dB SPL per Hz, shape (cues, 1, 18)."""
        levels: Floats = _db(powers) + self._offset_db
        levels -= np.asarray(BANDWIDTH_DB)
        return levels[:, None, :]


def apart_db(upper: Floats, lower: Floats) -> float | None:
    """Return by how many dB(A) one spectrum lies over another, None over nothing."""
    if not np.any(lower > _LEAST_POWER):
        return None
    weights = 10 ** (A_WEIGHTING_DB / 10)
    apart = _db(np.sum(upper * weights)) - _db(np.sum(lower * weights))
    return float(apart)


def _late_share(decay: Decay | None, change: LevelChange) -> float:
    """Return how much of the sound comes late, once a loudspeaker is nearer."""
    if decay is None:
        return 0.0
    late = 1 / (1 + 10 ** (decay.clarity_db / 10))
    nearer = decay.direct_share * (change.distance**-2 - 1)
    if not change.second:
        return late / (1 + nearer)
    later = min(late * 10 ** (6 * FIRST_LATER_S / decay.reverberation_s), 1.0)
    return (late + later) / (2 + nearer)


def _db(powers: npt.ArrayLike) -> Floats:
    levels: Floats = 10 * np.log10(np.maximum(powers, _LEAST_POWER))
    return levels
