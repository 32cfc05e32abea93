"""Dangers in plans that people write are named, and sound plans are left in peace."""

from __future__ import annotations

import pytest
from review.people import FLAWED, SOUND, flawed_text, reviewed

from cuetrack.review.model import Severity


@pytest.mark.parametrize("entry", FLAWED, ids=lambda entry: entry["danger"])
def test_a_danger_is_named_or_mended(entry):
    """By a rule that speaks of it, or by the voice, which says what was missing."""
    found = reviewed(flawed_text(entry), entry["danger"])
    named = bool(found.rules & set(entry["told by"]))
    if "mended" in entry:
        assert entry["mended"] in found.said
    elif not entry.get("missed"):
        assert named, found.rules


def test_few_dangers_are_missed():
    """There are many plans, and what is missed stands in the file as missed."""
    assert len(FLAWED) >= 80
    assert sum(bool(entry.get("missed")) for entry in FLAWED) <= 1


def test_sound_plans_draw_no_false_alarm():
    """No error at all, and a warning in fewer than one plan of twenty."""
    assert len(SOUND) >= 40
    found = [reviewed(text, "sound.yaml") for text in SOUND]
    assert Severity.ERROR not in {f.severity for each in found for f in each.alarms}
    assert sum(bool(each.alarms) for each in found) < len(SOUND) / 20
