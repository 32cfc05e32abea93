"""A script comes back from its captions as it was, or is refused by name."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cuetrack.errors import SpeechError
from cuetrack.speech.breaths import breaths_of, line_id
from cuetrack.takes.reading_script import (
    LineKind,
    ReadingLine,
    ReadingPart,
    ReadingScript,
    read_script,
    script_webvtt,
)

SAID = ("Three.", "Go!", "Stop & rest.", "Is 3 < 4?", "Forty seconds.")


def script(texts=SAID):
    kinds = list(LineKind)
    return ReadingScript(
        language="en",
        lines=tuple(
            ReadingLine(
                id=line_id(text),
                text=text,
                kind=kinds[number % len(kinds)],
                part=ReadingPart.FULL,
                start_ms=2000 * number,
                end_ms=2000 * number + 1500,
            )
            for number, text in enumerate(texts)
        ),
    )


def test_a_script_is_read_as_it_was_written(tmp_path):
    """Language, ids, texts, kinds and times come back, marks of markup too."""
    path = tmp_path / "script.vtt"
    path.write_text(script_webvtt(script()), "utf-8")
    assert read_script(path) == script()


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("Three.", "Four.", "the line 'Four.' was changed"),
        ("c.start", "c.cheer", "the line 'Go!' has no kind"),
        ("Language: en", "By hand", "does not say its language"),
        ("00:00:00.000", "soon", "cannot be read: line 7: a time"),
    ],
)
def test_a_changed_script_is_refused(tmp_path, old, new, told):
    """What was changed is named, with the file."""
    path = tmp_path / "script.vtt"
    path.write_text(script_webvtt(script()).replace(old, new, 1), "utf-8")
    with pytest.raises(SpeechError, match=told) as error:
        read_script(path)
    assert str(error.value).startswith(str(path))


def test_a_line_twice_is_refused(tmp_path):
    """Two lines of the same words would be one clip."""
    path = tmp_path / "script.vtt"
    path.write_text(script_webvtt(script(("Rest.", "Rest!"))), "utf-8")
    with pytest.raises(SpeechError, match="a line twice"):
        read_script(path)


@given(st.lists(st.sampled_from(["Rest.", "Feet flat.", "Ready?", "Go!"]), min_size=1))
def test_a_text_is_its_breaths(sentences):
    """The sentences of a text are what it was put together from."""
    assert list(breaths_of(" ".join(sentences))) == sentences


def test_a_line_is_known_by_its_words_alone():
    """Marks, capitals and spaces do not make another line; words do."""
    alike = {
        line_id(text) for text in ("Don't stop.", "don\u2019t  STOP!", "dont stop")
    }
    assert len(alike) == 1
    assert line_id("Do not stop.") not in alike
    assert line_id("...") == ""
