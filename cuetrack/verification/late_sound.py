"""Whether what is said comes again later: as an echo, or as in a hall.

The clips are known, so the file's answer to them can be learnt: the filter that makes
of all clips together what is heard at their places. Music, noise and what an encoder
does average out, and how far they do not is seen before the voice, where nothing can
answer it yet.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from scipy import fft

from cuetrack.verification.limits import (
    ECHO_CLEAR_DB,
    ECHO_SHARE,
    FEWEST_ANSWERED,
    HALL_DB,
)
from cuetrack.verification.report import Check
from cuetrack.verification.spectrum import SEARCH_RATE_HZ, Samples32

if TYPE_CHECKING:
    from cuetrack.arrays import Floats

LATE_SOUND = "no echo"
_BEFORE, _AFTER = SEARCH_RATE_HZ * 3 // 10, SEARCH_RATE_HZ * 6 // 10
_EDGE = SEARCH_RATE_HZ // 50
_HEARD_HZ = (250, 4500)
_RIDGE = 0.02
_SOON = SEARCH_RATE_HZ // 50
"""What comes within 20 ms is heard as one with the voice."""

_LATEST = SEARCH_RATE_HZ // 2
_DIRECT = SEARCH_RATE_HZ // 200
_AROUND = SEARCH_RATE_HZ // 500
_STEP = SEARCH_RATE_HZ // 20
_ALONE_SHARE = 0.5
_SEEN_DB = 6.0
_FALL_DB = 20.0
_FEWEST_STEPS = 2
_MOST_CUES = 100
_LEAST = 1e-20


@dataclass(frozen=True, slots=True, kw_only=True)
class LateSound:
    """What answers the voice, dB against it.

    ``echo_ms`` is after how long it comes again, None where it dies away as in a hall;
    ``seconds`` is how long that takes for 60 dB, None where that is not seen.
    """

    level_db: float
    echo_ms: float | None = None
    seconds: float | None = None


class AnswerMeter:
    """Adds up how a file answers its clips, cue by cue."""

    def __init__(self) -> None:
        self._cues = 0
        self._cross = np.zeros(_BEFORE + _AFTER)
        self._own = np.zeros(_BEFORE + _AFTER)

    def add(self, stretch: Samples32, at: int, known: Samples32) -> None:
        """Take in a cue that starts at a frame of a stretch, both as searched."""
        if self._cues == _MOST_CUES:
            return
        self._cues += 1
        first = at - _BEFORE
        heard = stretch[max(0, first) : at + known.size + _AFTER]
        heard = np.pad(heard, (max(0, -first), 0))
        length = int(fft.next_fast_len(heard.size + known.size, real=True))
        length = max(length, _BEFORE + _AFTER)
        clip = fft.rfft(known, length)
        cross = fft.irfft(fft.rfft(heard, length) * np.conj(clip), length)
        own = fft.irfft(np.square(np.abs(clip)), length)
        self._cross += cross[: _BEFORE + _AFTER]
        self._own += np.concatenate([own[-_BEFORE:], own[:_AFTER]])

    def late_sound(self) -> LateSound | None:
        """Return what answers the voice, None where it is as dry as it was spoken."""
        if self._cues < FEWEST_ANSWERED:
            return None
        answer = self._answer()
        noise = float(np.mean(answer[_EDGE : _BEFORE - _SOON]))
        near = answer[_BEFORE - _DIRECT : _BEFORE + 2 * _DIRECT]
        direct = float(near.sum()) - noise * near.size
        late = answer[_BEFORE + _SOON : _BEFORE + _LATEST]
        tail = float(late.sum()) - noise * late.size
        if direct <= 0 or tail <= ECHO_SHARE**2 * direct:
            return None
        peak = int(np.argmax(late))
        around = float(late[max(0, peak - _AROUND) : peak + _AROUND].sum())
        if around > _ALONE_SHARE * tail:
            after_ms = (peak + _SOON) * 1000 / SEARCH_RATE_HZ
            return LateSound(level_db=_db(around / direct), echo_ms=after_ms)
        steps = late[: late.size // _STEP * _STEP].reshape(-1, _STEP).mean(axis=1)
        over_db = 10 * np.log10(np.maximum(steps / max(noise, _LEAST), _LEAST))
        if _db(tail / direct) < HALL_DB or over_db[0] < ECHO_CLEAR_DB:
            return None
        return LateSound(level_db=_db(tail / direct), seconds=_decay_s(over_db))

    def _answer(self) -> Floats:
        """Return the energy of the answer, from ``_BEFORE`` before the voice on."""
        size = _BEFORE + _AFTER
        fade = np.minimum(np.minimum(np.arange(size), np.arange(size)[::-1]) / _EDGE, 1)
        cross = fft.fft(self._cross * fade)
        own = fft.fft(np.roll(self._own * fade, -_BEFORE)).real.clip(min=0.0)
        found = cross * own / (own**2 + (_RIDGE * own.max()) ** 2 + _LEAST)
        hz = np.abs(fft.fftfreq(size, 1 / SEARCH_RATE_HZ))
        found[(hz < _HEARD_HZ[0]) | (hz > _HEARD_HZ[1])] = 0.0
        energy: Floats = np.square(fft.ifft(found).real)
        return energy


def late_sound_checks(found: LateSound | None) -> tuple[Check, ...]:
    """Return that what is said comes again later, nothing where it does not."""
    if found is None:
        return ()
    if found.echo_ms is not None:
        how = "weaker" if found.level_db < 0 else "louder"
        sentence = (
            f"An echo says everything again {found.echo_ms:.0f} ms later, "
            f"{abs(found.level_db):.0f} dB {how}."
        )
    else:
        ring = (
            "" if found.seconds is None else f", ringing for some {found.seconds:.1f} s"
        )
        sentence = f"All sounds as in a hall{ring}: reverberation came to it."
    return (
        Check(
            name=LATE_SOUND,
            measured=round(found.level_db, 1),
            wanted=f"all that comes after the voice {-HALL_DB:g} dB under it",
            passed=False,
            sentence=f"{sentence} Take the track as it was made.",
        ),
    )


def _decay_s(over_db: Floats) -> float | None:
    """Return how long the answer takes to fall by 60 dB, from steps over the noise."""
    least_db = max(_SEEN_DB, over_db[0] - _FALL_DB)
    seen = int(np.argmax(np.append(over_db, 0.0) < least_db))
    over_db = 10 * np.log10(10 ** (over_db[:seen] / 10) - 1)
    if seen < _FEWEST_STEPS:
        return None
    slope = float(np.polyfit(np.arange(seen), over_db, 1)[0])
    return -60 * _STEP / SEARCH_RATE_HZ / slope if slope < 0 else None


def _db(share: float) -> float:
    return 10 * math.log10(max(share, _LEAST))
