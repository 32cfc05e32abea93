"""Tempo: every stretch starts on a downbeat, near the wanted tempo, never too fast."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from cuetrack.plan.model import SectionKind
from cuetrack.sound.composing.bed import OwnMusic, compose_pieces
from cuetrack.sound.composing.tempo import (
    ADVISED,
    TOLERANCE,
    UNHEARD,
    TempoRequest,
    bpm_of,
    count_beats,
    in_proportion,
    tempo_request,
)
from cuetrack.times import frames_from_ms
from tests.sound.composed import downbeats_of, timeline

WORK = ADVISED[SectionKind.INTERVALS]
lengths = st.one_of(
    st.sampled_from([10_000, 15_000, 20_000, 30_000, 40_000, 45_000, 60_000, 75_000]),
    st.integers(4_000, 120_000),
)
kinds = st.sampled_from(
    ["work", "rest", "recovery", "opening", "warm", "cool", "still"]
)
classes = st.lists(st.tuples(kinds, lengths), min_size=1, max_size=12)


def beats_of(*stretches, request=WORK):
    return count_beats(timeline(*stretches).segments, request)


def tempos(stretches, beats):
    return [bpm_of(n, length) for n, (_, length) in zip(beats, stretches, strict=True)]


@pytest.mark.parametrize(
    ("work", "rest", "bpm"),
    [(40, 20, 120), (45, 15, 112), (30, 30, 120), (30, 15, 112), (20, 10, 120)],
)
def test_usual_clocks_have_one_tempo_and_whole_bars(work, rest, bpm):
    """The clocks of the trade (common practice) all get whole bars at one tempo."""
    stretches = [("work", work * 1000), ("rest", rest * 1000)] * 3
    beats = beats_of(*stretches)
    assert {n % 4 for n in beats} == {0}
    assert tempos(stretches, beats) == [bpm] * 6


@given(
    st.integers(1, 40).map(lambda n: n * 500),
    st.lists(st.integers(1, 12), min_size=1, max_size=6),
    st.integers(60, 140),
)
def test_common_tempo_is_the_nearest_there_is(unit_ms, parts, bpm):
    """No other number of whole bars fits all stretches and is nearer to the request."""
    request = TempoRequest(bpm=bpm, most_bpm=bpm * 1.05)
    stretches = [("work", unit_ms * part) for part in parts]
    # Brute force: every bar length that divides the first stretch.
    first = stretches[0][1]
    allowed = []
    for bars in range(1, first * bpm // 100_000 + 4):
        bar = Fraction(first, bars)
        if all((length / bar).denominator == 1 for _, length in stretches):
            found = float(240_000 / bar)
            if request.allows(found):
                allowed.append(found)
    if allowed:
        best = min(abs(math.log(one / bpm)) for one in allowed)
        got = tempos(stretches, beats_of(*stretches, request=request))
        assert max(got) == pytest.approx(min(got))
        assert abs(math.log(got[0] / bpm)) == pytest.approx(best, abs=1e-9)


def test_recovery_break_goes_by_itself_when_it_does_not_fit():
    """A break of 75 s does not bend the bars of 40 s and 20 s."""
    stretches = [("work", 40_000), ("rest", 20_000), ("recovery", 75_000)]
    beats = beats_of(*stretches)
    assert beats[:2] == (80, 40)
    assert beats[2] % 4 == 0
    assert abs(bpm_of(beats[2], 75_000) / 120 - 1) < 0.02


def test_lengths_a_little_apart_share_a_tempo_nobody_tells_apart():
    """Movements that share a time to the millisecond keep whole bars and one tempo."""
    stretches = [("warm", 28_571), ("warm", 28_572), ("warm", 28_571)]
    beats = beats_of(*stretches, request=ADVISED[SectionKind.WARM_UP])
    assert {n % 4 for n in beats} == {0}
    got = tempos(stretches, beats)
    assert max(got) / min(got) - 1 <= UNHEARD


def test_half_a_bar_is_added_where_whole_bars_do_not_fit():
    """Cool-downs in tens of seconds get a last bar of two beats at one tempo."""
    stretches = [("cool", 10_000), ("cool", 50_000), ("cool", 20_000)]
    beats = beats_of(*stretches, request=ADVISED[SectionKind.COOL_DOWN])
    assert tempos(stretches, beats) == [84.0] * 3
    assert beats == (14, 70, 28)


@given(classes, st.sampled_from([None, 90, 116, 140]))
@example([("work", 4_001)], None)
def test_tempo_is_near_the_wanted_one_and_never_above_what_is_allowed(stretches, bpm):
    """Nothing is further off than the tolerance, or than one beat that has no room.

    Openings and breaks follow the tempo of the others, so they may be off twice.
    """
    for piece in compose_pieces(
        timeline(*stretches),
        dict.fromkeys(range(12), OwnMusic(style="calm", tempo_bpm=bpm)),
        1,
    ):
        section = {s.section: s.section_kind for s in timeline(*stretches).segments}
        request = tempo_request(section[piece.section], bpm)
        for passage in piece.passages:
            length_ms = passage.end_ms - passage.start_ms
            bpm_of_passage = bpm_of(passage.beats, length_ms)
            assert bpm_of_passage <= request.most_bpm + 1e-6
            least = request.bpm * (1 - TOLERANCE)
            a_beat = 60_000 / length_ms
            assert bpm_of_passage >= min(least * (1 - TOLERANCE), least - a_beat)


@given(classes, st.sampled_from([None, 97, 133]))
def test_every_segment_starts_on_a_downbeat_to_the_frame(stretches, bpm):
    """And the bars within it do not drift: each is where exact arithmetic puts it."""
    whole = timeline(*stretches)
    wanted = dict.fromkeys(range(12), OwnMusic(style="steady", tempo_bpm=bpm))
    passages = [
        passage
        for piece in compose_pieces(whole, wanted, 1)
        for passage in piece.passages
    ]
    for passage, segment in zip(passages, whole.segments, strict=True):
        downbeats = downbeats_of(passage)
        assert downbeats[0] == frames_from_ms(segment.start_ms)
        assert passage.frame_at(passage.beats * 24) == frames_from_ms(segment.length_ms)
        for bar, frame in enumerate(downbeats):
            exact = Fraction(bar * 4 * passage.frames, passage.beats)
            assert abs(frame - passage.start_frame - exact) <= Fraction(1, 2)


def test_stated_tempo_is_not_exceeded_when_it_is_above_what_is_advised():
    """A leader who writes 126 never gets more, not even for whole bars."""
    request = tempo_request(SectionKind.INTERVALS, 126)
    assert request.most_bpm == 126
    beats = count_beats(timeline(("work", 20_000)).segments, request)
    assert bpm_of(beats[0], 20_000) == 120


def test_without_a_stated_tempo_the_advised_bounds_hold():
    """Warm-up at most 120, seated work 130, cool-down below 100 (common practice)."""
    assert ADVISED[SectionKind.WARM_UP].most_bpm <= 120
    assert ADVISED[SectionKind.INTERVALS].most_bpm <= 130
    assert ADVISED[SectionKind.COOL_DOWN].most_bpm < 100


def test_tempo_of_a_class_keeps_the_cool_down_slower_than_the_work():
    """The stated tempo is that of the work."""
    assert in_proportion(SectionKind.INTERVALS, 110) == 110
    assert in_proportion(SectionKind.COOL_DOWN, 110) < in_proportion(
        SectionKind.WARM_UP, 110
    )
    assert in_proportion(SectionKind.WARM_UP, 110) < 110
