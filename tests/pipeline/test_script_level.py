"""All that is said in a class is easy to follow, and said to adults."""

import re
from pathlib import Path

import pytest

from cuetrack import cuekinds
from cuetrack.languages.reading_level import (
    reading_rules,
    sentences_of,
    unwanted_words,
    words_of,
)
from cuetrack.movements.library import library_entries
from cuetrack.pipeline.checking import cue_sheet, placed_unspoken, read_plan

PATHS = sorted((Path(__file__).parents[2] / "examples").glob("*.yaml"))
LONGEST_WORDS = 17
"""Of a sentence: twelve and the five of "if you want it easier"."""

WHAT_TO_DO = re.compile(
    r"\b(?:bring|change|come|curve|do|draw|ease|find|go|grow|hold|keep|lean|let|lies"
    r"|lift|look|lower|make|moves?|never|pause|point|press|pull|put|rest|roll|set"
    r"|sit|spread|stands?|start|stay|stays|step|stop|swing|touch|turn|wait)\b",
    re.IGNORECASE,
)

each_example = pytest.mark.parametrize("path", PATHS, ids=lambda path: path.stem)


def script_of(path):
    """Return every wording that may be said in a class, a line each."""
    sheet = cue_sheet(read_plan(path))
    return "\n".join(dict.fromkeys(w.text for cue in sheet.cues for w in cue.wordings))


@each_example
def test_a_class_is_easy_to_follow(path):
    """At most US grade 6 by Flesch and Kincaid, over hundreds of words."""
    rules = reading_rules("en")
    counts = rules.count(script_of(path))
    assert counts.words >= 300
    assert rules.level.level(counts) <= rules.level.hardest


@each_example
def test_a_class_is_given_to_adults_in_plain_words(path):
    """No talking down, no jargon, no figures of speech in any wording."""
    assert unwanted_words(script_of(path)) == ()


@each_example
def test_no_sentence_of_a_class_is_long(path):
    """Longer ones are hard to keep in mind while moving; common practice."""
    for sentence in sentences_of(script_of(path)):
        assert len(words_of(sentence)) <= LONGEST_WORDS, sentence


def test_every_movement_can_be_taught_in_a_rest_of_half_a_minute(tmp_path):
    """All of them in one class: each is shown, and each caution is said."""
    path = tmp_path / "all.yaml"
    names = [entry.name for entry in library_entries()]
    path.write_text(
        "title: All of them\nwarm-up: [easy march, shoulder roll]\n"
        "intervals: {work: 40 s, rest: 30 s, rounds: 1, movements: ["
        + ", ".join(names)
        + "]}\ncool-down: [slow march, calf stretch]\n",
        "utf-8",
    )
    placed = placed_unspoken(read_plan(path), lambda _: None)
    kept = {
        cuekinds.PREVIEW,
        cuekinds.CAUTION,
        cuekinds.EQUIPMENT,
        cuekinds.SIDE_CHANGE,
    }
    assert not [item.cue.id for item in placed.left_out if item.cue.kind in kept]
    said = " ".join(cue.wording.text.casefold() for cue in placed.placed)
    for entry in library_entries():
        assert entry.name in said
        assert (entry.movement.caution or "").casefold() in said


def test_form_calls_of_the_library_are_short_whole_sentences():
    """Three words at least, and one of them tells what to do.

    A recogniser that is no part of this package (Whisper base) missed 22 % of the
    words of calls such as "Neck loose", and 4 % of those of short sentences.
    """
    calls = {call for entry in library_entries("en") for call in entry.movement.form}
    for call in calls:
        assert len(words_of(call)) >= 3, call
        assert WHAT_TO_DO.search(call), call
