"""A line is cut where its last sound ends, and the room's answer is left out."""

from __future__ import annotations

import numpy as np
import pytest

from cuetrack.takes.activity import SoundStretch
from cuetrack.takes.cutting import speech_span

LOUD_MS = 600
CLOSED_MS = 160
BURST_MS = 30


def sound_with(burst_db, noise_db=60):
    """Return noise that stops in a room of 0.2 s, then a burst; levels under it."""
    draw = np.random.default_rng(5)
    frames = 48 * 2500
    at_ms = np.arange(frames) / 48
    fall = np.where(at_ms < LOUD_MS, 0.0, -60 * (at_ms - LOUD_MS) / 200)
    sound = draw.standard_normal(frames) * 10 ** (fall / 20)
    sound[at_ms > 1500] = 0
    if burst_db is not None:
        start = LOUD_MS + CLOSED_MS
        here = (at_ms >= start) & (at_ms < start + BURST_MS)
        sound[here] += draw.standard_normal(here.sum()) * 10 ** (-burst_db / 20)
    sound += draw.standard_normal(frames) * 10 ** (-noise_db / 20)
    return (0.1 * sound).astype(np.float32)


def end_ms(sound):
    return speech_span(sound, SoundStretch(start=0, end=48 * 1400)).end / 48


def test_the_fall_of_a_room_is_left_out():
    """The cut lies where the fall is 34 dB down, as a straight line has it."""
    assert end_ms(sound_with(None)) == pytest.approx(LOUD_MS + 200 * 34 / 60, abs=15)


def test_a_faint_last_sound_is_kept():
    """The t behind a closure is no room: it rises where a room can only fall."""
    burst_ends = LOUD_MS + CLOSED_MS + BURST_MS
    assert end_ms(sound_with(38)) == pytest.approx(burst_ends, abs=15)


def test_what_drowns_in_the_noise_is_no_sound():
    """Behind a burst that no ear finds in the noise of the place nothing is kept."""
    fall_ends = LOUD_MS + 200 * 31 / 60
    assert end_ms(sound_with(38, noise_db=36)) == pytest.approx(fall_ends, abs=15)
