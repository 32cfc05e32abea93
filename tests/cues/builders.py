"""Plans built by hand, small enough to read, for the tests of cues."""

from __future__ import annotations

from dataclasses import replace

from cuetrack.plan.model import (
    Coaching,
    CountFrom,
    Counting,
    FreeCue,
    Intervals,
    Moment,
    Movement,
    Plan,
    RecoveryBreak,
    Section,
    SectionKind,
)

HEEL_DIG = Movement(
    name="heel dig",
    how="Reach one heel forward, then the other.",
    how_short="Heels forward.",
    form=("Sit tall", "Toes up", "Feet under your knees between digs"),
    easier="keep the heel close",
    harder="reach a little further",
)
PUNCH = Movement(
    name="straight punch",
    how="Fists at chest height. One arm forward and back, then the other.",
    how_short="One arm, then the other.",
    form=("Feet flat", "Shoulders down"),
    easier="leave the weights in your lap",
    equipment="light hand weights",
    breathing="Breathe out as you reach",
    caution="Stop short of locking the elbow",
)
TOE_TAP = Movement(name="toe tap side", how="Tap one foot out and back.")
EASY_MARCH = Movement(name="easy march", how="Lift one heel, then the other.")
SHOULDER_ROLL = Movement(
    name="shoulder roll", how="Roll both shoulders back.", form=("Neck loose",)
)
ANKLE_CIRCLE = Movement(
    name="ankle circle", sides=("right", "left"), how="Draw a ring with your foot."
)
CALF_STRETCH = Movement(
    name="calf stretch",
    sides=("right", "left"),
    hold_ms=0,
    how="Leg out, toes up.",
    form=("Back tall",),
)


def timed(movement: Movement, seconds: float) -> Movement:
    """Return the movement with its own length."""
    return replace(movement, duration_ms=round(seconds * 1000))


def welcome(seconds: float = 90, says: tuple[str, ...] = ()) -> Section:
    return Section(
        kind=SectionKind.WELCOME,
        title="Welcome",
        duration_ms=round(seconds * 1000),
        says=says,
    )


def close(seconds: float = 60, says: tuple[str, ...] = ()) -> Section:
    return Section(
        kind=SectionKind.CLOSE,
        title="Close",
        duration_ms=round(seconds * 1000),
        says=says,
    )


def plain(
    *movements: Movement,
    kind: SectionKind = SectionKind.WARM_UP,
    opening: float = 20,
    **more,
) -> Section:
    return Section(
        kind=kind,
        title=kind.value.capitalize(),
        opening_ms=round(opening * 1000),
        movements=movements,
        **more,
    )


def own_cue(text: str, seconds: float, within: float = 5) -> FreeCue:
    """Return a sentence of the leader's own at a time of its section."""
    at = Moment(round(seconds * 1000), CountFrom.START)
    return FreeCue(text=text, at=at, within_ms=round(within * 1000))


def intervals(
    *movements: Movement,
    work: float = 40,
    rest: float = 20,
    rounds: int = 2,
    between: float | None = 60,
    opening: float = 30,
    after_last: bool = False,
    **more,
) -> Section:
    return Section(
        kind=SectionKind.INTERVALS,
        title="Intervals",
        opening_ms=round(opening * 1000),
        movements=movements,
        intervals=Intervals(
            work_ms=round(work * 1000),
            rest_ms=round(rest * 1000),
            rounds=rounds,
            between_rounds=None
            if between is None
            else RecoveryBreak(duration_ms=round(between * 1000), movement=EASY_MARCH),
            break_after_last=after_last,
        ),
        **more,
    )


def plan(*sections: Section, **more) -> Plan:
    return Plan(title="Morning class at Larkfield Hall", sections=sections, **more)


def whole_class(
    coaching: Coaching = Coaching.EVERYTHING,
    counting: Counting = Counting.BOTH,
) -> Plan:
    """A class with every section, equipment, sides, holds and a recovery break."""
    return plan(
        welcome(90),
        plain(
            timed(SHOULDER_ROLL, 40),
            timed(EASY_MARCH, 60),
            timed(ANKLE_CIRCLE, 60),
        ),
        intervals(HEEL_DIG, PUNCH, ANKLE_CIRCLE, TOE_TAP, rounds=3),
        plain(
            timed(EASY_MARCH, 90),
            timed(CALF_STRETCH, 60),
            kind=SectionKind.COOL_DOWN,
        ),
        close(60),
        coaching=coaching,
        counting=counting,
        bring=("a cushion",),
    )
