"""Two witnesses must have a line, and a name must be heard by the larger ear."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cuetrack.takes.judging import Judgement, judged
from cuetrack.takes.witnesses import ScriptWords, WitnessedReading

HEEL = ("next", "heel", "dig")
TOE = ("next", "toe", "tap")
REST = ("you", "may", "rest")
SCRIPT = ScriptWords(
    lines=(HEEL, REST, ("two",), ("ten",)),
    names=(("heel", "dig"), ("toe", "tap")),
)


def reading(line, freely, chosen, larger, **more):
    words = SCRIPT.lines[line]
    given = {
        "line": line,
        "start": 0,
        "end": 3000 * (sum(map(len, words)) + 4),
        "first": 0,
        "last": len(words) - 1,
        "freely": freely,
        "chosen": chosen,
        "rival": "" if chosen == words else "another movement is named",
        "larger": larger,
        "alone": True,
    }
    return WitnessedReading(**given | more)


def verdict(*readings):
    return [one.judgement for one in judged(readings, SCRIPT, tuple)]


@pytest.mark.parametrize(
    ("freely", "chosen", "larger", "good"),
    [
        (HEEL, HEEL, HEEL, True),
        (HEEL, HEEL, None, True),
        (HEEL, TOE, HEEL, True),
        (TOE, HEEL, HEEL, True),
        (HEEL, HEEL, TOE, False),
        (HEEL, HEEL, (), False),
        (HEEL, HEEL, ("next", "heel", "big"), False),
        (HEEL, TOE, None, False),
        (TOE, HEEL, None, False),
        (TOE, TOE, HEEL, False),
        (TOE, TOE, TOE, False),
    ],
)
def test_a_name_needs_two_witnesses_and_the_larger_ear(freely, chosen, larger, good):
    """No single ear lets a movement's name pass, and none passes against the larger."""
    wanted = Judgement.GOOD if good else Judgement.DOUBTFUL
    assert verdict(reading(0, freely, chosen, larger)) == [wanted]


HEARD = st.sampled_from([HEEL, TOE, ("next", "heel"), ("next", "arm", "circle"), ()])


@given(HEARD, HEARD, HEARD)
def test_what_two_ears_hear_otherwise_is_never_taken(freely, chosen, larger):
    """Whatever three ears hear, a line that two of them miss is not good."""
    missing = sum(heard != HEEL for heard in (freely, chosen, larger))
    if missing >= 2 or larger != HEEL:
        assert verdict(reading(0, freely, chosen, larger)) != [Judgement.GOOD]


@pytest.mark.parametrize(
    ("freely", "chosen", "larger", "more", "good"),
    [
        (("two",), ("two",), (), {}, True),
        (("to",), ("two",), (), {}, True),
        (("ten",), ("two",), (), {}, False),
        (("two",), ("ten",), (), {}, False),
        (("to",), ("two",), (), {"alone": False}, False),
        (("to",), (), (), {}, False),
    ],
)
def test_a_lone_word_stands_where_no_other_is_heard(freely, chosen, larger, more, good):
    """One ear is enough for a word between pauses, unless any hears another line."""
    found = verdict(reading(2, freely, chosen, larger, **more))
    assert (found == [Judgement.GOOD]) == good


@pytest.mark.parametrize(
    ("cut_off_ms", "larger", "good"),
    [(300, REST, False), (40, REST, True), (40, None, False), (40, HEEL, False)],
)
def test_a_word_more_in_the_same_breath_is_heard_first(cut_off_ms, larger, good):
    """A little sound beside a line is let pass only by the larger ear, a word never."""
    more = {"beside": ("now",), "cut_off": 48 * cut_off_ms}
    plain = reading(1, REST, REST, larger, **more)
    found = judged([plain], SCRIPT, tuple)[0]
    assert (found.judgement is Judgement.GOOD) == good
    assert good or found.why == "more was said in the same breath: 'now'"


def test_a_false_start_is_no_doubt():
    """What is broken off and read again at once is dropped; alone it is doubtful."""
    start = reading(1, REST[:2], (), REST[:2], last=1, end=40_000)
    whole = reading(1, REST, REST, REST)
    assert verdict(start, whole) == [Judgement.BROKEN_OFF, Judgement.GOOD]
    assert verdict(start) == [Judgement.DOUBTFUL]


def test_a_reading_of_an_odd_length_is_heard_first():
    """Twice as long as this reader takes for so many letters is no plain reading."""
    plain = [reading(1, REST, REST, REST)] * 3
    long = reading(1, REST, REST, REST, end=3 * plain[0].end)
    assert verdict(*plain, long)[-1] is Judgement.DOUBTFUL
