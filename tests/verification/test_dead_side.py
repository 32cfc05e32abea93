"""A side that falls silent on the way is told, with when."""

from __future__ import annotations

import numpy as np
import pytest

from cuetrack.verification.dead_side import dead_side
from cuetrack.verification.sides import StereoMeter, sides_checks

RATE = 48_000


def voice_and_guitar():
    """Thirty seconds of a voice in the middle, and a guitar on the left between."""
    noise = np.random.default_rng(1).standard_normal((30 * RATE, 1)).astype(np.float32)
    speaks = (np.arange(30 * RATE) // (3 * RATE) % 2 == 0)[:, None]
    return np.where(speaks, 0.1 * noise, 0.05 * noise * [1, 0]).astype(np.float32)


CUES_MS = [(6000 * number, 6000 * number + 3000) for number in range(5)]


def said(sound):
    meter = StereoMeter()
    for block in np.array_split(sound, range(65_536, len(sound), 65_536)):
        meter.add(block)
    return " ".join(one.sentence for one in sides_checks(meter.sides(RATE), CUES_MS))


def test_music_may_leave_a_side():
    """A guitar on the left alone is no dead right side, while the voice is in both."""
    assert "silent" not in said(voice_and_guitar())


@pytest.mark.parametrize(
    ("first_s", "last_s", "when"),
    [
        (11, 30, "From 0:11 on"),
        (0, 16, "From 0:00 to 0:16"),
        (11, 22, "From 0:11 to 0:22"),
    ],
)
def test_a_side_that_falls_silent_is_told_with_when(first_s, last_s, when):
    """From where nothing is in it to where anything is again, with a cue between."""
    sound = voice_and_guitar()
    sound[first_s * RATE : last_s * RATE, 0] *= 1e-3
    assert when in said(sound)
    assert "the left side of the file is silent." in said(sound)


def test_silence_is_no_dead_side():
    """Where neither side sounds, and where no cue is, there is nothing to tell."""
    powers = np.zeros((100, 2))
    assert dead_side(powers, 100, [(0, 3000)]) is None
    assert dead_side(powers + 1, 100, []) is None
    assert dead_side(powers[:0], 100, [(0, 3000)]) is None
