"""Promises to people who do a movement on foot, beside their chair."""

import pytest

from cuetrack import cuekinds
from cuetrack.pipeline.checking import placed_unspoken
from cuetrack.plan.reading import parse_plan

PLAN = """
title: A chair to hold
bring: [a sturdy chair]
warm-up: [easy march: 1 min, shoulder roll: 1 min]
intervals:
  work: 40 s
  rest: 40 s
  rounds: 2
  movements:
    - movement: Heels behind the chair
      how: Stand behind your chair and hold its back. Lift both heels, then lower them.
%s
    - hammer curl
cool-down: [slow march: 1 min, calf stretch: 1 min]
"""
ASKS = "unless standing up alone is safe"
SITS = "slowly sit down"


def words_of(more=""):
    """Return all that is said before and in each work, and in which segment."""
    placed = placed_unspoken(parse_plan(PLAN % more, "p"), lambda _: None).placed
    return [(each.cue.kind, each.wording.text) for each in placed]


def texts(said, part):
    return [text for _, text in said if part.casefold() in text.casefold()]


def test_a_class_on_foot_is_not_announced_as_one_in_the_chair():
    """Who may not stand has it from the first sentence."""
    said = words_of()
    assert texts(said, "welcome")[0].endswith("some of it on your feet.")


@pytest.mark.parametrize("more", ["", "      sides: each leg"])
def test_people_are_told_who_stays_seated_and_how_to_sit_again(more):
    """Each time, before the start and at the stop (common practice)."""
    said = words_of(more)
    assert len(texts(said, ASKS)) == 2
    sits = [text for kind, text in said if kind is cuekinds.STOP and SITS in text]
    assert len(sits) == 2


def test_between_legs_people_stay_on_foot():
    """Nobody sits down only to stand up for the other leg."""
    said = words_of("      sides: each leg")
    changes = [text for kind, text in said if kind is cuekinds.SIDE_CHANGE]
    assert any("hold the chair" in text for text in changes)
    assert not [text for text in changes if SITS in text]


def test_the_words_of_a_leader_stand():
    """What a leader says of it, or leaves out, is neither added to nor replaced."""
    said = words_of("      caution: Only with a hand on it\n      afterwards: none")
    assert texts(said, "Only with a hand on it")
    assert not texts(said, ASKS)
    assert not texts(said, SITS)
