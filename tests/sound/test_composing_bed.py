"""The bed of our own, heard by meters: steady, clean, safe in mono, always the same."""

from __future__ import annotations

import numpy as np
import pytest
import soundfile

from cuetrack.errors import MusicError
from cuetrack.sound.composing import rendering
from cuetrack.sound.composing.bed import (
    JoinedBed,
    OwnMusic,
    bed_under,
    compose_pieces,
    prune_beds,
)
from cuetrack.sound.composing.scenes import SCENE_LUFS, Scene
from cuetrack.sound.composing.styles import STYLES
from cuetrack.sound.hearing.bands import spectrum
from cuetrack.sound.loudness import measure
from cuetrack.times import frames_from_ms
from tests.sound.composed import SHORT_CLASS, timeline
from tests.sound.damage import damage
from tests.sound.sounds import joined

SECOND = 48_000


def own_bed(class_, style, seed, folder):
    """A bed in one style under a whole class."""
    wanted = {part.section: OwnMusic(style=style) for part in class_.segments}
    return bed_under(class_, wanted, seed, folder=folder)


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return tmp_path_factory.mktemp("beds")


@pytest.fixture(scope="module", params=STYLES)
def heard(request, folder):
    """A bed in each style, and its sound."""
    bed = own_bed(SHORT_CLASS, request.param, 1, folder=folder)
    return bed, joined(bed.blocks(1 << 16))


def passages(bed):
    return [one for kept in bed.kept for one in kept.piece.passages]


def sound_of(sound, passage):
    return sound[passage.start_frame : passage.start_frame + passage.frames]


@pytest.mark.parametrize("style", STYLES)
def test_music_leaves_room_for_a_voice(style, tmp_path, monkeypatch):
    """As loud as without its dip, it has some 5 dB less where voices are clearest."""
    class_ = timeline(("work", 9_000))
    dipped = own_bed(class_, style, 5, tmp_path / "dipped")
    flat_filter = np.array([[1.0, 0, 0, 1, 0, 0]])
    monkeypatch.setattr(rendering, "_voice_dip", lambda: flat_filter)
    flat = own_bed(class_, style, 5, tmp_path / "flat")
    with_dip, without = (
        spectrum(joined(bed.blocks(1 << 16))) for bed in (dipped, flat)
    )
    lower_db = np.subtract(without.band_db, with_dip.band_db)
    assert 3.5 < lower_db[8:13].mean() < 6  # 1000 to 2500 Hz
    assert with_dip.loudness_lufs == pytest.approx(without.loudness_lufs, abs=0.3)


def test_bed_covers_the_track(heard):
    """It is as long as the class, with music in every part of it."""
    bed, sound = heard
    assert sound.shape == (frames_from_ms(SHORT_CLASS.end_ms), 2)
    assert sound.dtype == np.float32
    for passage in passages(bed):
        assert np.abs(sound_of(sound, passage)).max() > 1e-3


@pytest.mark.parametrize("block_frames", [1000, 48_000, 77_777])
def test_bed_does_not_depend_on_the_blocks(folder, block_frames):
    """Every pass gives the same samples, however it is cut."""
    bed = own_bed(SHORT_CLASS, "calm", 1, folder=folder)
    assert np.array_equal(joined(bed.blocks(block_frames)), joined(bed.blocks(1 << 16)))


def test_same_seed_gives_the_same_music_and_another_seed_another(tmp_path):
    """Rendered afresh it is the same to the bit."""
    short = timeline(("work", 12_000), ("rest", 8_000))
    first, again, other = (
        joined(own_bed(short, "bright", seed, folder=tmp_path / name).blocks(9999))
        for seed, name in ((1, "a"), (1, "b"), (2, "c"))
    )
    assert np.array_equal(first, again)
    assert not np.array_equal(first, other)


def test_each_part_is_as_loud_as_its_scene_asks(heard):
    """Level is steady: within 1.5 LU in each part, whatever is played there."""
    bed, sound = heard
    for passage in passages(bed)[:-1]:  # the last one fades out
        found = measure([sound_of(sound, passage)], 2).integrated_lufs
        assert abs(found - SCENE_LUFS[passage.scene]) < 1.5, passage


def test_energy_follows_the_class(heard):
    """Every work is louder than every rest, and every rest than the welcome."""
    bed, sound = heard
    levels = {scene: [] for scene in Scene}
    for passage in passages(bed)[:-1]:
        lufs = measure([sound_of(sound, passage)], 2).integrated_lufs
        levels[passage.scene].append(lufs)
    assert min(levels[Scene.WORK]) > max(levels[Scene.WARM]) + 1
    assert min(levels[Scene.WORK]) > max(levels[Scene.REST]) + 3
    assert min(levels[Scene.REST]) > max(levels[Scene.HUSH]) + 3


def test_nothing_clips_and_there_is_no_dc(heard):
    """Peaks stay under -1 dBTP, and the mean at nothing."""
    _, sound = heard
    assert measure([sound], 2).true_peak_dbtp < -1
    assert np.abs(sound.mean(0)).max() < 1e-3


def test_mono_loudspeaker_loses_at_most_one_decibel(heard):
    """The sum of both sides is as loud as they are, in every part."""
    bed, sound = heard
    for passage in passages(bed):
        part = sound_of(sound, passage).astype(float)
        lost_db = 10 * np.log10((part.mean(1) ** 2).mean() / (part**2).mean())
        assert lost_db > -1


def test_joins_do_not_click(heard):
    """Where phrases and sections meet no corner is sharper than within the music."""
    bed, sound = heard
    bends = np.abs(np.diff(sound.astype(float), 2, axis=0)).max(1)
    joins = [passage.start_frame for passage in passages(bed)[1:]]
    for join in joins:
        # On the very frame nothing new has started yet: attacks rise from nothing.
        around = bends[join - 480 : join + 4800].max()
        assert bends[join - 2 : join + 2].max() <= around * 0.6 + 1e-4


def test_music_ends_softly(heard):
    """The last seconds sink to nothing, and the last sample is nothing."""
    _, sound = heard
    levels = [
        np.sqrt((sound[-n * SECOND : (1 - n) * SECOND or None] ** 2).mean())
        for n in (5, 3, 1)
    ]
    assert levels[0] > levels[1] > levels[2]
    assert np.abs(sound[-10:]).max() < 1e-4


def test_range_of_speech_is_held_back(heard):
    """At most a fifth of the power of the work lies between 500 and 3000 Hz."""
    bed, sound = heard
    work = next(one for one in passages(bed) if one.scene is Scene.WORK)
    power = np.abs(np.fft.rfft(sound_of(sound, work).mean(1))) ** 2
    hz = np.fft.rfftfreq(work.frames, 1 / SECOND)
    assert power[(hz > 500) & (hz < 3000)].sum() < 0.2 * power.sum()


def test_works_differ_from_each_other(heard):
    """The same clock does not bring the same music again."""
    bed, sound = heard
    works = [
        sound_of(sound, one).mean(1) for one in passages(bed) if one.scene is Scene.WORK
    ]
    for one, other in ((0, 1), (1, 2), (0, 2)):
        a, b = works[one], works[other]
        assert a @ b < 0.8 * np.sqrt((a @ a) * (b @ b))


def test_downbeat_of_a_work_is_heard_on_its_frame(heard):
    """The bass and drums of the first beat rise from the start of the work on."""
    bed, sound = heard
    work = next(one for one in passages(bed) if one.scene is Scene.WORK)
    rms = [
        np.sqrt((sound[work.start_frame + a : work.start_frame + b] ** 2).mean())
        for a, b in ((-2400, 0), (0, 2400))
    ]
    assert rms[1] > 2 * rms[0]


def test_second_make_renders_nothing(tmp_path, monkeypatch):
    """What was rendered is found again; a damaged file is rendered anew."""
    short = timeline(("work", 8_000))
    first = own_bed(short, "steady", 5, folder=tmp_path)
    path = first.kept[0].path
    written = path.read_bytes()
    path.write_bytes(written[:5000])
    own_bed(short, "steady", 5, folder=tmp_path)
    assert path.read_bytes() == written
    monkeypatch.setattr("cuetrack.sound.composing.pieces.render_phrase", None)
    assert own_bed(short, "steady", 5, folder=tmp_path) == first


def test_flipped_bits_of_rendered_music_are_never_played(tmp_path):
    """From the head to the end of its files: each time it is rendered anew."""
    short = timeline(("work", 2_000))
    path = own_bed(short, "steady", 5, folder=tmp_path).kept[0].path
    sound = path.read_bytes()
    for kept in (path, path.with_suffix(".notes")):
        for place in range(20):
            damaged = damage(kept, place, 20)
            own_bed(short, "steady", 5, folder=tmp_path)
            assert path.read_bytes() == sound
            assert kept.read_bytes() != damaged


def test_music_moves_with_its_section_without_being_rendered_again(tmp_path):
    """A longer welcome changes nothing of the work's music."""
    keys = [
        own_bed(
            timeline(("welcome", length), ("work", 8_000)), "calm", 1, folder=tmp_path
        )
        .kept[1]
        .path
        for length in (5_000, 6_000)
    ]
    assert keys[0] == keys[1]


def test_only_the_sections_that_want_it_have_music(tmp_path):
    """Elsewhere the bed is silent, and what ends before silence fades."""
    whole = timeline(("warm", 10_000), ("work", 10_000), ("cool", 10_000))
    bed = bed_under(whole, {1: OwnMusic(style="bright")}, 1, folder=tmp_path)
    sound = joined(bed.blocks(50_000))
    assert not sound[: 10 * SECOND].any()
    assert sound[10 * SECOND : 20 * SECOND].any()
    assert not sound[20 * SECOND :].any()
    assert np.abs(sound[20 * SECOND - 20 : 20 * SECOND]).max() < 1e-4


def test_neighbouring_pieces_ring_into_each_other():
    """Between sections of the same kind of music nothing is cut off."""
    whole = timeline(("warm", 10_000), ("work", 10_000))
    wanted = dict.fromkeys((0, 1), OwnMusic(style="calm"))
    first, last = compose_pieces(whole, wanted, 1)
    assert first.tail_frames > 0
    assert last.tail_frames == 0


def test_joined_beds_add_up(tmp_path):
    """Music of two kinds in one track is the sum of both."""
    whole = timeline(("warm", 8_000), ("work", 8_000))
    one, other = (
        bed_under(whole, {n: OwnMusic(style="calm")}, 1, folder=tmp_path)
        for n in (0, 1)
    )
    both = JoinedBed(length_frames=one.length_frames, beds=(one, other))
    sound = joined(both.blocks(10_000))
    assert np.array_equal(
        sound, joined(one.blocks(10_000)) + joined(other.blocks(10_000))
    )


def test_lost_file_is_a_clear_error(tmp_path):
    """Music taken away between two passes is told, not played as silence."""
    bed = own_bed(timeline(("work", 8_000)), "calm", 1, folder=tmp_path)
    bed.kept[0].path.unlink()
    with pytest.raises(MusicError, match="Make the track again"):
        joined(bed.blocks(10_000))


def test_folder_that_cannot_be_written_is_a_clear_error(tmp_path):
    """Where a file stands in place of the folder, the message says so."""
    (tmp_path / "beds").write_text("in the way")
    with pytest.raises(MusicError, match="cannot be kept"):
        own_bed(timeline(("work", 8_000)), "calm", 1, folder=tmp_path / "beds")


def test_pruning_keeps_what_is_needed(tmp_path):
    """What is in use stays, whatever it weighs; the rest goes, oldest first."""
    for name in ("old", "new", "used"):
        soundfile.write(tmp_path / f"{name}.wav", np.zeros((9600, 2)), SECOND)
    needed = {tmp_path / "used.wav"}
    assert prune_beds(0, tmp_path, needed=needed) == 2
    assert [path.name for path in tmp_path.iterdir()] == ["used.wav"]
