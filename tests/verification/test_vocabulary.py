"""What a recogniser can listen for is prepared without guessing."""

from __future__ import annotations

import pytest

from cuetrack.verification.vocabulary import DECOYS, grammar, vocabulary_of, words_of


class SmallDictionary:
    """Knows six words."""

    WORDS = {  # noqa: RUF012 - a constant table
        "lark": "L AA R K",
        "field": "F IY L D",
        "sit": "S IH T",
        "tall": "T AO L",
        "don't": "D OW N T",
        "ark": "AA R K",
    }

    def lookup_word(self, word):
        return self.WORDS.get(word)


@pytest.mark.parametrize(
    ("spoken", "words"),
    [
        ("Sit tall.", ["sit", "tall"]),
        ("Don\u2019t", ["don't"]),
        ("Half-way: caf\u00e9!", ["half", "way", "cafe"]),
        ("'Quoted' words", ["quoted", "words"]),
        ("...", []),
    ],
)
def test_words_are_what_is_said(spoken, words):
    """Case, punctuation and accents are gone, apostrophes within words stay."""
    assert words_of(spoken) == words


def test_a_compound_is_pronounced_as_its_parts():
    """A word nobody lists is put together from two that are."""
    vocabulary = vocabulary_of(["Sit tall, Larkfield."], SmallDictionary())
    assert vocabulary.phrases == {"Sit tall, Larkfield.": "sit tall larkfield"}
    assert vocabulary.added == {"larkfield": "L AA R K F IY L D"}


def test_a_respelled_text_is_listened_for_as_it_is_written():
    """Spelling for the voice is no word; the text for readers says which is meant."""
    written = {"Seet tawl.": "Sit tall.", "Qxz 3.": "Sit 3.", "Sit tall": "Don't"}
    vocabulary = vocabulary_of(written, SmallDictionary(), written)
    assert vocabulary.phrases == {"Seet tawl.": "sit tall", "Sit tall": "sit tall"}
    assert vocabulary.unknown == {"Qxz 3.": "qxz"}


def test_what_cannot_be_pronounced_is_listed_with_the_word():
    """Unknown words and digits are not guessed at: the text is set aside."""
    vocabulary = vocabulary_of(["Sit qigong.", "Sit 3 tall.", "!"], SmallDictionary())
    assert vocabulary.phrases == {}
    assert vocabulary.unknown == {
        "Sit qigong.": "qigong",
        "Sit 3 tall.": "Sit 3 tall.",
        "!": "!",
    }


def test_a_grammar_offers_each_phrase_once():
    """Phrases that are said the same are one choice."""
    text = grammar(["sit tall", "rest", "sit tall"])
    assert text.splitlines()[-1] == "public <cue> = rest | sit tall;"


def test_decoys_are_distinct_and_speakable():
    """No decoy is listed twice, and each is lower-case words."""
    assert len(set(DECOYS)) == len(DECOYS)
    assert all(" ".join(words_of(decoy)) == decoy for decoy in DECOYS)
