"""What a round says for itself reaches the timeline, the cues and every length."""

import pytest

from cuetrack.cues.model import SegmentKind
from cuetrack.cues.timeline import lay_out
from cuetrack.errors import PlanError
from cuetrack.pipeline.checking import placed_unspoken
from cuetrack.plan.model import Coaching
from cuetrack.plan.reading import parse_plan
from cuetrack.plan.rounds import rounds_of

WEIGHTS = "light hand weights"


def read(body):
    text = f"title: A\nintervals:\n  rounds: 3\n  movements: [a, b: 50 s]\n{body}"
    return parse_plan(text, "p")


def clock_of(plan):
    (clock,) = [section.intervals for section in plan.sections if section.intervals]
    return clock


def works(plan):
    return [s for s in lay_out(plan).segments if s.kind is SegmentKind.WORK]


@pytest.mark.parametrize(
    ("written", "numbers"),
    [
        ("2", [2]),
        ("2-3", [2, 3]),
        ("1 and 2", [1, 2]),
        ("2 to last", [2, 3]),
        ("From 2", [2, 3]),
        ("first", [1]),
        ("LAST", [3]),
    ],
)
def test_rounds_are_named_as_people_name_them(written, numbers):
    """By a number, two numbers, or as the first, the last and those from one on."""
    clock = clock_of(read(f"  in rounds: {{{written}: {{work: 45 s}}}}\n"))
    changed = [one.number for one in rounds_of(clock) if one.work_ms == 45_000]
    assert changed == numbers


def test_the_last_round_may_be_shorter():
    """Its work and rest are its own; a movement that says its own time keeps it."""
    plan = read(
        "  between rounds: none\n  in rounds: {last: {work: 20 s, rest: 10 s}}\n"
    )
    assert [s.length_ms // 1000 for s in works(plan)] == [30, 50, 30, 50, 20, 50]
    rests = [s for s in lay_out(plan).segments if s.kind is SegmentKind.REST]
    assert [s.length_ms // 1000 for s in rests] == [30, 30, 30, 30, 10]


def test_weights_come_in_the_second_round():
    """What a round has in its hands counts for every movement of it."""
    plan = read(f"  in rounds: {{2-3: {{equipment: {WEIGHTS}}}}}\n")
    assert [s.movement.equipment for s in works(plan)] == [None] * 2 + [WEIGHTS] * 4
    kinds = [
        (cue.cue.kind.name, cue.cue.segment)
        for cue in placed_unspoken(plan).placed
        if cue.cue.kind.name == "equipment"
    ]
    assert kinds[0] == ("equipment", "intervals.r1.recovery")


def test_a_round_may_be_done_with_empty_hands():
    """Movements that use weights do without them where the round says none."""
    text = (
        "title: A\nintervals:\n  in rounds: {1: {equipment: None}}\n"
        f"  movements: [{{movement: curl, equipment: {WEIGHTS}}}]\n"
    )
    plan = parse_plan(text, "p")
    assert [s.movement.equipment for s in works(plan)] == [None, WEIGHTS]
    assert plan.sections[1].movements[0].equipment == WEIGHTS


def test_a_leader_coaches_one_round_and_the_voice_the_others():
    """In a round by the clock nothing is said but the clock and the changes."""
    plan = read("  in rounds: {1: {coaching: clock}}\n")
    assert {(s.round, s.coaching) for s in works(plan)} == {
        (1, Coaching.CLOCK),
        (2, None),
        (3, None),
    }
    said = {1: set(), 2: set(), 3: set()}
    sheet = placed_unspoken(plan).sheet
    rounds = {s.id: s.round for s in sheet.timeline.segments}
    for cue in sheet.cues:
        if rounds[cue.segment]:
            said[rounds[cue.segment]].add(cue.kind.clock)
    assert said == {1: {True}, 2: {True, False}, 3: {True, False}}


def test_the_break_between_rounds_has_the_leaders_own_words():
    """They are said in every such break, in place of the offer of water."""
    plan = read("  between rounds: {for: 60 s, say: [Look out of the window.]}\n")
    said = [
        (cue.segment, cue.wordings[0].text)
        for cue in placed_unspoken(plan).sheet.cues
        if cue.segment.endswith("recovery")
    ]
    own = [segment for segment, text in said if text == "Look out of the window."]
    assert own == ["intervals.r1.recovery", "intervals.r2.recovery"]
    assert not any("water" in text for _, text in said)


@pytest.mark.parametrize(
    ("body", "told"),
    [
        (
            "  in rounds: {4: {work: 45 s}}\n",
            (
                "p:5:15: There is no round 4: the section has 3. "
                "Name rounds that there are, or write rounds: NUMBER."
            ),
        ),
        (
            "  in rounds: {3-2: {work: 45 s}}\n",
            'p:5:15: "3-2" names no rounds. Write 2, 2-3, from 2 or last.',
        ),
        (
            "  in rounds: {2: weights}\n",
            (
                'p:5:18: "2" should be a group of keys, and here is the single value '
                '"weights". Write keys such as work, rest, coaching, equipment below '
                "it."
            ),
        ),
        (
            "  in rounds: weights\n",
            (
                'p:5:14: "in rounds" should be a group of keys, and here is the single '
                'value "weights". Write lines such as 2-3: {equipment: light hand '
                "weights} below it."
            ),
        ),
        (
            "  in rounds: {2: {rounds: 3}}\n",
            'p:5:19: "rounds" is not a key of a round. Did you mean "round"?',
        ),
    ],
)
def test_a_mistake_in_a_round_is_told_with_place_and_remedy(body, told):
    """Rounds that are not there, words that name none, and other keys."""
    with pytest.raises(PlanError) as caught:
        read(body)
    assert str(caught.value) == told


@pytest.mark.parametrize(
    ("keys", "length_s"),
    [
        ("hold: 30 s", 30),
        ("hold: 30 s, sides: each", 60),
        ("hold: 30 s, for: 45 s", 45),
        ("hold: 30", 30),
    ],
)
def test_a_stated_hold_is_the_time_of_a_movement(keys, length_s):
    """With sides it is that of each; a time of its own comes before it."""
    for body in ("warm-up: [{}]", "intervals: {{movements: [{}]}}"):
        movement = f"{{movement: calf stretch, {keys}}}"
        plan = parse_plan(f"title: A\n{body.format(movement)}\n", "p")
        (found,) = plan.sections[1].movements
        assert found.hold
        assert found.hold_ms == 30_000
        assert found.duration_ms == length_s * 1000


def test_a_hold_may_go_without_a_time():
    """Yes and no say whether, and the section says how long."""
    plan = parse_plan("title: A\nwarm-up: [a: {hold: yes}, b: {hold: no}]\n", "p")
    a, b = plan.sections[1].movements
    assert (a.hold_ms, b.hold_ms) == (0, None)
    assert a.duration_ms == b.duration_ms == 150_000


@pytest.mark.parametrize("nothing", ["", "~", "null", "NULL"])
def test_a_key_with_nothing_behind_it_is_as_if_not_written(nothing):
    """Whoever leaves a line empty has not said the word null."""
    plain = parse_plan("title: A\nwarm-up: [a]\n", "p")
    keys = ("bring", "music", "voice", "language", "coaching", "pronounce", "group")
    lines = "".join(f"{key}: {nothing}\n" for key in keys)
    assert parse_plan(f"title: A\n{lines}warm-up: [a]\n", "p") == plain
    body = f"title: A\nwarm-up: [{{movement: a, how: {nothing}, hold: {nothing}}}]\n"
    assert parse_plan(body, "p") == plain


def test_null_in_quotes_is_a_word():
    """A title may be anything that was typed as a text."""
    assert parse_plan("title: 'null'\nwarm-up: [a]\n", "p").title == "null"
