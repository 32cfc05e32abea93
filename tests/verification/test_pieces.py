"""Every piece of a cue that stands clear is judged, and only faults are told."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.signal import butter, sosfilt

from cuetrack.verification.bending import bend_of, peaks_of
from cuetrack.verification.clicks import click_in
from cuetrack.verification.flat_tops import FlatTopMeter
from cuetrack.verification.limits import BENT_SHARE
from cuetrack.verification.pieces import pieces_of
from cuetrack.verification.search import make_search_window, make_template
from tests.fakes import ToneSpeaker
from tests.verification.tracks import music

TEXT = "Sit tall, feet flat on the floor."
MS = 48


@pytest.fixture(scope="module")
def clip():
    speaker = ToneSpeaker()
    found = speaker.speak([TEXT])[TEXT]
    return speaker.samples(found.key)[found.speech_start : found.speech_end]


def seen(heard, clip):
    """What the pieces of a clip show in a sound that starts with it."""
    template = make_template(clip)
    narrow = make_search_window(heard.astype(np.float32)).sound
    return pieces_of(narrow[: template.sound.size], template.sound)


def with_hole(clip, start_ms, length_ms):
    damaged = clip.copy()
    damaged[start_ms * MS : (start_ms + length_ms) * MS] = 0
    return damaged


@pytest.mark.parametrize("gain", [1.0, 0.2, -1.0])
def test_a_whole_cue_has_all_its_pieces(clip, gain):
    """At any level, and turned upside down, a clip has no hole and no click."""
    found = seen(gain * clip, clip)
    assert found.faults == ()
    assert click_in((gain * clip).astype(np.float32), clip) is None
    assert found.judged > 0.6 * found.windows


def test_music_under_a_cue_takes_no_piece_away(clip):
    """Over music fewer pieces can be judged, and those are there."""
    bed = music(clip.size, 3, level_db=-14)
    found = seen(clip + bed, clip)
    assert found.faults == ()
    assert found.judged < seen(clip, clip).judged


@pytest.mark.parametrize("length_ms", [60, 90, 200])
def test_a_hole_inside_a_word_is_found_at_its_place(clip, length_ms):
    """From 60 ms on a hole in a loud syllable is told, with where and how long."""
    bed = music(clip.size, 3, level_db=-26)
    found = seen(with_hole(clip, 480, length_ms) + bed, clip)
    (fault, *_) = found.faults
    assert fault.gone
    assert not fault.to_end
    assert abs(fault.start_ms - 480) <= 40


def test_the_end_cut_off_is_told_as_an_end(clip):
    """A cue that breaks off 250 ms early is known to have lost its end, not a hole."""
    length_ms = clip.size // MS
    (fault,) = seen(with_hole(clip, length_ms - 250, 260), clip).faults
    assert fault.to_end
    assert 180 <= fault.length_ms <= 260


def test_all_that_is_cut_off_an_end_is_told(clip):
    """Pauses and weak pieces in it are as much gone as what can be judged."""
    length_ms = clip.size // MS
    faults = seen(with_hole(clip, length_ms - 900, 910), clip).faults
    assert faults[0].to_end
    assert 830 <= faults[0].length_ms <= 940


def test_the_start_cut_off_is_told_as_a_start(clip):
    """A cue that begins 300 ms late is known to have lost its start."""
    (fault,) = seen(with_hole(clip, 0, 300), clip).faults
    assert fault.from_start


def test_silence_hides_nothing_however_loud_the_music_was(clip):
    """Where voice and music are gone, a piece is missing that music would hide."""
    mix = clip + music(clip.size, 3, level_db=0)
    assert seen(mix, clip).faults == ()
    mix[700 * MS : 850 * MS] = 0
    (fault,) = seen(mix, clip).faults
    assert fault.gone
    assert 690 <= fault.start_ms <= 760
    assert fault.start_ms + fault.length_ms <= 870


@pytest.mark.parametrize(("length_ms", "kept"), [(80, False), (250, True)])
def test_short_holes_are_left_out_where_bits_are_few(clip, length_ms, kept):
    """What an encoder at a low rate drops is no fault, a longer hole is one."""
    found = seen(with_hole(clip, 480, length_ms), clip)
    assert found.faults
    assert bool(found.without_short_holes().faults) == kept


def test_other_sound_in_place_of_a_piece_is_told_from_a_hole(clip):
    """A piece played backwards is there, and is not what was said."""
    damaged = clip.copy()
    piece = slice(500 * MS, 900 * MS)
    damaged[piece] = damaged[piece][::-1]
    assert any(not fault.gone for fault in seen(damaged, clip).faults)


@pytest.mark.parametrize("level_db", [-60, -14])
def test_a_click_inside_a_word_is_found(clip, level_db):
    """A single frame as high as the loudest speech is told with its place."""
    damaged = clip + music(clip.size, 3, level_db)
    damaged[700 * MS] += 8 * np.sqrt(np.mean(np.square(clip)))
    assert click_in(damaged, clip) == pytest.approx(700, abs=2)


def test_what_is_no_click_is_not_called_one(clip):
    """Music with a hard beat has none, a short stroke, a few frames, or silence."""
    assert click_in(clip + music(clip.size, 3, -14), clip) is None
    at = np.arange(2400) / 48_000
    stroke = np.random.default_rng(3).standard_normal(at.size) * np.exp(-at / 0.004)
    struck = clip.copy()
    struck[700 * MS : 700 * MS + at.size] += stroke.astype(np.float32)
    assert click_in(struck, clip) is None
    damaged = clip[:1000].copy()
    damaged[500] += 1
    assert click_in(damaged, clip[:1000]) is None
    assert click_in(clip[:0], clip[:0]) is None
    assert click_in(0 * clip, 0 * clip) is None


def test_nothing_of_a_clip_that_is_not_there_is_judged(clip):
    """Silence and an opposite of what was said leave nothing to compare with."""
    assert seen(np.zeros_like(clip), clip).judged == 0


def test_a_cue_all_in_doubt_vouches_for_nothing(clip):
    """Where one short syllable is all there is, its neighbours are too few to judge."""
    found = seen(with_hole(clip, 0, 90)[: 130 * MS], clip[: 130 * MS])
    assert len(found.faults) <= 1


@pytest.mark.parametrize(("gain_db", "bent"), [(0, False), (2, True), (6, True)])
def test_clipping_is_told_from_a_limiter(clip, gain_db, bent):
    """Tops cut off are seen; a loud stretch turned down as a whole is none."""
    top = np.abs(clip).max() * 10 ** (-gain_db / 20)
    assert (bend_of([peaks_of(np.clip(clip, -top, top), clip)]) > BENT_SHARE) == bent
    turned_down = clip * np.linspace(1, 0.6, clip.size)
    assert bend_of([peaks_of(turned_down, clip)]) < BENT_SHARE / 2


def test_a_filtered_voice_is_not_called_clipped(clip):
    """Its tops lie elsewhere than those of the clip: nothing can be told."""
    passed = sosfilt(butter(4, (300, 3400), "band", fs=48_000, output="sos"), clip)
    voice = 0.5 * np.sin(2 * np.pi * 110 * np.arange(clip.size) / 48_000) + clip
    assert bend_of([peaks_of(passed, voice)]) is None


@pytest.mark.parametrize(
    ("sound", "tops"),
    [
        (lambda tone: np.clip(tone, -0.4, 0.4), 4),
        (lambda tone: tone, 0),
        (lambda tone: np.round(tone * 16) / 16, 0),
        (lambda tone: 0.01 * np.sign(tone), 0),
        (lambda tone: tone[:2], 0),
    ],
    ids=["clipped", "whole", "coarse", "faint", "two samples"],
)
def test_flat_tops_are_counted(sound, tops):
    """Two periods of a sine have four tops, flat where they were cut off."""
    tone = 0.5 * np.sin(2 * np.pi * 500 * np.arange(192) / 48_000)
    meter = FlatTopMeter(2)
    heard = sound(tone)
    meter.add(np.stack([heard, tone[: heard.size]], axis=1))
    assert meter.tops() == tops


def test_a_higher_top_begins_the_count_anew():
    """Flat tops at another height were not cut off there."""
    flat = np.tile([0.0, 0.4, 0.4, 0.4], 20)[:, None]
    meter = FlatTopMeter(1)
    meter.add(flat)
    assert meter.tops() == 20
    meter.add(np.array([[0.2], [0.5], [0.2]]))
    assert meter.tops() == 0


def test_nothing_to_see_is_not_bent(clip):
    """No cue, a cue shorter than a window, and silence are not called clipped."""
    assert bend_of([]) == 0
    short = clip[:500]
    assert bend_of([peaks_of(short, short), peaks_of(0 * clip, clip)]) == 0
