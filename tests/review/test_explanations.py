"""A first explanation that is cut is told of at its line, with a rest that mends it."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from review.flawed import findings_of

from cuetrack.pipeline.checking import plan_from_text
from cuetrack.planning.generating import generate
from cuetrack.planning.request import ClassRequest

BAND_CLASS = """\
title: Band class
group: {{age: 75}}
welcome: 1 min 5 s
warm-up: {{for: 6 min, movements: [easy march, shoulder roll, box step, slow turn]}}
intervals:
  work: 40 s
  rest: 30 s
  movements:
    - {{movement: wide march, rest: {rest} s}}
    - movement: {movement}
    - {{movement: knee lift, rest: 60 s}}
    - seated row
cool-down: {{for: 6 min, movements: [slow march, toe tap, big breath, ankle pump]}}
close: 1 min 20 s
"""
SECONDS = re.compile(
    r"The rest before it, (\d+) s, is (\d+) s too short .* (\d+) s would"
)


def cut_in(plan):
    return [f for f in findings_of(plan) if f.rule.id == "C15"]


def band_class(movement, rest_s):
    text = BAND_CLASS.format(movement=movement, rest=rest_s)
    return plan_from_text(text, Path("band.yaml"))


@pytest.mark.parametrize(
    ("movement", "rest_s"), [("band leg press", 20), ("band leg press", 30)]
)
def test_the_rest_it_asks_for_mends_it(movement, rest_s):
    """Told at the line of the movement; with the rest that would do, nothing is cut."""
    plan = band_class(movement, rest_s)
    (found,) = cut_in(plan)
    assert found.place.line == 10
    assert movement in found.what
    now_s, short_s, would_do_s = map(int, SECONDS.search(found.what).groups())
    assert (now_s, would_do_s) == (rest_s, rest_s + short_s)
    assert not cut_in(band_class(movement, would_do_s))


def test_a_new_class_with_a_band_cuts_none():
    """Its rests are as long as what is told of where a band goes, and comes off."""
    wishes = ClassRequest(slot_ms=30 * 60_000, equipment=("an exercise band",))
    assert not cut_in(plan_from_text(generate(wishes, seed=1), Path("new.yaml")))


def test_where_no_rest_comes_before_the_movement_before_is_too_short():
    """Between stretches it is named, with its length."""
    text = BAND_CLASS.format(movement="knee lift", rest=60).replace(
        "[slow march, toe tap, big breath, ankle pump]",
        "[slow march, calf stretch: 1 min, chest stretch: 25 s, big breath]",
    )
    (found,) = cut_in(plan_from_text(text, Path("stretch.yaml")))
    assert "How big breath is done is told" in found.what
    assert "The chest stretch before it, 25 s, is" in found.what
