"""Legal plans of many shapes, for properties of the timeline and the cue sheet."""

from __future__ import annotations

from hypothesis import settings
from hypothesis import strategies as st

from cuetrack.plan.model import (
    Coaching,
    Counting,
    Intervals,
    Movement,
    Plan,
    RecoveryBreak,
    Section,
    SectionKind,
)

few = settings(max_examples=50, deadline=None)
"""Enough for laws that a whole class shows many times over."""

NAMES = ("heel dig", "toe tap side", "easy march", "knee lift", "straight punch")
SIDES = ((), (), (), ("right", "left"))
PLAIN = (SectionKind.WARM_UP, SectionKind.RECOVERY, SectionKind.COOL_DOWN)

SHORTEST_WORK_S = 20
"""Sides under ten seconds have no time for the words of their change: refused."""


def whole_seconds(low: int, high: int) -> st.SearchStrategy[int]:
    """Return milliseconds on a whole second."""
    return st.integers(low, high).map(lambda seconds: seconds * 1000)


def movements(
    duration: st.SearchStrategy[int | None], rest: st.SearchStrategy[int | None]
) -> st.SearchStrategy[Movement]:
    return st.builds(
        Movement,
        name=st.sampled_from(NAMES),
        duration_ms=duration,
        rest_ms=rest,
        sides=st.sampled_from(SIDES),
        hold_ms=st.sampled_from([None, 0, 20_000]),
        how=st.sampled_from((None, "Lift one foot, then the other.")),
        how_short=st.sampled_from((None, "One foot, then the other.")),
        form=st.sampled_from(((), ("Sit tall",), ("Sit tall", "Feet flat", "Toes up"))),
        easier=st.sampled_from((None, "keep it small")),
        harder=st.sampled_from((None, "reach further")),
        equipment=st.sampled_from((None, None, "light hand weights", "a soft ball")),
        breathing=st.sampled_from((None, "Breathe out as you lift")),
        caution=st.sampled_from((None, "Keep your knee below your hip")),
    )


def plain_sections(kind: SectionKind) -> st.SearchStrategy[Section]:
    return st.builds(
        Section,
        kind=st.just(kind),
        title=st.just(kind.value),
        opening_ms=st.just(0) | whole_seconds(10, 40),
        movements=st.lists(
            movements(whole_seconds(20, 120), st.none()), min_size=1, max_size=4
        ).map(tuple),
    )


def interval_sections() -> st.SearchStrategy[Section]:
    intervals = st.builds(
        Intervals,
        work_ms=whole_seconds(SHORTEST_WORK_S, 60),
        rest_ms=whole_seconds(8, 60),
        rounds=st.integers(1, 3),
        between_rounds=st.none()
        | st.builds(
            RecoveryBreak,
            duration_ms=whole_seconds(30, 120),
            movement=st.builds(Movement, name=st.sampled_from(NAMES)),
        ),
        break_after_last=st.booleans(),
    )
    return st.builds(
        Section,
        kind=st.just(SectionKind.INTERVALS),
        title=st.just("Intervals"),
        opening_ms=whole_seconds(20, 60),
        movements=st.lists(
            movements(
                st.none() | whole_seconds(SHORTEST_WORK_S, 60),
                st.none() | whole_seconds(8, 40),
            ),
            min_size=1,
            max_size=5,
        ).map(tuple),
        intervals=intervals,
    )


def spoken_sections(kind: SectionKind) -> st.SearchStrategy[Section]:
    return st.builds(
        Section,
        kind=st.just(kind),
        title=st.just(kind.value),
        duration_ms=whole_seconds(45, 120),
    )


@st.composite
def plans(draw: st.DrawFn) -> Plan:
    """Draw a class with a welcome, plain and interval sections, and a close."""
    middle = st.lists(
        st.sampled_from(PLAIN).flatmap(plain_sections) | interval_sections(),
        min_size=1,
        max_size=3,
    )
    sections = [
        draw(spoken_sections(SectionKind.WELCOME)),
        *draw(middle),
        draw(spoken_sections(SectionKind.CLOSE)),
    ]
    return Plan(
        title="Any class",
        coaching=draw(st.sampled_from(Coaching)),
        counting=draw(st.sampled_from(Counting)),
        sections=tuple(sections),
    )
