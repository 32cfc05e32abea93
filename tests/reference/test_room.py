"""Reverberation as the room check learns it, against the meter of pyroomacoustics."""

from __future__ import annotations

import numpy as np
import pyroomacoustics
import pytest
from scipy.signal import butter, fftconvolve, sosfiltfilt

from cuetrack.verification.room.clock import Clock
from cuetrack.verification.room.heard import NARROW_HZ, KeptSound
from cuetrack.verification.room.response import DECAY_BAND_HZ, learn_response
from tests.verification.rooms import stored_places

SECONDS = 60


def heard(sound):
    return KeptSound(
        narrow=sound.astype(np.float16),
        powers=np.zeros((SECONDS * 50, 18), np.float32),
        rate_hz=NARROW_HZ,
        channels=1,
        peak=1.0,
        clipped=0,
    )


@pytest.mark.outside
@pytest.mark.parametrize("place", stored_places())
def test_reverberation_time_agrees_with_pyroomacoustics(place):
    """Within 5 % of ``measure_rt60`` (version 0.10.1) on the same band, from -5 dB on.

    The room is excited by noise that comes and goes, and heard with as much
    other noise at a tenth of its power.
    """
    draw = np.random.default_rng(3)
    frames = SECONDS * NARROW_HZ
    swell = np.interp(np.arange(frames), np.arange(0, frames, 2000), draw.random(240))
    sound = 0.1 * swell * draw.standard_normal(frames)
    answer = stored_places()[place].response[::2]  # Nothing but noise is asked of it.
    arrived = fftconvolve(sound, answer)[:frames]
    other = draw.standard_normal(frames) * np.sqrt(0.1 * np.mean(arrived**2))
    loud = np.abs(arrived).max()
    found = learn_response(
        heard(sound), heard((arrived + other) / loud), Clock(start_s=0.0, rate=1.0)
    )
    sos = butter(4, DECAY_BAND_HZ, "bandpass", fs=NARROW_HZ, output="sos")
    band = sosfiltfilt(sos, np.pad(answer, (400, 0)))
    wanted = pyroomacoustics.experimental.measure_rt60(
        band[400:], fs=NARROW_HZ, decay_db=20
    )
    assert found.decay is not None
    assert found.decay.reverberation_s == pytest.approx(wanted, rel=0.05)
    assert abs(found.direct_s) < 0.001
