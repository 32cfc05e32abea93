"""Mixing: every sound on its frame, in any blocks, and the parts are the whole."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cuetrack.cues.tonekinds import ToneKind
from cuetrack.sound.ducking import Duck
from cuetrack.sound.mixing import Event, MixPlan, Stem, mix_blocks, tone_event
from cuetrack.sound.tones import tone
from tests.sound.sounds import Clips, cut, joined, mono_sum_loss_db, noise, syllables

CLIPS = {f"clip {n}": syllables(0.4 + 0.3 * n, seed=n) for n in range(4)}


@dataclass(frozen=True)
class NoiseBed:
    """Unlike noise on two channels."""

    length_frames: int

    def blocks(self, block_frames):
        return cut(noise(self.length_frames, 2, seed=9), block_frames)


def event(key, start, gain_db=0.0):
    return Event(start_frame=start, key=key, frames=len(CLIPS[key]), gain_db=gain_db)


@st.composite
def mix_plans(draw):
    length = draw(st.integers(72_000, 120_000))
    starts = st.integers(0, length - 72_000)
    events = [
        event(draw(st.sampled_from(sorted(CLIPS))), draw(starts), draw(gains))
        for gains in [st.sampled_from([0.0, -6.0, 2.5])]
        for _ in range(draw(st.integers(0, 4)))
    ]
    events += [
        tone_event(draw(st.sampled_from(ToneKind)), draw(starts))
        for _ in range(draw(st.integers(0, 2)))
    ]
    has_bed = draw(st.booleans())
    start = draw(starts)
    return MixPlan(
        length_frames=length,
        events=tuple(sorted(events, key=lambda one: one.start_frame)),
        bed=NoiseBed(length) if has_bed else None,
        ducks=(Duck(start_frame=start, end_frame=start + 9000, depth_db=20),),
        bed_gain_db=draw(st.sampled_from([0.0, -9.0])),
    )


def test_every_clip_and_tone_sits_on_its_frame():
    """The mix is silence with each sound added at its place, to the bit."""
    plan = MixPlan(
        length_frames=200_000,
        events=(
            event("clip 1", 100),
            tone_event(ToneKind.START, 90_001),
            event("clip 3", 120_000, gain_db=-6),
        ),
    )
    expected = np.zeros(200_000, np.float32)
    expected[100 : 100 + len(CLIPS["clip 1"])] += CLIPS["clip 1"]
    expected[90_001 : 90_001 + 19_200] += tone(ToneKind.START)
    quiet = CLIPS["clip 3"] * np.float32(10 ** (-6 / 20))
    expected[120_000 : 120_000 + len(quiet)] += quiet
    mix = joined(mix_blocks(plan, Clips(CLIPS)))
    assert mix.shape == (200_000, 1)
    assert mix.dtype == np.float32
    assert np.array_equal(mix[:, 0], expected)


@given(plan=mix_plans(), block_frames=st.integers(700, 130_000))
@settings(max_examples=25, deadline=None)
def test_mix_does_not_depend_on_the_blocks(plan, block_frames):
    """Any block size gives the same samples to the bit."""
    whole = joined(mix_blocks(plan, Clips(CLIPS)))
    assert len(whole) == plan.length_frames
    blocks = list(mix_blocks(plan, Clips(CLIPS), block_frames))
    assert all(len(block) == block_frames for block in blocks[:-1])
    assert np.array_equal(joined(blocks), whole)


@given(plan=mix_plans())
@settings(max_examples=25, deadline=None)
def test_parts_add_up_to_the_mix(plan):
    """Speech, tones and bed, summed, are the mix."""
    parts = [
        joined(mix_blocks(plan, Clips(CLIPS), stem=stem))
        for stem in (Stem.SPEECH, Stem.TONES, Stem.BED)
    ]
    whole = joined(mix_blocks(plan, Clips(CLIPS)))
    assert {part.shape for part in parts} == {whole.shape}
    # Rounding may differ in the last bit of float32 where three sounds meet.
    assert np.allclose(parts[0] + parts[1] + parts[2], whole, rtol=0, atol=2.5e-7)


def test_voice_and_bed_add_up_to_the_bit():
    """With one voice at a time, mix less bed is exactly what was added."""
    plan = MixPlan(
        length_frames=96_000, events=(event("clip 2", 5000),), bed=NoiseBed(96_000)
    )
    speech, bed, whole = (
        joined(mix_blocks(plan, Clips(CLIPS), stem=stem))
        for stem in (Stem.SPEECH, Stem.BED, Stem.EVERYTHING)
    )
    assert np.array_equal(speech + bed, whole)


def test_bed_is_ducked_under_the_voice_only():
    """The bed plays at its level, and at its depth below that under a duck."""
    bed = NoiseBed(144_000)
    duck = Duck(start_frame=48_000, end_frame=96_000, depth_db=20)
    plan = MixPlan(
        length_frames=144_000, events=(), bed=bed, ducks=(duck,), bed_gain_db=-6
    )
    mix = joined(mix_blocks(plan, Clips()))
    raw = joined(bed.blocks(10_000))
    level = np.float32(10 ** (-6 / 20))
    assert np.allclose(mix[:30_000], level * raw[:30_000], rtol=1e-6)
    under = slice(48_000, 96_000)
    assert np.allclose(mix[under], 0.1 * level * raw[under], rtol=1e-5)


def test_voice_stays_in_the_middle_and_survives_one_loudspeaker():
    """Over a bed the voice is the same on both sides; their sum loses none of it."""
    plan = MixPlan(
        length_frames=96_000, events=(event("clip 3", 0),), bed=NoiseBed(96_000)
    )
    speech = list(mix_blocks(plan, Clips(CLIPS), stem=Stem.SPEECH))
    assert np.array_equal(joined(speech)[:, 0], joined(speech)[:, 1])
    assert mono_sum_loss_db(speech) == pytest.approx(0, abs=1e-9)
    assert mono_sum_loss_db(plan.bed.blocks(5000)) == pytest.approx(3.01, abs=0.1)


def test_clips_are_read_when_they_are_reached():
    """Nothing is asked of the store before its time, and a repeated word once."""
    plan = MixPlan(
        length_frames=300_000,
        events=(event("clip 0", 0), event("clip 1", 150_000), event("clip 0", 250_000)),
    )
    clips = Clips(CLIPS)
    blocks = mix_blocks(plan, clips, 50_000)
    next(blocks)
    assert clips.asked == ["clip 0"]
    joined(blocks)
    assert clips.asked == ["clip 0", "clip 1"]


def test_events_must_lie_inside_the_track_and_in_order():
    """A plan that cannot be mixed is refused when it is made."""
    with pytest.raises(ValueError, match="outside the track"):
        MixPlan(length_frames=1000, events=(event("clip 1", 0),))
    with pytest.raises(ValueError, match="outside the track"):
        MixPlan(length_frames=90_000, events=(event("clip 1", -1),))
    with pytest.raises(ValueError, match="in the order"):
        MixPlan(length_frames=90_000, events=(event("clip 0", 10), event("clip 0", 0)))
    with pytest.raises(ValueError, match="the bed has 5 frames"):
        MixPlan(length_frames=90_000, events=(), bed=NoiseBed(5))


def test_clip_of_another_length_is_refused():
    """A store that no longer holds what was placed is noticed."""
    wrong = Event(start_frame=0, key="clip 1", frames=7)
    plan = MixPlan(length_frames=90_000, events=(wrong,))
    with pytest.raises(ValueError, match="frames came for"):
        joined(mix_blocks(plan, Clips(CLIPS)))
