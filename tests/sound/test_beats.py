"""Beats of music: tempo and place by a line, and doubt where there is no beat."""

from __future__ import annotations

from dataclasses import asdict

import numpy as np
import pytest

from cuetrack.sound import beats as beats_module
from cuetrack.sound.beats import Beats, beats_of, find_beats, onset_strength
from cuetrack.sound.cache import keep_notes
from tests.sound.beating import SECOND, as_tune, beat_times, drums
from tests.sound.damage import damage
from tests.sound.sounds import cut, noise, sine

tracked = pytest.mark.skipif(
    not beats_module.tracker_is_there(),
    reason='pip install ".[music]" brings the beat tracker',
)


@tracked
@pytest.mark.parametrize("bpm", [96, 100.5, 112, 128])
def test_tempo_and_beats_of_drums_are_found(bpm):
    """Tempo within 0.1 %, each beat within 5 ms of a stroke, whatever the blocks."""
    sound = drums(bpm, 45, start=0.123)
    found = find_beats(cut(sound, [48_000, 1000, 70_001]), start_frame=700)
    assert found.sure
    assert found.bpm == pytest.approx(bpm, rel=1e-3)
    strokes = beat_times(bpm, 45, 0.123) + 700
    for beat in range(found.count - 1):
        assert np.abs(strokes - found.frame(beat)).min() < 0.005 * SECOND


@tracked
def test_beats_of_a_fading_end_are_left_out():
    """Music is not left at a beat that nobody hears any more."""
    fade = np.clip((40 - np.arange(40 * SECOND) / SECOND) / 10, 0, 1)[:, None]
    found = find_beats([(drums(120, 40) * fade**2).astype(np.float32)])
    assert found.sure
    assert 30 * SECOND < found.frame(found.count - 1) < 37 * SECOND


@tracked
@pytest.mark.parametrize(
    "sound",
    [
        noise(40 * SECOND, 2),
        np.stack([sine(220, 40, 0.2) * (1 + 0.4 * sine(0.37, 40))] * 2, 1),
        drums(110, 40, sway=0.03),
    ],
    ids=["noise", "swelling note", "swaying tempo"],
)
def test_music_without_a_steady_beat_is_not_sure(sound):
    """Doubt is told, so that nobody joins on a beat that is none."""
    found = find_beats([sound.astype(np.float32)])
    assert found is None or not found.sure


@pytest.mark.parametrize("seconds", [0, 0.01, 1.5])
def test_hardly_any_music_has_no_beats(seconds):
    """Too little to tell is None, not an error."""
    assert find_beats([drums(120, 2)[: round(seconds * SECOND)]]) is None


def test_silence_has_no_beats():
    """Nothing swells in it."""
    assert find_beats([np.zeros((10 * SECOND, 2), np.float32)]) is None


def test_swell_does_not_depend_on_the_blocks():
    """Hops are the same however the sound is cut."""
    sound = drums(104, 6)
    whole = onset_strength([sound])
    for sizes in (500, [3, 40_000, 777], 239):
        for one, other in zip(onset_strength(cut(sound, sizes)), whole, strict=True):
            np.testing.assert_allclose(one, other, rtol=1e-4, atol=1e-4)


def test_swell_peaks_where_a_stroke_starts():
    """Within two hops of 5 ms."""
    swell, level_db = onset_strength([drums(60, 8, start=0.5)])
    for second in (1.5, 2.5, 3.5):
        near = swell[round(second * 200) - 40 : round(second * 200) + 40]
        assert abs(int(np.argmax(near)) - 40) <= 2
    assert len(swell) == len(level_db)


@tracked
def test_beats_are_looked_for_once_and_kept(tmp_path, monkeypatch):
    """A second make reads them; damaged notes are made again."""
    tune = as_tune(tmp_path / "drums.wav", drums(120, 12))
    first = beats_of(tune)
    monkeypatch.setattr(beats_module, "find_beats", None)
    assert beats_of(tune) == first
    monkeypatch.undo()
    notes = tune.path.with_suffix(".beats")
    for place in range(8):
        damaged = damage(notes, place, 8)
        assert beats_of(tune) == first
        assert notes.read_bytes() != damaged
    for beats in ({"count": 3}, asdict(first) | {"period_frames": float("nan")}, 7):
        keep_notes(notes, {"version": 1, "beats": beats}, "drums.wav")
        assert beats_of(tune) == first


def test_without_the_tracker_no_beats_are_known(tmp_path, monkeypatch):
    """And that is not kept, so that they are found once it is installed."""
    monkeypatch.setattr(beats_module, "tracker_is_there", lambda: False)
    tune = as_tune(tmp_path / "drums.wav", drums(120, 6))
    assert beats_of(tune) is None
    assert not tune.path.with_suffix(".beats").exists()


@pytest.mark.parametrize(
    "doubt",
    [{"count": 7}, {"residual_ms": 16.0}, {"coverage": 0.7}, {"contrast": 2.9}],
    ids=lambda doubt: next(iter(doubt)),
)
def test_any_one_doubt_makes_beats_unsure(doubt):
    """Few, straying, missed or faint beats are not relied on."""
    plain = {
        "first_frame": 0.0,
        "period_frames": 24_000.0,
        "count": 8,
        "residual_ms": 15.0,
        "coverage": 0.8,
        "contrast": 3.0,
    }
    assert Beats(**plain).sure
    assert not Beats(**plain | doubt).sure


def test_beats_of_faster_music_lie_closer():
    """Places and periods shrink by the speed, counted from the new first frame."""
    slow = Beats(
        first_frame=1100.0,
        period_frames=22_000.0,
        count=9,
        residual_ms=2.2,
        coverage=1.0,
        contrast=9.0,
    )
    fast = slow.moved(-660, 1.1)
    assert fast.bpm == pytest.approx(1.1 * slow.bpm)
    assert fast.frame(5) == pytest.approx((slow.frame(5) - 660) / 1.1)
