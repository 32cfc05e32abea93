"""Promises of the cue sheet: everything that must be said, when it can be used."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest
from cues import builders as make
from cues.sheets import of_kind, sensible_timings, sheet_of
from cues.strategies import few, plans
from hypothesis import given

from cuetrack import cuekinds
from cuetrack.cuekinds import CUE_KINDS, CueKind
from cuetrack.cues.model import Cue, CueSheet, SegmentKind
from cuetrack.cues.placement.placing import place
from cuetrack.cues.timeline import lay_out
from cuetrack.cues.writing.cuesheet import write_cues
from cuetrack.languages.phrases import load_phrases
from cuetrack.plan.model import (
    Coaching,
    CountFrom,
    Counting,
    FreeCue,
    Moment,
    Movement,
    Plan,
    SectionKind,
    SlowMoves,
)

MOVING = {SegmentKind.WORK, SegmentKind.MOVE}
ON_THE_INSTANT = {cuekinds.START, cuekinds.STOP, cuekinds.SIDE_CHANGE}
"""With counting in voice these may reach over the change they mark."""


def full(cue: Cue) -> str:
    return cue.wordings[0].text


def said(sheet: CueSheet, segment: str, kind: CueKind) -> list[str]:
    return [full(c) for c in sheet.cues if c.segment == segment and c.kind is kind]


def test_small_sheet_word_by_word():
    """One work after an opening: this is all that is said, in this order."""
    plan = make.plan(
        make.intervals(make.TOE_TAP, work=20, rounds=1, opening=30), make.close(45)
    )
    sheet = sheet_of(plan)
    opening, work, close = (
        [full(cue) for cue in sheet.cues if cue.segment == segment.id]
        for segment in sheet.timeline.segments
    )
    assert sorted(opening) == sorted(
        [
            (
                "Now the main part: one movement, one round. "
                "Work for twenty seconds, rest for twenty seconds."
            ),
            "Sit well back on a firm chair without wheels. Put both feet flat.",
            (
                "Chest pain, dizzy, sick, or very short of breath? Sharp pain? "
                "Stop at once, sit back, and tell someone."
            ),
            (
                "You may rest at any time, or move less. "
                "If your chair has arms, keep your elbows clear of them."
            ),
            "Advice from your own doctor or class leader comes first.",
            "Next: toe tap side. Tap one foot out and back.",
            "Three",
            "Two",
            "One",
        ]
    )
    assert work == [
        "Start now: toe tap side.",
        "Say a few words out loud. If that is hard, slow down.",
        "Three",
        "Two",
        "One",
    ]
    assert close == [
        "And rest.",
        "Well done. That was the last movement.",
        "Keep your feet and ankles moving while you sit.",
        (
            "Stay seated until you feel steady. "
            "Then hands on the seat, and stand up slowly."
        ),
        "Thank you for taking part. Have a good day.",
    ]


def _against_bands(section):
    movements = tuple(replace(each, tags=("resistance",)) for each in section.movements)
    return replace(section, movements=movements)


def test_every_kind_of_cue_appears_in_a_whole_class():
    """A class with everything in it has cues of every kind."""
    plan = make.whole_class()
    warm_up = replace(
        plan.sections[1],
        free_cues=(
            FreeCue(
                text="Smile at your neighbour",
                at=Moment(20_000, CountFrom.START),
            ),
        ),
    )
    sections = (plan.sections[0], warm_up, *map(_against_bands, plan.sections[2:]))
    sheet = sheet_of(replace(plan, sections=sections, slow_moves=SlowMoves.COUNTED))
    assert {cue.kind for cue in sheet.cues} == set(CUE_KINDS.values())


def test_the_table_leaves_no_kind_out():
    """Every kind that is declared stands in the table, and under its own name."""
    declared = {each for each in vars(cuekinds).values() if isinstance(each, CueKind)}
    assert set(CUE_KINDS.values()) == declared - {cuekinds.OTHER}
    assert all(kind.name == name for name, kind in CUE_KINDS.items())


@few
@given(plans())
def test_ids_are_unique_and_windows_are_in_order(plan):
    """Ids name one cue each; windows are never inside out."""
    sheet = sheet_of(plan)
    assert len({cue.id for cue in sheet.cues}) == len(sheet.cues)
    for cue in sheet.cues:
        assert cue.window_start_ms <= cue.window_end_ms
        if cue.anchor_ms is not None:
            assert cue.window_start_ms <= cue.anchor_ms <= cue.window_end_ms
        if cue.wanted_ms is not None:
            assert cue.window_start_ms <= cue.wanted_ms <= cue.window_end_ms


@few
@given(plans())
def test_windows_lie_in_their_segment(plan):
    """Speech stays in its segment, but for words whose beat is the change."""
    sheet = sheet_of(plan)
    segments = {segment.id: segment for segment in sheet.timeline.segments}
    for cue in sheet.cues:
        if cue.kind in ON_THE_INSTANT and cue.anchor_ms is not None:
            continue
        segment = segments[cue.segment]
        assert segment.start_ms <= cue.window_start_ms
        assert cue.window_end_ms <= segment.end_ms


@few
@given(plans())
def test_what_promise_three_names_is_essential(plan):
    """Preview, count-in, stop and safety may never be left out."""
    always = {
        cuekinds.PREVIEW,
        cuekinds.COUNT_IN,
        cuekinds.COUNTDOWN,
        cuekinds.STOP,
        cuekinds.SAFETY,
    }
    sheet = sheet_of(plan)
    for cue in sheet.cues:
        assert cue.essential or cue.kind not in always
    if plan.counting is Counting.VOICE:
        assert all(cue.essential for cue in of_kind(sheet, cuekinds.START))


@few
@given(plans())
def test_every_movement_is_previewed_before_it_starts(plan):
    """Each movement is named in a preview that ends before it begins."""
    sheet = sheet_of(plan)
    previews = of_kind(sheet, cuekinds.PREVIEW)
    for before, after in pairwise(sheet.timeline.segments):
        starts = after.kind in MOVING and before.activity != after.activity
        if starts and after.movement is not None:
            assert any(
                after.start_ms - 60_000 <= cue.window_end_ms <= after.start_ms - 300
                and all(after.movement.name in w.text for w in cue.wordings)
                for cue in previews
            ), after.id


@few
@given(plans())
def test_preview_is_wanted_within_three_seconds_of_a_rest(plan):
    """Right after the words to rest, or once the hands are done with equipment."""
    sheet = sheet_of(plan)
    segments = {segment.id: segment for segment in sheet.timeline.segments}
    for cue in of_kind(sheet, cuekinds.PREVIEW):
        segment = segments[cue.segment]
        handled = any(
            each.segment == segment.id for each in of_kind(sheet, cuekinds.EQUIPMENT)
        )
        if segment.kind is SegmentKind.REST:
            late_ms = 3_000 if handled else 0
            assert cue.wanted_ms <= segment.start_ms + 2_800 + late_ms
            assert cue.window_end_ms <= segment.end_ms - 3_300


@few
@given(plans())
def test_every_legal_plan_can_be_placed(plan):
    """At about 150 words a minute all that is essential fits, by design."""
    sheet = sheet_of(plan)
    placed = place(sheet, sensible_timings(sheet))
    heard = {each.cue.id for each in placed.placed}
    assert heard >= {cue.id for cue in sheet.cues if cue.essential}


def test_preview_tells_name_then_how():
    """The first time everything; later a short reminder. The easier way can wait."""
    plan = make.plan(
        make.welcome(), make.intervals(make.TOE_TAP, make.HEEL_DIG), make.close()
    )
    sheet = sheet_of(plan)
    (first,) = said(sheet, "intervals.r1.m1.rest", cuekinds.PREVIEW)
    assert first.endswith("heel dig. Reach one heel forward, then the other.")
    (later,) = said(sheet, "intervals.r2.m1.rest", cuekinds.PREVIEW)
    assert "Heels forward." in later
    assert len(later) < len(first)


def test_nobody_is_told_to_watch():
    """There is nothing to see on a recording, and somebody alone sees nobody."""
    texts = " ".join(
        w.text for c in sheet_of(make.whole_class()).cues for w in c.wordings
    )
    assert "watch" not in texts.lower()


def test_preview_names_the_side_that_starts():
    """Every wording of the preview of a one-sided movement names its first side."""
    work = make.intervals(make.TOE_TAP, make.ANKLE_CIRCLE, rounds=1)
    sheet = sheet_of(make.plan(work, make.close()))
    (preview,) = (
        cue
        for cue in of_kind(sheet, cuekinds.PREVIEW)
        if cue.segment == "intervals.r1.m1.rest"
    )
    assert all("right side" in wording.text for wording in preview.wordings)


def test_a_rest_too_short_for_a_preview_has_it_before():
    """With a rest of 6 s the next movement is named during the work before."""
    work = make.intervals(make.TOE_TAP, make.HEEL_DIG, rest=6, rounds=1)
    sheet = sheet_of(make.plan(work, make.close()))
    assert said(sheet, "intervals.r1.m1.rest", cuekinds.PREVIEW) == []
    (preview,) = said(sheet, "intervals.r1.m1", cuekinds.PREVIEW)
    assert "heel dig" in preview


def test_plain_movements_are_announced_just_before_the_change():
    """The next movement is named and told before the change, not on it."""
    warm_up = make.plain(
        make.timed(make.SHOULDER_ROLL, 40), make.timed(make.EASY_MARCH, 40)
    )
    sheet = sheet_of(make.plan(warm_up, make.close()))
    (cue,) = (c for c in of_kind(sheet, cuekinds.PREVIEW) if c.segment == "warm-up.m1")
    assert cue.window_start_ms >= 60_000 - 12_000
    assert cue.window_end_ms <= 60_000 - 300
    assert "Lift one heel" in full(cue)


def equipment(sheet: CueSheet) -> list[tuple[str, bool]]:
    """Return where equipment is picked up (True) and put down (False)."""
    return [
        (cue.segment, " down" not in full(cue) and "lay your" not in full(cue).lower())
        for cue in of_kind(sheet, cuekinds.EQUIPMENT)
    ]


@pytest.mark.parametrize("rest", [15, 20, 30, 60])
def test_equipment_is_asked_for_ten_seconds_before_it_is_needed(rest):
    """The words have ended ten seconds before the work, however short the rest."""
    work = make.intervals(make.HEEL_DIG, make.PUNCH, make.TOE_TAP, rest=rest, rounds=1)
    sheet = sheet_of(make.plan(work, make.close()))
    needed = next(s for s in sheet.timeline.segments if s.movement is make.PUNCH)
    up, down = of_kind(sheet, cuekinds.EQUIPMENT)
    assert up.window_end_ms <= needed.start_ms - 10_000
    assert "hand weights" in full(up)
    assert up.segment == f"intervals.r1.m1{'.rest' if rest >= 20 else ''}"
    assert down.segment == "intervals.r1.m2.rest"


def test_a_new_movement_is_explained_though_its_equipment_is_fetched_before():
    """In a rest of 20 s the hands come first, and then there is time for the how."""
    curl = Movement(
        name="biceps curl",
        equipment="light hand weights",
        how="Palms up. Bend the elbows to lift the weights, then lower them slowly.",
        how_short="Lift the weights, lower them slowly.",
    )
    section = make.intervals(make.HEEL_DIG, curl, work=40, rest=20, rounds=1)
    sheet = sheet_of(make.plan(make.welcome(), section, make.close()))
    placed = place(sheet, sensible_timings(sheet)).placed
    rest = next(s for s in sheet.timeline.segments if s.kind is SegmentKind.REST)
    inside = [each for each in placed if each.cue.segment == rest.id]
    (fetched,) = [each for each in inside if each.cue.kind is cuekinds.EQUIPMENT]
    (shown,) = [each for each in inside if each.cue.kind is cuekinds.PREVIEW]
    assert fetched.end_ms <= rest.end_ms - 10_000
    assert fetched.end_ms <= shown.start_ms
    assert "lower them slowly" in shown.wording.text


def test_equipment_stays_in_hand_between_movements_that_share_it():
    """Two movements with weights: picked up once, put down once."""
    press = replace(make.PUNCH, name="chest press")
    work = make.intervals(make.PUNCH, press, rounds=1)
    assert equipment(sheet_of(make.plan(work, make.close()))) == [
        ("intervals.opening", True),
        ("close", False),
    ]


def test_equipment_is_put_down_for_the_recovery_and_taken_again():
    """Hands are free in the break between rounds."""
    work = make.intervals(make.PUNCH, rounds=2)
    assert equipment(sheet_of(make.plan(work, make.close()))) == [
        ("intervals.opening", True),
        ("intervals.r1.recovery", False),
        ("intervals.r1.recovery", True),
        ("close", False),
    ]


def test_equipment_is_put_down_before_a_stretch_that_follows_at_once():
    """Without a rest it is put down while the movement before still runs."""
    cool_down = make.plain(
        make.timed(make.PUNCH, 40),
        make.timed(make.CALF_STRETCH, 40),
        kind=SectionKind.COOL_DOWN,
    )
    sheet = sheet_of(make.plan(cool_down, make.close()))
    stretch = next(s for s in sheet.timeline.segments if s.side == "right")
    down = of_kind(sheet, cuekinds.EQUIPMENT)[1]
    assert down.window_end_ms < stretch.start_ms


@few
@given(plans())
def test_equipment_is_picked_up_and_put_down_in_turn(plan):
    """Nothing is picked up twice, and nothing is left in hand at the close."""
    up = [up for _, up in equipment(sheet_of(plan))]
    needs = any(m.equipment for s in plan.sections for m in s.movements)
    assert bool(up) <= needs
    assert up.count(False) >= up.count(True)


def test_coaching_thins_out_from_round_to_round():
    """Two form points and the easier way, then one reminder, then none."""
    work = make.intervals(make.HEEL_DIG, make.TOE_TAP, rounds=3)
    sheet = sheet_of(make.plan(make.welcome(), work, make.close()))
    points = [
        said(sheet, f"intervals.r{number}.m1", cuekinds.FORM) for number in (1, 2, 3)
    ]
    assert [len(each) for each in points] == [2, 1, 0]
    assert points[0] == ["Sit tall.", "Toes up."]
    options = [
        said(sheet, f"intervals.r{number}.m1", cuekinds.OPTION) for number in (1, 2)
    ]
    assert "keep the heel close" in options[0][0]
    assert "reach a little further" in options[1][0]
    assert said(sheet, "intervals.r3.m1", cuekinds.ENCOURAGEMENT)


def test_breath_is_cued_in_every_round_of_work_with_equipment():
    """Resistance without a breath cue would be a fault; so each round has one."""
    sheet = sheet_of(make.plan(make.intervals(make.PUNCH, rounds=3), make.close()))
    for number in (1, 2, 3):
        assert said(sheet, f"intervals.r{number}.m1", cuekinds.BREATH)


CURL = Movement(
    name="biceps curl",
    how="Palms up. Bend the elbows, then lower them.",
    how_short="Bend, then lower.",
    easier="leave the weights in your lap",
    caution="Stop if a joint hurts",
)


def test_caution_is_said_once_and_before_anyone_moves_where_there_is_room():
    """It comes before the how in the rest, and the how is told in full."""
    work = make.intervals(make.HEEL_DIG, CURL, work=40, rest=20, rounds=3)
    sheet = sheet_of(make.plan(make.welcome(), work, make.close()))
    (caution,) = of_kind(sheet, cuekinds.CAUTION)
    assert caution.segment == "intervals.r1.m1.rest"
    assert caution.essential
    assert "stop if a joint hurts" in full(caution).lower()
    placed = place(sheet, sensible_timings(sheet)).placed
    (said_at,) = [each for each in placed if each.cue.kind is cuekinds.CAUTION]
    (preview,) = [
        each
        for each in placed
        if each.cue.kind is cuekinds.PREVIEW and each.cue.segment == caution.segment
    ]
    assert said_at.end_ms < preview.start_ms
    assert "Bend the elbows, then lower them." in preview.wording.text
    assert said(sheet, "intervals.r1.m2", cuekinds.OPTION)


def test_what_a_rest_does_not_hold_is_told_before_any_other_coaching():
    """The caution comes first, then the name; then the how, as the work starts."""
    long = replace(CURL, how="Palms up. " + "Bend the elbows, then lower them. " * 3)
    work = make.intervals(make.HEEL_DIG, long, work=40, rest=15, rounds=2)
    sheet = sheet_of(make.plan(make.welcome(), work, make.close()))
    (caution,) = of_kind(sheet, cuekinds.CAUTION)
    assert caution.segment == "intervals.r1.m1.rest"
    (how,) = of_kind(sheet, cuekinds.EXPLANATION)
    assert how.segment == "intervals.r1.m2"
    placed = place(sheet, sensible_timings(sheet)).placed
    inside = [each.cue.kind for each in placed if each.cue.segment == how.segment]
    assert inside[0] is cuekinds.EXPLANATION
    assert full(how).endswith("Start now.")
    assert cuekinds.START not in inside


def test_a_caution_that_no_rest_holds_is_told_in_the_work_before():
    """With a rest of 8 s there is more room there."""
    work = make.intervals(make.HEEL_DIG, CURL, work=40, rest=8, rounds=2)
    sheet = sheet_of(make.plan(make.welcome(), work, make.close()))
    (caution,) = of_kind(sheet, cuekinds.CAUTION)
    assert caution.segment == "intervals.r1.m1"
    assert "next" in full(caution)


def test_a_class_that_starts_with_a_movement_has_its_caution_in_it():
    """Nothing comes before it; it is still said, and first."""
    warm_up = make.plain(make.timed(CURL, 60), opening=0)
    sheet = sheet_of(make.plan(warm_up, make.close()))
    (caution,) = of_kind(sheet, cuekinds.CAUTION)
    assert (caution.segment, caution.essential) == ("warm-up.m1", True)


def test_caution_of_a_movement_that_follows_at_once_comes_before_the_change():
    """In a warm-up it is told in the last seconds of the movement before."""
    short = replace(make.timed(CURL, 60), how=None, how_short=None)
    warm_up = make.plain(make.timed(make.EASY_MARCH, 60), short)
    sheet = sheet_of(make.plan(make.welcome(), warm_up, make.close()))
    (caution,) = of_kind(sheet, cuekinds.CAUTION)
    assert caution.segment == "warm-up.m1"


def test_only_the_last_intervals_section_ends_the_main_part():
    """Where another set follows, nobody is told that the main part is done."""
    first = make.intervals(make.HEEL_DIG, make.TOE_TAP, rounds=1)
    sheet = sheet_of(make.plan(first, first, make.close()))
    where = [full(cue) for cue in of_kind(sheet, cuekinds.WHERE_WE_ARE)]
    assert [("main part" in text, "round" in text) for text in where] == [
        (False, True),
        (True, False),
    ]
    openings = [full(cue) for cue in of_kind(sheet, cuekinds.OPENING)]
    assert "main part" in openings[0]
    assert "another set" in openings[1]


def test_easy_sections_ask_for_no_effort():
    """No harder way and no praise of hard work in warm-up, recovery or cool-down."""
    march = make.timed(make.HEEL_DIG, 90)
    easy = [
        make.plain(march, kind=kind)
        for kind in (SectionKind.WARM_UP, SectionKind.RECOVERY, SectionKind.COOL_DOWN)
    ]
    sheet = sheet_of(make.plan(*easy, make.close()))
    options = [full(cue) for cue in of_kind(sheet, cuekinds.OPTION)]
    assert options
    assert not any("reach a little further" in text for text in options)
    praise = {full(cue) for cue in of_kind(sheet, cuekinds.ENCOURAGEMENT)}
    phrases = load_phrases("en")
    gentle = {texts[0] for texts in phrases.variants("encouragement easy")}
    hard = {texts[0] for texts in phrases.variants("encouragement")}
    assert praise
    assert praise <= gentle - hard


def test_cool_down_is_not_checked_by_talking_once_the_work_was():
    """The check belongs to the work; a cool-down only has to get easier."""
    work = make.intervals(*[make.TOE_TAP] * 3, rounds=2, between=60)
    slow = make.plain(
        *[make.timed(make.EASY_MARCH, 120)] * 8, kind=SectionKind.COOL_DOWN
    )
    checks = of_kind(sheet_of(make.plan(work, slow, make.close())), cuekinds.TALK_CHECK)
    assert checks
    assert all(cue.window_end_ms < 600_000 for cue in checks)


def test_where_we_are():
    """Third of four, the last before the recovery, the last of all, rounds left."""
    work = make.intervals(
        make.HEEL_DIG, make.TOE_TAP, make.ANKLE_CIRCLE, make.TOE_TAP, rest=30, rounds=3
    )
    sheet = sheet_of(make.plan(make.welcome(), work, make.close()))
    (third,) = said(sheet, "intervals.r2.m2.rest", cuekinds.WHERE_WE_ARE)
    assert "third of four" in third.lower()
    (last,) = said(sheet, "intervals.r1.m3.rest", cuekinds.WHERE_WE_ARE)
    assert "before the recovery" in last
    assert said(sheet, "intervals.r3.m3.rest", cuekinds.WHERE_WE_ARE) == [
        "Toe tap side is the last one of the main part."
    ]
    assert said(sheet, "intervals.r1.recovery", cuekinds.WHERE_WE_ARE) == [
        "Two rounds of these still to come."
    ]
    moving = {s.id for s in sheet.timeline.segments if s.kind in MOVING}
    assert not moving & {c.segment for c in of_kind(sheet, cuekinds.WHERE_WE_ARE)}


def test_recovery_offers_water_and_says_what_to_do():
    """The break between rounds names its movement and offers a sip."""
    sheet = sheet_of(make.whole_class())
    preview, coming = said(sheet, "intervals.r1.recovery", cuekinds.PREVIEW)
    assert "easy march, about " in preview
    assert "heel dig" in coming
    assert any(
        "water" in text for text in said(sheet, "intervals.r1.recovery", cuekinds.REST)
    )


def test_recovery_with_sides_says_when_to_change():
    """A one-sided easy movement changes sides halfway through the break."""
    section = make.intervals(make.HEEL_DIG, rounds=2, between=60)
    pause = replace(section.intervals.between_rounds, movement=make.ANKLE_CIRCLE)
    clockwork = replace(section.intervals, between_rounds=pause)
    sheet = sheet_of(make.plan(replace(section, intervals=clockwork), make.close()))
    (change,) = of_kind(sheet, cuekinds.SIDE_CHANGE)
    recovery = next(
        s for s in sheet.timeline.segments if s.kind is SegmentKind.RECOVERY
    )
    assert change.wanted_ms == recovery.start_ms + 30_000


def test_first_talk_check_within_ten_minutes_and_then_every_fifteen():
    """Effort is checked by talking, early and regularly."""
    long = make.intervals(*[make.TOE_TAP] * 6, rounds=6, between=60)
    plan = make.plan(make.welcome(), long, make.close())
    checks = of_kind(sheet_of(plan), cuekinds.TALK_CHECK)
    assert checks[0].window_end_ms <= 600_000
    for one, other in pairwise(checks):
        assert other.window_end_ms - one.window_start_ms <= 960_000
    assert checks[-1].window_end_ms >= sheet_of(plan).timeline.end_ms - 960_000


@few
@given(plans())
def test_talk_is_checked_where_people_can_try_it(plan):
    """While they move, with five seconds of quiet after it; so in every class with a
    work of half a minute that has no sides."""
    sheet = sheet_of(plan)
    segments = {s.id: s for s in sheet.timeline.segments}
    placed = place(sheet, sensible_timings(sheet)).placed
    for each, following in pairwise(placed):
        if each.cue.kind is cuekinds.TALK_CHECK:
            assert segments[each.cue.segment].kind in MOVING
            assert following.start_ms - each.end_ms >= 5_000, following.cue.id
    coached = plan.coaching is Coaching.EVERYTHING
    works = [
        s
        for s in segments.values()
        if s.kind is SegmentKind.WORK
        and s.length_ms >= 30_000
        and s.side is None
        and not s.movement.hold
        and s.next_movement is None
    ]
    checks = of_kind(sheet, cuekinds.TALK_CHECK)
    assert checks or not (coached and works), [work.id for work in works]


@pytest.mark.parametrize(("work", "between"), [(40, None), (60, None), (40, 20)])
def test_talk_is_checked_though_every_work_has_sides(work, between):
    """A class of one-sided works has its check in the last side of one."""
    sided = [replace(make.ANKLE_CIRCLE, name=f"circle {n}") for n in range(4)]
    section = make.intervals(*sided, work=work, rounds=2, between=between)
    sheet = sheet_of(make.plan(make.welcome(), section, make.close()))
    placed = place(sheet, sensible_timings(sheet)).placed
    assert [each for each in placed if each.cue.kind is cuekinds.TALK_CHECK]


def test_welcome_tells_the_format_and_what_to_bring():
    """How long, how many rounds and movements, and what to have at hand."""
    sheet = sheet_of(make.whole_class())
    words = " ".join(said(sheet, "welcome", cuekinds.WELCOME))
    for part in (
        "22 minutes",
        "four movements, three rounds",
        "a cushion",
        "light hand weights",
        "water",
    ):
        assert part in words
    # What is picked up lies on a chair or table, and they are told before the start.
    assert "You need: some water and a cushion. And on a chair or table" in words


def test_who_is_dizzy_is_told_to_stay_before_anyone_is_told_to_stand():
    """A condition that comes after the order comes when people are on their feet."""
    for key in ("safety stand", "safety stand after"):
        for variant in load_phrases("en").variants(key):
            words = variant[0].casefold()
            stays = [words.find(part) for part in ("dizzy", "until you feel steady")]
            assert 0 <= max(stays) < words.index("stand up slowly")


@few
@given(plans())
def test_safety_is_said_in_every_class(plan):
    """Chair, stop signs, leave to rest, whose advice counts, how to stand up."""
    safety = " ".join(full(cue) for cue in of_kind(sheet_of(plan), cuekinds.SAFETY))
    for part in (
        "without wheels",
        "Chest pain",
        "rest at any time",
        "doctor",
        "feet and ankles moving",
        "stand up slowly",
    ):
        assert part in safety


def test_own_words_replace_the_greeting_but_not_the_safety():
    """A leader's own sentences stand in for the pack's; safety stays."""
    plan = make.plan(
        make.welcome(says=("good morning from Maud", "We keep it easy today.")),
        make.intervals(make.HEEL_DIG, rounds=1),
        make.close(says=("Well done, all.", "See you on Thursday.")),
    )
    sheet = sheet_of(plan)
    welcome = said(sheet, "welcome", cuekinds.WELCOME)
    assert welcome[:2] == ["Good morning from Maud.", "We keep it easy today."]
    assert not any("This class lasts" in text for text in welcome)
    assert len(said(sheet, "welcome", cuekinds.SAFETY)) == 4
    assert said(sheet, "close", cuekinds.CLOSE) == [
        "Well done, all.",
        "See you on Thursday.",
    ]
    assert len(said(sheet, "close", cuekinds.SAFETY)) == 2


def test_class_without_welcome_or_close_still_has_its_safety():
    """Safety goes into the first and the last segment there is."""
    plan = make.plan(make.intervals(make.HEEL_DIG, rounds=1, opening=60))
    safety = of_kind(sheet_of(plan), cuekinds.SAFETY)
    assert [cue.segment for cue in safety] == (
        ["intervals.opening"] * 4 + ["intervals.r1.m1"] * 2
    )


@pytest.mark.parametrize("coaching", list(Coaching))
def test_safety_comes_before_the_first_preview_where_there_is_no_welcome(coaching):
    """No sentence of the safety is said after the preview of the first movement."""
    work = make.intervals(make.PUNCH, make.HEEL_DIG, opening=30)
    sheet = sheet_of(make.plan(work, make.close(), coaching=coaching))
    placed = [
        each.cue.kind
        for each in place(sheet, sensible_timings(sheet)).placed
        if each.cue.segment == "intervals.opening"
    ]
    last_of_safety = len(placed) - 1 - placed[::-1].index(cuekinds.SAFETY)
    assert placed.count(cuekinds.SAFETY) == 4
    assert last_of_safety < placed.index(cuekinds.PREVIEW)


@pytest.mark.parametrize("counting", list(Counting))
def test_the_shortest_close_keeps_the_last_work_whole_and_its_own_safety(counting):
    """After 45/15 the last work is counted out, stopped on time, and then comes how
    to stand up: all in 15 s, with weights still to be put down."""
    work = make.intervals(*[make.HEEL_DIG] * 5, make.PUNCH, work=45, rest=15, rounds=1)
    sheet = sheet_of(make.plan(work, make.close(15), counting=counting))
    last, close = sheet.timeline.segments[-2:]
    safety = [cue for cue in of_kind(sheet, cuekinds.SAFETY) if cue.segment == close.id]
    assert len(safety) == 2
    assert not of_kind(sheet, cuekinds.CLOSE)
    if counting is not Counting.TONES:
        assert said(sheet, last.id, cuekinds.COUNTDOWN) == ["Three", "Two", "One"]
    if counting is not Counting.VOICE:
        assert last.end_ms in [tone.start_ms for tone in sheet.tones]
    placed = place(sheet, sensible_timings(sheet))
    assert not [out for out in placed.left_out if out.cue.segment == close.id]


@pytest.mark.parametrize(
    ("count_from", "offset_s", "due_s"),
    [(CountFrom.START, 15, 15), (CountFrom.END, 10, 70), (CountFrom.HALFWAY, 5, 45)],
)
def test_free_cues_start_at_their_time(count_from, offset_s, due_s):
    """Counted from the start, the end or halfway of the section."""
    cue = FreeCue(text="look at the window", at=Moment(offset_s * 1000, count_from))
    section = make.plain(make.timed(make.EASY_MARCH, 60), free_cues=(cue,))
    (free,) = of_kind(sheet_of(make.plan(section, make.close())), cuekinds.FREE)
    assert (free.anchor_ms, free.wanted_ms) == (None, due_s * 1000)
    assert free.window_start_ms == (due_s - 5) * 1000
    assert full(free) == "Look at the window."
    assert free.essential


def test_clock_coaching_leaves_the_talking_to_the_leader():
    """No coaching, short previews, and more quiet."""
    everything = sheet_of(make.whole_class())
    clock = sheet_of(make.whole_class(coaching=Coaching.CLOCK))
    left_to_the_leader = {
        cuekinds.WELCOME,
        cuekinds.ENCOURAGEMENT,
        cuekinds.FORM,
        cuekinds.OPTION,
        cuekinds.TALK_CHECK,
        cuekinds.CLOSE,
    }
    assert not {cue.kind for cue in clock.cues} & left_to_the_leader
    assert clock.quiet.gap_ms > everything.quiet.gap_ms
    assert clock.quiet.share < everything.quiet.share
    for cue in of_kind(clock, cuekinds.PREVIEW):
        assert full(cue).startswith(("Next: ", "Recovery: ", "Easy time now: "))


def test_spoken_text_comes_from_the_normaliser():
    """Display text is kept; what is spoken is what ``say`` makes of it."""
    plan = make.whole_class()
    sheet = write_cues(plan, lay_out(plan), load_phrases("en"), str.upper)
    assert all(w.spoken == w.text.upper() for c in sheet.cues for w in c.wordings)


def test_bare_movement_gives_a_usable_sheet():
    """A name and a time are enough: nothing optional is required."""
    plan = make.plan(make.plain(Movement(name="easy march", duration_ms=30_000)))
    sheet = sheet_of(plan)
    assert "easy march" in said(sheet, "warm-up.opening", cuekinds.PREVIEW)[0]


def test_empty_plan_gives_an_empty_sheet():
    """Nothing planned, nothing said."""
    sheet = sheet_of(Plan(title="Nothing"))
    assert (sheet.cues, sheet.tones) == ((), ())


def test_class_that_starts_moving_names_its_movement_at_once():
    """Without an opening the first movement is named as it starts."""
    plan = make.plan(make.plain(make.timed(make.EASY_MARCH, 60), opening=0))
    (preview,) = said(sheet_of(plan), "warm-up.m1", cuekinds.PREVIEW)
    assert "start with easy march" in preview


def test_works_without_rests_follow_each_other_by_countdown_and_tone():
    """With no rest the next movement is announced in the work before."""
    work = make.intervals(
        make.HEEL_DIG, make.TOE_TAP, rest=0, rounds=2, between=None, opening=30
    )
    sheet = sheet_of(make.plan(make.welcome(), work, make.close()))
    assert "rest" not in said(sheet, "intervals.opening", cuekinds.OPENING)[0]
    (preview,) = said(sheet, "intervals.r1.m1", cuekinds.PREVIEW)
    assert "toe tap side" in preview
    assert said(sheet, "intervals.r1.m2", cuekinds.START) == ["Now: toe tap side."]
    assert said(sheet, "intervals.r1.m1", cuekinds.COUNTDOWN) == ["Three", "Two", "One"]
    placed = place(sheet, sensible_timings(sheet))
    assert not [each for each in placed.left_out if each.cue.essential]


def test_water_is_offered_after_fifteen_minutes_without():
    """A class without a recovery break still has its sip of water."""
    long = make.intervals(*[make.TOE_TAP] * 9, rounds=2, between=None)
    cool_down = make.plain(
        make.timed(make.EASY_MARCH, 60), kind=SectionKind.COOL_DOWN, opening=30
    )
    sheet = sheet_of(make.plan(make.welcome(), long, cool_down, make.close()))
    rests = said(sheet, "cool-down.opening", cuekinds.REST)
    assert any("water" in text for text in rests)


def test_recovery_section_has_an_opening_and_water():
    """An easy section of its own is introduced and offers a sip."""
    easy = make.plain(make.timed(make.EASY_MARCH, 90), kind=SectionKind.RECOVERY)
    sheet = sheet_of(make.plan(make.welcome(), easy, make.close()))
    assert said(sheet, "recovery.opening", cuekinds.OPENING) == [
        "Now an easy part. Slow down, and keep your feet moving."
    ]
    assert said(sheet, "recovery.m1", cuekinds.REST)


def test_nobody_stops_or_starts_at_the_word_next():
    """People are told to go on, to hold, or that the recovery is over."""
    stretch = replace(make.timed(make.CALF_STRETCH, 40), sides=())
    march = make.timed(make.EASY_MARCH, 40)
    plain = make.plain(march, stretch, march)
    work = make.intervals(make.HEEL_DIG, make.TOE_TAP, rest=30, rounds=2, between=60)
    previews = of_kind(sheet_of(make.plan(plain, work, make.close())), cuekinds.PREVIEW)
    said_first = [full(each).split(".")[0] for each in previews]
    goes_on = ["Keep going, and listen", "Hold and breathe until the tone"]
    assert said_first[1:3] == goes_on
    assert "And stop there" in said_first
