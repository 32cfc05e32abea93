"""Fits a whole mix to the ears of a group: ducks, tone levels, and the report.

The bed is heard through once, whatever the number of cues; of the speech each
clip is looked at once, however often it is said.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from cuetrack.cues.tonekinds import ToneKind
from cuetrack.sound.duck_solving import SILENT_BED, listeners_at_level, solve_ducks
from cuetrack.sound.ducking import Duck, DuckEnvelope
from cuetrack.sound.hearing.bands import (
    SILENCE_DB,
    TrackPart,
    active_spectrum,
    stretch_spectra,
)
from cuetrack.sound.hearing_report import hearing_report
from cuetrack.sound.mixing import BLOCK_FRAMES, TONE_PREFIX
from cuetrack.sound.tone_audibility import solve_tones
from cuetrack.sound.tones import tone

if TYPE_CHECKING:
    from collections.abc import Sequence

    from cuetrack.plan.model import Group
    from cuetrack.sound.duck_solving import SolvedDuck
    from cuetrack.sound.hearing.bands import ClipSpectrum
    from cuetrack.sound.hearing_report import HearingReport
    from cuetrack.sound.mixing import Event, MixPlan
    from cuetrack.sound.tone_audibility import ToneLevels
    from cuetrack.speech.model import ClipSource

DEFAULT_EAR_OFFSET_DB = 20.0
"""Added to the stated level where a track has tones but no speech.

Such a track is taken to be played as if clips at -20 dB were in it.
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class HeardMix:
    """A mix with its ducks and tone levels solved, and what people hear of it."""

    plan: MixPlan
    hearing: HearingReport
    tones: ToneLevels


def fit_to_hearing(
    plan: MixPlan,
    source: ClipSource,
    group: Group,
    *,
    cue_ids: Sequence[str],
    wcag: bool | Sequence[bool] = False,
) -> HeardMix:
    """Return the mix with the least ducks and tone gains its listeners need.

    Ducks and tone gains the plan already has are replaced.

    Parameters
    ----------
    plan
        Events and bed, at the levels they are to have outside of ducks.
    source
        Gives the samples of the clips.
    group
        Whose ears are counted.
    cue_ids
        What the report calls the spoken events, in their order.
    wcag
        Keep speech 20 LU over the bed, as WCAG 1.4.7 asks: for all of it, or for
        each spoken event or not, in their order.
    """
    spoken = [event for event in plan.events if not event.is_tone]
    sounded = [event for event in plan.events if event.is_tone]
    speech = _speech_spectra(spoken, source)
    under = _bed_spectra(plan, [*spoken, *sounded])
    solved = solve_ducks(speech, under[: len(spoken)], group, wcag=wcag)
    ducks = _ducks(spoken, [one.depth_db for one in solved])
    tones = _solve_tones(sounded, under[len(spoken) :], ducks, speech, group)
    tone_ducks = _tone_ducks(sounded, ducks, tones)
    events = tuple(
        replace(event, gain_db=tones.gain_db(_kind(event))) if event.is_tone else event
        for event in plan.events
    )
    report = hearing_report(cue_ids, speech, _if_bed(plan, solved), group)
    return HeardMix(
        plan=replace(plan, events=events, ducks=(*ducks, *tone_ducks)),
        hearing=report,
        tones=tones,
    )


def _speech_spectra(spoken: Sequence[Event], source: ClipSource) -> list[ClipSpectrum]:
    by_key: dict[str, ClipSpectrum] = {}
    for event in spoken:
        if event.key not in by_key:
            by_key[event.key] = active_spectrum(source.samples(event.key))
    return [by_key[event.key].raised(event.gain_db) for event in spoken]


def _bed_spectra(plan: MixPlan, events: Sequence[Event]) -> list[ClipSpectrum]:
    """Return the bed under each event at its own level, in one pass over it."""
    if plan.bed is None:
        return [SILENT_BED] * len(events)
    stretches = [
        TrackPart(start_frame=event.start_frame, end_frame=event.end_frame)
        for event in events
    ]
    found = stretch_spectra(plan.bed.blocks(BLOCK_FRAMES), stretches)
    return [one.raised(plan.bed_gain_db) for one in found]


def _ducks(events: Sequence[Event], depths_db: Sequence[float]) -> tuple[Duck, ...]:
    return tuple(
        Duck(
            start_frame=event.start_frame,
            end_frame=event.end_frame,
            depth_db=depth_db,
        )
        for event, depth_db in zip(events, depths_db, strict=True)
        if depth_db > 0
    )


def _solve_tones(
    sounded: Sequence[Event],
    under: Sequence[ClipSpectrum],
    ducks: Sequence[Duck],
    speech: Sequence[ClipSpectrum],
    group: Group,
) -> ToneLevels:
    kinds = [_kind(event) for event in sounded]
    envelope = DuckEnvelope(ducks)
    ducked = [
        bed.raised(_least_depth_db(envelope, event))
        for bed, event in zip(under, sounded, strict=True)
    ]
    offset_db = (
        listeners_at_level(group, speech).offset_db
        if speech
        else group.level_db_spl + DEFAULT_EAR_OFFSET_DB
    )
    return solve_tones(
        kinds,
        ducked,
        group,
        sounds={kind: tone(kind) for kind in kinds},
        ear_offset_db=offset_db,
    )


def _tone_ducks(
    sounded: Sequence[Event], ducks: Sequence[Duck], tones: ToneLevels
) -> tuple[Duck, ...]:
    """Return ducks for the tones that need one, on top of those for the speech."""
    envelope = DuckEnvelope(ducks)
    depths = [
        row.duck_depth_db - _least_depth_db(envelope, event) if row.duck_depth_db else 0
        for event, row in zip(sounded, tones.rows, strict=True)
    ]
    return _ducks(sounded, depths)


def _least_depth_db(envelope: DuckEnvelope, event: Event) -> float:
    """Return the gain of the bed where it is highest under the event, dB, <= 0."""
    highest = float(envelope.gains(event.start_frame, event.frames).max())
    return 20 * math.log10(highest) if highest > 0 else SILENCE_DB


def _kind(event: Event) -> ToneKind:
    return ToneKind(event.key.removeprefix(TONE_PREFIX))


def _if_bed(
    plan: MixPlan, solved: tuple[SolvedDuck, ...]
) -> tuple[SolvedDuck, ...] | None:
    return None if plan.bed is None else solved
