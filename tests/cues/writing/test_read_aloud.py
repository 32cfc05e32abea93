"""A voice that was read says what was read, and loses nothing that must be said."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from cuetrack import cuekinds
from cuetrack.cues.model import Cue, Wording
from cuetrack.cues.writing.read_aloud import choose_read

NAMES = "abcdef"


def wording(name):
    return Wording(text=name, spoken=name)


def cue(*variants, essential=False):
    return Cue(
        id="cue",
        kind=cuekinds.PREVIEW,
        segment="s",
        window_start_ms=0,
        window_end_ms=1000,
        variants=tuple(tuple(map(wording, variant)) for variant in variants),
        priority=1,
        essential=essential,
    )


def said(cue_, read, *, filled):
    chosen = choose_read([cue_], set(read).__contains__, filled=filled)
    return "".join(one.spoken for one in chosen[0].wordings) if chosen else None


def test_a_variant_read_whole_is_preferred():
    """However early in the pack another variant stands."""
    assert said(cue("abc", "de"), "dea", filled=True) == "de"


def test_of_a_variant_what_was_read_is_said():
    """Full wordings that nobody read give way to shorter ones that somebody did."""
    assert said(cue("abc"), "b", filled=True) == "b"
    assert said(cue("abc"), "ac", filled=False) == "ac"


def test_what_must_be_said_keeps_shorter_words_of_another_voice():
    """Where time is short it is said by the voice that fills in."""
    assert said(cue("abc", essential=True), "b", filled=True) == "bc"
    assert said(cue("abc", essential=True), "b", filled=False) == "b"


def test_what_nobody_read_is_filled_in_or_left():
    """Without another voice only what must be said stays, to be told of."""
    assert said(cue("abc"), "", filled=True) == "abc"
    assert said(cue("abc"), "", filled=False) is None
    assert said(cue("abc", essential=True), "", filled=False) == "abc"


@given(
    st.lists(st.text(NAMES, min_size=1, max_size=3), min_size=1, max_size=3),
    st.sets(st.sampled_from(NAMES)),
    st.booleans(),
    st.booleans(),
)
def test_nothing_read_is_given_up_for_what_was_not(variants, read, essential, filled):
    """The fullest wording left is one that was read, wherever any was."""
    left = said(cue(*variants, essential=essential), read, filled=filled)
    if read & set("".join(variants)):
        assert left[0] in read
