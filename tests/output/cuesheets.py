"""Cue sheets of small classes at Larkfield Hall, built by hand."""

from __future__ import annotations

from hypothesis import strategies as st

from cuetrack.cues.model import CueSheet, PlacedSheet, QuietRule
from cuetrack.cues.timeline import lay_out
from cuetrack.output.track.cue_rows import CueRow, LeftOutRow, SegmentRow, ToneRow
from cuetrack.output.track.cuefile import CueFile
from cuetrack.speech.voices import find_voice
from tests.cues.builders import whole_class

JOE = find_voice("joe", "en")


def segment(id_, kind, start_s, end_s, movement=None, **more):
    """Return a segment of the section its id starts with."""
    return SegmentRow(
        id=id_,
        section=more.pop("section", id_.split(".")[0].capitalize()),
        kind=kind,
        movement=movement,
        round=more.pop("round_", None),
        side=more.pop("side", None),
        start_ms=round(start_s * 1000),
        end_ms=round(end_s * 1000),
    )


def cue(text, start_ms, end_ms, kind="form", *, id_=None, segment="warm-up.m1"):
    return CueRow(
        id=id_ or f"{segment}.{kind}.{start_ms}",
        kind=kind,
        segment=segment,
        text=text,
        spoken=text.lower(),
        clip="0" * 64,
        start_ms=float(start_ms),
        end_ms=float(end_ms),
        anchor_ms=None,
        beat_ms=None,
    )


SEGMENTS = (
    segment("welcome", "welcome", 0, 30),
    segment("warm-up.opening", "opening", 30, 40),
    segment("warm-up.m1", "move", 40, 80, "shoulder roll"),
    segment("warm-up.m2.right", "move", 80, 100, "ankle circle", side="right"),
    segment("warm-up.m2.left", "move", 100, 120, "ankle circle", side="left"),
    segment("intervals.opening", "opening", 120, 135),
    segment("intervals.r1.m1", "work", 135, 165, "heel dig", round_=1),
    segment("intervals.r1.m1.rest", "rest", 165, 180, None, round_=1),
    segment("intervals.r1.m2", "work", 180, 210, "straight punch", round_=1),
    segment("intervals.r1.recovery", "recovery", 210, 270, "easy march", round_=1),
    segment("intervals.r2.m1", "work", 270, 300, "heel dig", round_=2),
    segment("intervals.r2.m1.rest", "rest", 300, 315, None, round_=2),
    segment("intervals.r2.m2", "work", 315, 345, "straight punch", round_=2),
    segment("close", "close", 345, 360),
)
CUES = (
    cue("Welcome to Larkfield Hall.", 500, 2300, "welcome", segment="welcome"),
    cue("Sit tall. Feet flat & wide.", 41_000, 43_200, "form"),
    cue("Three", 131_800, 132_250, "count-in", segment="intervals.opening"),
    cue("Two", 132_850, 133_200, "count-in", segment="intervals.opening"),
    cue("One", 133_830, 134_200, "count-in", segment="intervals.opening"),
    cue("Begin.", 134_950, 135_400, "start", segment="intervals.r1.m1"),
)


def cue_file(cues=CUES, segments=SEGMENTS, **more):
    """Return a cue sheet of the class, with the cues given."""
    settings = {
        "title": "Ten gentle minutes",
        "language": "en",
        "sample_rate": 48_000,
        "duration_ms": 360_000,
        "voice": "joe",
        "tones": (ToneRow(kind="start", start_ms=135_000, end_ms=135_400),),
        "left_out": (
            LeftOutRow(
                id="talk",
                kind="talk check",
                segment="intervals.r1.m2",
                text="Could you still chat?",
                reason="there is no room",
            ),
        ),
    }
    return CueFile(cues=tuple(cues), segments=tuple(segments), **(settings | more))


@st.composite
def spoken_cues(draw):
    """Return cues as placement leaves them: spoken at 150 words a minute, apart."""
    words = st.text(
        st.characters(categories=["L", "N"], include_characters="&<>-'"),
        min_size=1,
        max_size=12,
    )
    now_ms = draw(st.integers(0, 3000))
    cues = []
    for number in range(draw(st.integers(0, 12))):
        said = draw(st.lists(words, min_size=1, max_size=40))
        for place in draw(st.sets(st.integers(0, len(said) - 1), max_size=6)):
            said[place] += draw(st.sampled_from(".,!?:;"))
        text = " ".join(said)
        end_ms = now_ms + 400 * len(said) + 65 * len(text) // 2
        kind = draw(st.sampled_from(["form", "time left", "safety"]))
        cues.append(cue(text, now_ms, end_ms, kind, id_=f"cue{number}"))
        now_ms = end_ms + draw(st.integers(600, 4000))
    return tuple(cues), now_ms + 1000


def silent_class():
    """Return a whole class in which nothing is said, placed."""
    plan = whole_class()
    sheet = CueSheet(
        title=plan.title,
        language=plan.language,
        timeline=lay_out(plan),
        cues=(),
        tones=(),
        quiet=QuietRule(),
    )
    return PlacedSheet(sheet=sheet, placed=(), left_out=())
