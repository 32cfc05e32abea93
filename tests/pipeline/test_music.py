"""Which music lies under which part of a class."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import soundfile
from cues import builders as make

from cuetrack.cues.timeline import lay_out
from cuetrack.pipeline.music import music_for, own_music
from cuetrack.plan.model import Music, SectionKind
from cuetrack.sound.composing.bed import JoinedBed, OwnBed
from cuetrack.sound.composing.tempo import in_proportion

SECOND = 48_000


@pytest.fixture(autouse=True)
def store(tmp_path, monkeypatch):
    """Keep what is rendered in a folder of the test."""
    monkeypatch.setenv("CUETRACK_STORE", str(tmp_path / "store" / "clips"))


def short_plan(*musics, **more):
    """Warm-up, intervals and cool-down of a few seconds, each with its music."""
    sections = (
        make.plain(make.timed(make.EASY_MARCH, 8), opening=0),
        make.intervals(
            make.HEEL_DIG, work=8, rest=5, rounds=1, between=None, opening=0
        ),
        make.plain(
            make.timed(make.EASY_MARCH, 8), kind=SectionKind.COOL_DOWN, opening=0
        ),
    )
    return make.plan(
        *(
            replace(section, music=music)
            for section, music in zip(sections, musics, strict=True)
        ),
        **more,
    )


def test_plan_without_music_has_no_bed():
    """None, not silence: the track stays mono."""
    plan = short_plan(None, None, None)
    assert music_for(plan, lay_out(plan)).bed is None


def test_music_of_our_own_lies_under_the_whole_class():
    """One key in the plan is enough."""
    plan = short_plan(None, None, None, music=Music(own="calm"))
    bed = music_for(plan, lay_out(plan)).bed
    assert isinstance(bed, OwnBed)
    sound = np.concatenate(list(bed.blocks(SECOND)))
    assert len(sound) == bed.length_frames == 24 * SECOND
    assert all(sound[n * SECOND : (n + 1) * SECOND].any() for n in range(24))


def test_section_may_have_other_music_or_none():
    """What a section says goes before what the class says."""
    plan = short_plan(None, Music(own="bright"), Music(), music=Music(own="calm"))
    styles = {n: one.style for n, one in own_music(plan, lay_out(plan)).items()}
    assert styles == {0: "calm", 1: "bright"}


def test_tempo_of_the_class_is_that_of_the_work():
    """The other sections keep their distance; a section's own tempo is its own."""
    slow = Music(own="calm", tempo_bpm=70)
    plan = short_plan(None, None, slow, music=Music(own="calm", tempo_bpm=110))
    wanted = own_music(plan, lay_out(plan))
    assert wanted[0].tempo_bpm == in_proportion(SectionKind.WARM_UP, 110)
    assert wanted[1].tempo_bpm == 110
    assert wanted[2].tempo_bpm == 70


def test_files_and_music_of_our_own_share_a_track(tmp_path):
    """Each plays in its section only."""
    clock = np.arange(12 * SECOND) / SECOND
    tune = tmp_path / "tune.wav"
    soundfile.write(tune, 0.3 * np.sin(2 * np.pi * 440 * clock), SECOND)
    plan = short_plan(Music(files=(str(tune),)), Music(own="steady"), Music())
    bed = music_for(plan, lay_out(plan)).bed
    assert isinstance(bed, JoinedBed)
    sound = np.concatenate(list(bed.blocks(10_000)))
    assert len(sound) == bed.length_frames
    part = np.abs(np.fft.rfft(sound[4 * SECOND : 5 * SECOND, 0]))
    assert np.argmax(part) == 440
    assert sound[9 * SECOND : 15 * SECOND].any()
    assert not sound[16 * SECOND :].any()


def test_another_title_gives_other_music():
    """Classes do not all sound the same, and each always sounds as it did."""
    plan = short_plan(None, None, None, music=Music(own="calm"))
    again = music_for(plan, lay_out(plan)).bed
    other = music_for(replace(plan, title="Afternoon class"), lay_out(plan)).bed
    assert again == music_for(plan, lay_out(plan)).bed
    assert again != other
