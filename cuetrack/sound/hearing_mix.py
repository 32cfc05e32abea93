"""Fits a whole mix to the ears of a group: ducks, tone levels, and the report.

The bed is heard through once, whatever the number of cues; of the speech each
clip is looked at once, however often it is said.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import TYPE_CHECKING

from cuetrack.cues.tonekinds import ToneKind
from cuetrack.sound.duck_solving import (
    CUTS_DB,
    SILENT_BED,
    listeners_at_level,
    solve_ducks,
)
from cuetrack.sound.ducking import Duck, DuckEnvelope, DuckShape
from cuetrack.sound.hearing.bands import (
    LINES_HZ,
    TrackPart,
    active_spectrum,
    filtered_spectra,
)
from cuetrack.sound.hearing_report import hearing_report
from cuetrack.sound.mixing import BLOCK_FRAMES, TONE_PREFIX
from cuetrack.sound.speech_band import gain_when_cut
from cuetrack.sound.tone_audibility import solve_tones
from cuetrack.sound.tones import tone

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from cuetrack.arrays import Block
    from cuetrack.plan.model import Group
    from cuetrack.sound.duck_solving import SolvedDuck
    from cuetrack.sound.hearing.bands import ClipSpectrum
    from cuetrack.sound.hearing_report import HearingReport
    from cuetrack.sound.mixing import Event, MixPlan
    from cuetrack.sound.tone_audibility import ToneLevels
    from cuetrack.speech.model import ClipSource, Progress

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
    texts: Sequence[str] = (),
    well_under: Sequence[bool] = (),
    spectrum_of: Callable[[str], ClipSpectrum] | None = None,
    progress: Progress | None = None,
) -> HeardMix:
    """Return the mix with the least ducks and tone gains its listeners need.

    Ducks and tone gains the plan already has are replaced.

    Parameters
    ----------
    plan
        Events and bed, at the levels they are to have outside of ducks.
    source
        Gives the samples of the clips.
    cue_ids
        What programs call the spoken events, in their order.
    texts
        What people call them: what is said. Not given, the same.
    well_under
        Whether the bed is to go 20 LU under each spoken event, see `solve_ducks`.
    spectrum_of
        Knows the spectra of clips by their keys; without it they are worked out.
    progress
        Told how many frames of the clips and of the bed were heard, and of how many.
    """
    spoken = [event for event in plan.events if not event.is_tone]
    sounded = [event for event in plan.events if event.is_tone]
    known = spectrum_of or (lambda key: active_spectrum(source.samples(key)))
    count = _Counter(progress, _frames_to_hear(plan, spoken))
    speech = _speech_spectra(spoken, known, count)
    beds = _bed_spectra(plan, [*spoken, *sounded], count)
    count.finish()
    under = {cut_db: bed[: len(spoken)] for cut_db, bed in beds.items()}
    solved = solve_ducks(speech, under, group, well_under=well_under)
    ends = _held_until(spoken, solved)
    ducks = _ducks(spoken, ends, [one.depth_db for one in solved])
    cuts = _ducks(spoken, ends, [one.cut_db for one in solved])
    lowered_db = _least_lowered_db(sounded, ducks, cuts)
    tones = _solve_tones(sounded, beds[0][len(spoken) :], lowered_db, speech, group)
    events = tuple(
        replace(event, gain_db=tones.gain_db(_kind(event))) if event.is_tone else event
        for event in plan.events
    )
    report = hearing_report(cue_ids, speech, _if_bed(plan, solved), group, texts=texts)
    cuts += _tone_cuts(sounded, cuts, tones)
    return HeardMix(
        plan=replace(plan, events=events, ducks=ducks, cuts=cuts),
        hearing=report,
        tones=tones,
    )


class _Counter:
    """Tells how much of the work is done."""

    def __init__(self, progress: Progress | None, total: int) -> None:
        self._progress = progress
        self._total = total
        self._done = 0

    def add(self, amount: int) -> None:
        self._done += amount
        if self._progress is not None:
            self._progress(self._done, self._total)

    def finish(self) -> None:
        """Tell that all is done: of the bed only what lies under events is heard."""
        self.add(self._total - self._done)

    def through(self, blocks: Iterator[Block]) -> Iterator[Block]:
        for block in blocks:
            yield block
            self.add(len(block))


def _frames_to_hear(plan: MixPlan, spoken: Sequence[Event]) -> int:
    bed = 0 if plan.bed is None else plan.bed.length_frames
    return bed + sum({event.key: event.frames for event in spoken}.values())


def _speech_spectra(
    spoken: Sequence[Event], spectrum_of: Callable[[str], ClipSpectrum], count: _Counter
) -> list[ClipSpectrum]:
    by_key: dict[str, ClipSpectrum] = {}
    raised: dict[tuple[str, float], ClipSpectrum] = {}
    for event in spoken:
        if event.key not in by_key:
            by_key[event.key] = spectrum_of(event.key)
            count.add(event.frames)
        sound = (event.key, event.gain_db)
        if sound not in raised:
            raised[sound] = by_key[event.key].raised(event.gain_db)
    return [raised[event.key, event.gain_db] for event in spoken]


def _bed_spectra(
    plan: MixPlan, events: Sequence[Event], count: _Counter
) -> dict[float, list[ClipSpectrum]]:
    """Return the bed under each event, as it is and by each cut, in one pass."""
    ways = (0.0, *CUTS_DB)
    if plan.bed is None:
        return dict.fromkeys(ways, [SILENT_BED] * len(events))
    stretches = [
        TrackPart(start_frame=event.start_frame, end_frame=event.end_frame)
        for event in events
    ]
    gains = [gain_when_cut(LINES_HZ, cut_db) for cut_db in ways]
    blocks = count.through(plan.bed.blocks(BLOCK_FRAMES))
    found = filtered_spectra(blocks, stretches, gains)
    return {
        cut_db: [one.raised(plan.bed_gain_db) for one in spectra]
        for cut_db, spectra in zip(ways, found, strict=True)
    }


def _held_until(events: Sequence[Event], solved: Sequence[SolvedDuck]) -> list[int]:
    """Return the frame up to which the bed is down for each event.

    Where one that lowers the bed in the other way, with a cut or without, follows
    closely, that is its start: between them the bed would swell.
    """
    ends = [event.end_frame for event in events]
    for place, (one, two) in enumerate(pairwise(solved)):
        start_frame = events[place + 1].start_frame
        close = start_frame - ends[place] <= DuckShape().bridge_frames
        if close and bool(one.cut_db) != bool(two.cut_db):
            ends[place] = max(ends[place], start_frame)
    return ends


def _ducks(
    events: Sequence[Event], ends: Sequence[int], depths_db: Sequence[float]
) -> tuple[Duck, ...]:
    return tuple(
        Duck(start_frame=event.start_frame, end_frame=end_frame, depth_db=depth_db)
        for event, end_frame, depth_db in zip(events, ends, depths_db, strict=True)
        if depth_db > 0
    )


def _solve_tones(
    sounded: Sequence[Event],
    under: Sequence[ClipSpectrum],
    lowered_db: Sequence[float],
    speech: Sequence[ClipSpectrum],
    group: Group,
) -> ToneLevels:
    kinds = [_kind(event) for event in sounded]
    ducked = [bed.raised(-db) for bed, db in zip(under, lowered_db, strict=True)]
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


def _tone_cuts(
    sounded: Sequence[Event], cuts: Sequence[Duck], tones: ToneLevels
) -> tuple[Duck, ...]:
    """Return cuts for the tones that need one, on top of those for the speech.

    Every band in which a tone is judged lies in the band of speech.
    """
    already_db = _least_lowered_db(sounded, cuts)
    depths = [
        row.duck_depth_db + lowered_db if row.duck_depth_db else 0
        for lowered_db, row in zip(already_db, tones.rows, strict=True)
    ]
    return _ducks(sounded, [event.end_frame for event in sounded], depths)


def _least_lowered_db(
    events: Sequence[Event], *lowered_by: Sequence[Duck]
) -> list[float]:
    """Return how far the bed is down where it is least so under each event, dB."""
    envelopes = [DuckEnvelope(ducks) for ducks in lowered_by]
    highest = [
        math.prod(
            float(one.gains(event.start_frame, event.frames).max()) for one in envelopes
        )
        for event in events
    ]
    return [-20 * math.log10(gain) for gain in highest]


def _kind(event: Event) -> ToneKind:
    return ToneKind(event.key.removeprefix(TONE_PREFIX))


def _if_bed(
    plan: MixPlan, solved: tuple[SolvedDuck, ...]
) -> tuple[SolvedDuck, ...] | None:
    return None if plan.bed is None else solved
