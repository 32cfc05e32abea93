"""How long a short class warms up and cools down."""

from __future__ import annotations

import pytest

from cuetrack.cues.timeline import lay_out
from cuetrack.movements.library import load_library
from cuetrack.plan.reading import parse_plan
from cuetrack.review.reviewing import review

LENGTHS = {"T01", "T02", "T04", "T18"}

PLAN = """\
title: A short class at Larkfield Hall
group: {{age: 80, facts: [{facts}]}}
welcome: 30 s
warm-up:
  opening: none
  movements: [easy march: {warm_up}]
intervals:
  work: 30 s
  rest: 30 s
  rounds: 1
  movements: [heel dig, {own}, {last}]
cool-down:
  opening: none
  movements: [slow march: {cool_down}]
close: CLOSE
"""
OWN = "{movement: wave along, how: Wave both hands in your lap.}"


def told(minutes, warm_up, cool_down="5 min", facts="arthritis", last="toe tap"):
    """Return the rules on warm-up and cool-down that speak, and what they say."""
    text = PLAN.format(
        facts=facts, warm_up=warm_up, cool_down=cool_down, own=OWN, last=last
    )
    rest_ms = (minutes + 1) * 60_000 - _length_ms(text.replace("CLOSE", "1 min"))
    plan = _read(text.replace("CLOSE", f"{rest_ms // 1000} s"))
    timeline = lay_out(plan)
    assert timeline.end_ms == minutes * 60_000
    found = [f for f in review(plan, timeline) if f.rule.id in LENGTHS]
    return {f.rule.id: f.what for f in found}


def _length_ms(text):
    return lay_out(_read(text)).end_ms


def _read(text):
    return parse_plan(text, "short.yaml", library=load_library)


# A quarter of the class: common practice for short gentle classes. Five minutes from
# twenty on: RACGP HANDI, exercise rehabilitation (5 to 10 minutes).
@pytest.mark.parametrize(
    ("minutes", "warm_up", "rules"),
    [
        (12, "3 min", set()),
        (13, "4 min", set()),
        (16, "4 min", set()),
        (17, "4 min", {"T02"}),
        (16, "3 min", {"T01"}),
        (16, "2 min", {"T01"}),
        (20, "4 min", {"T01"}),
        (30, "4 min", {"T01"}),
        (20, "5 min", set()),
    ],
)
def test_a_short_class_warms_up_for_a_quarter_of_its_time(minutes, warm_up, rules):
    """Own words of which nobody told the effort are taken as no vigorous work."""
    assert told(minutes, warm_up).keys() == rules


@pytest.mark.parametrize(
    ("minutes", "cool_down", "rules"),
    [(13, "4 min", set()), (16, "2 min 30 s", {"T04"}), (20, "4 min", {"T04"})],
)
def test_and_cools_down_as_long(minutes, cool_down, rules):
    """The same quarter."""
    assert told(minutes, "5 min", cool_down).keys() == rules


@pytest.mark.parametrize("fact", ["heart condition", "high blood pressure"])
def test_hearts_and_pressures_keep_five_minutes(fact):
    """However short the class is."""
    found = told(14, "4 min", "4 min", facts=fact)
    assert found["T01"] == "The warm-up moves for 4 min; this class asks for 5 min."
    assert found["T04"] == "The cool-down moves for 4 min; this class asks for 5 min."


def test_vigorous_work_keeps_five_minutes():
    """Seven of ten: Physical Activity Guidelines for Americans 2018."""
    assert not told(14, "4 min", last="{movement: brisk march, effort: 6}")
    hard = told(14, "4 min", last="{movement: brisk march, effort: 7}")
    assert hard.keys() == {"T01"}
