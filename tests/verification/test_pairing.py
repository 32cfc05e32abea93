"""Plans and finds of one sound are paired as a person would."""

from __future__ import annotations

from itertools import combinations

from hypothesis import given
from hypothesis import strategies as st

from cuetrack.verification.pairing import REACH_FRAMES, distinct, pair
from cuetrack.verification.search import Match


def match(frame, score=1.0):
    return Match(frame=float(frame), score=score, gain=1.0, whole=1.0)


def frames(pairs):
    return [None if one is None else one.frame for one in pairs]


def test_a_find_on_its_place_is_never_given_to_a_neighbour():
    """The dropped one of two plans is the one without a find."""
    assert frames(pair([0, 48_000], [match(48_000)])) == [None, 48_000]
    assert frames(pair([0, 48_000], [match(0)])) == [0, None]


def test_a_common_shift_keeps_the_order():
    """Ticks a second apart that are all late by 0.7 s are each their own."""
    plans = [0, 48_000, 96_000]
    finds = [match(plan + 33_600) for plan in plans]
    assert frames(pair(plans, finds)) == [33_600, 81_600, 129_600]


def test_nothing_beyond_two_seconds_is_paired():
    """A find out of reach belongs to nobody."""
    assert frames(pair([0], [match(REACH_FRAMES + 1)])) == [None]


def test_a_far_better_find_beats_a_slightly_nearer_one():
    """An echo at 0.8 that is 50 ms nearer is not taken for the sound itself."""
    finds = [match(4800, score=0.8), match(7200, score=1.0)]
    assert frames(pair([0], finds)) == [7200]


def test_finds_within_50_ms_are_one():
    """The same place seen in two stretches counts once, the better one."""
    kept = distinct([match(100, 0.8), match(101, 0.9), match(9600, 0.7)])
    assert frames(kept) == [101, 9600]


@given(
    plans=st.lists(st.integers(0, 400_000), max_size=4, unique=True).map(sorted),
    finds=st.lists(st.integers(0, 400_000), max_size=4, unique=True).map(sorted),
)
def test_pairs_are_as_many_and_as_near_as_any_way_of_pairing(plans, finds):
    """Against every way to pair in order: none has more pairs, or nearer ones."""
    best = (0, 0.0)
    for size in range(min(len(plans), len(finds)) + 1):
        for some_plans in combinations(plans, size):
            for some_finds in combinations(finds, size):
                errors = [
                    abs(a - b) for a, b in zip(some_plans, some_finds, strict=True)
                ]
                if all(error <= REACH_FRAMES for error in errors):
                    best = max(best, (size, -float(sum(errors))))
    paired = pair(plans, [match(find) for find in finds])
    errors = [
        abs(plan - one.frame)
        for plan, one in zip(plans, paired, strict=True)
        if one is not None
    ]
    assert (len(errors), -sum(errors)) == best
    used = [one.frame for one in paired if one is not None]
    assert used == sorted(set(used))
