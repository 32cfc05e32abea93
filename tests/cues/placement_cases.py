"""Small cue sheets for placement: by hand, and by hypothesis.

Times are a few milliseconds, so that every whole one can be tried.
"""

from __future__ import annotations

from hypothesis import strategies as st

from cuetrack import cuekinds
from cuetrack.cues.model import (
    AnchorPoint,
    Cue,
    CueSheet,
    QuietRule,
    Segment,
    SegmentKind,
    SpeechTiming,
    Timeline,
    ToneCue,
    Wording,
)
from cuetrack.cues.tonekinds import ToneKind
from cuetrack.plan.model import SectionKind

QUIET = QuietRule(gap_ms=600, before_count_ms=300, share=1.0)


def segment(start_ms, end_ms, **changes):
    values = {
        "id": "work",
        "activity": "work",
        "section": 0,
        "section_kind": SectionKind.INTERVALS,
        "section_title": "Main part",
        "kind": SegmentKind.WORK,
    }
    return Segment(start_ms=start_ms, end_ms=end_ms, **values | changes)


def cue(name, window, lengths, **changes):
    """Return a cue and the timings of its wordings, given their lengths in ms."""
    beats = changes.pop("beats", [0] * len(lengths))
    wordings = tuple(
        Wording(text=f"{name} {n}", spoken=f"{name} {n}") for n in range(len(lengths))
    )
    timings = {
        wording.spoken: SpeechTiming(length_ms=length, beat_ms=beat)
        for wording, length, beat in zip(wordings, lengths, beats, strict=True)
    }
    values = {"kind": cuekinds.FORM, "segment": "work", "priority": 1}
    made = Cue(
        id=name,
        window_start_ms=window[0],
        window_end_ms=window[1],
        variants=(wordings,),
        **values | changes,
    )
    return made, timings


def sheet(segments, cues, tones=(), quiet=QUIET):
    """Return a sheet and its timings from what ``cue`` made."""
    timings = {}
    for _, own in cues:
        timings |= own
    made = CueSheet(
        title="A class at Larkfield Hall",
        language="en",
        timeline=Timeline(segments=tuple(segments)),
        cues=tuple(each for each, _ in cues),
        tones=tuple(tones),
        quiet=quiet,
    )
    return made, timings


def tone(start_ms, length_ms, kind=ToneKind.TICK):
    return ToneCue(kind=kind, segment="work", start_ms=start_ms, length_ms=length_ms)


@st.composite
def small_cues(draw, name, horizon, *, fixed, segments):
    count = draw(st.integers(1, 3 if not fixed else 2))
    lengths = sorted(draw(st.lists(st.integers(1, 6), min_size=count, max_size=count)))
    first = draw(st.integers(0, horizon - 1))
    last = draw(st.integers(first + 1, horizon))
    changes = {
        "priority": draw(st.integers(1, 3)),
        "essential": draw(st.integers(0, 4)) == 0,
        "segment": draw(st.sampled_from(segments)),
        "shared": draw(st.integers(0, 3)) > 0,
    }
    if fixed:
        changes["anchor_ms"] = draw(st.integers(0, horizon))
        changes["anchor_point"] = draw(st.sampled_from(AnchorPoint))
        changes["kind"] = draw(
            st.sampled_from([cuekinds.COUNT_IN, cuekinds.HALFWAY, cuekinds.COUNTDOWN])
        )
        changes["beats"] = [draw(st.integers(0, each)) for each in lengths[::-1]]
        first, last = draw(st.sampled_from([(first, last), (-9, horizon + 9)]))
    else:
        changes["wanted_ms"] = draw(st.none() | st.integers(-2, horizon + 2))
    return cue(name, (first, last), lengths[::-1], **changes)


@st.composite
def small_sheets(draw, floating=3, fixed=2, horizons=(6, 16)):
    """Return sheets of at most ``floating`` + ``fixed`` cues on a few ms."""
    horizon = draw(st.integers(*horizons))
    middle = draw(st.integers(1, horizon - 1))
    kinds = st.sampled_from([SegmentKind.WORK, SegmentKind.REST])
    activity = draw(st.sampled_from(["one", "two"]))
    segments = [
        segment(0, middle, id="first", activity="one", kind=draw(kinds)),
        segment(middle, horizon, id="second", activity=activity, kind=draw(kinds)),
    ]
    ids = ["first", "second"]
    cues = [
        draw(
            small_cues(f"{sort}{number}", horizon, fixed=sort == "fixed", segments=ids)
        )
        for sort, count in (
            ("fixed", draw(st.integers(0, fixed))),
            ("float", draw(st.integers(1, floating))),
        )
        for number in range(count)
    ]
    tones = [
        tone(draw(st.integers(0, horizon)), draw(st.integers(1, 3)))
        for _ in range(draw(st.integers(0, 2)))
    ]
    quiet = QuietRule(
        gap_ms=draw(st.integers(0, 4)),
        before_count_ms=draw(st.integers(0, 3)),
        share=draw(st.sampled_from([0.25, 0.5, 0.75, 1.0])),
    )
    return sheet(segments, draw(st.permutations(cues)), tones, quiet)
