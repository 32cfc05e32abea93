"""The solved mix, measured again in its own samples, keeps what was promised."""

from __future__ import annotations

import functools
from dataclasses import dataclass, replace

import numpy as np
import pytest

from cuetrack.cues.tonekinds import ToneKind
from cuetrack.plan.model import Group
from cuetrack.sound.duck_solving import (
    FLOOR_LU,
    LOSS_LIMIT,
    Hearing,
    listeners_at_level,
)
from cuetrack.sound.ducking import Duck, DuckEnvelope
from cuetrack.sound.hearing.bands import (
    TrackPart,
    active_spectrum,
    stretch_spectra,
)
from cuetrack.sound.hearing_mix import fit_to_hearing
from cuetrack.sound.hearing_report import CueAdvice
from cuetrack.sound.mixing import Event, MixPlan, Stem, mix_blocks, tone_event
from cuetrack.sound.tone_audibility import LIMIT_DB, OVER_BED_DB
from cuetrack.sound.tones import tone
from tests.sound.sounds import Clips, cut, music, noise, syllables

RATE = 48_000
LENGTH = 30 * RATE
GROUP = Group(age=75)
CLIPS = {f"clip {n}": syllables(0.6 + 0.5 * n, seed=n) for n in range(3)}
SPOKEN = (("clip 0", 2), ("clip 1", 6), ("clip 2", 10), ("clip 0", 20), ("clip 1", 25))
TONES = ((ToneKind.TICK, 5), (ToneKind.START, 15), (ToneKind.TICK, 21))


@functools.cache
def loud_music():
    """Music that is quiet for a while, then as loud as the speech and hissing."""
    left, right = (music(LENGTH / RATE, seed=seed, rms=0.05) for seed in (1, 2))
    both = np.stack([left, right], axis=1)
    both += noise(LENGTH, 2, seed=3, rms=0.02)
    both[: 8 * RATE] *= 0.1
    both.setflags(write=False)
    return both


@dataclass(frozen=True)
class LoudBed:
    """That music as a bed."""

    length_frames: int = LENGTH

    def blocks(self, block_frames):
        return cut(loud_music(), block_frames)


def mix_plan(bed=None, **options):
    events = [
        Event(start_frame=at * RATE, key=key, frames=len(CLIPS[key]))
        for key, at in SPOKEN
    ]
    events += [tone_event(kind, at * RATE) for kind, at in TONES]
    return MixPlan(
        length_frames=LENGTH,
        events=tuple(sorted(events, key=lambda one: one.start_frame)),
        bed=bed,
        **options,
    )


def fit(plan, group=GROUP, **options):
    ids = [f"cue {number}" for number in range(len(SPOKEN))]
    return fit_to_hearing(plan, Clips(CLIPS), group, cue_ids=ids, **options)


def bed_as_mixed(plan, events):
    """Spectra of the bed under events, from the samples that go into the mix."""
    stretches = [
        TrackPart(start_frame=one.start_frame, end_frame=one.end_frame)
        for one in events
    ]
    return stretch_spectra(mix_blocks(plan, Clips(CLIPS), stem=Stem.BED), stretches)


def losses(plan, group=GROUP):
    """What the bed as mixed costs, and how far speech stands over it, a cue."""
    spoken = [one for one in plan.events if not one.is_tone]
    speech = [active_spectrum(CLIPS[one.key]) for one in spoken]
    heard = Hearing(
        speech, bed_as_mixed(plan, spoken), listeners_at_level(group, speech)
    )
    return heard.losses(np.zeros(len(speech))), heard.separation_lu


@pytest.mark.parametrize("bed_gain_db", [0.0, -6.0])
@pytest.mark.parametrize("age", [60, 80])
def test_the_mix_itself_loses_no_more_than_allowed(age, bed_gain_db):
    """Measured in the ducked samples, no cue loses over 0.02 or stands below 10 LU."""
    group = Group(age=age)
    plan = mix_plan(LoudBed(), bed_gain_db=bed_gain_db)
    before, _ = losses(plan, group)
    assert before.max() > 5 * LOSS_LIMIT
    after, separation_lu = losses(fit(plan, group).plan, group)
    assert after.max() <= LOSS_LIMIT + 0.0005
    assert separation_lu.min() >= 10 - 0.05


def test_no_duck_is_deeper_than_it_must_be():
    """One decibel less anywhere costs a cue more than allowed, or the distance."""
    fitted = fit(mix_plan(LoudBed())).plan
    shallower = tuple(
        replace(duck, depth_db=max(duck.depth_db - 1, 0)) for duck in fitted.ducks
    )
    lost, separation_lu = losses(replace(fitted, ducks=shallower))
    starts = [event.start_frame for event in fitted.events if not event.is_tone]
    needed = [
        lost[cue] > LOSS_LIMIT or separation_lu[cue] < 10
        for cue in (starts.index(duck.start_frame) for duck in fitted.ducks)
    ]
    assert len(needed) >= 2
    assert all(needed)


def test_the_accessible_level_is_kept_in_the_samples():
    """With WCAG 1.4.7 asked for, speech stands 20 LU over the bed as mixed."""
    _, separation_lu = losses(
        fit(mix_plan(LoudBed()), well_under=[True] * len(SPOKEN)).plan
    )
    assert separation_lu.min() >= 20 - 0.05


def test_the_accessible_level_may_be_asked_for_cue_by_cue():
    """Only the cues that ask stand 20 LU over the bed; the others as without it."""
    asked = [number % 2 == 0 for number in range(len(SPOKEN))]
    rows = fit(mix_plan(LoudBed()), well_under=asked).hearing.rows
    plain = fit(mix_plan(LoudBed())).hearing.rows
    assert any(row.separation_lu < 20 for row in plain[::2])
    assert all(row.separation_lu >= 20 - 1e-6 for row in rows[::2])
    assert rows[1::2] == plain[1::2]


def test_quiet_music_is_left_louder_than_loud_music():
    """Each cue has its own depth: the quiet passage is hardly touched."""
    rows = fit(mix_plan(LoudBed())).hearing.rows
    assert max(row.depth_db for row in rows[:2]) < min(row.depth_db for row in rows[2:])


def test_tones_stand_over_the_bed_as_mixed():
    """Each tone is 15 dB over the bed in a band, and within the limit."""
    heard = fit(mix_plan(LoudBed()))
    sounded = [one for one in heard.plan.events if one.is_tone]
    under = bed_as_mixed(heard.plan, sounded)
    for row, event, bed in zip(heard.tones.rows, sounded, under, strict=True):
        tone_alone = spectrum_of_tone(event)
        over_db = np.subtract(tone_alone.band_db, bed.band_db)
        assert over_db.max() >= OVER_BED_DB - 0.2
        assert row.audible
        assert row.level_db_spl <= LIMIT_DB + 1e-9


def spectrum_of_tone(event):
    """The spectrum of a tone at its gain in the mix."""
    kind = ToneKind(event.key.removeprefix("tone:"))
    return active_spectrum(tone(kind)).raised(event.gain_db)


def test_old_ducks_are_replaced():
    """Ducks and gains of an earlier try have no say."""
    plain = mix_plan(LoudBed())
    tried = replace(plain, ducks=(Duck(start_frame=0, end_frame=LENGTH, depth_db=30),))
    assert fit(tried).plan == fit(plain).plan


def test_without_a_bed_nothing_goes_down():
    """A track of speech and tones has no ducks, and still its report."""
    heard = fit(mix_plan())
    assert heard.plan.ducks == ()
    assert [row.cue for row in heard.hearing.rows] == [f"cue {n}" for n in range(5)]
    assert all(row.separation_lu is None for row in heard.hearing.rows)
    assert all(row.audible for row in heard.tones.rows)


def test_hopeless_music_is_reported():
    """Music 50 dB too loud is not hidden behind the deepest duck."""
    heard = fit(mix_plan(LoudBed(), bed_gain_db=50.0))
    assert heard.hearing.rows[-1].advice is CueAdvice.MUSIC_DOWN


def test_a_track_of_tones_alone():
    """Without any speech the tones are still checked at the stated level."""
    plan = MixPlan(
        length_frames=LENGTH,
        events=tuple(tone_event(kind, at * RATE) for kind, at in TONES),
    )
    heard = fit_to_hearing(plan, Clips({}), GROUP, cue_ids=())
    assert all(row.audible for row in heard.tones.rows)
    assert heard.hearing.rows == ()


def test_the_bed_is_heard_through_once():
    """However many cues, one pass over the bed."""

    passes = []

    @dataclass(frozen=True)
    class Counted(LoudBed):
        def blocks(self, block_frames):
            passes.append(block_frames)
            return super().blocks(block_frames)

    fit(mix_plan(Counted()))
    assert len(passes) == 1


def test_a_gain_on_a_clip_counts():
    """Speech mixed 6 dB softer needs about 6 dB more duck to keep its distance."""
    plan = mix_plan(LoudBed())
    softer = replace(
        plan,
        events=tuple(
            one if one.is_tone else replace(one, gain_db=-6.0) for one in plan.events
        ),
    )
    for plain, soft in zip(
        fit(plan).hearing.rows, fit(softer).hearing.rows, strict=True
    ):
        if plain.separation_lu < FLOOR_LU + 1:
            assert soft.depth_db - plain.depth_db == pytest.approx(6.0, abs=0.11)


def test_bed_does_not_swell_between_cues_that_lower_it_in_two_ways():
    """From a cue with all of the bed lowered to one with a cut it stays down."""
    asked = [number == 0 for number, _ in enumerate(SPOKEN)]
    near = tuple(
        replace(event, start_frame=at * RATE)
        for at, event in zip(
            (9, 11, 13, 15, 17),
            [one for one in mix_plan().events if not one.is_tone],
            strict=True,
        )
    )
    plan = MixPlan(length_frames=LENGTH, events=near, bed=LoudBed())
    fitted = fit(plan, well_under=asked).plan
    ducks, cuts = (DuckEnvelope(one) for one in (fitted.ducks, fitted.cuts))
    first, last = near[0].start_frame, near[-1].end_frame
    lowest = np.minimum(
        ducks.gains(first, last - first), cuts.gains(first, last - first)
    )
    assert fitted.cuts
    assert fitted.ducks
    assert 20 * np.log10(lowest.max()) < -6


def test_hearing_tells_how_far_it_has_come():
    """Every clip counts once and the bed in steps, up to all of it."""
    told = []
    plan = mix_plan(LoudBed())
    fit(plan, progress=lambda *now: told.append(now))
    done = [amount for amount, _ in told]
    total = LENGTH + sum(len(CLIPS[key]) for key in {key for key, _ in SPOKEN})
    assert {of for _, of in told} == {total}
    assert done == sorted(done)
    assert done[-1] == total
    assert len(done) > len({key for key, _ in SPOKEN}) + 1
