"""Reading level and unwanted words are told as people would tell them."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cuetrack.languages.reading_level import (
    Counts,
    reading_rules,
    sentences_of,
    unwanted_words,
    words_of,
)

ENGLISH = reading_rules("en")


def grade(text):
    """Return the level of an English text."""
    return ENGLISH.level.level(ENGLISH.count(text))


@pytest.mark.parametrize(
    ("word", "syllables"),
    [
        ("march", 1),
        ("raised", 1),
        ("lifted", 2),
        ("ankles", 2),
        ("circles", 2),
        ("breathe", 1),
        ("breathing", 2),
        ("squeezes", 2),
        ("touches", 2),
        ("shoulder", 2),
        ("comfortable", 4),
        ("forearm", 2),
        ("sideways", 2),
        ("something", 2),
        ("carefully", 3),
        ("triceps", 2),
        ("weight", 1),
        ("tension", 2),
        ("radio", 3),
        ("rhythm", 2),
        ("people", 2),
        ("going", 2),
        ("you're", 1),
        ("15", 2),
        ("70", 3),
        ("45", 3),
        ("120", 6),
        ("'", 1),
        ("hmm", 1),
    ],
)
def test_syllables_are_those_that_are_spoken(word, syllables):
    """Silent letters, endings and numbers."""
    assert ENGLISH.syllables.count(word) == syllables
    assert ENGLISH.syllables.count(word.upper()) == syllables


@given(st.text(max_size=40))
def test_any_text_can_be_graded(text):
    """Nothing that can be written breaks it, and no count is negative."""
    counts = ENGLISH.count(text)
    assert counts.syllables >= counts.words >= 0
    assert counts.sentences >= 1
    assert counts.words_of_many_syllables <= counts.words
    assert (ENGLISH.level.level(counts) is None) == (counts.words == 0)


@given(st.sampled_from(["Lift one knee.", "Sit tall. Feet flat."]), st.integers(1, 9))
def test_saying_it_again_makes_it_no_harder(text, times):
    """The grade is a mean: repetition does not change it."""
    assert grade(" ".join([text] * times)) == pytest.approx(grade(text))


def test_longer_words_and_sentences_are_harder():
    """In both ways the formula knows."""
    easy = "Lift the foot. Hold it. Put it down."
    assert grade("Lift the foot, hold it and put it down.") > grade(easy)
    assert grade("Elevate the extremity. Maintain it. Lower it.") > grade(easy)


def test_no_words_have_no_grade():
    """Nothing is neither hard nor easy to divide by."""
    assert ENGLISH.level.level(Counts(words=0, sentences=1, syllables=0)) is None
    assert grade("") is grade("... !") is None


def test_sentences_end_where_the_voice_pauses():
    """Stops and new lines, not the points inside of numbers."""
    assert sentences_of("Hold 2.5 kg. Rest!\nForm: sit tall") == (
        "Hold 2.5 kg",
        "Rest",
        "Form: sit tall",
    )


def test_words_are_counted_as_they_are_spoken():
    """Hyphens part words, apostrophes do not."""
    assert words_of("Don't cool-down, it\u2019s 10 s") == (
        "Don't",
        "cool",
        "down",
        "it\u2019s",
        "10",
        "s",
    )


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("Let\u2019s lift our little legs, young lady.", 2),
        ("Good girl! Just a tiny bit more, sweetie.", 3),
        ("Lovely to see you all back. Today we work our legs.", 0),
        ("Abduction of the hip, then scapular retraction. RPE 5.", 3),
        ("Feel the burn and push through.", 2),
        ("Adjust the chair. An hour is enough. Well paced. Weekly.", 0),
        ("Lift one foot, then the other.", 0),
    ],
)
def test_unwanted_words_are_found_whole(text, found):
    """Pet names, making small, jargon; never inside other words."""
    assert len(unwanted_words(text)) == found


def test_an_unwanted_word_is_told_with_its_kind():
    """So that the reader knows why."""
    kinds = [w.kind for w in unwanted_words("Dearie, an isometric hold: feel the burn")]
    assert kinds == ["talking down", "jargon", "figures of speech"]


def test_a_language_without_a_list_has_no_unwanted_words():
    """English words are not looked for in German."""
    assert unwanted_words("just", "de") == ()
