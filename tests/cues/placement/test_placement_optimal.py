"""Placement against trying everything, and the laws it keeps."""

from __future__ import annotations

import pytest
from cues.brute_force import Reference, Try, distance, level
from cues.placement_cases import small_sheets
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from cuetrack.cues.placement.labels import PathLabel, undominated
from cuetrack.cues.placement.placing import place
from cuetrack.errors import PlacementError

calmly = settings(
    deadline=None,
    max_examples=150,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much],
)


def placed_level(placed, cues):
    ways = [
        Try((each.cue,), (each.wording_index,), ((each.start_ms, each.end_ms),))
        for each in placed.placed
    ]
    return level(ways, cues)


def placed_or_none(sheet, timings):
    try:
        return place(sheet, timings)
    except PlacementError:
        return None


@calmly
@given(small_sheets())
def test_no_way_of_saying_a_sheet_is_better_than_the_placed_one(made):
    """The level reached is the best that trying everything finds."""
    sheet, timings = made
    reference = Reference(sheet, timings)
    best = reference.best_level()
    if best is None:
        reference.relax()
        best = reference.best_level()
    if best is None:
        with pytest.raises(PlacementError):
            place(sheet, timings)
    else:
        assert placed_level(place(sheet, timings), sheet.cues) == best


@calmly
@given(small_sheets())
def test_no_starts_lie_nearer_to_the_wanted_ones(made):
    """With the chosen wordings the sum of distances is the least there is."""
    sheet, timings = made
    reference = Reference(sheet, timings)
    if reference.best_level() is None:
        return
    placed = place(sheet, timings)
    chosen = {each.cue.id: each.wording_index for each in placed.placed}
    total = sum(
        distance(Try((each.cue,), (each.wording_index,), ((each.start_ms, 0),)))
        for each in placed.placed
    )
    assert total == reference.least_distance(chosen)


@calmly
@given(
    st.dictionaries(
        st.tuples(st.integers(0, 5), st.integers(0, 5), st.integers(0, 5)),
        st.integers(0, 9),
        min_size=1,
        max_size=12,
    )
)
def test_only_labels_worse_in_every_respect_are_dropped(values):
    """What is kept matches, or beats in all respects, each label of the whole."""
    labels = {
        cost: PathLabel(value, cost[0], cost[1], cost[2:], None, None)
        for cost, value in values.items()
    }
    kept = undominated(labels)
    costs = {label: cost for cost, label in labels.items()}

    def beats(one, other):
        return one.value >= other.value and all(
            mine <= theirs
            for mine, theirs in zip(costs[one], costs[other], strict=True)
        )

    for label in labels.values():
        assert any(beats(one, label) for one in kept)
        assert label not in kept or not any(
            beats(one, label) for one in kept if one is not label
        )
