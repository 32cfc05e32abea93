"""What is written and how it sounds: chords, rhythms, notes and instruments."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from random import Random

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.fft import rfft, rfftfreq

from cuetrack.plan.model import MusicStyle
from cuetrack.sound.composing.drums import DRUMS, TAKES, drum_sound
from cuetrack.sound.composing.figures import (
    ARPEGGIOS,
    BASS,
    CHORDS,
    FILLS,
    GROOVES,
    MOTIFS,
    SOFT_FILLS,
    SPARSE_MOTIFS,
)
from cuetrack.sound.composing.harmony import MAJOR, chord, line, voicing
from cuetrack.sound.composing.instruments import TIMBRES, hertz, note_sound
from cuetrack.sound.composing.layers import LayerPart
from cuetrack.sound.composing.pieces import fitted, phrase_sizes
from cuetrack.sound.composing.rendering import STEREO_PLACES, frame_of, softly_limited
from cuetrack.sound.composing.scenes import SCENE_LUFS, Scene, scene_of
from cuetrack.sound.composing.styles import STYLES
from cuetrack.sound.composing.writing import (
    TICKS_A_BEAT,
    MusicPhrase,
    Players,
    write_phrase,
)
from tests.sound.composed import timeline

RATE = 48_000
FIGURES = {
    LayerPart.DRUMS: GROOVES,
    LayerPart.BASS: BASS,
    LayerPart.CHORDS: CHORDS,
    LayerPart.ARPEGGIO: ARPEGGIOS,
}


def phrase_of(style, scene=Scene.WORK, beats=32, **more):
    chords = fitted(line(STYLES[style].verses[0]), -(-beats // 4))
    return MusicPhrase(scene=scene, tonic=7, chords=chords, beats=beats, **more)


def notes_of(style, seed=1, **more):
    return write_phrase(style, phrase_of(style, **more), Players(rng=Random(seed)))


def test_plans_may_ask_for_exactly_the_styles_there_are():
    """Every word of the plan has a style, and every style a word."""
    assert set(STYLES) == set(MusicStyle)


@pytest.mark.parametrize("style", STYLES)
def test_style_is_complete(style):
    """All its chords, figures and voices exist, for every scene."""
    data = STYLES[style]
    for numerals in (*data.verses, *data.bridges):
        assert len(line(numerals)) == 8
    assert set(data.scenes) == set(Scene)
    for places in data.scenes.values():
        for layer in (one for place in places for one in place if one):
            assert set(layer.figures) <= set(FIGURES.get(layer.part, ()))
            assert bool(layer.figures) == (layer.part in FIGURES)
            assert layer.part is LayerPart.DRUMS or layer.voice in TIMBRES


def test_figures_fill_their_bars():
    """Every bar of every figure has sixteen steps, and every drum exists."""
    drums = [*GROOVES.values(), *FILLS.values(), *SOFT_FILLS.values()]
    lines = [*BASS.values(), *CHORDS.values(), *ARPEGGIOS.values(), *MOTIFS]
    for figure in [*lines, *SPARSE_MOTIFS, *(f for d in drums for f in d.values())]:
        assert {len(bar) for bar in figure.split("|")} == {16}
    assert {voice for groove in drums for voice in groove} <= set(DRUMS)
    assert set(STEREO_PLACES) == set(DRUMS) | set(TIMBRES)


@given(st.integers(1, 400))
def test_phrases_fill_a_passage_and_have_eight_bars_where_they_can(beats):
    """No phrase is a scrap, unless the passage is one."""
    sizes = phrase_sizes(beats)
    assert sum(sizes) == beats
    assert all(size % 32 == 0 for size in sizes[:-1])
    assert max(sizes) <= 44
    assert len(sizes) == 1 or min(sizes) > 12


@given(st.integers(1, 11))
def test_lines_are_made_to_fit_and_keep_their_way_home(bars):
    """The first chord stays first and the last stays last."""
    whole = line("I vi IV V I vi ii7 V")
    found = fitted(whole, bars)
    assert len(found) == bars
    assert found[0] == chord("I")
    assert bars == 1 or found[-1] == chord("V")


def test_voicings_move_little_from_chord_to_chord():
    """Common tones stay where they are: C major to A minor moves one voice."""
    first = voicing((0, 4, 7), 60)
    second = voicing((9, 12, 16), 60, first)
    assert len(set(first) & set(second)) == 2


@pytest.mark.parametrize("style", STYLES)
@pytest.mark.parametrize("beats", [5, 8, 18, 32, 43])
def test_notes_lie_within_their_phrase(style, beats):
    """Whatever the number of beats, nothing is struck before or after it."""
    for scene in Scene:
        for note in notes_of(style, scene=scene, beats=beats, closes=True):
            assert 0 <= note.tick < beats * TICKS_A_BEAT + 4
            assert note.ticks >= 0
            assert 0 < note.strength <= 1


@pytest.mark.parametrize("style", STYLES)
def test_the_first_beat_of_a_work_is_struck_by_bass_and_drums(style):
    """Each movement starts on a downbeat that can be heard."""
    first = {note.voice for note in notes_of(style) if note.tick == 0}
    assert "round bass" in first
    assert first & {"kick", "low drum"}


@pytest.mark.parametrize("style", STYLES)
def test_every_note_belongs_to_its_key_or_chord(style):
    """No bass line, arpeggio or melody strikes a tone that is foreign to both."""
    data = STYLES[style]
    for seed, numerals in enumerate((*data.verses, *data.bridges)):
        chords = line(numerals)
        phrase = replace(phrase_of(style, number=1), chords=chords)
        for scene in Scene:
            players = Players(rng=Random(seed))
            for note in write_phrase(style, replace(phrase, scene=scene), players):
                bar = min(note.tick // (4 * TICKS_A_BEAT), 7)
                tones = {*MAJOR, *(tone % 12 for tone in chords[bar].tones)}
                assert not note.pitch or (note.pitch - phrase.tonic) % 12 in tones


@pytest.mark.parametrize("style", STYLES)
def test_notes_keep_to_a_range_that_leaves_speech_its_room(style):
    """No fundamental is above 900 Hz or below 40 Hz; melodies stay below 700 Hz."""
    for seed in range(6):
        for note in notes_of(style, seed, number=1):
            assert not note.pitch or 40 < hertz(note.pitch) < 900
            assert note.voice != "kalimba" or hertz(note.pitch) < 700


@pytest.mark.parametrize("style", STYLES)
def test_work_is_fuller_than_rest(style):
    """More is played in the work than in the rest, in each style and at any seed."""
    for seed in range(5):
        work = notes_of(style, seed, scene=Scene.WORK)
        rest = notes_of(style, seed, scene=Scene.REST)
        assert len(work) > 1.5 * len(rest)


@pytest.mark.parametrize("style", STYLES)
def test_players_do_not_play_the_same_twice_running(style):
    """Of two phrases one after the other, each is written anew."""
    players = Players(rng=Random(3))
    first = write_phrase(style, phrase_of(style), players)
    second = write_phrase(style, phrase_of(style), players)
    played = [{(note.tick, note.voice) for note in notes} for notes in (first, second)]
    assert len(played[0] & played[1]) < 0.8 * len(played[0])


def test_scenes_follow_the_energy_of_the_class():
    """Work is loudest, then warm-up, break, rest and cool-down; talk is thinnest."""
    order = [
        SCENE_LUFS[scene_of(segment)]
        for segment in timeline(
            ("work", 1),
            ("warm", 1),
            ("recovery", 1),
            ("rest", 1),
            ("still", 1),
            ("opening", 1),
            ("welcome", 1),
        ).segments
    ]
    assert order == sorted(order, reverse=True)
    assert len(set(order)) == len(order)
    cool = timeline(("cool", 1)).segments[0]
    assert SCENE_LUFS[scene_of(cool)] < SCENE_LUFS[Scene.WARM]


@pytest.mark.parametrize("voice", TIMBRES)
@pytest.mark.parametrize("pitch", [40, 57, 69])
def test_instruments_are_in_tune_and_do_not_click(voice, pitch):
    """The pitch is that of equal temperament within 3 cents; ends are at nothing."""
    sound = note_sound(voice, pitch, 0.7)
    assert abs(sound[0]) < 1e-4
    assert abs(sound[-1]) < 1e-4
    size = 1 << 20
    power = np.abs(rfft(sound * np.hanning(len(sound)), size)) ** 2
    hz = rfftfreq(size, 1 / RATE)
    cents = 1200 * np.log2(np.maximum(hz, 1) / hertz(pitch))
    # The centre of the fundamental: a pad has voices on both sides of it.
    near = np.abs(cents) < 40
    assert abs(np.average(cents[near], weights=power[near])) < 3


@pytest.mark.parametrize("voice", DRUMS)
def test_drums_differ_from_take_to_take_and_end_at_nothing(voice):
    """No stroke is a copy of the one before, and none clicks."""
    takes = [drum_sound(voice, take, 0.7) for take in range(TAKES)]
    for one, other in pairwise(takes):
        assert not np.array_equal(one, other)
    assert all(abs(take[0]) < 1e-4 and abs(take[-1]) < 1e-4 for take in takes)


def test_hit_harder_is_louder():
    """A drum struck hard is louder than one struck softly."""
    soft, hard = (np.abs(drum_sound("kick", 0, one)).max() for one in (0.4, 1.0))
    assert hard > 1.3 * soft


@given(st.integers(0, 5000), st.integers(1, 5000), st.integers(1, 10**7))
def test_ticks_fall_on_the_nearest_frame(tick, ticks, frames):
    """Exact arithmetic, halves up, no drift."""
    assert abs(frame_of(tick, ticks, frames) * ticks - tick * frames) * 2 <= ticks


def test_limiting_leaves_what_is_not_loud_alone():
    """Below the knee nothing changes; above it nothing reaches full scale."""
    quiet = np.linspace(-0.7, 0.7, 100, dtype=np.float32).reshape(-1, 2)
    assert np.array_equal(softly_limited(quiet.copy()), quiet)
    assert np.abs(softly_limited(np.full((4, 2), 3.0, np.float32))).max() < 0.96
