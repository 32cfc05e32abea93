"""One pass over a track gives every stretch exactly, however the blocks fall."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from cuetrack.sound.blocks import tapped
from cuetrack.verification.stream import (
    POWER_STEP_FRAMES,
    PowerCurve,
    TrackSpan,
    mono,
    stretches,
)

SPANS = st.tuples(st.integers(-300, 1300), st.integers(0, 500)).map(
    lambda drawn: TrackSpan(start=drawn[0], end=drawn[0] + drawn[1])
)


@given(
    cuts=st.lists(st.integers(0, 1000), max_size=6).map(sorted),
    spans=st.lists(SPANS, max_size=8),
)
def test_every_span_comes_out_whole_once(cuts, spans):
    """Each span holds the track's own samples, and silence beyond its ends."""
    sound = np.arange(1, 1001, dtype=np.float32)
    blocks = np.split(sound, cuts)
    padded = np.pad(sound, 2000)
    seen = dict(stretches(blocks, spans))
    assert sorted(seen) == list(range(len(spans)))
    for index, span in enumerate(spans):
        assert np.array_equal(seen[index], padded[span.start + 2000 : span.end + 2000])


def test_only_what_is_still_needed_is_kept():
    """Memory does not grow with the track: blocks behind the last span are let go."""
    held = []

    def blocks():
        for _ in range(200):
            yield np.ones(1000, np.float32)

    spans = [TrackSpan(start=at, end=at + 1500) for at in range(0, 190_000, 5000)]
    for _, samples in stretches(blocks(), spans):
        base = samples if samples.base is None else samples.base
        held.append(base.size)
    assert max(held) <= 3000


def test_channels_are_folded_to_their_mean():
    """What is only in one channel counts half, what is against itself nothing."""
    left = np.array([[1.0, 0.0], [1.0, -1.0], [0.5, 0.5]], np.float32)
    assert np.concatenate(list(mono([left], 48_000))).tolist() == [0.5, 0.0, 0.5]


def test_another_rate_keeps_its_times():
    """An impulse at 0.1 s of 44.1 kHz is at 0.1 s of 48 kHz."""
    sound = np.zeros((44_100, 1), np.float32)
    sound[4410] = 1
    folded = np.concatenate(list(mono(np.array_split(sound, 7), 44_100)))
    assert folded.size == 48_000
    assert np.argmax(folded) == 4800


@pytest.mark.parametrize("pieces", [1, 7, 50])
def test_power_is_the_mean_square_of_each_20_ms(pieces):
    """Powers do not depend on how the sound was cut into blocks."""
    sound = np.random.default_rng(1).standard_normal(10_500).astype(np.float32)
    line = PowerCurve()
    for _ in tapped(np.array_split(sound, pieces), line.add):
        pass
    steps = sound[: 10 * POWER_STEP_FRAMES].reshape(10, -1)
    assert line.frames == 10_500
    assert line.powers() == pytest.approx(np.square(steps).mean(axis=1), rel=1e-5)


def test_an_offset_is_what_every_second_has():
    """Music may lean to one side while it plays; a fault of the file never stops."""
    leaning = np.tile(np.where(np.arange(480_000) < 360_000, 0.01, 0.0), 2)
    for offset in (0.0, 0.02):
        line = PowerCurve()
        line.add((leaning + offset).astype(np.float32))
        assert line.offset == pytest.approx(offset, abs=1e-6)
    assert PowerCurve().offset == 0
