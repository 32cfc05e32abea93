"""Captions and chapters read by a WebVTT reader that is not ours."""

from __future__ import annotations

import io
import re

import pytest
import webvtt
from hypothesis import given

from cuetrack.output.track.captions import captions, chapters_webvtt, to_srt, to_webvtt
from cuetrack.output.track.chapters import chapters_of
from tests.output.cuesheets import cue, cue_file, spoken_cues

pytestmark = pytest.mark.outside


def ms_of(clock):
    hours, minutes, seconds = clock.replace(",", ".").split(":")
    return round((int(hours) * 60 + int(minutes)) * 60_000 + float(seconds) * 1000)


@given(spoken_cues())
def test_webvtt_py_reads_every_caption(case):
    """webvtt-py finds each caption's number, times and text, classes taken off."""
    cues, track_ms = case
    sheet = cue_file(cues, tones=(), duration_ms=track_ms)
    made = captions(sheet)
    read = webvtt.from_string(to_webvtt(made, sheet))
    assert [int(one.identifier) for one in read] == list(range(1, len(made) + 1))
    assert [(ms_of(one.start), ms_of(one.end)) for one in read] == [
        (one.start_ms, one.end_ms) for one in made
    ]
    shown = [re.sub(r"</?c[^>]*>", "", one.raw_text) for one in read]
    assert [_unescaped(text) for text in shown] == [
        "\n".join(one.lines) for one in made
    ]


def _unescaped(text):
    return text.replace("&lt;", "<").replace("&gt;", ">").replace("&amp;", "&")


def test_nothing_in_a_text_can_end_or_begin_a_caption():
    """Arrows, marks, line ends and a note's name stay text."""
    text = "NOTE 00:00:01.000 --> 00:00:02.000\r\n\r\n<script>&amp;\u2028WEBVTT"
    sheet = cue_file([cue(text, 1000, 9000)], tones=(), title="a --> b\n\n1")
    read = webvtt.from_string(to_webvtt(captions(sheet), sheet))
    assert len(read) == 1
    words = " ".join(read[0].raw_text.split())
    assert words == (
        "<c.form>NOTE 00:00:01.000 --&gt; 00:00:02.000 &lt;script&gt;&amp;amp; "
        "WEBVTT</c>"
    )


@given(spoken_cues())
def test_webvtt_py_reads_the_srt(case):
    """The same captions come back from SRT, with the same times."""
    cues, track_ms = case
    made = captions(cue_file(cues, tones=(), duration_ms=track_ms))
    if not made:
        return
    read = webvtt.from_buffer(io.StringIO(to_srt(made)), format="srt")
    assert [(ms_of(one.start), ms_of(one.end)) for one in read] == [
        (one.start_ms, one.end_ms) for one in made
    ]


def test_webvtt_py_reads_the_chapters():
    """Each chapter is a cue of its own, its name the text."""
    sheet = cue_file()
    chapters = chapters_of(sheet)
    read = webvtt.from_string(chapters_webvtt(chapters, sheet))
    assert [(ms_of(one.start), ms_of(one.end), one.text) for one in read] == [
        (chapter.start_ms, chapter.end_ms, chapter.title) for chapter in chapters
    ]
