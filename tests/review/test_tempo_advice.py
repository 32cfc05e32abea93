"""Tempo is dose: what is said of music that is too fast for a part of a class."""

from __future__ import annotations

from dataclasses import replace

import pytest
from cues import builders as make

from cuetrack.plan.model import SectionKind
from cuetrack.review.tempo_advice import tempo_notes


@pytest.mark.parametrize(
    ("kind", "most_bpm"),
    [
        # Common practice for older and seated groups.
        (SectionKind.WARM_UP, 120),
        (SectionKind.INTERVALS, 130),
        (SectionKind.COOL_DOWN, 100),
    ],
)
def test_music_faster_than_advised_is_told(kind, most_bpm):
    """One beat more is nothing, two are said with the limit and a remedy."""
    assert tempo_notes(kind, "Part", most_bpm) == ()
    assert tempo_notes(kind, "Part", most_bpm + 0.9) == ()
    (note,) = tempo_notes(kind, "Part", most_bpm + 2)
    assert f"{most_bpm + 2} beats a minute" in note
    assert f"{most_bpm} at most" in note
    assert "slower music" in note


def test_nothing_is_advised_where_nobody_moves():
    """A welcome may have any music."""
    assert tempo_notes(SectionKind.WELCOME, "Welcome", 200) == ()


@pytest.mark.parametrize(
    ("bpm", "is_told"), [(110, False), (112, True), (200, False), (160, True)]
)
def test_music_that_hurries_a_movement_is_told(bpm, is_told):
    """More than a tenth above its own tempo; twice as fast is the same beat."""
    march = replace(make.EASY_MARCH, tempo_bpm=100)
    notes = tempo_notes(SectionKind.RECOVERY, "Recovery", bpm, [march, march])
    assert bool(notes) is is_told
    if is_told:
        assert notes[0].count("easy march (100)") == 1
