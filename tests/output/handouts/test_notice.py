"""Promises of the notice: what a stranger needs to know, and no promise of health."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from hypothesis import given

from cuetrack.cues.timeline import lay_out
from cuetrack.output.handouts.notice import LINE_CHARACTERS, MOST_NAMES, notice
from cuetrack.output.handouts.sheet_text import shown
from cuetrack.plan.parts import RoundChange
from cuetrack.plan.round_spans import RoundSpan
from tests.cues.builders import (
    EASY_MARCH,
    HEEL_DIG,
    PUNCH,
    intervals,
    plain,
    plan,
    timed,
    whole_class,
)
from tests.cues.strategies import few, plans
from tests.output.sheets import HOSTILE, WORDS, hostile_class


def written(class_):
    return notice(class_, lay_out(class_), WORDS)


def joined(class_):
    return " ".join(written(class_).split())


def test_a_notice_says_what_and_how_long():
    """Title first, then length, rounds, work and rest in words."""
    text = written(whole_class())
    assert text.startswith("Morning class at Larkfield Hall\n\n")
    said = joined(whole_class())
    assert "about 22 minutes" in said
    assert "four movements, three rounds" in said
    assert "forty seconds, then rest for twenty seconds" in said
    assert "starts with a warm-up and ends with a cool-down" in said


def test_movements_are_those_of_the_main_part():
    """Each once, in order; those of a plain class where there is no main part."""
    said = joined(whole_class())
    assert (
        "What we do: heel dig, straight punch, ankle circle and toe tap side." in said
    )
    gentle = plan(plain(timed(EASY_MARCH, 60), timed(HEEL_DIG, 60)))
    assert "What we do: easy march and heel dig." in joined(gentle)


def test_many_movements_are_some_of_them():
    """A long list is not read; the notice says that there are more."""
    many = [replace(HEEL_DIG, name=f"movement {n}") for n in range(MOST_NAMES + 1)]
    said = joined(plan(intervals(*many)))
    assert "among others: movement 0" in said
    assert f"movement {MOST_NAMES}" not in said


def test_what_is_needed_is_named():
    """What the plan says to bring, and equipment it uses without naming it."""
    class_ = replace(plan(intervals(HEEL_DIG, PUNCH)), bring=("a cushion",))
    assert "What you need: a cushion and light hand weights" in joined(class_)
    assert "What you need" not in joined(plan(intervals(HEEL_DIG)))


def test_it_says_how_the_class_gets_to_a_phone():
    """The page and, where a phone will not run it, the film are named."""
    said = joined(whole_class())
    assert ".follow.html" in said
    assert "ask us for the film" in said


def test_rest_is_allowed_and_advice_comes_first():
    """Permission to rest, the usual cautions, and whom to ask."""
    said = joined(whole_class())
    assert "You may rest at any time" in said
    assert "ask your doctor or another licensed professional" in said
    assert "stay at home if you feel unwell" in said
    for promise in ("cure", "heal", "prevent", "guarantee", "safe for"):
        assert promise not in said.lower()


def test_date_and_place_are_left_blank():
    """Only the venue knows them."""
    lines = written(whole_class()).splitlines()
    blanks = [line for line in lines if line.endswith("____")]
    assert len(blanks) == len(WORDS.sheet_lists["notice blanks"])
    assert any("Day and time" in line for line in blanks)
    assert any("Place" in line for line in blanks)


@few
@given(plans())
def test_lines_are_short_enough_for_an_email(class_):
    """At most 72 characters, no gap at a line's end, one newline at the end."""
    text = written(class_)
    assert all(len(line) <= LINE_CHARACTERS for line in text.splitlines())
    assert not re.search(r"[ \t]\n", text)
    assert text.endswith("\n")
    assert not text.endswith("\n\n")


def test_a_class_without_rests_or_warm_up_promises_neither():
    """What is not in the plan is not in the notice."""
    said = joined(plan(intervals(HEEL_DIG, rest=0)))
    assert "Each one lasts forty seconds" in said
    assert "warm-up" not in said


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_text_leaves_the_notice_whole(name):
    """It stands there as text; every paragraph after it is still there."""
    class_, _ = hostile_class(HOSTILE[name])
    text = written(class_)
    text.encode("utf-8")
    said = " ".join(text.split())
    assert shown(HOSTILE[name])[:40].strip() in said or name == "overrides"
    assert "You may rest at any time" in said
    assert not re.search(r"[\x00-\x09\x0b-\x1f\x7f-\x9f\ud800-\udfff]", text)


def test_work_that_differs_is_told_from_the_shortest_to_the_longest():
    """Neither the usual work nor that of the last round stands for all."""
    last = RoundChange(rounds=RoundSpan(3, 3), work_ms=60_000, rest_ms=30_000)
    section = intervals(HEEL_DIG, PUNCH, rounds=3)
    clock = replace(section.intervals, in_rounds=(last,))
    said = joined(plan(replace(section, intervals=clock)))
    assert (
        "You work for forty seconds to one minute, then rest for twenty seconds to "
        "thirty seconds." in said
    )
    own = joined(plan(intervals(HEEL_DIG, timed(PUNCH, 50))))
    assert "work for forty seconds to fifty seconds, then rest for twenty" in own
