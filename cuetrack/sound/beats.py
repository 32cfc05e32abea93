"""Where the beats of a piece of music are, and how sure that is.

A tracker of a library finds beats one by one, each a little early or late; the
line of least squares through them gives the tempo and the place of all beats far
better than any one of them. What the tracker needs, how strongly the sound swells
at each instant, is reckoned here, block by block. The library (librosa) is an extra
of the package; without it, and in music that keeps no beat, none are found.
"""

from __future__ import annotations

import importlib.util
import math
from dataclasses import asdict, astuple, dataclass, replace
from functools import cache
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from cuetrack.sound.cache import keep_notes, kept_notes
from cuetrack.sound.music import tune_blocks, unready
from cuetrack.times import SAMPLE_RATE_HZ

if TYPE_CHECKING:
    from collections.abc import Iterable

    from cuetrack.arrays import Block, Floats
    from cuetrack.sound.music import Tune

EXTRA = "cuetrack[music]"
"""What to install where the beats of music are wanted."""

FEWEST_BEATS = 8
MOST_RESIDUAL_MS = 15.0
"""Beats that stray further from their line do not keep one tempo."""

LEAST_COVERAGE = 0.8
LEAST_CONTRAST = 3.0
"""Noise and swelling chords, which have no beat, were seen to reach 2.3."""

HOP_FRAMES = 240  # 5 ms
_WINDOW_FRAMES = 1024
_SWELL_RATE_HZ = SAMPLE_RATE_HZ // HOP_FRAMES
_LAG_FRAMES = -230
"""From a stroke to the beat found for it: measured on strokes of drums."""

_VERSION = 1
_BANDS = 32
_LOWEST_HZ, _HIGHEST_HZ = 40.0, 12_000.0
_LOUDNESS_POWER = 0.3
"""Loudness goes with about this power of intensity (Stevens, from memory)."""

_NEAR_SHARE = 0.1  # of a beat: a tracked beat so near the line belongs to it
_TEMPO_POOL = 4  # the tempo is looked for at 50 Hz
_TEMPO_HOPS = 240 * _SWELL_RATE_HZ  # in four minutes at most
_FADED_DB = 9.0
"""Beats so far under the usual level belong to a fading beginning or end."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Beats:
    """The beats of a tune on one line: beat n is at ``first_frame + n * period``.

    Frames are those of the tune's file. ``count`` beats are heard well, the first
    and the last among them. ``residual_ms`` is how far the tracked beats stray from
    the line (root mean square), ``coverage`` the share of its beats that were
    tracked, ``contrast`` how much more the sound swells on them than elsewhere.
    """

    first_frame: float
    period_frames: float
    count: int
    residual_ms: float
    coverage: float
    contrast: float

    @property
    def bpm(self) -> float:
        """Beats a minute."""
        return 60 * SAMPLE_RATE_HZ / self.period_frames

    @property
    def sure(self) -> bool:
        """Whether the beats may be relied on: enough of them, steady, and plain."""
        return (
            self.count >= FEWEST_BEATS
            and self.residual_ms <= MOST_RESIDUAL_MS
            and self.coverage >= LEAST_COVERAGE
            and self.contrast >= LEAST_CONTRAST
        )

    def frame(self, beat: float) -> float:
        """Return where a beat is, counted from the first."""
        return self.first_frame + beat * self.period_frames

    def moved(self, frames: int, speed: float) -> Beats:
        """Return the beats of the same music moved, and then played at a speed."""
        return replace(
            self,
            first_frame=(self.first_frame + frames) / speed,
            period_frames=self.period_frames / speed,
            residual_ms=self.residual_ms / speed,
        )


@cache
def tracker_is_there() -> bool:
    """Return whether the library that tracks beats is installed."""
    return importlib.util.find_spec("librosa") is not None


def beats_of(tune: Tune) -> Beats | None:
    """Return the beats of a tune, looked for once and kept beside it.

    None where no beats can be made out, or nothing is there to look for them with.
    """
    path = tune.path.with_suffix(".beats")
    notes = kept_notes(path)
    if notes is not None and notes.get("version") == _VERSION:
        try:
            beats = Beats(**notes["beats"]) if notes["beats"] else None
            if beats is None or all(map(math.isfinite, astuple(beats))):
                return beats
        except (KeyError, TypeError, OverflowError):
            pass  # of another make: looked for anew
    if not tracker_is_there():
        return None
    found = find_beats(tune_blocks(tune), tune.first_frame)
    content = {"version": _VERSION, "beats": found and asdict(found)}
    keep_notes(path, content, unready(tune.path))
    return found


def find_beats(blocks: Iterable[Block], start_frame: int = 0) -> Beats | None:
    """Find the beats of 48 kHz music whose first frame is called ``start_frame``.

    The tracker is that of Ellis, "Beat tracking by dynamic programming", Journal of
    New Music Research 36 (2007), as librosa has it.
    """
    strength, level_db = onset_strength(blocks)
    if len(strength) < FEWEST_BEATS * _SWELL_RATE_HZ // 4 or not strength.any():
        return None
    tracked = _tracked(strength)
    if len(tracked) < FEWEST_BEATS:
        return None
    first, period, numbers = _line(tracked)
    last = int(numbers[-1])
    near = np.abs(tracked - first - numbers * period) <= _NEAR_SHARE * period
    residual = np.sqrt(np.mean((tracked - first - numbers * period)[near] ** 2))
    low, high = _heard_well(level_db, first, period, last)
    return Beats(
        first_frame=start_frame + (first + low * period) * HOP_FRAMES - _LAG_FRAMES,
        period_frames=period * HOP_FRAMES,
        count=high - low + 1,
        residual_ms=float(residual) * HOP_FRAMES * 1000 / SAMPLE_RATE_HZ,
        coverage=float(len(np.unique(numbers[near])) / (last + 1)),
        contrast=_contrast(strength, first, period, last),
    )


def onset_strength(blocks: Iterable[Block]) -> tuple[Floats, Floats]:
    """Return how strongly the sound swells, and its level in dB, at every hop.

    The strength is the rise of the loudness of each band over 10 ms, added up.
    Hops are centred on multiples of ``HOP_FRAMES``.
    """
    window = np.hanning(_WINDOW_FRAMES).astype(np.float32)
    weights = _band_weights()
    rest = np.zeros(_WINDOW_FRAMES // 2, np.float32)
    loudness = np.zeros((0, _BANDS), np.float32)  # the last two hops of a block
    rises, powers = [np.zeros(1)], [np.zeros(0)]
    for block in blocks:
        sound = np.concatenate([rest, block.mean(axis=1, dtype=np.float32)])
        hops = (len(sound) - _WINDOW_FRAMES) // HOP_FRAMES + 1
        if hops < 1:
            rest = sound
            continue
        views = np.lib.stride_tricks.sliding_window_view(sound, _WINDOW_FRAMES)
        power = np.abs(np.fft.rfft(views[::HOP_FRAMES] * window)) ** 2
        bands = ((power @ weights) ** _LOUDNESS_POWER).astype(np.float32)
        loudness = np.concatenate([loudness, bands])
        rise = np.maximum(loudness[2:] - loudness[:-2], 0)
        rises.append(rise.sum(axis=1, dtype=np.float64))
        powers.append(power.sum(axis=1))
        loudness = loudness[-2:]
        rest = sound[hops * HOP_FRAMES :]
    level = np.concatenate(powers)
    strength = np.concatenate([*rises, np.zeros(1)])[: len(level)]
    return strength, 10 * np.log10(level + 1e-9)


def _band_weights() -> npt.NDArray[np.float32]:
    """Return triangles on a scale of octaves, shape (bins, bands)."""
    bins_hz = np.fft.rfftfreq(_WINDOW_FRAMES, 1 / SAMPLE_RATE_HZ)
    edges = np.log2(np.geomspace(_LOWEST_HZ, _HIGHEST_HZ, _BANDS + 2))
    pitch = np.log2(np.maximum(bins_hz, 1.0))[:, None]
    up = (pitch - edges[:-2]) / (edges[1:-1] - edges[:-2])
    down = (edges[2:] - pitch) / (edges[2:] - edges[1:-1])
    weights: npt.NDArray[np.float32] = np.maximum(np.minimum(up, down), 0).astype("f4")
    return weights


def _tracked(strength: Floats) -> Floats:
    """Return the beats the library tracks, in hops."""
    import librosa  # noqa: PLC0415 - an extra, and slow to load

    part = strength[:_TEMPO_HOPS]
    pooled = part[: len(part) // _TEMPO_POOL * _TEMPO_POOL].reshape(-1, _TEMPO_POOL)
    tempo = librosa.feature.tempo(
        onset_envelope=pooled.max(axis=1),
        sr=SAMPLE_RATE_HZ,
        hop_length=HOP_FRAMES * _TEMPO_POOL,
    )
    _, beats = librosa.beat.beat_track(
        onset_envelope=strength,
        sr=SAMPLE_RATE_HZ,
        hop_length=HOP_FRAMES,
        bpm=float(tempo[0]),
        units="frames",
    )
    found: Floats = np.asarray(beats, np.float64)
    return found


def _line(tracked: Floats) -> tuple[float, float, npt.NDArray[np.int64]]:
    """Return the first beat and the period, in hops, and the number of each beat.

    Beats the tracker missed or added only change the numbers of those behind them;
    after each fit the numbers are read off the line anew, without what is far off.
    """
    period = float(np.median(np.diff(tracked)))
    steps = np.maximum(np.rint(np.diff(tracked) / period), 0)
    numbers = np.concatenate([[0.0], np.cumsum(steps)])
    first = float(tracked[0])
    for _ in range(4):
        stray = np.abs(tracked - first - numbers * period)
        used = stray <= max(_NEAR_SHARE * period, float(np.median(stray)))
        period, first = np.polyfit(numbers[used], tracked[used], 1)
        numbers = np.rint((tracked - first) / period)
    first += numbers[0] * period
    return float(first), float(period), (numbers - numbers[0]).astype(np.int64)


def _contrast(strength: Floats, first: float, period: float, last: int) -> float:
    """Return the mean strength at the beats of the line over that at all times."""
    places = np.rint(first + np.arange(last + 1) * period).astype(np.int64)
    around = [np.clip(places + shift, 0, len(strength) - 1) for shift in (-1, 0, 1)]
    on_beats = np.max([strength[one] for one in around], axis=0)
    span = strength[max(places[0], 0) : places[-1] + 1]
    return float(np.mean(on_beats) / max(float(np.mean(span)), 1e-9))


def _heard_well(
    level_db: Floats, first: float, period: float, last: int
) -> tuple[int, int]:
    """Return the first and the last beat of the line outside of fades."""
    edges = np.rint(first + np.arange(last + 2) * period).astype(np.int64)
    edges = np.clip(edges, 0, len(level_db))
    sums = np.concatenate([[0.0], np.cumsum(10 ** (level_db / 10))])
    powers = (sums[edges[1:]] - sums[edges[:-1]]) / np.maximum(np.diff(edges), 1)
    # Strong and weak beats take turns: only a bar as a whole fades.
    levels = 10 * np.log10(np.convolve(powers, np.ones(4) / 4, "same") + 1e-9)
    loud = np.flatnonzero(levels >= np.median(levels) - _FADED_DB)
    # The beat that ends the last loud one is still a place to leave the music at.
    return int(loud[0]), min(int(loud[-1]) + 1, last + 1)
