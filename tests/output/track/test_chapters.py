"""Chapters cover the track, in order, each with a name of its own."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cuetrack.cues.timeline import lay_out
from cuetrack.output.track.chapters import Chapter, ChapterWords, chapters_of
from cuetrack.output.track.cuefile import cue_file_of
from tests.cues.builders import whole_class
from tests.output.cuesheets import JOE, SEGMENTS, cue_file, segment


def named(segments, words=None):
    return [
        (chapter.title, chapter.start_ms // 1000)
        for chapter in chapters_of(cue_file([], segments, left_out=()), words)
    ]


def test_sections_and_movements_have_their_chapters():
    """Sides share a chapter; a rest belongs to the movement it leads to."""
    assert named(SEGMENTS) == [
        ("Welcome", 0),
        ("Warm-up", 30),
        ("Warm-up: shoulder roll", 40),
        ("Warm-up: ankle circle", 80),
        ("Intervals", 120),
        ("Round 1: heel dig", 135),
        ("Round 1: straight punch", 165),
        ("Recovery after round 1", 210),
        ("Round 2: heel dig", 270),
        ("Round 2: straight punch", 300),
        ("Close", 345),
    ]


def test_the_words_are_those_of_the_language():
    """Every fixed word comes from outside."""
    words = ChapterWords(
        in_section="{movement} ({section})",
        in_round="Runde {round}: {movement}",
        recovery="Pause nach Runde {round}",
    )
    titles = [title for title, _ in named(SEGMENTS, words)]
    assert titles[2] == "shoulder roll (Warm-up)"
    assert titles[5] == "Runde 1: heel dig"
    assert titles[7] == "Pause nach Runde 1"


def test_a_name_that_comes_again_is_numbered():
    """March, heel dig and march again are three chapters with three names."""
    segments = [
        segment("warm-up.m1", "move", 0, 10, "march"),
        segment("warm-up.m2", "move", 10, 20, "heel dig"),
        segment("warm-up.m3", "move", 20, 30, "march"),
    ]
    assert [title for title, _ in named(segments)] == [
        "Warm-up: march",
        "Warm-up: heel dig",
        "Warm-up: march (2)",
    ]


def test_a_stretch_of_no_length_has_no_chapter():
    """Players refuse chapters that end where they start."""
    segments = [
        segment("warm-up.opening", "opening", 0, 0),
        segment("warm-up.m1", "move", 0, 10, "march"),
    ]
    assert named(segments) == [("Warm-up: march", 0)]


@given(
    st.lists(
        st.tuples(
            st.sampled_from(["a", "b", "b (2)"]),
            st.sampled_from(["move", "rest", "opening", "recovery"]),
            st.none() | st.sampled_from(["march", "dig", "dig (2)"]),
            st.none() | st.integers(1, 3),
            st.integers(0, 30),
        ),
        max_size=12,
    )
)
def test_chapters_cover_the_track_and_are_told_apart(stretches):
    """Whatever the segments, there is no gap, no overlap and no name twice."""
    now, segments = 0, []
    for number, (section, kind, movement, round_, length) in enumerate(stretches):
        segments.append(
            segment(
                f"s{number}",
                kind,
                now,
                now + length,
                movement,
                round_=round_,
                section=section,
            )
        )
        now += length
    chapters = chapters_of(cue_file([], segments, left_out=()))
    titles = [chapter.title for chapter in chapters]
    assert len(set(titles)) == len(titles)
    assert all(one.end_ms == other.start_ms for one, other in pairwise(chapters))
    if now:
        assert (chapters[0].start_ms, chapters[-1].end_ms) == (0, now * 1000)


def test_a_real_class_has_chapters_from_first_to_last(placed_class):
    """The timeline of a whole class gives chapters from zero to its end."""
    sheet = cue_file_of(placed_class, {}, JOE)
    chapters = chapters_of(sheet)
    assert chapters[0].title == "Welcome"
    assert chapters[0].start_ms == 0
    assert chapters[-1].end_ms == lay_out(whole_class()).end_ms
    assert "Round 3: toe tap side" in [chapter.title for chapter in chapters]


def test_an_empty_chapter_cannot_be_made():
    """A chapter is a stretch of some length."""
    with pytest.raises(ValueError, match="no chapter from 5 to 5 ms"):
        Chapter(title="a", start_ms=5, end_ms=5)
