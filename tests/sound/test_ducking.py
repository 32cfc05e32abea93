"""Ducking: down before the first sound, back after the last, and never a jump."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cuetrack.sound.ducking import Duck, DuckEnvelope, DuckShape

SHAPE = DuckShape()
SECOND = 48_000


def db(gains):
    return 20 * np.log10(gains.astype(np.float64))


@st.composite
def some_ducks(draw):
    ducks = []
    for _ in range(draw(st.integers(0, 6))):
        start = draw(st.integers(0, 12 * SECOND))
        length = draw(st.integers(1, 3 * SECOND))
        depth_db = draw(st.sampled_from([0.0, 6.0, 10.0, 13.7, 20.0]))
        duck = Duck(start_frame=start, end_frame=start + length, depth_db=depth_db)
        ducks.append(duck)
    return tuple(ducks)


def test_bed_is_down_for_the_whole_of_the_speech():
    """The attack is over before the first sound, the release starts after the last."""
    duck = Duck(start_frame=2 * SECOND, end_frame=3 * SECOND, depth_db=20)
    gains = DuckEnvelope([duck]).gains(0, 5 * SECOND)
    assert np.allclose(db(gains[2 * SECOND : 3 * SECOND]), -20, atol=1e-4)
    assert np.all(gains[: 2 * SECOND - SHAPE.attack_frames] == 1)
    assert np.all(gains[3 * SECOND + SHAPE.release_frames :] == 1)
    assert np.all(np.diff(gains[: 2 * SECOND]) <= 0)
    assert np.all(np.diff(gains[3 * SECOND :]) >= 0)


def test_close_cues_do_not_pump():
    """Between cues within a second and a half the bed stays down."""
    ducks = [
        Duck(start_frame=1 * SECOND, end_frame=2 * SECOND, depth_db=18),
        Duck(start_frame=int(3.4 * SECOND), end_frame=4 * SECOND, depth_db=12),
    ]
    gains = DuckEnvelope(ducks).gains(0, 6 * SECOND)
    assert db(gains[SECOND : 4 * SECOND]).max() <= -12 + 1e-4
    assert np.all(np.diff(gains[2 * SECOND : 4 * SECOND]) >= 0), "one glide, no swell"


def test_distant_cues_let_the_bed_come_back():
    """With more room than that the bed is fully back in between."""
    ducks = [
        Duck(start_frame=1 * SECOND, end_frame=2 * SECOND, depth_db=20),
        Duck(start_frame=int(3.6 * SECOND), end_frame=5 * SECOND, depth_db=20),
    ]
    assert DuckEnvelope(ducks).gains(0, 6 * SECOND)[int(2.9 * SECOND)] == 1


@given(ducks=some_ducks())
@settings(max_examples=40, deadline=None)
def test_every_duck_gets_its_depth_and_nothing_clicks(ducks):
    """Under each duck the bed is at least that far down; frame to frame it glides."""
    gains = DuckEnvelope(ducks).gains(0, 16 * SECOND)
    for duck in ducks:
        under = db(gains[duck.start_frame : duck.end_frame])
        assert under.max(initial=-np.inf) <= -duck.depth_db + 1e-3
    assert gains.max(initial=0) <= 1
    # The steepest raised cosine used: 20 dB in 300 ms, at its middle.
    steepest_db = 20 * np.pi / 2 / SHAPE.attack_frames
    assert np.abs(np.diff(db(gains))).max() <= steepest_db * 1.01


@given(
    ducks=some_ducks(),
    sizes=st.lists(st.integers(1, 70_000), min_size=1, max_size=4),
)
@settings(max_examples=40, deadline=None)
def test_envelope_does_not_depend_on_the_blocks(ducks, sizes):
    """Asked for in any pieces, in any order, the gains are the same to the bit."""
    envelope = DuckEnvelope(ducks)
    whole = envelope.gains(0, 16 * SECOND)
    start = turn = 0
    while start < len(whole) and turn < 60:
        size = min(sizes[turn % len(sizes)], len(whole) - start)
        again = DuckEnvelope(reversed(ducks)).gains(start, size)
        assert np.array_equal(again, whole[start : start + size])
        start, turn = start + size, turn + 1


@given(ducks=some_ducks(), more=st.sampled_from([1.0, 5.0]))
@settings(max_examples=20, deadline=None)
def test_deeper_ducks_never_raise_the_bed(ducks, more):
    """Asking for more depth leaves no frame louder."""
    deeper = [
        Duck(
            start_frame=duck.start_frame,
            end_frame=duck.end_frame,
            depth_db=duck.depth_db + more,
        )
        for duck in ducks
    ]
    before = DuckEnvelope(ducks).gains(0, 16 * SECOND)
    assert np.all(DuckEnvelope(deeper).gains(0, 16 * SECOND) <= before)


@pytest.mark.parametrize(
    ("start", "end", "depth_db"), [(5, 5, 10), (6, 5, 10), (0, 5, -1)]
)
def test_senseless_ducks_are_refused(start, end, depth_db):
    """A duck lasts, and lowers."""
    with pytest.raises(ValueError, match="duck"):
        Duck(start_frame=start, end_frame=end, depth_db=depth_db)
