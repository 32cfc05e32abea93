"""Listening without the clips: what is heard, where, and what is not judged."""

from __future__ import annotations

import json
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from msgspec import structs

from cuetrack import cuekinds
from cuetrack.speech.speaker import StoredSpeaker
from cuetrack.speech.store import ClipStore
from cuetrack.speech.voices import voice_named
from cuetrack.times import frames_from_ms
from cuetrack.verification import recogniser, vocabulary
from cuetrack.verification.listening import (
    HeardCue,
    _row,
    _unless_unheard,
    listen,
    listening_lines,
    listening_to_json,
)
from tests.verification.tracks import COUNT, Shelf, build, write

pytest.importorskip(
    "pocketsphinx",
    reason='pip install ".[listen]" brings the recogniser, up to Python 3.13',
)

TEXTS = (
    "Fifteen seconds left.",
    "Breathe out as you push.",
    "Shoulders down.",
    "Keep your feet moving.",
    "Change sides.",
    "Last one before the recovery.",
)


@pytest.fixture(scope="module")
def spoken(tmp_path_factory):
    """A class said by the embedded espeak voice, a count at its end."""
    store = ClipStore(tmp_path_factory.mktemp("clips"))
    speaker = StoredSpeaker(voice_named("espeak-en"), store)
    texts = [(500 + 3500 * at, text) for at, text in enumerate(TEXTS)]
    texts += [(22_000 + 1000 * at, word) for at, word in enumerate(COUNT)]
    return build(tuple(texts), duration_ms=27_000, speaker=speaker, counted=COUNT)


def heard(tmp_path, track, sound=None, **options):
    path = write(tmp_path / "class.wav", track.sound() if sound is None else sound)
    return listen(path, track.sheet, **options)


def test_every_phrase_is_heard_in_its_place(tmp_path, spoken):
    """All phrases are understood among decoys; a count is one phrase."""
    report = heard(tmp_path, spoken)
    assert report.share == 1, listening_lines(report)
    assert report.passed
    assert len(report.rows) == len(TEXTS) + 1
    assert report.rows[-1].heard == "three two one"
    assert len(report.rows[-1].ids) == 3
    assert report.decoys > 20


def test_swapped_phrases_are_heard_as_each_other(tmp_path, spoken):
    """The recogniser names what is said, not what the sheet says."""
    report = heard(tmp_path, spoken.swap(0, 3))
    wrong = [row for row in report.rows if not row.right]
    assert [row.heard for row in wrong] == [
        "keep your feet moving",
        "fifteen seconds left",
    ]


def test_one_vital_cue_that_says_something_else_fails_the_track(tmp_path, spoken):
    """A count that says another count fails, however much else is understood."""
    cues = [
        structs.replace(row, text=word, spoken=word)
        for row, word in zip(
            spoken.sheet.cues[6:], ("Four.", "Five.", "Six."), strict=True
        )
    ]
    sheet = structs.replace(spoken.sheet, cues=(*spoken.sheet.cues[:6], *cues))
    report = heard(tmp_path, replace(spoken, sheet=sheet))
    assert report.share > 0.8
    assert report.passed is False
    assert 'in place of "Four. Five. Six.", which keeps' in report.headline


def test_a_vital_cue_heard_both_ways_is_not_judged():
    """What is heard as planned with more sound around it is no falsified cue."""

    class Doubtful:
        vocabulary = vocabulary.ListeningGrammar(
            phrases={"Begin.": "begin"}, unknown={}, added={}
        )

        def hear(self, pieces):
            return "begin" if pieces[0] else "again"

    group = build(((500, "Begin."),), duration_ms=3000).sheet.cues
    row = _row(group, Doubtful(), [0, 1], vital=True)
    assert row.right is None
    assert not row.falsified


@pytest.mark.parametrize(
    ("heard", "kind", "fails"),
    [
        ("", cuekinds.FREE, False),
        ("begin", cuekinds.FREE, True),
        ("", cuekinds.START, True),
        ("", None, True),
    ],
)
def test_an_own_sentence_fails_the_track_only_by_saying_another(heard, kind, fails):
    """Names that no recogniser knows may be why nothing was heard of it."""
    row = HeardCue(
        ids=("a",),
        planned_ms=0.0,
        spoken="Maud has the jug.",
        heard=heard,
        right=False,
        note="",
        vital=True,
    )
    assert _unless_unheard(row, kind).falsified is fails


def test_words_that_are_not_there_are_not_heard(tmp_path, spoken):
    """Noise where the cues should be is never taken for them all."""
    draw = np.random.default_rng(4)
    noise = 0.05 * draw.standard_normal(frames_from_ms(27_000)).astype(np.float32)
    report = heard(tmp_path, spoken, noise)
    assert report.right <= 1
    assert report.passed is False


def test_silence_is_heard_as_nothing_right(tmp_path, spoken):
    """A silent file breaks nothing and is understood nowhere."""
    report = heard(tmp_path, spoken, np.zeros(frames_from_ms(27_000), np.float32))
    assert report.right == 0


def test_what_cannot_be_pronounced_is_listed(tmp_path, spoken):
    """An unknown word leaves its cue unjudged, and the report says which word."""
    first, *others = spoken.sheet.cues
    cues = (structs.replace(first, text="Qxz.", spoken="Sit like a qxz."), *others)
    track = replace(spoken, sheet=structs.replace(spoken.sheet, cues=cues))
    report = heard(tmp_path, track)
    assert report.rows[0].right is None
    assert "qxz" in report.rows[0].note
    assert report.judged == len(TEXTS)
    assert "1 could not be judged" in report.headline


def test_a_name_put_together_from_two_words_is_heard(tmp_path, spoken):
    """The name of a hall is in no dictionary; its two halves are."""
    speaker = spoken.shelf.speaker
    track = build(((500, "Welcome to Larkfield."),), duration_ms=4000, speaker=speaker)
    report = heard(tmp_path, track)
    assert report.rows[0].heard == "welcome to larkfield"


def test_a_respelled_cue_is_judged_by_what_is_written(tmp_path, spoken):
    """A spelling for the voice, which no dictionary has, does not hide its cue."""
    first, second, *others = spoken.sheet.cues
    cues = (
        structs.replace(first, spoken="Fif-teen sekkunz left."),
        structs.replace(second, spoken="Qxz.", text="Shoulders down."),
        *others,
    )
    track = replace(spoken, sheet=structs.replace(spoken.sheet, cues=cues))
    report = heard(tmp_path, track)
    assert [row.right for row in report.rows[:2]] == [True, False]


def test_a_count_is_heard_through_noise_between_its_words(tmp_path, spoken):
    """What is loud only in the gaps of a count does not hide its words."""
    sound = spoken.sound()
    draw = np.random.default_rng(6)
    level = float(np.sqrt(np.mean(np.square(sound[sound != 0]))))
    for before, behind in pairwise(spoken.sheet.cues[-len(COUNT) :]):
        gap = slice(
            frames_from_ms(int(before.end_ms) + 150),
            frames_from_ms(int(behind.start_ms) - 150),
        )
        frames = gap.stop - gap.start
        sound[gap] = level * draw.standard_normal(frames).astype(np.float32)
    assert heard(tmp_path, spoken, sound).rows[-1].right


def test_a_count_in_another_order_is_not_taken_for_it(tmp_path, spoken):
    """Words of a count are judged by which they are, not by how many."""
    at = len(TEXTS)
    report = heard(tmp_path, spoken.swap(at, at + 2))
    assert report.rows[-1].right is False
    assert report.right == len(TEXTS)


def test_another_language_is_not_judged(tmp_path, spoken):
    """A German sheet is not judged by an English ear."""
    german = replace(spoken, sheet=structs.replace(spoken.sheet, language="de"))
    report = heard(tmp_path, german)
    assert report.share is None
    assert report.passed is None
    assert "English" in listening_lines(report)[0]


def test_a_recogniser_that_breaks_is_built_anew(tmp_path, spoken, monkeypatch):
    """One failure costs nothing; a lasting one leaves the cue unjudged."""
    decode, calls = recogniser.decode, []

    def fragile(decoder, pcm):
        calls.append(decoder)
        if len(calls) == 1 or 4 <= len(calls) <= 9:
            raise RuntimeError("Failed to stop utterance processing")
        return decode(decoder, pcm)

    monkeypatch.setattr(recogniser, "decode", fragile)
    report = heard(tmp_path, spoken)
    assert [row.right for row in report.rows].count(None) == 1
    assert report.right == len(TEXTS)
    assert calls[0] is not calls[1]


def test_listening_can_be_read_by_programs_and_people(tmp_path, spoken):
    """The JSON form holds the share; the lines list all or only what is wrong."""
    seen = []
    report = heard(tmp_path, spoken.drop(2), progress=lambda *at: seen.append(at))
    told = json.loads(json.dumps(listening_to_json(report), allow_nan=False))
    assert told["judged"] == len(TEXTS) + 1
    assert told["share"] == pytest.approx(len(TEXTS) / (len(TEXTS) + 1))
    assert len(listening_lines(report)) == 2
    assert len(listening_lines(report, every_row=True)) == len(TEXTS) + 2
    assert seen[-1] == (len(TEXTS) + 1, len(TEXTS) + 1)


def test_a_sheet_without_cues_is_not_judged(tmp_path):
    """Nothing to hear is nothing to judge."""
    track = build((), duration_ms=1000)
    report = heard(tmp_path, track, np.zeros(48_000, np.float32))
    assert report.share is None
    assert isinstance(track.shelf, Shelf)
