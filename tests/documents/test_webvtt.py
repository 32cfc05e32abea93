"""WebVTT comes back as it was written, and an independent reader agrees."""

from __future__ import annotations

import io

import pytest
import webvtt
from hypothesis import given
from hypothesis import strategies as st

from cuetrack.documents.webvtt import (
    TimedText,
    escaped,
    read_webvtt,
    unescaped,
    webvtt_of,
)

TEXTS = st.text(st.characters(categories=("L", "N", "P", "S")), min_size=1)


@st.composite
def timed_texts(draw):
    start_ms = draw(st.integers(0, 10**7))
    return TimedText(
        id=draw(st.from_regex(r"[0-9a-f]{8}", fullmatch=True)),
        start_ms=start_ms,
        end_ms=start_ms + draw(st.integers(1, 10**5)),
        text=escaped(draw(TEXTS)),
    )


@given(st.lists(timed_texts()))
def test_what_is_written_is_read(cues):
    """Ids, times and texts come back, and the note with them."""
    read = read_webvtt(webvtt_of(cues, "Language: en"))
    assert list(read.cues) == cues
    assert read.notes == ("Language: en",)


@given(TEXTS)
def test_a_text_is_shown_as_it_is(text):
    """Marks of markup in a text survive being escaped."""
    assert unescaped(escaped(text)) == text


@pytest.mark.outside
def test_another_reader_finds_the_same():
    """webvtt-py, an independent parser, reads the same ids, times and texts."""
    cues = [
        TimedText(id="a1", start_ms=0, end_ms=1500, text="Three"),
        TimedText(id="b2", start_ms=3_600_000, end_ms=3_601_001, text="Rest"),
    ]
    found = webvtt.from_buffer(io.StringIO(webvtt_of(cues, "Language: en")))
    assert [(one.identifier, one.start, one.end, one.text) for one in found] == [
        ("a1", "00:00:00.000", "00:00:01.500", "Three"),
        ("b2", "01:00:00.000", "01:00:01.001", "Rest"),
    ]


def test_what_the_standard_allows_besides_is_read():
    """No hours, settings of a cue, styles, a title after the head, other line ends."""
    text = "WEBVTT - a title\r\n\r\nSTYLE\r\n::cue {}\r\n\r\nx\r\n"
    text += "00:01.500 --> 00:02.000 align:start\r\nTwo\r\nlines\r\n"
    assert read_webvtt(text).cues == (
        TimedText(id="x", start_ms=1500, end_ms=2000, text="Two\nlines"),
    )


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "line 1: this is no WebVTT file"),
        ("WEBVTTX\n", "line 1: this is no WebVTT file"),
        ("WEBVTT\n\n00:01.000 --> 00:02.000\nx\n", "line 3: this cue has no id"),
        ("WEBVTT\n\nx\n", "line 4: a time such as"),
        ("WEBVTT\n\nx\n00:61.000 --> 00:62.000\n", "line 4: a time such as"),
        ("WEBVTT\n\nx\n00:02.000 --> 00:02.000\n", "line 4: the cue ends before"),
    ],
)
def test_what_is_wrong_is_told_with_its_line(text, told):
    """A file that is damaged is refused."""
    with pytest.raises(ValueError, match=told):
        read_webvtt(text)
