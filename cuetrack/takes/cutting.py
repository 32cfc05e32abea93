"""A line as it is cut from a take: rumble taken out, level, edges, and its beat."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np
from scipy.signal import butter, sosfiltfilt

from cuetrack.speech.beat import beat_frame
from cuetrack.speech.peaks import levelled
from cuetrack.takes.activity import HOP, SoundStretch, loudness_of
from cuetrack.takes.voice_folder import MARGIN_MS, LineRead
from cuetrack.times import SAMPLE_RATE_HZ, frames_from_ms

if TYPE_CHECKING:
    from cuetrack.arrays import Samples

HIGH_PASS_HZ: Final = 80.0
"""Below a woman's and most men's voices: rumble of tables, half of the mains' hum."""
SPEECH_ENDS_DB: Final = 34.0
"""How far under its loud moments speech has ended: what is fainter is the room's."""
RISES_DB: Final = 6.0
"""What rises so far over the fall before it is no room: noise of 15 ms moves less."""

_SETTLE: Final = frames_from_ms(200)
_MARGIN: Final = frames_from_ms(MARGIN_MS)
_OVER_QUIET_DB: Final = 5.0


def speech_span(samples: Samples, span: SoundStretch) -> SoundStretch:
    """Return a span without the tail that the room gave it.

    A room only falls: what rises again behind the loud is a faint last sound, as the
    t of "left".
    """
    around = samples[max(span.start - SAMPLE_RATE_HZ, 0) : span.end + SAMPLE_RATE_HZ]
    quiet = loudness_of(around).quiet
    levels = loudness_of(samples[span.start : span.end]).levels
    if not levels.size:
        return span
    audible = float(np.median(quiet)) + _OVER_QUIET_DB
    floor = max(float(np.percentile(levels, 95)) - SPEECH_ENDS_DB, audible)
    loud = np.flatnonzero(levels > floor)
    last = int(loud[-1]) + 1 if loud.size else levels.size
    fallen = np.minimum.accumulate(levels[last:])
    again = np.flatnonzero(
        (levels[last:] > fallen + RISES_DB) & (levels[last:] > audible)
    )
    last += int(again[-1]) + 1 if again.size else 0
    return SoundStretch(start=span.start, end=span.start + last * HOP)


def line_read(
    samples: Samples, span: SoundStretch, text: str, *, counts: bool
) -> LineRead:
    """Return the line in a span of a take, ready for the folder of a voice.

    Its margins are faded, so that a neighbour in the same breath is not heard. A count
    word gets its beat.
    """
    first = max(span.start - _MARGIN - _SETTLE, 0)
    wide = np.asarray(samples[first : span.end + _MARGIN + _SETTLE], np.float64)
    high = butter(1, HIGH_PASS_HZ, "highpass", fs=SAMPLE_RATE_HZ, output="sos")
    clean = sosfiltfilt(high, wide, padlen=min(_SETTLE, wide.size - 1))
    start, end = span.start - first, span.end - first
    cut_from = max(start - _MARGIN, 0)
    sound = clean[cut_from : end + _MARGIN].astype(np.float32)
    start, end = start - cut_from, end - cut_from
    rise = 0.5 - 0.5 * np.cos(np.pi * (np.arange(start) + 0.5) / max(start, 1))
    fall = sound.size - end
    sound[:start] *= rise
    sound[end:] *= 0.5 + 0.5 * np.cos(np.pi * (np.arange(fall) + 0.5) / max(fall, 1))
    sound = levelled(sound)
    beat = beat_frame(sound, SAMPLE_RATE_HZ) if counts else None
    return LineRead(
        text=text,
        sound=sound,
        speech_start=start,
        speech_end=end,
        beat=None if beat is None else min(max(beat, start), end - 1),
    )
