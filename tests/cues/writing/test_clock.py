"""Promises of the clock: counts on their seconds, tones on the instant."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest
from cues import builders as make
from cues.sheets import of_kind, sheet_of
from cues.strategies import few, plans
from hypothesis import given
from hypothesis import strategies as st

from cuetrack import cuekinds
from cuetrack.cues.model import AnchorPoint, SegmentKind
from cuetrack.cues.tonekinds import ToneKind
from cuetrack.cues.writing.timecalls import time_calls
from cuetrack.plan.model import Coaching, Counting, SectionKind, TimeCalls

ONE_WORK = make.intervals(make.HEEL_DIG, work=40, rounds=1, opening=20)
"""An opening to 0:20, one work to 1:00."""


def texts(cues) -> list[str]:
    return [cue.wordings[0].text for cue in cues]


FEW, USUAL, MANY = TimeCalls.FEW, TimeCalls.USUAL, TimeCalls.MANY


@pytest.mark.parametrize(
    ("often", "seconds", "left", "halfway"),
    [
        (FEW, 60, (), False),
        (USUAL, 24, (), False),
        (USUAL, 25, (10,), False),
        (USUAL, 39, (10,), False),
        (USUAL, 40, (10,), True),
        (USUAL, 60, (10,), True),
        (MANY, 10, (), False),
        (MANY, 15, (5,), False),
        (MANY, 20, (5,), True),
        (MANY, 25, (10, 5), False),
        (MANY, 30, (10, 5), True),
        (MANY, 40, (15, 10, 5), True),
    ],
)
def test_calls_of_a_work(often, seconds, left, halfway):
    """Seconds left, and halfway, by length and as often as wanted (common practice)."""
    calls = time_calls(often, SegmentKind.WORK, seconds * 1000)
    assert (calls.seconds_left, calls.halfway) == (left, halfway)


@pytest.mark.parametrize(
    ("seconds", "hold", "left", "halfway"),
    [
        (29, False, (), False),
        (30, False, (10,), False),
        (59, False, (10,), False),
        (60, False, (10,), True),
        (14, True, (), False),
        (15, True, (5,), False),
        (90, True, (5,), False),
    ],
)
def test_calls_of_a_plain_movement(seconds, hold, left, halfway):
    """Only the last five seconds in a hold."""
    calls = time_calls(USUAL, SegmentKind.MOVE, seconds * 1000, hold=hold)
    assert (calls.seconds_left, calls.halfway) == (left, halfway)


def test_sides_have_no_halfway():
    """Where the sides change is halfway; nothing else is called so."""
    assert not time_calls(MANY, SegmentKind.WORK, 40_000, sides=True).halfway


@few
@given(plans(), st.sampled_from([USUAL, MANY]))
def test_halfway_keeps_away_from_every_other_call(plan, often):
    """Ten seconds, five where many are wanted, in works of any length."""
    apart_ms = {USUAL: 10_000, MANY: 5_000}[often]
    for segment in sheet_of(plan).timeline.segments:
        if segment.kind in {SegmentKind.WORK, SegmentKind.MOVE}:
            calls = time_calls(often, segment.kind, segment.length_ms)
            half_ms = segment.length_ms // 2
            for left in calls.seconds_left if calls.halfway else ():
                assert segment.length_ms - left * 1000 - half_ms >= apart_ms


@few
@given(plans())
def test_the_time_is_called_once_after_halfway_at_most(plan):
    """As is usual; with few calls only the final count is left."""
    for often, most in ((FEW, 0), (USUAL, 1)):
        calls = of_kind(sheet_of(replace(plan, time_calls=often)), cuekinds.TIME_LEFT)
        for segment in {cue.segment for cue in calls}:
            assert sum(cue.segment == segment for cue in calls) <= most


def test_count_in_start_countdown_and_stop_in_voice_and_tones():
    """Words on -3, -2, -1 s with their beat; tones on the instants themselves."""
    sheet = sheet_of(make.plan(ONE_WORK, make.close()))
    count_in = of_kind(sheet, cuekinds.COUNT_IN)
    assert texts(count_in) == ["Three", "Two", "One"]
    assert [cue.anchor_ms for cue in count_in] == [17_000, 18_000, 19_000]
    countdown = of_kind(sheet, cuekinds.COUNTDOWN)
    assert [cue.anchor_ms for cue in countdown] == [57_000, 58_000, 59_000]
    for cue in (*count_in, *countdown):
        assert cue.anchor_point is AnchorPoint.BEAT
        assert cue.essential
    assert [(tone.kind, tone.start_ms) for tone in sheet.tones] == [
        (ToneKind.START, 20_000),
        (ToneKind.STOP, 60_000),
    ]
    (stop,) = of_kind(sheet, cuekinds.STOP)
    assert stop.window_start_ms == stop.wanted_ms == 60_650
    assert stop.essential
    (start,) = of_kind(sheet, cuekinds.START)
    assert start.window_start_ms == 20_550


def test_counting_in_voice_puts_the_word_on_the_instant():
    """Go and stop sit with their beat at 0; there are no tones."""
    plan = make.plan(ONE_WORK, make.close(), counting=Counting.VOICE)
    sheet = sheet_of(plan)
    assert sheet.tones == ()
    (start,) = of_kind(sheet, cuekinds.START)
    (stop,) = of_kind(sheet, cuekinds.STOP)
    assert (start.anchor_ms, texts([start])) == (20_000, ["Go now."])
    assert (stop.anchor_ms, texts([stop])) == (60_000, ["Stop."])
    assert start.essential
    assert stop.essential
    many = replace(plan, time_calls=TimeCalls.MANY)
    (halfway,) = of_kind(sheet_of(many), cuekinds.HALFWAY)
    assert (halfway.anchor_ms, halfway.anchor_point) == (40_000, AnchorPoint.BEAT)


def test_counting_in_tones_ticks_and_says_nothing_of_the_clock():
    """Ticks in place of the count; previews and safety are still spoken."""
    sheet = sheet_of(make.plan(ONE_WORK, make.close(), counting=Counting.TONES))
    ticks = [tone.start_ms for tone in sheet.tones if tone.kind is ToneKind.TICK]
    assert ticks == [17_000, 18_000, 19_000, 57_000, 58_000, 59_000]
    said = {cue.kind for cue in sheet.cues}
    assert not said & {
        cuekinds.COUNT_IN,
        cuekinds.COUNTDOWN,
        cuekinds.START,
        cuekinds.STOP,
        cuekinds.HALFWAY,
        cuekinds.TIME_LEFT,
    }
    assert {cuekinds.PREVIEW, cuekinds.SAFETY} <= said


def test_time_calls_sit_with_their_beat_on_the_instant():
    """Fifteen, ten and five seconds before the end, to the millisecond."""
    plan = make.plan(ONE_WORK, make.close(), time_calls=TimeCalls.MANY)
    calls = of_kind(sheet_of(plan), cuekinds.TIME_LEFT)
    assert [cue.anchor_ms for cue in calls] == [45_000, 50_000, 55_000]
    assert {cue.anchor_point for cue in calls} == {AnchorPoint.BEAT}
    assert texts(calls)[0].startswith("Fifteen")


def test_halfway_is_a_word_and_no_tone():
    """The two soft notes mean the other side, and nothing else."""
    twice = make.intervals(make.HEEL_DIG, rounds=2, opening=20)
    sheet = sheet_of(make.plan(twice, make.close()))
    (cue,) = of_kind(sheet, cuekinds.HALFWAY)
    assert (cue.anchor_ms, cue.anchor_point) == (140_000, AnchorPoint.BEAT)
    assert not {ToneKind.SIDE, ToneKind.MIDWAY} & {tone.kind for tone in sheet.tones}


def test_halfway_has_a_tone_of_its_own_where_the_clock_has_no_words():
    """One soft note half of the way, told once in the welcome of such a class only."""
    work = make.intervals(make.HEEL_DIG, work=40, rounds=1, opening=20)
    plan = make.plan(make.welcome(), work, make.close(), counting=Counting.TONES)
    sheet = sheet_of(plan)
    (start,) = [t.start_ms for t in sheet.tones if t.kind is ToneKind.START]
    assert [t.start_ms for t in sheet.tones if t.kind is ToneKind.MIDWAY] == [
        start + 20_000
    ]
    told = "One soft note means halfway."
    assert sum(told in text for text in texts(sheet.cues)) == 1
    short = make.intervals(make.HEEL_DIG, work=20, rounds=1, opening=20)
    plan = make.plan(make.welcome(), short, make.close(), counting=Counting.TONES)
    sheet = sheet_of(plan)
    assert ToneKind.MIDWAY not in {tone.kind for tone in sheet.tones}
    assert not any(told in text for text in texts(sheet.cues))


def test_halfway_of_a_new_movement_is_not_called():
    """Its words are left to how it is done, unless many calls are wanted."""
    sheet = sheet_of(make.plan(ONE_WORK, make.close()))
    assert of_kind(sheet, cuekinds.HALFWAY) == []


def test_sides_change_with_warning_count_and_tone():
    """The other side is named 3 s before, counted down to, and named again."""
    work = make.intervals(make.ANKLE_CIRCLE, work=40, rounds=1, opening=20)
    sheet = sheet_of(make.plan(work, make.close()))
    soon, now = of_kind(sheet, cuekinds.SIDE_CHANGE)
    assert soon.window_end_ms <= 37_000
    assert soon.essential
    assert all("left side" in wording.text for wording in soon.wordings)
    assert now.window_start_ms == 40_450
    counts = [cue.anchor_ms for cue in of_kind(sheet, cuekinds.COUNTDOWN)]
    assert counts == [37_000, 38_000, 39_000, 57_000, 58_000, 59_000]
    assert (ToneKind.SIDE, 40_000) in [(t.kind, t.start_ms) for t in sheet.tones]
    assert of_kind(sheet, cuekinds.TIME_LEFT) == []


def test_plain_movements_change_by_a_tone_without_a_count():
    """Only the first of a plain section is counted in."""
    warm_up = make.plain(
        make.timed(make.SHOULDER_ROLL, 40), make.timed(make.EASY_MARCH, 40)
    )
    sheet = sheet_of(make.plan(warm_up, make.close()))
    counts = [cue.anchor_ms for cue in of_kind(sheet, cuekinds.COUNT_IN)]
    assert counts == [17_000, 18_000, 19_000]
    assert of_kind(sheet, cuekinds.COUNTDOWN) == []
    assert [(tone.kind, tone.start_ms) for tone in sheet.tones] == [
        (ToneKind.START, 20_000),
        (ToneKind.START, 60_000),
        (ToneKind.STOP, 100_000),
    ]


def test_every_change_without_a_rest_is_spoken_after_its_tone():
    """A held stretch is let go of, and held again, in so many words."""
    stretch = make.timed(make.CALF_STRETCH, 60)
    march = make.timed(make.EASY_MARCH, 40)
    sheet = sheet_of(make.plan(make.plain(march, stretch, march), make.close()))
    starts = of_kind(sheet, cuekinds.START)[1:]
    assert texts(starts) == [
        "Now: calf stretch, right side. Ease into it, and hold.",
        "Come out slowly. Now: easy march.",
    ]
    assert all(cue.essential for cue in starts)
    side = of_kind(sheet, cuekinds.SIDE_CHANGE)[-1]
    assert texts([side])[0].startswith("Come out slowly. ")
    assert texts([side])[0].endswith("left side. Ease into it, and hold.")


def test_the_second_side_of_a_stretch_is_told_in_short_again():
    """Nobody has to remember what the leg, the toes or the hand were to do."""
    stretch = replace(
        make.CALF_STRETCH, how_short="That leg out, toes up, hold", duration_ms=60_000
    )
    sheet = sheet_of(make.plan(make.plain(stretch), make.close()))
    side = of_kind(sheet, cuekinds.SIDE_CHANGE)[-1]
    assert texts([side])[0].endswith("left side. The left leg out, toes up, hold.")


@pytest.mark.parametrize("next_sits_alike", [False, True])
def test_how_one_sits_as_before_again_is_told_as_a_movement_ends(next_sits_alike):
    """After a stretch as after a work; not where the next sits in the same way."""
    back = "Sit back in your chair"
    stretch = replace(make.timed(make.CALF_STRETCH, 60), afterwards=back, sides=())
    march = make.timed(make.EASY_MARCH, 40)
    dig = make.HEEL_DIG
    if next_sits_alike:
        march, dig = replace(march, afterwards=back), replace(dig, afterwards=back)
    punch = replace(make.PUNCH, afterwards=back)
    main = make.intervals(punch, dig, rest=30, rounds=1)
    sheet = sheet_of(make.plan(main, make.plain(stretch, march), make.close()))
    told = [
        f"{back}." in text
        for kind in (cuekinds.STOP, cuekinds.START)
        for text in texts(of_kind(sheet, kind))
    ]
    assert sum(told) == (2 if not next_sits_alike else 1)


def test_short_work_has_no_countdown():
    """Under ten seconds there is no closing countdown (common practice)."""
    sheet = sheet_of(make.plan(make.intervals(make.HEEL_DIG, work=9, rounds=1)))
    assert of_kind(sheet, cuekinds.COUNTDOWN) == []


def test_last_tone_of_a_class_that_ends_moving_stays_inside_it():
    """With nothing after the last movement its stop tone ends with the class."""
    sheet = sheet_of(make.plan(ONE_WORK))
    assert sheet.tones[-1].kind is ToneKind.STOP
    assert sheet.tones[-1].end_ms == sheet.timeline.end_ms
    spoken = sheet_of(make.plan(ONE_WORK, counting=Counting.VOICE))
    (stop,) = of_kind(spoken, cuekinds.STOP)
    assert (stop.anchor_ms, stop.anchor_point) == (60_000, AnchorPoint.END)


def test_voice_names_the_next_movement_at_a_change_without_rest():
    """Without tones the change itself is a word with its beat on the instant."""
    warm_up = make.plain(
        make.timed(make.SHOULDER_ROLL, 40), make.timed(make.ANKLE_CIRCLE, 40)
    )
    sheet = sheet_of(make.plan(warm_up, make.close(), counting=Counting.VOICE))
    change = of_kind(sheet, cuekinds.START)[1]
    assert (change.anchor_ms, texts([change])) == (60_000, ["Change: ankle circle."])
    side = of_kind(sheet, cuekinds.SIDE_CHANGE)[-1]
    assert (side.anchor_ms, side.anchor_point) == (80_000, AnchorPoint.BEAT)


@few
@given(plans())
def test_no_two_tones_meet(plan):
    """Tones never overlap."""
    tones = sheet_of(plan).tones
    assert all(a.end_ms <= b.start_ms for a, b in pairwise(tones))


@few
@given(plans())
def test_count_words_have_room_from_every_tone(plan):
    """A word of 600 ms around its beat touches no tone."""
    sheet = sheet_of(plan)
    for cue in sheet.cues:
        if cue.kind in {cuekinds.COUNT_IN, cuekinds.COUNTDOWN}:
            for tone in sheet.tones:
                clear = tone.end_ms <= cue.anchor_ms - 300
                assert clear or tone.start_ms >= cue.anchor_ms + 600


@few
@given(plans())
def test_every_start_after_stillness_is_counted_in(plan):
    """An opening, rest or recovery of 4 s or more ends in a whole count."""
    sheet = sheet_of(plan)
    told = {cue.anchor_ms for cue in of_kind(sheet, cuekinds.COUNT_IN)}
    told |= {t.start_ms for t in sheet.tones if t.kind is ToneKind.TICK}
    moving = {SegmentKind.WORK, SegmentKind.MOVE}
    for before, after in pairwise(sheet.timeline.segments):
        if after.kind in moving and before.kind not in moving:
            beats = {after.start_ms - left for left in (3_000, 2_000, 1_000)}
            assert beats <= told


def test_clock_coaching_keeps_the_clock():
    """A leader who talks live still gets counts, calls, names and safety."""
    plan = make.whole_class(coaching=Coaching.CLOCK)
    said = {cue.kind for cue in sheet_of(plan).cues}
    assert {
        cuekinds.COUNT_IN,
        cuekinds.COUNTDOWN,
        cuekinds.STOP,
        cuekinds.TIME_LEFT,
        cuekinds.HALFWAY,
        cuekinds.SIDE_CHANGE,
        cuekinds.PREVIEW,
        cuekinds.EQUIPMENT,
        cuekinds.SAFETY,
        cuekinds.CAUTION,
    } == said


def test_held_stretch_counts_only_its_last_seconds():
    """A hold has no halfway and no ten seconds left, only its last five."""
    cool_down = make.plain(
        make.timed(make.CALF_STRETCH, 60), kind=SectionKind.COOL_DOWN
    )
    sheet = sheet_of(make.plan(cool_down, make.close()))
    calls = of_kind(sheet, cuekinds.TIME_LEFT)
    assert [cue.anchor_ms for cue in calls] == [75_000]
    assert of_kind(sheet, cuekinds.HALFWAY) == []


def test_the_first_leg_comes_home_before_the_other():
    """A change of side says the way back, or the way across, then the side."""
    leg = replace(make.ANKLE_CIRCLE, afterwards="Bring that foot back")
    work = make.intervals(leg, work=40, rounds=1, opening=20)
    home = of_kind(sheet_of(make.plan(work, make.close())), cuekinds.SIDE_CHANGE)[-1]
    assert texts([home]) == ["Bring the right foot back. Now the left side."]
    over = replace(leg, between_sides="Ease back, then band under that foot")
    work = make.intervals(over, work=40, rounds=1, opening=20)
    across = of_kind(sheet_of(make.plan(work, make.close())), cuekinds.SIDE_CHANGE)[-1]
    assert across.essential
    assert texts([across]) == [
        "Ease back, then band under the left foot. Now the left side."
    ]
