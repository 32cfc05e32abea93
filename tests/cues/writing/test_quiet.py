"""Promises of a calm script: few utterances, room to breathe, first things first."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest
from cues import builders as make
from cues.sheets import of_kind, sensible_timings, sheet_of
from cues.strategies import few, plans
from hypothesis import given

from cuetrack import cuekinds
from cuetrack.cues.model import MOVING, SegmentKind
from cuetrack.cues.placement.placing import place
from cuetrack.cues.timeline import activities
from cuetrack.plan.model import Coaching, Group, SlowMoves, TimeCalls

COACHING = {
    cuekinds.FORM,
    cuekinds.BREATH,
    cuekinds.OPTION,
    cuekinds.ENCOURAGEMENT,
    cuekinds.TALK_CHECK,
}
OF_WHAT_COMES = {cuekinds.PREVIEW, cuekinds.CAUTION, cuekinds.EQUIPMENT}


def placed_of(plan):
    sheet = sheet_of(plan)
    return place(sheet, sensible_timings(sheet))


def works(placed):
    """Yield the works of a class: their parts, and all that is said in them."""
    for parts in activities(placed.sheet.timeline.segments):
        if parts[0].kind is SegmentKind.WORK:
            ids = {part.id for part in parts}
            yield parts, [each for each in placed.placed if each.cue.segment in ids]


def length_ms(parts):
    return parts[-1].end_ms - parts[0].start_ms


@few
@given(plans())
def test_a_work_of_forty_seconds_has_five_utterances_at_most(plan):
    """The final count is not counted, nor what is told of the movement that follows."""
    for parts, said in works(placed_of(plan)):
        heard = [
            each
            for each in said
            if not each.cue.kind.counts
            and (each.cue.shared or each.cue.kind not in OF_WHAT_COMES)
        ]
        breath = any(each.cue.kind is cuekinds.BREATH for each in heard)
        if length_ms(parts) <= 40_000:
            most = 5 + breath
            assert len(heard) <= most, [each.wording.text for each in heard]


@few
@given(plans())
def test_a_work_of_half_a_minute_is_quiet_once_for_eight_seconds(plan):
    """Nobody talks, so that people settle; one with sides from forty seconds on, where
    its last side need not tell of the next movement too."""
    placed = placed_of(plan)
    for parts, said in works(placed):
        sides = len(parts) > 1
        told = any(each.cue.kind in OF_WHAT_COMES for each in said)
        if length_ms(parts) < (40_000 if sides else 30_000) or (sides and told):
            continue
        first_ms, end_ms = parts[0].start_ms, parts[-1].end_ms
        inside = [
            each
            for each in placed.placed
            if first_ms < each.end_ms and each.start_ms < end_ms
        ]
        edges = [first_ms, *(t for e in inside for t in (e.start_ms, e.end_ms)), end_ms]
        gaps = [other - one for one, other in zip(edges[::2], edges[1::2], strict=True)]
        assert max(gaps) >= 8_000, [each.wording.text for each in inside]


@few
@given(plans())
def test_nothing_coaches_before_a_new_movement_is_told_whole(plan):
    """Caution, name and how come before form, breath, options and encouragement."""
    placed = placed_of(plan)
    seen = set()
    for parts in activities(placed.sheet.timeline.segments):
        movement = parts[0].movement
        key = movement and (movement.name, movement.how, movement.equipment)
        if parts[0].kind not in MOVING or key in seen:
            continue
        seen.add(key)
        coached = [
            each.start_ms
            for each in placed.placed
            if each.cue.segment in {p.id for p in parts} and each.cue.kind in COACHING
        ]
        told = [
            each.end_ms
            for each in placed.placed
            if movement.how and movement.how in each.wording.text
        ]
        if coached and movement.how and plan.coaching is Coaching.EVERYTHING:
            assert told
            assert min(told) <= min(coached)


@few
@given(plans())
def test_the_easier_way_is_told_once_in_a_movement(plan):
    """Never in the preview, and once while it is done."""
    placed = placed_of(plan)
    for _, said in works(placed):
        assert sum(each.cue.kind is cuekinds.OPTION for each in said) <= 1
    for each in of_kind(placed.sheet, cuekinds.PREVIEW):
        assert all("keep it small" not in w.text for w in each.wordings)


@pytest.mark.parametrize(
    ("often", "most"), [(TimeCalls.FEW, 0), (TimeCalls.USUAL, 1), (TimeCalls.MANY, 3)]
)
def test_a_plan_says_how_often_the_time_is_called(often, most):
    """Few, as usual, or many: seconds left in a work of forty."""
    work = make.intervals(make.HEEL_DIG, make.TOE_TAP, rounds=2)
    plan = make.plan(make.welcome(), work, make.close(), time_calls=often)
    for _, said in works(placed_of(plan)):
        calls = [each for each in said if each.cue.kind is cuekinds.TIME_LEFT]
        assert len(calls) == most


def test_somebody_alone_is_told_of_the_telephone_and_of_nobody_else():
    """No one is there to tell or to watch; the emergency number is named."""
    alone = replace(make.whole_class(), group=Group(facts=("home alone",)))
    texts = [w.text for cue in sheet_of(alone).cues for w in cue.wordings]
    words = " ".join(texts).lower()
    assert "telephone within reach" in words
    assert "call the emergency number" in words
    assert "tell someone" not in words
    assert "tell someone" in " ".join(
        w.text for cue in sheet_of(make.whole_class()).cues for w in cue.wordings
    )


def test_the_close_keeps_the_minute_that_it_asks_for():
    """From the word to stay seated to the word to stand up lies a whole minute."""
    plan = make.plan(make.welcome(), make.intervals(make.HEEL_DIG), make.close(80))
    safety = [
        each
        for each in placed_of(plan).placed
        if each.cue.segment == "close" and each.cue.kind is cuekinds.SAFETY
    ]
    seated, stand = safety
    assert "one more minute" in seated.wording.text
    assert stand.start_ms - seated.start_ms >= 60_000
    short = make.plan(make.welcome(), make.intervals(make.HEEL_DIG), make.close(60))
    words = [each.wording.text for each in placed_of(short).placed]
    assert not any("one more minute" in text for text in words)


def test_the_feet_are_reminded_right_after_the_rest_begins():
    """Not at its end: by then they have stopped."""
    plan = make.plan(
        make.welcome(), make.intervals(make.HEEL_DIG, make.TOE_TAP), make.close()
    )
    placed = placed_of(plan)
    segments = {s.id: s for s in placed.sheet.timeline.segments}
    reminders = [
        each
        for each in placed.placed
        if each.cue.kind is cuekinds.REST
        and segments[each.cue.segment].kind is SegmentKind.REST
    ]
    assert reminders
    for each in reminders:
        assert each.end_ms - segments[each.cue.segment].start_ms <= 6_650


def test_what_ends_the_main_part_is_always_announced():
    """However much there is to tell of the cool-down, people hear that it begins."""
    stretch = replace(make.CALF_STRETCH, caution="Keep your knee below your hip. " * 3)
    cool_down = make.plain(
        make.timed(stretch, 60), kind=make.SectionKind.COOL_DOWN, opening=20
    )
    work = make.intervals(make.PUNCH, rounds=1)
    placed = placed_of(make.plan(make.welcome(), work, cool_down, make.close()))
    (said,) = [
        each.wording.text
        for each in placed.placed
        if each.cue.segment == "cool-down.opening" and each.cue.kind is cuekinds.OPENING
    ]
    assert "cool-down" in said


def test_the_leaders_own_sentence_comes_before_stock_words():
    """It is said where it belongs, moved by no more than the plan lets it."""
    moments = [make.own_cue("Maud has the water jug.", at) for at in range(31, 120, 7)]
    work = make.intervals(make.HEEL_DIG, make.TOE_TAP, free_cues=tuple(moments))
    placed = placed_of(make.plan(make.welcome(), work, make.close()))
    said = [each for each in placed.placed if each.cue.kind is cuekinds.FREE]
    assert len(said) == len(moments)
    for each, cue in pairwise(said):
        assert each.end_ms <= cue.start_ms
    for each in said:
        assert abs(each.start_ms - each.cue.wanted_ms) <= 5_000 + 1_000


def test_slow_moves_are_counted_once_a_work_where_the_plan_asks_for_it():
    """In work against a resistance alone: after its breath, two there, four back."""
    curl = replace(make.PUNCH, name="curl", tags=("resistance",))
    section = make.intervals(curl, make.HEEL_DIG, work=40, rest=30, rounds=2)
    plain = make.plan(make.welcome(), section, make.close())
    assert not of_kind(sheet_of(plain), cuekinds.SLOW_COUNT)
    counted = placed_of(replace(plain, slow_moves=SlowMoves.COUNTED))
    for parts, said in works(counted):
        counts = [each for each in said if each.cue.kind is cuekinds.SLOW_COUNT]
        assert len(counts) == (parts[0].movement.name == "curl")
        for count in counts:
            assert count.wording.text.lower().count("two") == 2
            assert count.wording.text.endswith("two, three, four.")
            breaths = [e.start_ms for e in said if e.cue.kind is cuekinds.BREATH]
            assert breaths
            assert min(breaths) < count.start_ms
