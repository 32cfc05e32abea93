"""The bed: no gap, no click, level from piece to piece, as long as the track."""

from __future__ import annotations

import numpy as np
import pytest
import soundfile
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from cuetrack.errors import MusicError
from cuetrack.sound.bed import BED_LUFS, MOST_GAIN_DB, MusicBed, MusicSpan, gain_db
from cuetrack.sound.loudness import measure
from cuetrack.sound.music import Tune
from tests.sound.sounds import joined, music, noise, sine

SECOND = 48_000


@pytest.fixture(scope="module")
def tunes(tmp_path_factory):
    """Three tunes of 3, 4 and 7 s at -14, -26 and -20 LUFS or so."""
    folder = tmp_path_factory.mktemp("ready")
    made = []
    for seconds, rms in ((4, 0.2), (7, 0.05), (3, 0.1)):
        sound = np.stack([music(seconds, n, rms) for n in (1, 2)], 1)
        made.append(ready(folder / f"{seconds}.wav", sound))
    return made


def ready(path, sound):
    soundfile.write(path, sound, SECOND, subtype="FLOAT")
    lufs = measure([sound.astype(np.float32)], 2).integrated_lufs
    return Tune(path=path, first_frame=0, end_frame=len(sound), lufs=lufs)


def bed_of(*spans, length):
    return MusicBed(length_frames=length, spans=spans)


def test_bed_has_the_length_of_the_track_and_is_silent_outside_its_spans(tunes):
    """Music sounds within its section only."""
    span = MusicSpan(start_frame=2 * SECOND, end_frame=9 * SECOND, tunes=tuple(tunes))
    bed = joined(bed_of(span, length=12 * SECOND + 17).blocks(10_000))
    assert bed.shape == (12 * SECOND + 17, 2)
    assert not bed[: 2 * SECOND].any()
    assert not bed[9 * SECOND :].any()
    assert np.abs(bed[5 * SECOND : 6 * SECOND]).max() > 0.05


@given(block_frames=st.integers(1000, 200_000))
@settings(
    max_examples=12,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
def test_bed_does_not_depend_on_the_blocks(tunes, block_frames):
    """Every pass gives the same samples to the bit, whatever the blocks."""
    spans = (
        MusicSpan(start_frame=100, end_frame=11 * SECOND, tunes=(tunes[2], tunes[0])),
        MusicSpan(start_frame=11 * SECOND, end_frame=19 * SECOND, tunes=(tunes[1],)),
    )
    bed = bed_of(*spans, length=20 * SECOND)
    assert np.array_equal(joined(bed.blocks(block_frames)), joined(bed.blocks(65_536)))


def test_looped_music_has_no_gap_and_no_dip(tunes):
    """Over many turns of a short tune the level stays within 3 dB of its mean."""
    span = MusicSpan(
        start_frame=0, end_frame=30 * SECOND, tunes=(tunes[2],), fade_frames=0
    )
    bed = joined(bed_of(span, length=30 * SECOND).blocks(65_536))
    tenths = np.sqrt(np.mean(bed.reshape(60, -1) ** 2, axis=1))
    assert np.abs(20 * np.log10(tenths / tenths.mean())).max() < 3


def test_crossfade_keeps_the_power(tmp_path):
    """Where two unlike noises cross, the power is that of either, within 0.3 dB."""
    pair = tuple(ready(tmp_path / f"{n}.wav", noise(10 * SECOND, 2, n)) for n in (1, 2))
    span = MusicSpan(start_frame=0, end_frame=18 * SECOND, tunes=pair, fade_frames=0)
    bed = joined(bed_of(span, length=18 * SECOND).blocks(65_536))
    power = np.mean(bed.reshape(36, -1) ** 2, axis=1)
    assert np.abs(10 * np.log10(power / power.mean())).max() < 0.3


def test_transitions_do_not_click(tmp_path):
    """Tunes of one low tone never step further than the tone itself does."""
    hum = np.stack([0.2 * sine(100.3, 4)] * 2, 1)
    tune = ready(tmp_path / "hum.wav", hum)
    span = MusicSpan(start_frame=0, end_frame=20 * SECOND, tunes=(tune,))
    bed = joined(bed_of(span, length=20 * SECOND).blocks(65_536))
    own_step = 0.2 * 10 ** (gain_db(tune) / 20) * 2 * np.pi * 100.3 / SECOND
    # Where it meets itself in phase, two gains of 0.71 add up to 1.41.
    assert np.abs(np.diff(bed, axis=0)).max() <= 1.45 * own_step


def test_music_fades_in_and_out_over_three_seconds(tmp_path):
    """At half of the fade the level is half, and it begins and ends with nothing."""
    flat = ready(tmp_path / "flat.wav", noise(20 * SECOND, 2))
    span = MusicSpan(start_frame=SECOND, end_frame=15 * SECOND, tunes=(flat,))
    bed = joined(bed_of(span, length=16 * SECOND).blocks(65_536))
    level = np.sqrt(np.mean(bed.reshape(-1, 4800, 2) ** 2, axis=(1, 2)))
    full = level[70:90].mean()
    assert level[25] / full == pytest.approx(0.5, abs=0.05)
    assert level[134] / full == pytest.approx(0.5, abs=0.05)
    assert level[10] < 0.01 * full
    assert level[149] < 0.01 * full
    assert level[41:119].min() > 0.95 * full


def test_tunes_are_brought_to_one_loudness(tunes):
    """A loud and a faint file play equally loud."""
    for tune in tunes:
        span = MusicSpan(
            start_frame=0, end_frame=tune.frames * 3 // 4, tunes=(tune,), fade_frames=0
        )
        bed = bed_of(span, length=tune.frames * 3 // 4)
        lufs = measure(bed.blocks(65_536), 2).integrated_lufs
        assert lufs == pytest.approx(BED_LUFS, abs=0.7)


def test_faint_tune_is_raised_so_far_and_no_further(tunes):
    """The gain has a limit upward and none downward."""
    faint, loud = (
        Tune(path=tunes[0].path, first_frame=0, end_frame=9, lufs=lufs)
        for lufs in (-60.0, 0.0)
    )
    assert gain_db(faint) == MOST_GAIN_DB
    assert gain_db(loud) == BED_LUFS


def test_tunes_made_to_follow_each_other_are_laid_end_to_end(tmp_path):
    """With no crossfade a tune is tiled to the sample."""
    sound = noise(4 * SECOND, 2)
    tune = ready(tmp_path / "loop.wav", sound)
    span = MusicSpan(
        start_frame=0,
        end_frame=9 * SECOND,
        tunes=(tune,),
        fade_frames=0,
        crossfade_frames=0,
    )
    bed = joined(bed_of(span, length=9 * SECOND).blocks(65_536))
    gain = np.float32(10 ** (gain_db(tune) / 20))
    assert np.allclose(bed, np.tile(sound, (3, 1))[: 9 * SECOND] * gain, rtol=1e-6)


def test_music_longer_than_the_class_is_faded_at_its_end(tunes):
    """A short section takes what it needs, fades shortened to fit."""
    span = MusicSpan(start_frame=0, end_frame=2 * SECOND, tunes=(tunes[1],))
    bed = joined(bed_of(span, length=2 * SECOND).blocks(65_536))
    assert np.abs(bed[:48]).max() < 1e-4
    assert np.abs(bed[-48:]).max() < 1e-4
    assert np.abs(bed[SECOND - 4800 : SECOND + 4800]).max() > 0.05


def test_ready_music_that_vanishes_is_told(tmp_path):
    """A tune deleted or cut between passes is a message, not a traceback."""
    tune = ready(tmp_path / "gone.wav", noise(4 * SECOND, 2))
    span = MusicSpan(start_frame=0, end_frame=3 * SECOND, tunes=(tune,))
    tune.path.unlink()
    with pytest.raises(MusicError, match="Make the track again"):
        joined(bed_of(span, length=3 * SECOND).blocks(65_536))


def test_senseless_spans_are_refused(tunes):
    """Spans last, hold music, follow each other and stay in the track."""
    with pytest.raises(ValueError, match="must last"):
        MusicSpan(start_frame=5, end_frame=5, tunes=tuple(tunes))
    with pytest.raises(ValueError, match="needs a tune"):
        MusicSpan(start_frame=0, end_frame=5, tunes=())
    one = MusicSpan(start_frame=0, end_frame=500, tunes=tuple(tunes))
    with pytest.raises(ValueError, match="in order"):
        bed_of(one, one, length=1000)
    with pytest.raises(ValueError, match="in order"):
        bed_of(one, length=499)
