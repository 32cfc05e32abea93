"""Answers to a listening test are read as people type them, and scored honestly."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cuetrack.errors import AnswerError
from cuetrack.verification.answers import (
    KeyRow,
    TypedAnswer,
    read_answers,
    score,
    score_lines,
    share_interval,
)

CHOICES = ("Toes up.", "Palms up.", "Shake it out.", "Sit tall.")
KEY = {n: KeyRow(number=n, letter="abcd"[n % 4], choices=CHOICES) for n in range(1, 9)}


def answer(number, letter=None, *, easily=None):
    return TypedAnswer(number=number, letter=letter, easily=easily)


@pytest.mark.outside
@pytest.mark.parametrize(
    ("right", "asked", "low", "high"),
    [
        (0, 10, 0.0, 0.3085),
        (1, 10, 0.0025, 0.4450),
        (5, 10, 0.1871, 0.8129),
        (10, 10, 0.6915, 1.0),
        (682, 925, 0.7077, 0.7654),
    ],
)
def test_the_interval_is_that_of_the_tables(right, asked, low, high):
    """Exact limits of the binomial as tabled for ten; the last is R's binom.test.

    Documenta Geigy, Scientific Tables, and R's manual: from memory.
    """
    assert share_interval(right, asked) == pytest.approx((low, high), abs=5e-5)


@given(st.integers(1, 500).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n))))
def test_the_interval_holds_the_share_and_mirrors(counts):
    """It lies within 0 and 1 about the share, and wrong is right turned round."""
    right, asked = counts
    low, high = share_interval(right, asked)
    assert 0 <= low <= right / asked <= high <= 1
    other = share_interval(asked - right, asked)
    assert (1 - other[1], 1 - other[0]) == pytest.approx((low, high))


@pytest.mark.parametrize(
    "typed",
    [
        "1 b yes\n2 c no\n3 -",
        "sheet 1\n1 b yes\n2 c no\n3 -\n",
        "1b y, 2c n, 3 ?",
        "1: B Yes; 2: C No; 3: none",
        "\ufeff1. b easy   # first row\n\n2) c, hard\n3 = -",
        "1 b yes 2 c no 3 -",
    ],
)
def test_many_ways_of_typing_mean_the_same(typed):
    """Case, marks, gaps, notes and empty lines do not matter."""
    sheets = read_answers(typed, KEY)
    assert sheets == (
        (answer(1, "b", easily=True), answer(2, "c", easily=False), answer(3)),
    )


def test_sheets_are_told_apart():
    """By a line that says so, or by number one again."""
    sheets = read_answers("1 b\n2 c\nsheet\n2 d\nNext\nPerson 3\n1 a\n1 b", KEY)
    assert [len(sheet) for sheet in sheets] == [2, 1, 1, 1]


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ("1 b\n9 a", "hall.txt:2:1: there is no number 9. The numbers go from 1 to 8."),
        ("1 b, 2 e", "hall.txt:1:6: there is no sentence e. The letters go from a to"),
        ("1 b\n2 a\n2 a", "hall.txt:3:1: number 2 is there twice on this sheet."),
        ("1 b\nMrs Gray", "hall.txt:2:1: 'Mrs Gray' is no answer. Type a line"),
        ("1 b yes 2 cc", "hall.txt:1:9: '2 cc' is no answer."),
        ("# nothing yet", "hall.txt: there is no answer in it."),
    ],
)
def test_what_cannot_be_read_is_told_with_its_place(typed, told):
    """FILE:LINE:COLUMN, what is wrong and what to do."""
    with pytest.raises(AnswerError) as caught:
        read_answers(typed, KEY, "hall.txt")
    assert str(caught.value).startswith(told)


def test_all_mistakes_are_told_at_once():
    """However many there are."""
    with pytest.raises(AnswerError) as caught:
        read_answers("1 b\n9 a\n2 f\nhm", KEY, "hall.txt")
    assert [one.line for one in caught.value.problems] == [2, 3, 4]


def scored(*sheets):
    return score(sheets, KEY)


RIGHT = tuple(answer(n, row.letter, easily=n < 7) for n, row in KEY.items())


def test_what_was_left_open_is_not_right():
    """Two sheets: one all right, one with two ticks, one of these wrong."""
    found = scored(RIGHT, (answer(1, "b"), answer(2, "d"), answer(3)))
    assert (found.asked, found.right, found.left_open) == (16, 9, 6)
    assert (found.easily, found.judged) == (6, 8)
    assert found.by_sheet == (1, 8)
    second = next(one for one in found.missed if one.number == 2)
    assert (second.said, second.missed) == ("Shake it out.", 1)
    assert second.taken_for == "Sit tall."
    text = "\n".join(score_lines(found))
    assert text.startswith("9 of 16 calls were understood (56 %); 1 were taken for")
    assert "Heard easily: 6 of 8 calls." in text
    assert "On 2 sheets it was 1 to 8 of 8." in text
    assert 'most taken for "Sit tall."' in text
    assert "no hearing test" in text


@pytest.mark.parametrize(
    ("sheets", "words"),
    [
        ([RIGHT], "tells of one person"),
        ([RIGHT] * 3, "So few people"),
        ([RIGHT] * 6, "The calls come across in this hall"),
        ([()] * 6, "do not come across well enough here"),
        ([RIGHT] * 2, "so few answers cannot tell"),
    ],
)
def test_the_sentence_is_no_bolder_than_the_answers(sheets, words):
    """Few answers say little; many, all right or all open, say it plainly."""
    assert words in "\n".join(score_lines(scored(*sheets)))
