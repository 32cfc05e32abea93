"""How the room answers: its impulse response, learnt from the track itself.

The track is known, so the response from it to the recording is the filter that
explains most of the recording by least squares, over all of it at once: what is
not of the track (people, chairs, traffic) averages out. Both are whitened first,
so that the quiet upper part of speech counts as much as the loud lower one.

The reverberation time is that of ISO 3382-2: the response is integrated
backward (Schroeder 1965), the share of noise, known from the time before the
direct sound, is taken off, and the fall from -5 dB on is fitted. The player, its
loudspeaker and the phone are part of the response; they are short against a room.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from scipy import fft
from scipy.linalg import solve_toeplitz
from scipy.ndimage import uniform_filter1d
from scipy.signal import butter, oaconvolve, sosfiltfilt

from cuetrack.verification.room.clock import cut, retimed
from cuetrack.verification.room.heard import HOP_S, NARROW_HZ

if TYPE_CHECKING:
    from collections.abc import Sequence

    from cuetrack.arrays import Floats
    from cuetrack.verification.room.clock import Clock
    from cuetrack.verification.room.heard import HalfFloats, KeptSound


DECAY_BAND_HZ = (350.0, 2800.0)
"""The octaves of 500 Hz, 1 kHz and 2 kHz, on which speech rests."""

EARLY_S = 0.05
"""Sound that comes this soon after the direct helps speech; later, it hides it."""

DIRECT_S = 0.001
"""What comes within this is the direct sound: the floor answers later."""

LEAST_FALL_DB = 10.0
"""How far the decay must be seen, from -5 dB on, to be given a time."""

_CLEAN_S = 0.03
_LENGTH = 65_536
_MARGIN = 512
_RIDGE = 0.02
_LEAST_COLOUR = 1e-3
_COLOUR_LAGS = 64
_DIRECT_SHARE = 0.04
_CLEAR_OF_NOISE = 2.0
_DIRECT_SEARCH_S = 0.06
_WANTED_FALL_DB = 20.0
_NEPERS = 6 * math.log(10)
_DRY_OVER_NOISE = 300.0
_LEAST_ERROR = 0.125


@dataclass(frozen=True, slots=True, kw_only=True)
class Decay:
    """How sound dies away at the recorder.

    ``reverberation_s`` is the time for 60 dB, reckoned from the first
    ``fall_db`` after -5 dB, and ``error_s`` how far it may be off; ``clarity_db`` is
    the energy of the first 50 ms over all that comes later, and ``direct_share``
    the direct sound in all of it, 0..1.
    """

    reverberation_s: float
    error_s: float
    fall_db: float
    clarity_db: float
    direct_share: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Response:
    """What the room makes of the track.

    ``direct_s`` is how much later than the clock says the direct sound comes.
    ``kernel`` is the energy of the response in steps of ``HOP_S`` from the direct
    sound on; its sum is 1. ``decay`` is None where noise hides it, and where
    there is none: then the response is ``dry``.
    """

    direct_s: float
    kernel: tuple[float, ...]
    decay: Decay | None
    dry: bool = False


def learn_response(track: KeptSound, recording: KeptSound, clock: Clock) -> Response:
    """Return how the room answered while this was recorded."""
    timed = retimed(recording.narrow, clock.rate)
    start = round(clock.start_s / clock.rate * NARROW_HZ)
    rest_s = start / NARROW_HZ - clock.start_s / clock.rate
    halves = _correlations(track.narrow, timed, start, _WHOLE_ANSWER)
    whole = _curve_of(_solved(halves.sum(axis=0)))
    parts = [_decay(_curve_of(_solved(half))) for half in halves]
    decay = _with_error(_decay(whole), [part for part in parts if part])
    return Response(
        direct_s=(whole.direct - _WHOLE_ANSWER.before) / NARROW_HZ + rest_s,
        kernel=_kernel(whole, decay),
        decay=decay,
        dry=decay is None and _is_dry(whole),
    )


def as_in_room(track: KeptSound, recording: KeptSound, clock: Clock) -> HalfFloats:
    """Return the track with the early answer of the room, as the clock has it.

    Each piece is given the response learnt from the other pieces, so that the
    noise of a piece is never part of what it is compared with.
    """
    timed = retimed(recording.narrow, clock.rate)
    start = round(clock.start_s / clock.rate * NARROW_HZ)
    halves = _correlations(track.narrow, timed, start, _FIRST_ANSWER)
    answers = [fft.rfft(_solved(half), _LENGTH) for half in halves[::-1]]
    step = _LENGTH - 2 * (_FIRST_ANSWER.taps + 2 * _MARGIN)
    sound = np.zeros(track.narrow.size + 2 * _LENGTH, np.float16)
    tail = np.zeros(_LENGTH)
    last = min(track.narrow.size, timed.size - start)
    for turn, at in enumerate(range(max(0, -start), last, step)):
        piece = track.narrow[at : at + step].astype(np.float32)
        tail += fft.irfft(fft.rfft(piece, _LENGTH) * answers[turn % 2], _LENGTH)
        sound[at : at + step] = tail[:step]
        tail = np.concatenate([tail[step:], np.zeros(step)])
    return sound[_FIRST_ANSWER.before :][: track.narrow.size]


def _with_error(decay: Decay | None, halves: Sequence[Decay]) -> Decay | None:
    """Return the decay with how far its time may be off.

    That is what it and those of two halves of the recording lie apart, and no
    less than an eighth where 20 dB of decay were seen, more below.
    """
    if decay is None:
        return None
    least = decay.reverberation_s * _LEAST_ERROR * _WANTED_FALL_DB / decay.fall_db
    found = [decay.reverberation_s, *(half.reverberation_s for half in halves)]
    return replace(decay, error_s=max(least, max(found) - min(found)))


@dataclass(frozen=True, slots=True, kw_only=True)
class _ResponseSpan:
    """The samples of a response, before and after what the clock calls now."""

    before: int
    after: int

    @property
    def taps(self) -> int:
        return self.before + self.after


_WHOLE_ANSWER = _ResponseSpan(
    before=round(0.25 * NARROW_HZ), after=round(1.75 * NARROW_HZ)
)
_FIRST_ANSWER = _ResponseSpan(
    before=round(0.08 * NARROW_HZ), after=round(0.12 * NARROW_HZ)
)


def _correlations(
    track: HalfFloats, timed: HalfFloats, start: int, reach: _ResponseSpan
) -> Floats:
    """Return sums of track by track and track by recording, in two halves.

    Shape (halves, 2, taps + 2 * ``_MARGIN``), the lag of nought being ``_MARGIN``
    in the first, ``_MARGIN`` + ``before`` in the second. The pieces are dealt out
    to the halves in turn.
    """
    taps = reach.taps
    lags = taps + 2 * _MARGIN
    step = _LENGTH - 2 * lags
    sums = np.zeros((2, 2, _LENGTH // 2 + 1), np.complex128)
    last = min(track.size, timed.size - start)
    for turn, at in enumerate(range(max(0, -start), last, step)):
        piece = cut(track, at, min(step, last - at))
        around = cut(track, at - _MARGIN, step + lags)
        heard = cut(timed, at + start - reach.before - _MARGIN, step + lags)
        against = np.conj(fft.rfft(piece, _LENGTH))
        sums[turn % 2, 0] += against * fft.rfft(around, _LENGTH)
        sums[turn % 2, 1] += against * fft.rfft(heard, _LENGTH)
    found: Floats = fft.irfft(sums, _LENGTH, axis=-1)[..., :lags]
    return found


def _solved(pair: Floats) -> Floats:
    """Return the least-squares response of the reach that was correlated."""
    own, across = pair
    if own[_MARGIN] <= 0:
        return np.zeros(own.size - 2 * _MARGIN)
    kernel = _whitening(own[_MARGIN:])
    flat = oaconvolve(own, kernel, "valid")
    flat[0] *= 1 + _RIDGE
    found: Floats = solve_toeplitz(flat, oaconvolve(across, kernel, "valid"))
    return found


def _whitening(own: Floats) -> Floats:
    """Return the filter that divides by the smoothed power spectrum within the band.

    ``own`` starts at the lag of nought; the filter has 2 * ``_MARGIN`` + 1 taps.
    """
    shape = own[:_COLOUR_LAGS] * np.hanning(2 * _COLOUR_LAGS)[_COLOUR_LAGS:]
    both_sides = np.zeros(4 * _MARGIN)
    both_sides[:_COLOUR_LAGS] = shape
    both_sides[-_COLOUR_LAGS + 1 :] = shape[:0:-1]
    colour = np.maximum(fft.rfft(both_sides).real, 0)
    hz = fft.rfftfreq(both_sides.size, 1 / NARROW_HZ)
    inside = np.clip((hz - 150) / 100, 0, 1) * np.clip((3750 - hz) / 200, 0, 1)
    weights = inside / (colour + _LEAST_COLOUR * colour.max())
    centred = np.roll(fft.irfft(weights), _MARGIN)[: 2 * _MARGIN + 1]
    kernel: Floats = centred * np.hanning(2 * _MARGIN + 3)[1:-1]
    return kernel


@dataclass(frozen=True, slots=True, kw_only=True)
class _EnergyCurve:
    """Energy of a response by sample, noise and all; ``floor`` is that noise."""

    energy: Floats
    floor: float
    direct: int

    def smooth(self) -> Floats:
        """Return the energy after the direct sound, averaged over 30 ms, less noise."""
        after = self.energy[self.direct :]
        smooth: Floats = uniform_filter1d(after, round(0.03 * NARROW_HZ)) - self.floor
        return smooth


def _curve_of(response: Floats) -> _EnergyCurve:
    sos = butter(4, DECAY_BAND_HZ, "bandpass", fs=NARROW_HZ, output="sos")
    energy = sosfiltfilt(sos, response) ** 2
    envelope = uniform_filter1d(energy, round(0.001 * NARROW_HZ))
    direct = _direct(envelope)
    clean = max(direct - round(_CLEAN_S * NARROW_HZ), 1)
    return _EnergyCurve(
        energy=energy, floor=float(energy[:clean].mean()), direct=direct
    )


def _direct(envelope: Floats) -> int:
    """Return the first sample that stands out, up to 60 ms before the strongest."""
    top = int(np.argmax(envelope))
    low = max(0, top - round(_DIRECT_SEARCH_S * NARROW_HZ))
    clean = envelope[: max(low - round(_CLEAN_S * NARROW_HZ), 1)]
    highest = float(envelope[top])
    clear = max(_DIRECT_SHARE * highest, _CLEAR_OF_NOISE * float(clean.max()))
    return low + int(np.argmax(envelope[low : top + 1] >= min(clear, highest)))


def _knee(curve: _EnergyCurve) -> int:
    """Return how many samples after the direct sound the decay is still clear."""
    buried = np.flatnonzero(curve.smooth() < 1.5 * curve.floor)
    return int(buried[0]) if buried.size else curve.energy.size - curve.direct


def _decay(curve: _EnergyCurve) -> Decay | None:
    """Return the decay, None where too little of it stands out of the noise."""
    knee = _knee(curve)
    net = curve.energy[curve.direct :][:knee] - curve.floor
    if net.size < round(EARLY_S * NARROW_HZ) or net.sum() <= 0:
        return None
    hidden = seconds = fall_db = 0.0
    for _ in range(5):
        fitted = _fall(net, hidden)
        if fitted is None:
            return None
        seconds, fall_db = fitted
        # What lies behind the knee goes on as the fitted decay does.
        hidden = _behind(net, seconds)
    early = net[: round(EARLY_S * NARROW_HZ)].sum()
    late = max(net.sum() - early + hidden, 1e-12 * early)
    direct = net[: round(DIRECT_S * NARROW_HZ)].sum()
    return Decay(
        reverberation_s=seconds,
        error_s=0.0,
        fall_db=fall_db,
        clarity_db=10 * math.log10(early / late),
        direct_share=max(0.0, float(direct / (early + late))),
    )


def _behind(net: Floats, seconds: float) -> float:
    """Return the energy behind the knee of a decay of this reverberation time.

    Its height is that which fits the later half of what is seen.
    """
    samples = seconds * NARROW_HZ / _NEPERS
    half = net.size // 2
    shape = np.exp(-np.arange(half, net.size) / samples)
    height = float(np.sum(net[half:] * shape) / np.sum(shape**2))
    return max(height, 0.0) * samples * math.exp(-net.size / samples)


def _is_dry(curve: _EnergyCurve) -> bool:
    """Tell whether the sound was over within 50 ms and stood far above the noise."""
    highest = float(curve.smooth()[: round(EARLY_S * NARROW_HZ)].max(initial=0.0))
    short = _knee(curve) < round(EARLY_S * NARROW_HZ)
    return short and highest > _DRY_OVER_NOISE * curve.floor


def _fall(net: Floats, hidden: float) -> tuple[float, float] | None:
    """Return reverberation time and the fall it was reckoned from."""
    left = np.cumsum(net[::-1])[::-1] + hidden
    falling = 10 * np.log10(np.maximum(left / left[0], 1e-12))
    deepest = float(falling[-1])
    last_db = max(-5 - _WANTED_FALL_DB, deepest + 3)
    if last_db > -5 - LEAST_FALL_DB:
        return None
    first, last = int(np.argmax(falling <= -5)), int(np.argmax(falling <= last_db))
    if last - first < round(0.02 * NARROW_HZ):
        return None
    slope = np.polyfit(np.arange(first, last) / NARROW_HZ, falling[first:last], 1)[0]
    return (-60 / float(slope), -5 - last_db) if slope < 0 else None


def _kernel(curve: _EnergyCurve, decay: Decay | None) -> tuple[float, ...]:
    """Return the energy in steps of a hop, carried on beyond where it is clear."""
    hop = round(HOP_S * NARROW_HZ)
    net = curve.energy[curve.direct :][: max(_knee(curve), hop)] - curve.floor
    steps = np.add.reduceat(net, np.arange(0, net.size - hop + 1, hop))
    steps = np.maximum(steps, 0)
    if decay is not None:
        fall = 10 ** (-6 * HOP_S / decay.reverberation_s)
        tail = float(steps[-4:].mean()) * fall ** np.arange(1, round(1 / HOP_S) + 1)
        steps = np.concatenate([steps, tail])
    total = float(steps.sum())
    return tuple(float(step) / total for step in steps) if total > 0 else (1.0,)
