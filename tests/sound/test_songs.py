"""Music of the user under a class: joined, brought to a tempo, and told of."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import soundfile
from cues import builders as make

from cuetrack.cues.timeline import lay_out
from cuetrack.errors import MusicError
from cuetrack.pipeline.music import (
    asked_well_under_voice,
    music_for,
    unwatched,
)
from cuetrack.plan.model import Music, SectionKind
from cuetrack.sound import songs as songs_module
from cuetrack.sound.beats import find_beats, tracker_is_there
from cuetrack.sound.music import music_folder, tune_blocks
from cuetrack.sound.songs import LICENCE_CAUTION, order_of, ready_songs
from cuetrack.sound.stretch import stretcher_is_there
from tests.sound.beating import SECOND, drums
from tests.sound.sounds import noise

with_the_extra = pytest.mark.skipif(
    not (tracker_is_there() and stretcher_is_there()),
    reason='pip install ".[music]" brings tracker and stretcher',
)


@pytest.fixture(autouse=True)
def store(tmp_path, monkeypatch):
    """Keep what is made ready in a folder of the test."""
    monkeypatch.setenv("CUETRACK_STORE", str(tmp_path / "store" / "clips"))


@pytest.fixture
def song(tmp_path):
    """Write drums of some tempo as a music file, and return its name."""

    def write(bpm=112, seconds=20, name=None, gain=1.0):
        path = tmp_path / (name or f"drums {bpm}.flac")
        soundfile.write(path, np.clip(gain * drums(bpm, seconds), -1, 1), SECOND)
        return str(path)

    return write


def short_plan(music, cool_down=None, seconds=26):
    return make.plan(
        make.plain(make.timed(make.EASY_MARCH, seconds), opening=0),
        replace(
            make.plain(
                make.timed(make.EASY_MARCH, 8), kind=SectionKind.COOL_DOWN, opening=0
            ),
            music=cool_down,
        ),
        music=music,
    )


def notes_of(plan):
    return music_for(plan, lay_out(plan)).notes


def ready(music):
    return ready_songs(music, unwatched)


@with_the_extra
def test_looped_music_is_told_with_tempo_confidence_and_joins(song):
    """What was found of its beat, and that it is joined on it."""
    plan = short_plan(Music(files=(song(),)))
    line = notes_of(plan)[0]
    assert line.startswith("drums 112.flac: 112.0 beats a minute (100 % of them found")
    assert "follows on the beat" in line


@with_the_extra
def test_music_longer_than_the_class_has_no_joins_to_tell_of(song):
    """It is faded at the end, and that is all."""
    plan = short_plan(Music(files=(song(seconds=60),)))
    assert "follows" not in notes_of(plan)[0]
    bed = music_for(plan, lay_out(plan)).bed
    assert sum(len(block) for block in bed.blocks(65_536)) == 34 * SECOND


def test_music_without_a_beat_is_crossfaded_and_told(tmp_path):
    """A plain crossfade, with the reason."""
    path = tmp_path / "waves.wav"
    soundfile.write(path, noise(15 * SECOND, 2), SECOND)
    line = notes_of(short_plan(Music(files=(str(path),))))[0]
    assert "joined by plain crossfades" in line
    assert "beat" in line


def test_without_the_extra_music_is_crossfaded_and_the_extra_is_named(
    song, monkeypatch
):
    """Nothing fails, and the way to more is told; the tempo stays as it is."""
    monkeypatch.setattr("cuetrack.sound.beats.tracker_is_there", lambda: False)
    monkeypatch.setattr(songs_module, "tracker_is_there", lambda: False)
    line = notes_of(short_plan(Music(files=(song(),), tempo_bpm=115)))[0]
    assert "that needs cuetrack[music]" in line
    assert "joined by plain crossfades" in line
    assert "keeps its own tempo" in line


@with_the_extra
@pytest.mark.parametrize(("wanted", "played"), [(106, 106), (56, 112), (119, 119)])
def test_wanted_tempo_is_reached(song, wanted, played):
    """To 0.1 %, or twice it; the beats are known where the music then has them."""
    (one,) = ready(Music(files=(song(),), tempo_bpm=wanted))
    assert one.bpm == pytest.approx(played, rel=1e-3)
    assert one.tune.frames == pytest.approx(one.brought.frames * 112 / played, rel=1e-3)
    found = find_beats(tune_blocks(one.tune))
    assert found.bpm == pytest.approx(played, rel=1e-3)
    apart = (found.first_frame - one.beats.first_frame) / found.period_frames
    assert abs(apart - round(apart)) * found.period_frames < 0.003 * SECOND
    order = order_of([one])
    assert order.on_beat == (True,)


@with_the_extra
def test_tempo_out_of_reach_is_refused_with_the_reach(song):
    """A message that says which tempos the music can take."""
    music = Music(files=(song(),), tempo_bpm=140)
    with pytest.raises(MusicError, match="tempo of 52 to 60 or 103 to 121") as caught:
        ready(music)
    assert "drums 112.flac: has 112 beats a minute" in str(caught.value)
    assert "choose other music, or leave the tempo out" in str(caught.value)


@with_the_extra
def test_second_make_only_reads(song, monkeypatch):
    """Decoding, beats and stretching are kept."""
    music = Music(files=(song(),), tempo_bpm=108)
    first = ready(music)
    for name in ("music._made", "beats.find_beats", "stretch.stretched"):
        monkeypatch.setattr(f"cuetrack.sound.{name}", None)
    assert ready(music) == first


@with_the_extra
def test_fast_music_is_told_section_by_section(song):
    """112 suits a warm-up and not a cool-down."""
    notes = notes_of(short_plan(Music(files=(song(),))))
    told = [note for note in notes if "at most are advised" in note]
    assert len(told) == 1
    assert "112 beats a minute" in told[0]
    slower = Music(files=(song(96, 20),))
    assert not [
        note
        for note in notes_of(short_plan(Music(files=(song(),)), slower))
        if "at most are advised" in note
    ]


def test_fast_tempo_of_our_own_music_is_told():
    """The composer takes a wish at its word; the report warns."""
    plan = short_plan(None, Music(own="calm", tempo_bpm=118))
    assert any("118 beats a minute" in note for note in notes_of(plan))


def test_rights_and_the_caution_are_told_once(song):
    """What the user states, and the general words, for music of the user only."""
    loop = Music(files=(song(),), rights="Recorded by our own band.")
    notes = notes_of(short_plan(loop, replace(loop, tempo_bpm=None)))
    assert sum("Recorded by our own band." in note for note in notes) == 1
    assert notes[-1] == LICENCE_CAUTION
    assert LICENCE_CAUTION not in notes_of(short_plan(None, Music(own="calm")))
    assert notes_of(short_plan(None)) == ()


def test_clipped_music_is_told(song):
    """And used all the same."""
    music = Music(files=(song(gain=20.0),))
    assert "It is clipped" in notes_of(short_plan(music))[0]


def test_kept_music_is_bounded_but_never_what_is_needed(song, monkeypatch):
    """Old music goes first."""
    old, new = song(104, 12), song(112, 12)
    plans = [short_plan(Music(files=(one,))) for one in (old, new)]
    music_for(plans[0], lay_out(plans[0]))
    monkeypatch.setattr("cuetrack.pipeline.music.KEPT_BYTES", 1000)
    bed = music_for(plans[1], lay_out(plans[1])).bed
    assert len(list(music_folder().glob("*.wav"))) == 1
    assert sum(len(block) for block in bed.blocks(65_536)) == 34 * SECOND


def test_only_cues_over_music_that_asks_for_it_are_kept_well_above():
    """By the music of the section in which a cue is said."""
    plan = short_plan(Music(own="calm", well_under_voice=True), Music(own="calm"))
    timeline = lay_out(plan)
    ids = [segment.id for segment in timeline.segments]
    wants = dict(zip(ids, asked_well_under_voice(plan, timeline, ids), strict=True))
    for segment in timeline.segments:
        assert wants[segment.id] is (segment.section == 0)
