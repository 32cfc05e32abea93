"""Tunes that follow each other: on the beat where they can, softly where not."""

from __future__ import annotations

import numpy as np
import pytest

from cuetrack.sound.beats import Beats, beats_of, tracker_is_there
from cuetrack.sound.bed import CROSSFADE_FRAMES, MusicBed, MusicSpan
from cuetrack.sound.playlist import playlist
from tests.sound.beating import SECOND, as_tune, drums, struck
from tests.sound.sounds import joined, noise


def known(bpm, seconds, start=0.0):
    """The beats of ``drums``, as they would be found at best."""
    period = 60 * SECOND / bpm
    return Beats(
        first_frame=start * SECOND,
        period_frames=period,
        count=int((seconds - start) * SECOND / period),
        residual_ms=1.0,
        coverage=1.0,
        contrast=20.0,
    )


def played(songs, length, fade_frames=0):
    span = MusicSpan(
        start_frame=0,
        end_frame=length,
        tunes=songs.tunes,
        crossfades=songs.crossfades,
        fade_frames=fade_frames,
    )
    return joined(MusicBed(length_frames=length, spans=(span,)).blocks(65_536))


def join_frames(songs, length):
    """Where each tune gives way to the next, from the start of the bed."""
    place, at = 0, 0
    while True:
        at += songs.tunes[place].frames
        if at > length - SECOND:
            return
        yield at
        at -= songs.crossfades[place]
        place = (place + 1) % len(songs.tunes)


@pytest.mark.skipif(
    not tracker_is_there(), reason='pip install ".[music]" brings the beat tracker'
)
@pytest.mark.parametrize(
    "bpms", [(120,), (100.5,), (112, 112), (120, 104), (97.3, 128, 110)]
)
def test_joins_land_on_a_beat(tmp_path, bpms):
    """From file to bed: a stroke within 5 ms of each join, loop or succession."""
    tunes = [
        as_tune(tmp_path / f"{n}.wav", drums(bpm, 20 + n, start=0.1 + 0.2 * n))
        for n, bpm in enumerate(bpms)
    ]
    songs = playlist(tunes, [beats_of(tune) for tune in tunes])
    assert all(songs.on_beat)
    length = 100 * SECOND
    joins = list(join_frames(songs, length))
    assert len(joins) >= 3
    strokes = struck(played(songs, length), joins)
    assert np.abs(strokes - joins).max() < 0.005 * SECOND


def test_looped_drums_stay_in_time_across_joins(tmp_path):
    """Every beat of a minute lies one period after the one before, within 1 ms."""
    tune = as_tune(tmp_path / "drums.wav", drums(120, 17, start=0.25))
    songs = playlist([tune], [known(120, 17, 0.25)])
    first = 0.25 * SECOND - songs.tunes[0].first_frame
    beats = first + np.arange(1, 118) * SECOND / 2
    strokes = struck(played(songs, 60 * SECOND), beats)
    assert np.abs(strokes - beats).max() < 0.001 * SECOND


def test_joins_do_not_click(tmp_path):
    """Steps from frame to frame are no larger than drums make by themselves."""
    sound = drums(120, 17, start=0.25)
    tune = as_tune(tmp_path / "drums.wav", sound)
    songs = playlist([tune], [known(120, 17, 0.25)])
    bed = played(songs, 60 * SECOND)
    gain = np.abs(bed).max() / np.abs(sound).max()
    for join in join_frames(songs, 60 * SECOND):
        for edge in (join - songs.crossfades[0], join):
            steps = np.abs(np.diff(bed[edge - 200 : edge - 1], axis=0))
            assert steps.max() < 0.02 * gain


def test_same_tempo_shares_a_bar_and_other_tempos_a_beat(tmp_path):
    """Beats that would drift apart are not heard together for long."""
    tunes = [as_tune(tmp_path / f"{n}.wav", drums(120, 20)) for n in range(2)]
    same = playlist(tunes, [known(120, 20), known(120.5, 20)])
    assert same.crossfades == pytest.approx([2 * SECOND, 2 * SECOND], rel=0.01)
    other = playlist(tunes, [known(120, 20), known(104, 20)])
    assert other.crossfades == (SECOND // 2, SECOND // 2)


def test_whole_bars_are_played(tmp_path):
    """From the entry to the exit of a tune there are fours of beats."""
    tune = as_tune(tmp_path / "drums.wav", drums(90, 31, start=0.4))
    songs = playlist([tune], [known(90, 31, 0.4)])
    beats = (songs.tunes[0].frames - songs.crossfades[0]) / (SECOND * 60 / 90)
    assert beats == pytest.approx(round(beats / 4) * 4, abs=1e-3)
    assert beats >= 36


@pytest.mark.parametrize(
    "doubt", [None, known(120, 6), known(120, 20)], ids=["none", "few", "ok"]
)
def test_plain_crossfade_where_either_is_not_sure(tmp_path, doubt):
    """Only the join of two tunes with sure beats is on the beat."""
    tunes = [
        as_tune(tmp_path / "drums.wav", drums(120, 20)),
        as_tune(tmp_path / "other.wav", noise(20 * SECOND, 2)),
    ]
    songs = playlist(tunes, [known(120, 20), doubt])
    is_sure = doubt is not None and doubt.count > 20
    assert songs.on_beat == (is_sure, is_sure)
    if not is_sure:
        assert songs.tunes == tuple(tunes)
        assert songs.crossfades == (CROSSFADE_FRAMES, CROSSFADE_FRAMES)


def test_beats_and_plain_joins_mix(tmp_path):
    """Of three tunes two meet on the beat; every tune holds its two crossfades."""
    tunes = [as_tune(tmp_path / f"{n}.wav", drums(120, 20)) for n in range(3)]
    songs = playlist(tunes, [known(120, 20), known(104, 20), None])
    assert songs.on_beat == (True, False, False)
    for n, tune in enumerate(songs.tunes):
        assert tune.frames > songs.crossfades[n - 1] + songs.crossfades[n]
        assert tunes[n].first_frame <= tune.first_frame
        assert tune.end_frame <= tunes[n].end_frame
    assert played(songs, 70 * SECOND).shape == (70 * SECOND, 2)


def test_crossfades_that_do_not_fit_are_refused(tmp_path):
    """A span with a tune shorter than its crossfades cannot be made."""
    tune = as_tune(tmp_path / "drums.wav", drums(120, 4))
    for crossfades in ((3 * SECOND,), (1, 1)):
        with pytest.raises(ValueError, match="crossfade"):
            MusicSpan(start_frame=0, end_frame=9, tunes=(tune,), crossfades=crossfades)
