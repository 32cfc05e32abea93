"""How loud speech, music and everything else arrived, for every cue.

In each band the power that arrives is taken to be that of the track, spread over
time as the room answers, times one gain, plus the power of everything else. The
gain is that which fits the whole recording; what is over near a cue, most of all
where the track is quiet, is the background there.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from scipy.ndimage import maximum_filter1d
from scipy.signal import lfilter

from cuetrack.verification.room.heard import BANDS, HOP_S
from cuetrack.verification.room.in_track import ACTIVE_SHARE, cues_in_track, hops_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    import numpy.typing as npt

    from cuetrack.arrays import Flags, Floats
    from cuetrack.output.track.cue_rows import CueRow
    from cuetrack.output.track.cuefile import CueFile
    from cuetrack.verification.room.clock import Clock
    from cuetrack.verification.room.heard import BandPowers, KeptSound
    from cuetrack.verification.room.response import Response

_AROUND_S = 2.0
_LEAST_POWER = 1e-16
_FIT_ROUNDS = 6
_MOST_FITTED = 60_000
_BLUR_HOPS = 2
_RECORDED_SHARE = 0.45
_CLEAR_SHARE = 0.1
_MOST_SWING = 4.0
_LEAST_SHARE = 1e-4
"""Background more than 40 dB below speech cannot be told from none."""
_UPPER_EDGE = 10 ** (1 / 20)
_CLIFF = 10**-2.5
"""No room takes 25 dB from one third of an octave to the next, but filters do."""
_CLIFF_FROM_HZ = 2000.0
_VOICE_BANDS = slice(3, 15)
"""315 Hz to 4 kHz, where speech lives."""
_CENTRES_HZ = 1000 * 10 ** (np.arange(-8, 10) / 10)


@dataclass(frozen=True, slots=True, kw_only=True)
class CuePowers:
    """What arrived while one cue was spoken: mean squares by band, shape (18,).

    Pauses do not count. ``music`` is the bed of the track, all nought where there
    is none, ``noise`` everything that is not of the track.
    """

    cue: CueRow
    speech: Floats
    music: Floats
    noise: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomLevels:
    """The cues that lie whole within the recording.

    ``recorded_hz`` is the centre of the highest band that the recorder kept,
    ``clear_hz`` that of the highest in which the track stands out of the noise;
    above it speech and background are taken to stand as they do there.
    ``voice_agreement`` is how far the recording rises and falls as the voice does
    while it speaks: the correlation of the levels in dB, the mean over bands. It is
    about nought where something else sounds, .4 and more even 3 dB under noise.
    """

    cues: tuple[CuePowers, ...]
    voice_agreement: float
    recorded_hz: float
    clear_hz: float


def measure_levels(
    track: KeptSound,
    recording: KeptSound,
    clock: Clock,
    response: Response,
    cue_file: CueFile,
) -> RoomLevels:
    """Return the levels of every cue that was recorded from start to end.

    There are none where the track stands out of the noise in no band.
    """
    start_s = clock.start_s + response.direct_s * clock.rate
    arrived, inside = _on_track_time(track, recording.powers, start_s, clock.rate)
    inside &= _between(clock, inside.size)
    sent = np.maximum(track.powers, 0)
    kernel = np.asarray(response.kernel, np.float32)
    spread = lfilter(kernel, np.ones(1, np.float32), sent, axis=0)
    chosen = np.flatnonzero(inside)
    chosen = chosen[:: -(-chosen.size // _MOST_FITTED) or 1]
    near = _near(spread)
    known = spread[chosen].astype(np.float64)
    gain, noise = _fit(known, near[chosen], arrived[chosen])
    written = _recorded_bands(recording)
    kept = written & _clear_bands(gain, noise, known)
    if not kept.any():
        return RoomLevels(cues=(), voice_agreement=0.0, recorded_hz=0.0, clear_hz=0.0)
    gain = np.where(kept, gain, _held(gain, kept))
    whole = [cue for cue in cue_file.cues if _is_inside(cue, inside)]
    parts = cues_in_track(sent, whole, cue_file, has_bed=track.channels > 1)
    found = []
    for part in parts:
        around = _around(part.cue, inside)
        sounds = [hops[around].astype(np.float64) for hops in (spread, near, arrived)]
        local, over = _beside(sounds[0] * gain, sounds[1] * gain, sounds[2], kept)
        speech, bed = part.speech * gain * local, part.bed * gain * local
        over = np.where(kept, over, speech * _held(over / speech, kept))
        over = np.maximum(over, _LEAST_SHARE * speech)
        found.append(CuePowers(cue=part.cue, speech=speech, music=bed, noise=over))
    return RoomLevels(
        cues=tuple(found),
        voice_agreement=_voice_agreement(sent, spread, arrived, whole),
        recorded_hz=float(_CENTRES_HZ[written][-1]),
        clear_hz=float(_CENTRES_HZ[kept][-1]),
    )


def _voice_agreement(
    sent: BandPowers, spread: BandPowers, arrived: BandPowers, cues: Sequence[CueRow]
) -> float:
    """Return how far the recording goes with the voice while cues are spoken."""
    parts = []
    for cue in cues:
        hops = hops_of(cue.start_ms, cue.end_ms)
        strength = sent[hops].sum(axis=1)
        active = strength >= ACTIVE_SHARE * strength.max()
        pair = np.stack([spread[hops][active], arrived[hops][active]])
        levels = np.log(pair[..., _VOICE_BANDS] + _LEAST_POWER)
        parts.append(levels - levels.mean(axis=1, keepdims=True))
    if not parts:
        return 0.0
    voice, heard = np.concatenate(parts, axis=1).astype(np.float64)
    spread_of = np.sqrt((voice**2).sum(axis=0) * (heard**2).sum(axis=0))
    along = (voice * heard).sum(axis=0) / np.maximum(spread_of, _LEAST_POWER)
    return float(along.mean())


def _on_track_time(
    track: KeptSound, powers: BandPowers, start_s: float, rate: float
) -> tuple[BandPowers, Flags]:
    """Return the recording's powers at the hops of the track, and which there are."""
    places = (start_s + np.arange(len(track.powers)) * HOP_S * rate) / HOP_S
    inside = (places >= 0) & (places <= len(powers) - 1)
    below = np.clip(places.astype(np.int64), 0, max(len(powers) - 2, 0))
    part = np.clip(places - below, 0, 1).astype(np.float32)[:, None]
    timed = powers[below] * (1 - part) + powers[below + 1] * part
    timed[~inside] = 0
    return timed, inside


def _between(clock: Clock, hops: int) -> Flags:
    """Return the hops in which the recording follows the track, and their surround."""
    times_s = np.arange(hops) * HOP_S
    followed: Flags = (times_s >= clock.first_s - _AROUND_S) & (
        times_s <= clock.last_s + _AROUND_S
    )
    return followed


def _fit(sent: Floats, near: BandPowers, arrived: BandPowers) -> tuple[Floats, Floats]:
    """Return for each band gain and noise: least squares of relative errors."""
    gain = arrived.sum(axis=0, dtype=np.float64)
    gain /= np.maximum(sent.sum(axis=0), _LEAST_POWER)
    least = _LEAST_SHARE * arrived.mean(axis=0) + _LEAST_POWER
    noise = np.maximum(np.quantile(arrived, 0.2, axis=0), least)
    for _ in range(_FIT_ROUNDS):
        weights = 1 / (gain * near + noise) ** 2
        total = weights.sum(axis=0)
        sent_mean = (weights * sent).sum(axis=0) / total
        arrived_mean = (weights * arrived).sum(axis=0) / total
        about = sent - sent_mean
        along = (weights * about * arrived).sum(axis=0)
        spread = (weights * about**2).sum(axis=0)
        gain = np.maximum(along / np.maximum(spread, _LEAST_POWER**2), 0)
        rest = arrived_mean - gain * sent_mean
        noise = np.maximum(rest, least)
    return gain, noise


def _near(sent: BandPowers) -> BandPowers:
    """Return the most that is sent within two hops: a little of it blurs to here."""
    highest: BandPowers = maximum_filter1d(sent, 2 * _BLUR_HOPS + 1, axis=0)
    return highest


def _recorded_bands(recording: KeptSound) -> Flags:
    """Return which bands the recorder kept: below its rate, and not filtered away."""
    written: Flags = _RECORDED_SHARE * recording.rate_hz > _CENTRES_HZ * (_UPPER_EDGE)
    powers = recording.powers.mean(axis=0, dtype=np.float64)
    below = np.concatenate([powers[:1], powers[:-1]])
    fallen = (powers < _CLIFF * below) | (powers < 2 * _LEAST_POWER)
    top = _CENTRES_HZ >= _CLIFF_FROM_HZ
    return written & ~np.logical_or.accumulate(fallen & top)


def _clear_bands(gain: Floats, noise: Floats, sent: Floats) -> Flags:
    """Return in which bands the track stands out of the noise."""
    loud = np.quantile(sent, 0.95, axis=0) * gain
    return (loud > _CLEAR_SHARE * noise) & (noise > 2 * _LEAST_POWER)


def _held(values: Floats, kept: Flags) -> Floats:
    """Return the values, in bands that were not kept that of the nearest kept one."""
    good = np.flatnonzero(kept)
    nearest = good[np.abs(np.arange(BANDS)[:, None] - good).argmin(axis=1)]
    held: Floats = values[nearest]
    return held


def _is_inside(cue: CueRow, inside: Flags) -> bool:
    hops = hops_of(cue.start_ms, cue.end_ms)
    return hops.stop <= inside.size and bool(inside[hops].all())


def _around(cue: CueRow, inside: Flags) -> npt.NDArray[np.int64]:
    """Return the hops within two seconds of a cue that were recorded."""
    around = hops_of(cue.start_ms - 1000 * _AROUND_S, cue.end_ms + 1000 * _AROUND_S)
    there: npt.NDArray[np.int64] = around.start + np.flatnonzero(inside[around])
    return there


def _beside(
    sent: Floats, near: Floats, heard: Floats, kept: Flags
) -> tuple[float, Floats]:
    """Return how much louder than on average the track is here, and the background.

    A recorder that levels by itself makes both louder; someone who turns the
    player up, only the one.
    """
    least = _LEAST_SHARE * heard.mean(axis=0) + _LEAST_POWER
    local, over = 1.0, np.maximum(np.quantile(heard, 0.2, axis=0), least)
    for _ in range(_FIT_ROUNDS):
        weights = kept / (local * near + over) ** 2
        total = np.maximum(weights.sum(axis=0), _LEAST_POWER)
        over = (weights * (heard - local * sent)).sum(axis=0) / total
        over = np.maximum(over, least)
        along = float((weights * sent * (heard - over)).sum())
        spread = float((weights * sent**2).sum())
        # One count of doubt a band: where the track is hardly heard, none is louder.
        local = (along + BANDS) / (spread + BANDS)
        local = float(np.clip(local, 1 / _MOST_SWING, _MOST_SWING))
    return local, over
