"""Captions can be read in time, and show exactly what is said."""

from __future__ import annotations

from itertools import pairwise, zip_longest

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from cuetrack.output.track.captions import (
    CHARACTERS_PER_SECOND,
    EARLIEST_MS,
    LINE_CHARACTERS,
    SHORTEST_MS,
    captions,
    chapters_webvtt,
    lines_of,
    parted,
    to_srt,
    to_webvtt,
)
from cuetrack.output.track.chapters import plain_line
from cuetrack.output.track.cue_rows import ToneRow
from tests.output.cuesheets import cue, cue_file, spoken_cues


def shown(cues, **more):
    return captions(cue_file(cues, tones=(), **more))


@given(spoken_cues())
def test_every_caption_can_be_read_in_time(case):
    """At the pace of speech, captions keep 17 characters a second and one second."""
    cues, track_ms = case
    for caption in shown(cues, duration_ms=track_ms):
        shown_s = (caption.end_ms - caption.start_ms) / 1000
        assert caption.characters / shown_s <= CHARACTERS_PER_SECOND
        assert caption.end_ms - caption.start_ms >= SHORTEST_MS


@given(spoken_cues())
def test_captions_never_overlap_and_keep_to_the_track(case):
    """Each ends before the next starts, the last with the track."""
    cues, track_ms = case
    made = shown(cues, duration_ms=track_ms)
    assert all(one.end_ms <= other.start_ms for one, other in pairwise(made))
    assert all(0 <= caption.start_ms < caption.end_ms <= track_ms for caption in made)


@given(spoken_cues())
def test_captions_show_every_word_once_in_order(case):
    """Nothing said is left out of the captions, and nothing is shown twice."""
    cues, track_ms = case
    made = shown(cues, duration_ms=track_ms)
    words = [word for one in made for line in one.lines for word in line.split()]
    assert words == [word for one in cues for word in one.text.split()]


@given(spoken_cues())
def test_a_caption_is_there_while_its_words_are_said(case):
    """A cue's captions start at most half a second early, and stay to its end."""
    cues, track_ms = case
    made = shown(cues, duration_ms=track_ms)
    for one, following in zip_longest(cues, cues[1:]):
        first = max(
            caption.start_ms for caption in made if caption.start_ms <= one.start_ms
        )
        assert one.start_ms - EARLIEST_MS <= first
        last = max(
            caption.end_ms
            for caption in made
            if following is None or caption.start_ms < following.start_ms - EARLIEST_MS
        )
        assert last >= one.end_ms - EARLIEST_MS


@given(st.text(max_size=600))
@example("a" * 10_000)
@example("word " * 2_000)
def test_any_text_fits_its_lines(text):
    """At most two lines of at most 42 characters, of all the text there is."""
    line = plain_line(text)
    parts = parted(line)
    for part in parts:
        lines = lines_of(part)
        assert len(lines) <= 2
        assert all(0 < len(one) <= LINE_CHARACTERS for one in lines)
    assert "".join(parts).replace(" ", "") == line.replace(" ", "")


def test_a_long_cue_is_parted_at_sentences_then_clauses():
    """Breaks lie where a reader would take a breath."""
    text = (
        "If you feel chest pain, get dizzy, or run short of breath, stop and tell "
        "someone at once. Rest whenever you like."
    )
    assert parted(text) == [
        "If you feel chest pain, get dizzy, or run short of breath,",
        "stop and tell someone at once. Rest whenever you like.",
    ]


def test_a_count_is_one_caption():
    """Three, two and one do not flash by; the start after them is its own."""
    made = captions(cue_file())
    texts = [caption.lines for caption in made]
    assert texts == [
        ("Welcome to Larkfield Hall.",),
        ("Sit tall. Feet flat & wide.",),
        ("Three… Two… One…",),
        ("Begin.",),
    ]
    count = made[2]
    assert (count.start_ms, count.end_ms) == (131_800, 134_200)


def test_two_counts_apart_are_two_captions():
    """A count in another segment is another caption."""
    counts = [
        cue("Two", 1000, 1400, "countdown", segment="a"),
        cue("One", 2000, 2400, "countdown", segment="a"),
        cue("Three", 3000, 3400, "count-in", segment="b"),
        cue("Two", 9000, 9400, "count-in", segment="b"),
    ]
    assert [one.lines[0] for one in shown(counts)] == ["Two… One…", "Three", "Two"]


def test_a_caption_lingers_until_it_is_read():
    """A short quick cue stays for a second, a long quick one until it can be read."""
    made = shown([cue("Rest.", 1000, 1300), cue("x" * 34, 5000, 5500)])
    assert [(one.start_ms, one.end_ms) for one in made] == [(1000, 2000), (5000, 7000)]


def test_a_caption_comes_early_where_the_next_leaves_no_time():
    """It appears up to half a second before its words, never over the one before."""
    made = shown([cue("Feet flat.", 1000, 1300), cue("Sit tall.", 1700, 4000)])
    assert [(one.start_ms, one.end_ms) for one in made] == [(700, 1700), (1700, 4000)]


@pytest.mark.parametrize(
    ("kind", "text"), [("start", "[start tone]"), ("stop", "[stop tone]")]
)
def test_a_tone_no_word_goes_with_is_told(kind, text):
    """Who cannot hear the tone reads it, unless a word tells the change."""
    tone = ToneRow(kind=kind, start_ms=60_000, end_ms=60_400)
    alone = captions(cue_file([], tones=(tone,)))
    assert [(one.lines, one.kind) for one in alone] == [((text,), "tone")]
    beside = captions(cue_file([cue("Go.", 60_000, 60_300)], tones=(tone,)))
    assert [one.kind for one in beside] == ["form"]


def test_ticks_are_not_told():
    """The small tones of a count would only flash by."""
    tick = ToneRow(kind="tick", start_ms=60_000, end_ms=60_120)
    assert captions(cue_file([], tones=(tick,))) == ()


def test_webvtt_names_kind_title_and_language():
    """The kind of each cue is the class of its text."""
    sheet = cue_file([cue("15 seconds\nleft <b>", 0, 1500, "time left")], tones=())
    assert to_webvtt(captions(sheet), sheet) == (
        "WEBVTT\n\n"
        "NOTE\nTitle: Ten gentle minutes\nLanguage: en\n\n"
        "1\n00:00:00.000 --> 00:00:01.500\n"
        "<c.time-left>15 seconds left &lt;b&gt;</c>\n"
    )


def test_srt_counts_and_uses_commas():
    """SRT has its own clock and no classes; marks become look-alikes."""
    made = shown([cue("Sit <tall>", 3_599_000, 3_601_000)], duration_ms=4_000_000)
    assert to_srt(made) == ("1\n00:59:59,000 --> 01:00:01,000\nSit \u2039tall\u203a\n")


def test_nothing_said_makes_an_empty_file():
    """A track without speech has captions files that are valid and empty."""
    assert to_webvtt(()) == "WEBVTT\n"
    assert to_srt(()) == ""
    assert chapters_webvtt(()) == "WEBVTT\n"
