"""Laws that hold for every placed sheet, however crowded."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

import pytest
from cues.brute_force import COUNTS, Try, level
from cues.placement_cases import cue, segment, sheet, small_sheets
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from cuetrack.cues.model import AnchorPoint, QuietRule, SegmentKind
from cuetrack.cues.placement.placing import place
from cuetrack.errors import PlacementError

calmly = settings(
    deadline=None, max_examples=50, suppress_health_check=list(HealthCheck)
)
crowded_sheets = small_sheets(floating=7, fixed=5, horizons=(20, 60))


def placed_or_reject(made):
    try:
        return place(*made)
    except PlacementError:
        assume(condition=False)


def trouble_of(made):
    try:
        place(*made)
    except PlacementError as error:
        return error
    return None


def said_level(placed, cues):
    ways = [
        Try((each.cue,), (each.wording_index,), ((each.start_ms, each.end_ms),))
        for each in placed.placed
    ]
    return level(ways, cues)


def is_count(each):
    return each.cue.anchor_ms is not None and each.cue.kind in COUNTS


@calmly
@given(crowded_sheets)
def test_nothing_talks_over_anything(made):
    """Cues keep their gaps, counts theirs, and no cue meets a tone."""
    placed = placed_or_reject(made)
    quiet = made[0].quiet
    for one, other in combinations(placed.placed, 2):
        counts = is_count(one) + is_count(other)
        gap = (quiet.gap_ms, quiet.before_count_ms, 0)[counts]
        assert one.end_ms + gap <= other.start_ms
    for each in placed.placed:
        for tone in made[0].tones:
            assert each.end_ms <= tone.start_ms or tone.end_ms <= each.start_ms


@calmly
@given(crowded_sheets)
def test_every_cue_stays_in_its_window_and_on_its_anchor(made):
    """Speech lies in the window; the pin of a fixed cue is its anchor."""
    for each in placed_or_reject(made).placed:
        timing = made[1][each.wording.spoken]
        assert each.cue.window_start_ms <= each.start_ms
        assert each.end_ms <= each.cue.window_end_ms
        if each.cue.anchor_ms is None:
            assert (each.pin_ms, each.pin_point) == (each.start_ms, AnchorPoint.START)
            assert each.end_ms - each.start_ms == timing.length_ms
            continue
        assert (each.pin_ms, each.pin_point) == (
            each.cue.anchor_ms,
            each.cue.anchor_point,
        )
        before = each.pin_ms - each.start_ms
        after = each.end_ms - each.pin_ms
        assert before + after in (timing.length_ms, timing.length_ms + 1)
        if each.pin_point is AnchorPoint.BEAT:
            assert before == timing.beat_ms
        else:
            assert 0 in (before, after)


@calmly
@given(crowded_sheets)
def test_nothing_is_lost_unseen(made):
    """Each cue is said or left out, essential ones said, the rest with a reason."""
    placed = placed_or_reject(made)
    said = [each.cue.id for each in placed.placed]
    left = [each.cue.id for each in placed.left_out]
    assert sorted(said + left) == sorted(each.id for each in made[0].cues)
    assert {each.id for each in made[0].cues if each.essential} <= set(said)
    assert all(each.reason for each in placed.left_out)
    for each in placed.placed:
        assert (each.reason is not None) == (each.wording_index > 0)
        assert each.wording == each.cue.wordings[each.wording_index]


@calmly
@given(crowded_sheets)
def test_the_words_of_a_count_are_said_together_or_not_at_all(made):
    """No count loses a word in the middle."""
    placed = placed_or_reject(made)
    kinds = {
        (each.cue.kind, each.cue.segment) for each in placed.placed if is_count(each)
    }
    for each in placed.left_out:
        if is_count(each):
            assert (each.cue.kind, each.cue.segment) not in kinds


@calmly
@given(crowded_sheets)
def test_speech_keeps_to_its_share(made):
    """Only essential cues and counts may take more than the share."""
    placed = placed_or_reject(made)
    for activity in {each.activity for each in made[0].timeline.segments}:
        shared = [
            each
            for each in made[0].timeline.segments
            if each.activity == activity
            and each.kind in (SegmentKind.WORK, SegmentKind.MOVE)
        ]
        here = [
            each
            for each in placed.placed
            if each.cue.segment in {one.id for one in shared} and each.cue.shared
        ]
        spoken = sum(each.end_ms - each.start_ms for each in here)
        exempt = sum(
            max(made[1][wording.spoken].length_ms + 1 for wording in each.wordings)
            for each in made[0].cues
            if each.segment in {one.id for one in shared}
            and each.shared
            and (each.essential or (each.kind in COUNTS and each.anchor_ms is not None))
        )
        share = made[0].quiet.share * sum(each.length_ms for each in shared)
        assert spoken <= max(share, exempt)


@calmly
@given(crowded_sheets)
def test_the_same_sheet_is_always_placed_the_same(made):
    """Placement is a function of the sheet and the timings."""
    assert placed_or_reject(made) == place(*made)


@calmly
@given(crowded_sheets, st.data())
def test_leaving_a_cue_out_of_the_plan_never_costs_another(made, data):
    """Without one cue the others are said at least as well, priority by priority."""
    plan, timings = made
    before = placed_or_reject(made)
    spare = [
        each
        for each in plan.cues
        if not each.essential and not (each.anchor_ms and each.kind in COUNTS)
    ]
    assume(spare)
    gone = data.draw(st.sampled_from(spare))
    others = tuple(each for each in plan.cues if each is not gone)
    after = place(replace(plan, cues=others), timings)
    assert said_level(after, others) >= said_level(before, others)


@calmly
@given(crowded_sheets, st.sampled_from([0.25, 0.5, 0.75, 1.0]))
def test_a_larger_share_never_says_less(made, share):
    """More room for speech never lowers what is said."""
    plan, timings = made
    assume(share > plan.quiet.share)
    before = placed_or_reject(made)
    after = place(replace(plan, quiet=replace(plan.quiet, share=share)), timings)
    assert said_level(after, plan.cues) >= said_level(before, plan.cues)


@st.composite
def stretches(draw):
    """Return a sheet twice, the second with time put in somewhere."""
    horizon = draw(st.integers(12, 50))
    at = draw(st.integers(0, horizon))
    more = draw(st.integers(1, 20))
    floating = draw(
        st.lists(
            st.tuples(
                st.integers(0, horizon),
                st.integers(0, 30),
                st.lists(st.integers(1, 9), min_size=1, max_size=3),
                st.integers(1, 3),
            ),
            min_size=1,
            max_size=6,
        )
    )
    pins = draw(st.lists(st.integers(0, horizon), max_size=3))
    quiet = QuietRule(gap_ms=3, before_count_ms=2, share=0.5)

    def later(ms, *, moved):
        return ms + more * (ms > at or (ms == at and moved))

    def laid_out(shift):
        cues = [
            cue(
                f"float{n}",
                (shift(start), shift(start + slack + max(lengths), moved=True)),
                sorted(lengths, reverse=True),
                wanted_ms=shift(start + slack // 2),
                priority=priority,
            )
            for n, (start, slack, lengths, priority) in enumerate(floating)
        ]
        cues += [
            cue(f"fixed{n}", (-99, 999), [3], anchor_ms=shift(pin), priority=2)
            for n, pin in enumerate(pins)
        ]
        return sheet([segment(0, shift(horizon, moved=True))], cues, quiet=quiet)

    def same(ms, *, moved=True):
        return ms + 0 * moved

    def shifted(ms, *, moved=True):
        return later(ms, moved=moved)

    return laid_out(same), laid_out(shifted)


@calmly
@given(stretches())
def test_more_time_never_says_less(pair):
    """Time put in anywhere never lowers what is said."""
    before, after = (place(*made) for made in pair)
    assert said_level(after, pair[0][0].cues) >= said_level(before, pair[0][0].cues)


@calmly
@given(crowded_sheets)
def test_impossible_essential_cues_are_all_named_with_what_is_missing(made):
    """The error names essential cues only, and what each lacks."""
    error = trouble_of(made)
    assume(error is not None)
    assert error.missing_ms.keys() <= {
        each.id for each in made[0].cues if each.essential
    }
    assert all(ms > 0 for ms in error.missing_ms.values())
    assert str(error).count("are missing") == len(error.missing_ms)


@pytest.mark.parametrize("count", [0, 1])
def test_a_sheet_with_hardly_a_cue_is_placed(count):
    """Nothing to say, or one thing, is no special case."""
    made = sheet([segment(0, 9000)], [cue("only", (0, 9000), [1000])][:count])
    assert len(place(*made).placed) == count
