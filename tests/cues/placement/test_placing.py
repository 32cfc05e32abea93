"""Placement in cases a leader knows, in real lengths."""

from __future__ import annotations

from dataclasses import replace

import pytest
from cues.placement_cases import cue, segment, sheet, tone

from cuetrack import cuekinds
from cuetrack.cues.model import AnchorPoint, QuietRule, SegmentKind
from cuetrack.cues.placement.items import items_of
from cuetrack.cues.placement.placing import place
from cuetrack.cues.placement.starts import earliest_starts, latest_starts, start_times
from cuetrack.cues.tonekinds import ToneKind
from cuetrack.errors import PlacementError

REST = (0, 15_000)
WORK = (15_000, 45_000)
SEGMENTS = [
    segment(*REST, id="rest", activity="rest", kind=SegmentKind.REST),
    segment(*WORK),
]
HALF = QuietRule(share=0.5)


def count_in(at_ms=12_000, **changes):
    return [
        cue(
            word,
            REST,
            [450],
            beats=[90],
            kind=cuekinds.COUNT_IN,
            segment="rest",
            anchor_ms=at_ms + 1000 * number,
            anchor_point=AnchorPoint.BEAT,
            essential=True,
            priority=100,
            **changes,
        )
        for number, word in enumerate(("Three", "Two", "One"))
    ]


def preview(lengths, **changes):
    return cue(
        "Next: heel dig",
        REST,
        lengths,
        kind=cuekinds.PREVIEW,
        segment="rest",
        priority=90,
        **changes,
    )


def said(placed):
    return {each.cue.id: each for each in placed.placed}


def reasons(placed):
    return {each.cue.id: each.reason for each in placed.left_out}


def test_a_preview_is_shortened_to_end_before_the_count_in():
    """It takes the wording that leaves 300 ms before the count, and says why."""
    placed = said(place(*sheet(SEGMENTS, [preview([12_000, 11_000]), *count_in()])))
    short = placed["Next: heel dig"]
    assert short.wording_index == 1
    assert short.end_ms + 300 <= placed["Three"].start_ms == 11_910
    assert short.reason == (
        "no room between the start of the rest and the count-in: "
        "12.0 s needed, 11.6 s free"
    )


def test_a_count_word_has_its_beat_on_its_second():
    """The pin is the anchor; start and end enclose the speech in whole ms."""
    three = said(place(*sheet(SEGMENTS, count_in())))["Three"]
    assert (three.pin_ms, three.pin_point) == (12_000, AnchorPoint.BEAT)
    assert (three.start_ms, three.end_ms) == (11_910, 12_361)


def test_an_essential_preview_that_cannot_fit_says_what_is_missing():
    """The least missing over its wordings, and what to do."""
    made = sheet(SEGMENTS, [preview([14_000, 13_500], essential=True), *count_in()])
    with pytest.raises(PlacementError) as caught:
        place(*made)
    assert caught.value.missing_ms == {"Next: heel dig": 13_500 - 11_610}
    assert str(caught.value) == (
        "Main part, the rest from 0:00 to 0:15: the preview must be said, and there "
        "is not enough time: 1.9 s are missing. Lengthen the rest by 2 s or shorten "
        "the text."
    )


def test_lengthening_by_what_is_missing_is_enough_and_less_is_not():
    """The missing time is exact to the millisecond."""

    def lengthened(more_ms):
        first = segment(0, 15_000 + more_ms, id="rest", kind=SegmentKind.REST)
        window = (0, 15_000 + more_ms)
        own = cue("Next", window, [13_500], essential=True, segment="rest")
        words = count_in(12_000 + more_ms)
        return place(*sheet([first], [own, *_wide(words)]))

    assert lengthened(1890)
    with pytest.raises(PlacementError):
        lengthened(1889)


def _wide(made):
    return [(replace(each, window_end_ms=99_000), own) for each, own in made]


def test_every_essential_cue_in_trouble_is_named_at_once():
    """Window, clash with a tone, clash with another, and too many in one window."""
    cues = [
        preview([20_000], essential=True),
        cue("A", (20_000, 23_000), [1500], essential=True),
        cue("B", (20_000, 23_000), [1500, 1400], essential=True),
        cue("C", WORK, [1000], essential=True, anchor_ms=30_000),
        cue("D", WORK, [1000], essential=True, anchor_ms=31_000),
        cue("E", WORK, [1000], essential=True, anchor_ms=39_500),
    ]
    tones = [tone(40_000, 300, ToneKind.SIDE)]
    with pytest.raises(PlacementError) as caught:
        place(*sheet(SEGMENTS, cues, tones))
    assert caught.value.missing_ms == {
        "Next: heel dig": 5000,
        "B": 500,
        "D": 600,
        "E": 500,
    }


def test_a_count_whose_words_run_into_each_other_is_trouble():
    """A voice too slow for one word a second is named with the overlap."""
    words = [
        cue(
            word,
            REST,
            [1200],
            kind=cuekinds.COUNT_IN,
            segment="rest",
            anchor_ms=at_ms,
            essential=True,
        )
        for word, at_ms in (("Seven", 10_000), ("Six", 11_000))
    ]
    with pytest.raises(PlacementError) as caught:
        place(*sheet(SEGMENTS, words))
    assert caught.value.missing_ms == {"Seven": 200}


def test_two_calls_that_must_be_said_at_one_moment_are_trouble():
    """Not even their shortest wordings go together; what is missing is measured."""
    calls = [
        cue(name, WORK, [900, 700], anchor_ms=30_000 + late_ms, essential=True)
        for name, late_ms in (("Halfway", 0), ("Change sides", 500))
    ]
    with pytest.raises(PlacementError) as caught:
        place(*sheet(SEGMENTS, calls))
    # Against the other in full, and the silence kept behind it.
    assert caught.value.missing_ms == {"Change sides": 900 + 600 - 500}


@pytest.mark.parametrize("start_times", [start_times, earliest_starts, latest_starts])
def test_starts_are_never_made_up_for_cues_that_do_not_fit(start_times):
    """Two cues with room for one are refused rather than laid over each other."""
    made, timings = sheet(
        SEGMENTS, [cue(name, (20_000, 21_500), [1000]) for name in ("One", "Other")]
    )
    both = [(item, item.options[0]) for item in items_of(made, timings)]
    with pytest.raises(ValueError, match="do not fit"):
        start_times(both, 600)
    assert start_times(both[:1], 600)[0] in range(20_000, 20_501)


def test_what_is_worth_less_gives_way():
    """Of two cues with room for one, the higher priority is said."""
    cues = [
        cue("Shoulders down", (20_000, 23_000), [2000], priority=10),
        cue("Feet flat", (20_000, 23_000), [2000], priority=20),
    ]
    placed = place(*sheet(SEGMENTS, cues))
    assert set(said(placed)) == {"Feet flat"}
    assert set(reasons(placed)) == {"Shoulders down"}


def test_two_short_cues_are_worth_more_than_one_full_one():
    """At one priority, saying a cue at all beats fuller wordings."""
    cues = [
        cue("Shoulders down", (20_000, 23_000), [2000, 1500, 1000]),
        cue("Feet flat", (20_000, 23_000), [2000, 1500, 1000]),
    ]
    placed = said(place(*sheet(SEGMENTS, cues)))
    assert [each.wording_index for each in placed.values()] == [2, 2]


def test_a_fuller_wording_above_is_worth_more_than_any_cue_below():
    """Priorities are compared one after the other, never added up."""
    cues = [
        cue("Breathe out", (20_000, 25_000), [5000, 1000], priority=20),
        *(cue(name, (20_000, 25_000), [600], priority=10) for name in "ABC"),
    ]
    placed = place(*sheet(SEGMENTS, cues))
    assert {name: each.wording_index for name, each in said(placed).items()} == {
        "Breathe out": 0
    }


def test_speech_leaves_its_share_to_the_leader():
    """At half, 30 s of work hold 15 s of speech, and the rest is left out."""
    cues = [
        cue(str(number), WORK, [4000], wanted_ms=16_000 + 4600 * number)
        for number in range(6)
    ]
    placed = place(*sheet(SEGMENTS, cues, quiet=HALF))
    assert len(placed.placed) == 3
    assert set(reasons(placed).values()) == {
        "speech already fills half of this work: 4.0 s needed, 3.0 s left"
    }


def test_both_sides_of_a_movement_share_one_budget():
    """Two sides of 15 s hold 15 s of speech between them, wherever it falls."""
    segments = [
        segment(0, 15_000, id="right"),
        segment(15_000, 30_000, id="left"),
    ]
    cues = [cue(str(n), (0, 15_000), [4400], segment="right") for n in range(3)]
    placed = place(*sheet(segments, cues, quiet=HALF))
    assert len(placed.placed) == 3


def test_essential_cues_and_counts_are_said_beyond_the_share():
    """The share silences neither; it silences all else first."""
    essential = cue("Side change", WORK, [20_000], essential=True)
    other = cue("Feet flat", WORK, [1000], priority=99)
    placed = place(*sheet(SEGMENTS, [essential, other], quiet=HALF))
    assert set(said(placed)) == {"Side change"}


def test_a_fixed_call_waits_for_no_tone():
    """A fixed call on a tone is left out, and the tone is named."""
    call = cue("Halfway", WORK, [900], kind=cuekinds.HALFWAY, anchor_ms=30_000)
    placed = place(*sheet(SEGMENTS, [call], [tone(30_500, 300, ToneKind.SIDE)]))
    assert reasons(placed) == {
        "Halfway": "no room beside the side tone: 0.9 s needed, 0.5 s free"
    }


def test_a_floating_cue_steps_aside_for_a_call_and_no_further():
    """It keeps 600 ms from the call and is as near to its wish as that allows."""
    cues = [
        cue("Halfway", WORK, [900], anchor_ms=30_000, essential=True),
        cue("Feet flat", WORK, [1000], wanted_ms=29_900),
    ]
    placed = said(place(*sheet(SEGMENTS, cues)))
    assert placed["Feet flat"].start_ms == 30_000 - 600 - 1000


def test_the_reason_names_the_calls_around_the_room():
    """What is needed, what is free, and between what."""
    cues = [
        cue(
            "Halfway", WORK, [900], kind=cuekinds.HALFWAY, anchor_ms=30_000, priority=5
        ),
        cue(
            "Fifteen",
            WORK,
            [900],
            kind=cuekinds.TIME_LEFT,
            anchor_ms=33_500,
            priority=5,
        ),
        cue("Feet flat", (30_000, 34_000), [2100]),
    ]
    assert reasons(place(*sheet(SEGMENTS, cues))) == {
        "Feet flat": "no room between the halfway call and “Fifteen 0”: "
        "2.1 s needed, 1.4 s free"
    }


def test_a_long_class_needs_no_deep_stack():
    """Three hours of cues are placed without recursion."""
    segments, cues = [], []
    for minute in range(180):
        at_ms = minute * 60_000
        segments.append(segment(at_ms, at_ms + 60_000, id=f"work{minute}"))
        cues += [
            cue(
                f"{minute}-{number}",
                (at_ms, at_ms + 60_000),
                [2000],
                segment=f"work{minute}",
                wanted_ms=at_ms + number * 8000,
            )
            for number in range(7)
        ]
    assert len(place(*sheet(segments, cues)).placed) == 180 * 7


def test_a_missing_timing_is_a_defect_and_says_so():
    """Every wording of every cue must have a timing."""
    made, _ = sheet(SEGMENTS, [cue("Feet flat", WORK, [1000])])
    with pytest.raises(KeyError, match="Feet flat"):
        place(made, {})


def test_of_two_equal_cues_the_one_that_leaves_room_for_a_third_is_said():
    """An early choice does not hide a better pair that comes later."""
    cues = [
        cue("long", (20_000, 29_000), [8000], priority=20, wanted_ms=20_000),
        cue("brief", (20_000, 29_000), [4000], priority=20, wanted_ms=21_000),
        cue("spare", (20_000, 29_000), [4000], priority=10, wanted_ms=22_000),
    ]
    assert set(said(place(*sheet(SEGMENTS, cues)))) == {"brief", "spare"}


def test_a_short_count_between_two_cues_does_not_bring_them_closer():
    """The gap between two cues holds across a count word that lies between."""
    count = cue(
        "One", WORK, [400], kind=cuekinds.COUNTDOWN, anchor_ms=30_000, priority=50
    )
    cues = [
        cue("before", (28_700, 29_700), [1000], priority=40),
        count,
        cue("after", (30_700, 31_700), [1000], priority=30),
    ]
    quiet = QuietRule(gap_ms=2000, before_count_ms=300, share=1.0)
    placed = place(*sheet(SEGMENTS, cues, quiet=quiet))
    assert set(said(placed)) == {"before", "One"}


def test_neighbours_in_separate_windows_still_keep_their_gap():
    """Windows apart by less than the gap do not let cues come closer."""
    cues = [
        cue("first", (20_000, 21_300), [1000], wanted_ms=20_200),
        cue("second", (21_500, 25_000), [1000], wanted_ms=21_500),
    ]
    placed = said(place(*sheet(SEGMENTS, cues)))
    assert placed["second"].start_ms - placed["first"].end_ms >= 600
    assert placed["first"].start_ms - 20_200 <= 0 <= placed["second"].start_ms - 21_500
