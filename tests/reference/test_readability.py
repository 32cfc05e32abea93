"""The English phrase pack against the Flesch-Kincaid grade of plain language.

Formulae: Flesch reading ease = 206.835 - 1.015 w/s - 84.6 syl/w; Flesch-Kincaid
grade = 0.39 w/s + 11.8 syl/w - 15.59 (Kincaid and others 1975). The worked
sentences are those commonly published with the two formulae. Health agencies
ask for grade 6 or below in materials for patients.
"""

from __future__ import annotations

import re

import pytest
from languages.test_phrases import every_wording

pytestmark = pytest.mark.outside


def grade(words: int, sentences: int, syllables: int) -> float:
    return 0.39 * words / sentences + 11.8 * syllables / words - 15.59


def ease(words: int, sentences: int, syllables: int) -> float:
    return 206.835 - 1.015 * words / sentences - 84.6 * syllables / words


def syllables(word: str) -> int:
    """Count groups of vowels, silent ones left out."""
    letters = re.sub(r"[^a-z]", "", word.lower())
    if not letters:
        return 0
    letters = re.sub(r"e(?=ment|ly$|ful|less)", "", letters)
    groups = len(re.findall(r"[aeiouy]+", letters))
    silent = re.search(r"[^aeiouyl]e$|[^aeiouytd]ed$|[^aeiouyscxzgh]es$", letters)
    return max(1, groups - bool(silent))


@pytest.mark.parametrize(
    ("counts", "published_grade", "published_ease"),
    [
        ((13, 1, 24), 11.3, 37.5),
        ((6, 1, 6), -1.45, 116.1),
        ((16, 1, 23), 7.6, 69.0),
    ],
)
def test_formulae_give_the_published_values(counts, published_grade, published_ease):
    """The formulae agree with the published worked sentences."""
    assert grade(*counts) == pytest.approx(published_grade, abs=0.06)
    assert ease(*counts) == pytest.approx(published_ease, abs=0.06)


@pytest.mark.parametrize(
    ("text", "count"),
    [
        ("The cat sat on the mat", 6),
        ("This sentence taken as a reading passage unto itself", 15),
        ("breathe movement encouragement", 7),
    ],
)
def test_syllables_are_counted_as_a_reader_would(text, count):
    """The counter agrees with counting aloud, by hand."""
    assert sum(map(syllables, text.split())) == count


def test_english_pack_reads_at_grade_six_or_below():
    """All English wordings together read at grade 6 or easier."""
    text = " ".join(every_wording())
    words = [word for word in text.split() if re.search(r"\w", word)]
    sentences = len(re.findall(r"[.!?](?:\s|$)", text))
    assert len(words) > 500
    assert grade(len(words), sentences, sum(map(syllables, words))) <= 6
