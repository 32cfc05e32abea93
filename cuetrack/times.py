"""Times: whole milliseconds in plans, whole frames in audio, one rounding rule.

Every conversion between the two happens here. A frame is one sample of every
channel; at 48 kHz a millisecond is exactly 48 frames, so nothing is rounded.
At other rates halves round up (away from the start of the track).
"""

from __future__ import annotations

SAMPLE_RATE_HZ = 48_000
"""The rate of all sound inside cuetrack."""


SECOND_MS = 1000
MINUTE_MS = 60 * SECOND_MS
HOUR_MS = 60 * MINUTE_MS


def frames_from_ms(ms: int, rate_hz: int = SAMPLE_RATE_HZ) -> int:
    """Return the frame at ``ms`` milliseconds; halves round up.

    >>> frames_from_ms(290)
    13920
    >>> frames_from_ms(1, 22_050)
    22
    """
    return (2 * ms * rate_hz + 1000) // 2000


def ms_from_frames(frames: int) -> float:
    """Return milliseconds to four decimals, enough to name a frame exactly.

    >>> ms_from_frames(13_921)
    290.0208
    """
    return round(frames * 1000 / SAMPLE_RATE_HZ, 4)


def ceil_ms_from_frames(frames: int) -> int:
    """Return the whole milliseconds that ``frames`` need, rounded up.

    >>> ceil_ms_from_frames(49)
    2
    """
    return -(-frames * 1000 // SAMPLE_RATE_HZ)


def clock(ms: int) -> str:
    """Return a running time as a wall clock would show it, seconds cut off.

    >>> clock(750_000)
    '12:30'
    >>> clock(3_723_999)
    '1:02:03'
    """
    seconds = ms // 1000
    hours, minutes = seconds // 3600, seconds // 60 % 60
    if hours:
        return f"{hours}:{minutes:02}:{seconds % 60:02}"
    return f"{minutes}:{seconds % 60:02}"


def duration(ms: int) -> str:
    """Return a length of time as people write it.

    >>> duration(90_000)
    '1 min 30 s'
    >>> duration(45_500)
    '45.5 s'
    >>> duration(60_000)
    '1 min'
    """
    minutes, rest_ms = divmod(ms, 60_000)
    seconds = f"{rest_ms / 1000:g} s"
    if not minutes:
        return seconds
    return f"{minutes} min {seconds}" if rest_ms else f"{minutes} min"
