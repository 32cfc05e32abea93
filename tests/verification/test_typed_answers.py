"""Answers to a listening test are read as people type them, and scored honestly."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binomtest

from cuetrack.errors import AnswerError
from cuetrack.verification.answers import (
    KeyRow,
    TypedAnswer,
    class_interval,
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
        "1 b yes\n2 c no\n3 \u2013",
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


OPEN = tuple(answer(n) for n in KEY)
RIGHT = tuple(answer(n, row.letter, easily=n < 7) for n, row in KEY.items())


def test_what_was_left_open_is_not_right():
    """Two sheets: one all right, one with two ticks, one of these wrong, and a dash."""
    found = scored(RIGHT, (answer(1, "b"), answer(2, "d"), answer(3)))
    assert (found.asked, found.right, found.left_open) == (11, 9, 1)
    assert (found.easily, found.judged) == (6, 8)
    assert found.by_sheet == ((1, 3), (8, 8))
    second = next(one for one in found.missed if one.number == 2)
    assert (second.said, second.missed, second.asked) == ("Shake it out.", 1, 2)
    assert second.taken_for == "Sit tall."
    text = "\n".join(score_lines(found))
    assert text.startswith("9 of 11 calls were understood (82 %); 1 were taken for")
    assert "Heard easily: 6 of 8 calls." in text
    assert "On 2 sheets it was 33 to 100 %." in text
    assert 'by 1 of 2, taken for "Sit tall."' in text
    assert "no hearing test" in text


def test_a_number_without_a_line_counts_nowhere():
    """A sheet typed in to its middle is told, and no call is held as missed for it."""
    found = scored(RIGHT, RIGHT[:4])
    assert (found.asked, found.right, found.no_line) == (12, 12, 4)
    assert not found.missed
    text = "\n".join(score_lines(found))
    assert "Not typed and not counted: 4 of the numbers." in text
    assert "not come across" not in text


def test_what_a_call_was_taken_for_is_what_most_took_it_for():
    """Two of three is mostly; one of two is not."""
    others = [(answer(1, letter),) for letter in "aca"]
    (missed,) = scored(*others).missed
    assert missed.taken_for == "Toes up."
    assert 'by 3 of 3, mostly taken for "Toes up."' in score_lines(scored(*others))[-3]
    (missed,) = scored(*others[:2]).missed
    assert missed.taken_for is None


def sheets_by_chance(rng, people):
    """Return right and asked of ``people``, whose true shares scatter about .8."""
    shares = rng.beta(4, 1, people)
    return [(int(right), 24) for right in rng.binomial(24, shares)]


def test_the_interval_of_a_class_holds_the_true_share_in_19_of_20():
    """600 classes of 8 by chance (seeded); pooled answers would hold it in few.

    Their true share is the mean of the beta distribution drawn from, .8.
    """
    rng = np.random.default_rng(8)
    classes = [sheets_by_chance(rng, 8) for _ in range(600)]
    held = [low <= 0.8 <= high for low, high in map(class_interval, classes)]
    pooled = [share_interval(sum(r for r, _ in one), 8 * 24) for one in classes]
    assert np.mean(held) > 0.93
    assert np.mean([low <= 0.8 <= high for low, high in pooled]) < 0.8


@pytest.mark.outside
def test_the_interval_of_a_class_is_that_of_its_effective_answers():
    """Against scipy's exact binomial interval on counts worked out by hand.

    Sheets of 20, 10, 10 and 0 of 20: p = .5, variance 4/3 * 200 / 80 ** 2, that of 80
    independent answers .25 / 80, design effect 13.33: 6 answers. Quantiles of t in
    any handbook: 1.9905 for 79, 3.1824 for 3 degrees: 6 * .3912 = 2.347.
    """
    found = class_interval([(20, 20), (10, 20), (10, 20), (0, 20)])
    below = binomtest(1, 2).proportion_ci()
    above = binomtest(2, 4).proportion_ci()
    assert below.low < found[0] < above.low
    assert above.high < found[1] < below.high
    assert class_interval([(7, 9)]) == share_interval(7, 9)
    one = binomtest(7, 9).proportion_ci()
    assert class_interval([(7, 9)]) == pytest.approx((one.low, one.high))


@pytest.mark.parametrize(
    ("sheets", "words"),
    [
        ([RIGHT], "tells of one person"),
        ([RIGHT], "For this person in this seat the share lies between 63 and 100 %"),
        ([RIGHT] * 3, "So few people"),
        ([RIGHT] * 9, "The calls come across in this hall"),
        ([OPEN] * 6, "do not come across well enough here"),
        ([OPEN], "do not come across well enough in this seat"),
        ([RIGHT] * 2, "so few answers cannot tell"),
    ],
)
def test_the_sentence_is_no_bolder_than_the_answers(sheets, words):
    """Few answers say little; many, all right or all open, say it plainly."""
    assert words in "\n".join(score_lines(scored(*sheets)))
