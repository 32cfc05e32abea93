"""Placing with few lengths known: as good as with all, and little is asked for."""

from __future__ import annotations

import pytest
from cues.brute_force import Reference, Try, level
from cues.placement_cases import cue, segment, sheet, small_sheets
from hypothesis import HealthCheck, given, settings

from cuetrack.cues.placement.learning import place_learning
from cuetrack.cues.placement.placing import place
from cuetrack.errors import PlacementError

calmly = settings(
    deadline=None,
    max_examples=150,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much],
)


class Lengths:
    """Answers with the true lengths, and remembers what was asked."""

    def __init__(self, timings) -> None:
        self.timings = timings
        self.asked = []

    def ask(self, texts):
        self.asked += texts
        return {text: self.timings[text] for text in texts}


def level_of(placed):
    ways = [
        Try((each.cue,), (each.wording_index,), ((each.start_ms, each.end_ms),))
        for each in placed.placed
    ]
    return level(ways, placed.sheet.cues)


@calmly
@given(small_sheets())
def test_no_way_is_better_though_not_every_length_is_known(made):
    """The level reached is the best that trying everything with all lengths finds."""
    plan, timings = made
    lengths = Lengths(timings)
    reference = Reference(plan, timings)
    best = reference.best_level()
    if best is None:
        reference.relax()
        best = reference.best_level()
    if best is None:
        with pytest.raises(PlacementError) as learning:
            place_learning(plan, lengths.ask)
        with pytest.raises(PlacementError) as knowing:
            place(plan, timings)
        assert learning.value.problems == knowing.value.problems
    else:
        placed, known = place_learning(plan, lengths.ask)
        assert level_of(placed) == best
        assert {each.wording.spoken for each in placed.placed} <= set(known)
        assert known == {text: timings[text] for text in known}
    assert len(lengths.asked) == len(set(lengths.asked))


@calmly
@given(small_sheets(floating=4, fixed=1))
def test_what_is_placed_is_what_all_lengths_would_give(made):
    """With the wordings that were chosen, times and reasons are those of `place`."""
    plan, timings = made
    try:
        placed, _ = place_learning(plan, Lengths(timings).ask)
    except PlacementError:
        return
    full = place(plan, timings)
    chosen = [(one.cue.id, one.wording_index) for one in placed.placed]
    if chosen == [(one.cue.id, one.wording_index) for one in full.placed]:
        assert placed == full


def test_where_there_is_room_only_full_wordings_are_asked_for():
    """The shorter ones are never spoken."""
    cues = [
        cue(name, (at, at + 8_000), (5_000, 3_000, 1_000), wanted_ms=at)
        for name, at in (("one", 0), ("two", 9_000))
    ]
    plan, timings = sheet([segment(0, 20_000)], cues)
    lengths = Lengths(timings)
    placed, _ = place_learning(plan, lengths.ask)
    assert lengths.asked == ["one 0", "two 0"]
    assert placed == place(plan, timings)


def test_a_shorter_wording_is_asked_for_where_the_full_one_is_too_long():
    """One step after the other, until one fits."""
    cues = [cue("long", (0, 2_000), (5_000, 3_000, 1_000, 500), wanted_ms=0)]
    plan, timings = sheet([segment(0, 20_000)], cues)
    lengths = Lengths(timings)
    placed, _ = place_learning(plan, lengths.ask)
    assert placed.placed[0].wording_index == 2
    assert placed == place(plan, timings)


def test_what_the_order_hangs_on_is_asked_for():
    """A cue wanted at the end of its window may come before or after another."""
    cues = [
        cue("late", (0, 9_000), (4_000, 2_000), wanted_ms=8_900),
        cue("other", (0, 9_000), (1_000, 900), wanted_ms=6_000),
    ]
    plan, timings = sheet([segment(0, 20_000)], cues)
    lengths = Lengths(timings)
    placed, _ = place_learning(plan, lengths.ask)
    assert lengths.asked == ["other 0", "late 0", "late 1"]
    assert placed == place(plan, timings)
