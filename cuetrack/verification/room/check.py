"""``check_room``: from a recording made in the room to one plain advice."""

from __future__ import annotations

from itertools import count
from statistics import median
from typing import TYPE_CHECKING

import numpy as np

from cuetrack.errors import TrackError
from cuetrack.sound.decoding import open_sound
from cuetrack.sound.hearing.listeners import age_note
from cuetrack.times import clock as clock_time
from cuetrack.verification.room.advice import advise
from cuetrack.verification.room.alignment import LEAST_OVERLAP_S, RIVAL_SHARE, align
from cuetrack.verification.room.audibility import Audience, LevelChange, apart_db
from cuetrack.verification.room.clock import fit_clock, refine_clock
from cuetrack.verification.room.grades import CLEAR_SII
from cuetrack.verification.room.heard import HOP_S, hear
from cuetrack.verification.room.levels import measure_levels
from cuetrack.verification.room.report import (
    KNOWN_SECONDS,
    RecordingPosition,
    RoomReport,
    RoomRow,
)
from cuetrack.verification.room.response import as_in_room, learn_response

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

    from cuetrack.output.track.cuefile import CueFile
    from cuetrack.plan.model import Group
    from cuetrack.speech.model import Progress
    from cuetrack.verification.room.clock import Clock
    from cuetrack.verification.room.heard import KeptSound
    from cuetrack.verification.room.levels import CuePowers, RoomLevels
    from cuetrack.verification.room.response import Response

SHORTEST_S = 15.0
LEAST_AGREEMENT = 0.3
"""Unrelated sound agrees in less than a tenth of its windows."""

LEAST_AGREEING = 6

LEAST_FOLLOWED = 0.75
"""In a clear recording, less of a stretch agrees only where other things are said."""

CLEAR_SWING_DB = 18.0
CROWDED = 0.2
"""Speech and music reach 0.06 over noise, cut to half of their height 0.15."""

LEAST_VOICE = 0.2
_SILENT_PEAK = 1e-4
_FAINT_PEAK = 0.003
_MANY_CLIPPED = 20
_STEPS = 6
_MISSED_S = 2.0
"""A call or two, or a little music."""
_SPEECH_TOP_HZ = 6000.0
_BAND_EDGE = 10**0.05
"""Where a third of an octave ends, above its centre (IEC 61260-1)."""
_SOUNDING_SHARE = 1e-3
_NEAR_CLEAR = 0.03
"""So little an index is changed by another place for the phone, or another voice."""


def check_room(
    recording: Path,
    track: Path,
    cue_file: CueFile,
    group: Group,
    *,
    progress: Progress | None = None,
) -> RoomReport:
    """Tell what people at the recorder's place can follow, and what to do about it.

    Parameters
    ----------
    recording
        Made in the room while the track played, by a phone or anything else; it
        may start and end anywhere.
    track
        The finished sound file that was played.
    cue_file
        Its cue sheet.
    group
        Whose ears are counted, and how loud the average cue is for them.
    progress
        Told of each step of the work.

    Raises
    ------
    TrackError
        When a file cannot be read, or the recording is silent, too short, or not
        of this track.
    """
    tell = _teller(progress)
    played = hear(open_sound(track))
    tell()
    heard = hear(open_sound(recording))
    _refuse_unfit(recording, heard)
    tell()
    rough = align(played.powers, heard.powers)
    rough_clock = fit_clock(played, heard, rough)
    tell()
    clock = _refined(played, heard, rough_clock)
    _refuse_stranger(recording, track, heard, clock)
    tell()
    response = learn_response(played, heard, clock)
    tell()
    levels = measure_levels(played, heard, clock, response, cue_file)
    _refuse_unheard(recording, track, levels)
    audience = Audience(levels.cues, response.decay, group)
    advice = advise(audience, group.level_db_spl, has_music=played.channels > 1)
    tell()
    return RoomReport(
        recording=recording.name,
        track=track.name,
        title=cue_file.title,
        age=group.age,
        level_db_spl=group.level_db_spl,
        place=_place(clock, response),
        decay=response.decay,
        dry=response.dry,
        rows=_rows(levels.cues, audience),
        advice=advice,
        notes=(
            *_flaws(heard, levels),
            *_unknown(clock, levels),
            *near_clear(audience),
            *_doubts(played, heard, clock, rough.rival),
            *filter(None, [age_note(group.age)]),
        ),
    )


def _teller(progress: Progress | None) -> Callable[[], None]:
    """Return what tells of one more step that is done."""
    steps = count(1)

    def tell() -> None:
        if progress is not None:
            progress(next(steps), _STEPS)

    return tell


def _refined(played: KeptSound, heard: KeptSound, clock: Clock) -> Clock:
    """Return the clock against the track as the room answers to it."""
    for last in (False, True):
        in_room = as_in_room(played, heard, clock)
        clock = refine_clock(played, in_room, heard, clock, last=last)
    return clock


def _refuse_unfit(recording: Path, heard: KeptSound) -> None:
    if heard.peak < _SILENT_PEAK:
        raise TrackError(
            "there is next to nothing to hear in it.",
            "Check that the microphone is free and allowed, and record again.",
            file=recording,
        )
    if heard.seconds < SHORTEST_S:
        raise TrackError(
            f"lasts only {heard.seconds:.0f} s.",
            "Record at least a minute while the track plays; less than "
            f"{SHORTEST_S:.0f} s says too little.",
            file=recording,
        )


def _refuse_stranger(
    recording: Path, track: Path, heard: KeptSound, clock: Clock
) -> None:
    found = clock.agreeing >= LEAST_AGREEING and clock.share >= LEAST_AGREEMENT
    clear = heard.swing_db > CLEAR_SWING_DB
    if found and (not clear or clock.followed > LEAST_FOLLOWED):
        return
    if found:
        raise TrackError(
            f"only {100 * clock.followed:.0f} % of it is {track.name}: it is a "
            "recording of another class that runs to the same times.",
            "Give the track that was played, or record while this very one plays.",
            file=recording,
        )
    if heard.crowding > CROWDED:
        raise TrackError(
            f"is so overdriven that {track.name} cannot be found in it.",
            "Keep the phone away from the loudspeaker, or turn it down, and record "
            "again.",
            file=recording,
        )
    reason = (
        "It is a recording of something else, such as another class. Give the track "
        "that was played, or record while this very one plays."
        if clear
        else "It is a recording of something else, or so noisy that the track is lost "
        "in it. Record while this very track plays, with the phone in the open."
    )
    raise TrackError(
        f"{track.name} cannot be found in it for {LEAST_OVERLAP_S:.0f} s or more.",
        reason,
        file=recording,
    )


def _refuse_unheard(recording: Path, track: Path, levels: RoomLevels) -> None:
    if not levels.cues:
        raise TrackError(
            f"no cue of {track.name} is whole in it.",
            "Record at least a minute in which the voice speaks.",
            file=recording,
        )
    if levels.voice_agreement < LEAST_VOICE:
        raise TrackError(
            f"no call of {track.name} is heard in it, though its music may be.",
            "Record while this very track plays, voice and all, and nearer if there "
            "is much noise.",
            file=recording,
        )


def _place(clock: Clock, response: Response) -> RecordingPosition:
    return RecordingPosition(
        start_ms=1000 * (clock.start_s + response.direct_s * clock.rate),
        drift_ppm=clock.drift_ppm,
        spread_ms=1000 * clock.spread_s,
        agreement=clock.share,
        from_ms=1000 * clock.first_s,
        to_ms=1000 * clock.last_s,
    )


def _rows(cues: tuple[CuePowers, ...], audience: Audience) -> tuple[RoomRow, ...]:
    plain = audience.indices(LevelChange(echo=False))
    echoing = audience.indices()
    return tuple(
        RoomRow(
            id=one.cue.id,
            kind=one.cue.kind,
            text=one.cue.text,
            start_ms=one.cue.start_ms,
            over_music_db=apart_db(one.speech, one.music),
            over_noise_db=apart_db(one.speech, one.noise) or 0.0,
            over_background_db=apart_db(one.speech, one.noise + one.music) or 0.0,
            sii=tuple(map(float, index)),
            sii_with_echo=tuple(map(float, late)),
        )
        for one, index, late in zip(cues, plain, echoing, strict=True)
    )


def _flaws(heard: KeptSound, levels: RoomLevels) -> Iterator[str]:
    """Yield what is wrong with the sound of the recording, in plain words."""
    if heard.clipped > _MANY_CLIPPED or heard.crowding > CROWDED:
        yield (
            "The recording is overdriven: loud moments are cut off, and what was loud "
            "reads too quiet. Keep the phone away from the loudspeaker."
        )
    if heard.peak < _FAINT_PEAK:
        yield "The recording is very quiet: its own noise may count as the room's."
    if levels.recorded_hz < _SPEECH_TOP_HZ:
        yield (
            f"The recorder kept next to nothing above "
            f"{levels.recorded_hz * _BAND_EDGE / 1000:.1f} kHz; "
            "above it the same distances are taken."
        )
    elif levels.clear_hz < _SPEECH_TOP_HZ:
        yield (
            f"Above {levels.clear_hz * _BAND_EDGE / 1000:.1f} kHz the noise of the "
            "room hides the track: there it counts as if it were no worse than just "
            "below."
        )


def _unknown(clock: Clock, levels: RoomLevels) -> Iterator[str]:
    """Yield what this recording cannot tell, in plain words."""
    seconds = clock.last_s - clock.first_s
    if seconds < KNOWN_SECONDS:
        yield (
            f"Only {seconds:.0f} s of the track were heard: how often a call is hard "
            "cannot be known from so little, and its echo is a guess. Record two "
            "minutes or more in which the voice speaks."
        )
    over = [apart_db(one.speech, one.noise) or 0.0 for one in levels.cues]
    if median(over) < 0:
        yield (
            "The room was louder than the voice: which single calls are lost cannot be "
            "known until it is quieter; that the noise hides them can."
        )


def _doubts(
    played: KeptSound, heard: KeptSound, clock: Clock, rival: float
) -> Iterator[str]:
    """Yield where the recording may not be what it is taken for, in plain words."""
    if rival > RIVAL_SHARE:
        yield (
            "Another place of the track fits nearly as well: record a longer stretch "
            "to be sure which cues these are."
        )
    begin_s = max(0.0, -clock.start_s / clock.rate)
    end_s = min(played.seconds, (heard.seconds - clock.start_s) / clock.rate)
    for words, missed, at_s in (
        ("Before", (begin_s, clock.first_s), clock.first_s),
        ("After", (clock.last_s, end_s), clock.last_s),
    ):
        if sounding_s(played, *missed) > _MISSED_S:
            yield (
                f"{words} {clock_time(int(1000 * at_s))} the recording does not follow "
                "the track: was it paused, stopped or drowned in noise? What lies "
                "there is not counted."
            )


def sounding_s(played: KeptSound, from_s: float, to_s: float) -> float:
    """Return for how long the track sounds in a stretch of it, s; silence is none."""
    levels = played.powers.sum(axis=1)
    stretch = levels[int(from_s / HOP_S) : max(int(to_s / HOP_S), 0)]
    heard = stretch > _SOUNDING_SHARE * np.quantile(levels, 0.95)
    return float(np.count_nonzero(heard)) * HOP_S


def near_clear(audience: Audience) -> Iterator[str]:
    """Yield for whom most calls lie where clear and hard part, in plain words."""
    middles = np.median(audience.indices(), axis=0)
    near = [
        one.unclear_for
        for one, middle in zip(audience.people, middles, strict=True)
        if abs(middle - CLEAR_SII) < _NEAR_CLEAR
    ]
    if near:
        yield (
            f"For {' and '.join(near)} most calls lie at the edge between clear and "
            "hard: a row nearer or farther, or another voice, decides."
        )
