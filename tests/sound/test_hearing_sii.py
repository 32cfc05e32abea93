"""Laws the Speech Intelligibility Index must keep."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cuetrack.sound.hearing.sii import third_octave_sii

levels = st.lists(st.floats(-60, 120), min_size=18, max_size=18).map(np.array)
losses = st.lists(st.floats(-10, 100), min_size=18, max_size=18).map(np.array)
drops = st.floats(0, 60)


@given(speech=levels, noise=levels, loss=losses, drop_db=drops)
@settings(deadline=None)
def test_less_noise_never_hurts(speech, noise, loss, drop_db):
    """Lowering the noise by any amount never lowers the index."""
    before = third_octave_sii(speech, noise, loss)
    assert third_octave_sii(speech, noise - drop_db, loss) >= before - 1e-12


@given(speech=levels, noise=levels, cut=levels)
@settings(deadline=None)
def test_less_noise_in_any_one_band_never_hurts(speech, noise, cut):
    """Lowering the noise band by band, however unevenly, never lowers the index."""
    lower = np.minimum(noise, cut)
    assert third_octave_sii(speech, lower) >= third_octave_sii(speech, noise) - 1e-12


@given(speech=levels, noise=levels, loss=losses, more=drops)
@settings(deadline=None)
def test_worse_hearing_never_helps(speech, noise, loss, more):
    """Raising the thresholds never raises the index."""
    after = third_octave_sii(speech, noise, loss + more)
    assert after <= third_octave_sii(speech, noise, loss) + 1e-12


@given(speech=levels, noise=levels, loss=losses)
@settings(deadline=None)
def test_index_stays_between_nought_and_one(speech, noise, loss):
    """The index is a share."""
    assert -1e-12 <= third_octave_sii(speech, noise, loss) <= 1 + 1e-12


def test_many_cues_and_listeners_at_once_equal_one_at_a_time():
    """Arrays of cues by listeners give what single calls give."""
    random = np.random.default_rng(4)
    speech = random.uniform(0, 60, (5, 1, 18))
    noise = random.uniform(-20, 60, (5, 1, 18))
    loss = random.uniform(0, 60, (3, 18))
    together = third_octave_sii(speech, noise, loss)
    assert together.shape == (5, 3)
    for cue in range(5):
        for listener in range(3):
            alone = third_octave_sii(speech[cue, 0], noise[cue, 0], loss[listener])
            assert together[cue, listener] == pytest.approx(alone, abs=1e-14)


def test_wrong_number_of_bands_is_refused():
    """Six values for eighteen bands are a mistake, and the message says so."""
    with pytest.raises(ValueError, match="6 bands were given, the method has 18"):
        third_octave_sii([50] * 6)
