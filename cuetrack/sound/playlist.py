"""How tunes follow each other: on the beat where both keep one, else softly.

Where two tunes meet on the beat, the first is left at the end of a bar and the
second entered at the start of one, counted in fours from its first beat; the
crossfade before that is a bar long, its beats laid on each other, or only a beat
where the tempos differ.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from cuetrack.sound.bed import CROSSFADE_FRAMES

if TYPE_CHECKING:
    from collections.abc import Sequence

    from cuetrack.sound.beats import Beats
    from cuetrack.sound.music import Tune

BAR_BEATS = 4
SAME_TEMPO = 0.01
"""Tempos closer than this stay together for the length of a bar."""

FEWEST_BEATS = 2 * BAR_BEATS
"""A tune that has fewer between its joins is laid end to end by a plain crossfade."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Playlist:
    """Tunes cut to follow each other in order, the first again after the last.

    ``crossfades`` are the frames each tune shares with the next, ``on_beat`` tells
    whether their beats meet there.
    """

    tunes: tuple[Tune, ...]
    crossfades: tuple[int, ...]
    on_beat: tuple[bool, ...]


def playlist(tunes: Sequence[Tune], beats: Sequence[Beats | None]) -> Playlist:
    """Return tunes cut so that they meet on the beat wherever both are sure of it.

    Parameters
    ----------
    tunes
        In the order they play.
    beats
        Of each tune, in frames of its file; None where none are known.
    """
    following = [*range(1, len(tunes)), 0]
    steady = [_steady(tune, one) for tune, one in zip(tunes, beats, strict=True)]
    leads = [0] * len(tunes)  # of the crossfade into each tune
    on_beat = []
    for this, after in enumerate(following):
        left, entered = steady[this], steady[after]
        on_beat.append(left is not None and entered is not None)
        if left and entered:
            leads[after] = _lead_frames(left, entered)
    cut = []
    for this in range(len(tunes)):
        tune, one = tunes[this], steady[this]
        if one and leads[this]:
            entry = _entry(tune, one, leads[this])
            tune = replace(tune, first_frame=round(one.frame(entry)) - leads[this])
        if one and on_beat[this]:
            entry = _entry(tunes[this], one, leads[this])
            tune = replace(tune, end_frame=round(one.frame(_exit(tune, one, entry))))
        cut.append(tune)
    crossfades = tuple(
        leads[after] if met else plain_crossfade(cut[this], cut[after])
        for this, (after, met) in enumerate(zip(following, on_beat, strict=True))
    )
    return Playlist(tunes=tuple(cut), crossfades=crossfades, on_beat=tuple(on_beat))


def plain_crossfade(before: Tune, after: Tune) -> int:
    """Return the length of a crossfade that heeds no beat."""
    return min(CROSSFADE_FRAMES, before.frames // 4, after.frames // 4)


def _steady(tune: Tune, beats: Beats | None) -> Beats | None:
    """Return the beats if they are sure, and enough even after a bar of lead."""
    if beats is None or not beats.sure:
        return None
    entry = _entry(tune, beats, math.ceil(BAR_BEATS * beats.period_frames))
    return beats if _exit(tune, beats, entry) - entry >= FEWEST_BEATS else None


def _lead_frames(left: Beats, entered: Beats) -> int:
    differ = abs(left.period_frames / entered.period_frames - 1)
    fade_beats = BAR_BEATS if differ <= SAME_TEMPO else 1
    return round(fade_beats * min(left.period_frames, entered.period_frames))


def _entry(tune: Tune, beats: Beats, lead_frames: int) -> int:
    """Return the first beat with room for the crossfade before it.

    A beginning in which no beat is heard is taken to be in time with what follows.
    """
    earliest = tune.first_frame + lead_frames + 1
    return math.ceil((earliest - beats.first_frame) / beats.period_frames)


def _exit(tune: Tune, beats: Beats, entry: int) -> int:
    """Return the last end of a bar that is still heard well."""
    last = math.floor((tune.end_frame - 1 - beats.first_frame) / beats.period_frames)
    bars = (min(beats.count - 1, last) - entry) // BAR_BEATS
    return entry + bars * BAR_BEATS
