"""Who has only the voice: things are fetched, a sip has time, a stop is told first."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from cuetrack import cuekinds
from cuetrack.cues.writing.announcements import SIP_MS
from cuetrack.languages.phrases import load_phrases
from cuetrack.pipeline.checking import placed_unspoken, read_plan

EXAMPLES = Path(__file__).parents[3] / "examples"


@cache
def said(example):
    plan = read_plan(EXAMPLES / f"{example}.yaml")
    return placed_unspoken(plan, lambda _: None).placed


def start_of(words):
    home = said("home-quarter-hour")
    return next(p.start_ms for p in home if words in p.wording.text)


def test_the_chair_is_set_and_all_is_fetched_before_anything_to_remember():
    """The wall is told of before the pause, and both before seat and tones."""
    words = ("You need", "against a wall. Pause the track", "Sit well back", "tone")
    told = [start_of(each) for each in words]
    assert told == sorted(told)


def test_an_offer_to_drink_is_followed_by_the_time_to_drink():
    """Common practice: twelve seconds to reach, drink and put the glass back."""
    variants = load_phrases("en").variants("rest sip")
    offers = {text for wordings in variants for text in wordings}
    class_ = said("hall-band-thirty")
    ends = [p.end_ms for p in class_ if p.wording.text in offers]
    assert ends
    for end_ms in ends:
        assert min(p.start_ms for p in class_ if p.start_ms > end_ms) >= end_ms + SIP_MS


@pytest.mark.parametrize("example", ["hall-twenty", "hall-band-thirty"])
def test_nobody_who_marches_is_told_what_to_mind_in_the_next(example):
    """In a recovery people are told to stop first: a warning is for what they do."""
    stopped = load_phrases("en").piece("end of recovery")
    recovery = [p for p in said(example) if p.cue.segment.endswith(".recovery")]
    minded = [p.start_ms for p in recovery if p.cue.kind is cuekinds.CAUTION]
    assert minded
    assert min(minded) > min(p.end_ms for p in recovery if stopped in p.wording.text)


def test_who_brings_a_band_brings_a_whole_one():
    """A cracked band snaps into a face (common practice); a ball may be as it is."""
    (band,) = (p for p in said("hall-band-thirty") if "You need" in p.wording.text)
    assert band.wording.text.endswith("an exercise band with no cracks.")
    (weights,) = (p for p in said("hall-twenty") if "You need" in p.wording.text)
    assert "cracks" not in weights.wording.text


def test_half_of_a_movement_is_not_told_as_half_of_the_class():
    """Outside the intervals a bare "halfway" in the seventh minute means anything."""
    calls = [
        each
        for each in said("hall-twenty") + said("six-lines")
        if each.cue.kind is cuekinds.HALFWAY
    ]
    passing = [p for p in calls if not p.cue.segment.startswith("intervals")]
    assert passing
    assert all("this one" in p.wording.text for p in passing)
    assert all("this one" not in p.wording.text for p in calls if p not in passing)
