"""Where somebody speaks in a take, by how far sound stands over what is always there.

The quiet of the place and the level of the voice are followed as they change over the
sitting. Speech is what rises well over the quiet; its edges lie where it leaves it.
Other sounds (a chair, a page) are found as well: whether words were said in a stretch
is for a recogniser to tell.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from scipy.ndimage import (
    binary_closing,
    percentile_filter,
    uniform_filter1d,
)
from scipy.signal import butter, sosfilt, sosfilt_zi

from cuetrack.times import SAMPLE_RATE_HZ, frames_from_ms

if TYPE_CHECKING:
    from cuetrack.arrays import Flags, Floats, Samples

HOP_MS = 5
HOP = frames_from_ms(HOP_MS)
SPEECH_BAND_HZ = (200.0, 9000.0)
"""Above the hum of the mains and the rumble of a table, up to the hiss of an s."""

_CHUNK_HOPS = 4096
_SILENCE = 1e-14
_BLOCK_HOPS = 100
_AROUND_BLOCKS = 41
_CLEAR_OVER_QUIET_DB = 12.0
_CLEAR_UNDER_VOICE_DB = 26.0
_EDGE_OVER_QUIET_DB = 5.0
_EDGE_UNDER_VOICE_DB = 40.0
_FAINTEST_VOICE_DB = 25.0
_CLOSURE_MS = 180
_SHORTEST_MS = 60


@dataclass(frozen=True, slots=True, kw_only=True, order=True)
class SoundStretch:
    """A stretch of a take in which something sounds, frames at 48 kHz."""

    start: int
    end: int

    @property
    def frames(self) -> int:
        """How long it lasts."""
        return self.end - self.start


def level_curve(samples: Samples, band_hz: tuple[float, float]) -> Floats:
    """Return the level of a band every 5 ms, dB of full scale; 48 kHz mono.

    Each value is that of its own 5 ms.
    """
    band = butter(2, band_hz, "bandpass", fs=SAMPLE_RATE_HZ, output="sos")
    state = sosfilt_zi(band) * 0.0
    rows = []
    for start in range(0, samples.size // HOP * HOP, _CHUNK_HOPS * HOP):
        part = samples[start : start + _CHUNK_HOPS * HOP].astype(np.float64)
        heard, state = sosfilt(band, part[: part.size // HOP * HOP], zi=state)
        rows.append(np.mean(heard.reshape(-1, HOP) ** 2, axis=1))
    powers = np.concatenate([np.empty(0), *rows])
    levels: Floats = 10 * np.log10(powers + _SILENCE)
    return levels


@dataclass(frozen=True, slots=True, kw_only=True)
class Loudness:
    """How loud a take is every 5 ms, dB of full scale, each of shape (hops,).

    ``quiet`` is what is always there around then, ``voice`` how loud speech is.
    """

    levels: Floats
    quiet: Floats
    voice: Floats


def loudness_of(samples: Samples) -> Loudness:
    """Return level, quiet and voice of a take, 48 kHz mono."""
    raw = level_curve(samples, SPEECH_BAND_HZ)
    powers = uniform_filter1d(10 ** (raw / 10), 3, mode="nearest")
    levels = 10 * np.log10(powers + _SILENCE)
    return Loudness(
        levels=levels,
        quiet=_followed(levels, 10, 20),
        voice=np.maximum(
            _followed(levels, 97, 90),
            np.percentile(levels, 97) - _FAINTEST_VOICE_DB if levels.size else 0.0,
        ),
    )


def _followed(levels: Floats, share: float, middle: float) -> Floats:
    """Return a percentile of every half second, as it is in the ten seconds around."""
    if not levels.size:
        return levels
    blocks = -(-levels.size // _BLOCK_HOPS)
    padded = np.pad(levels, (0, blocks * _BLOCK_HOPS - levels.size), "reflect")
    each = np.percentile(padded.reshape(blocks, _BLOCK_HOPS), share, axis=1)
    slow = percentile_filter(each, middle, size=_AROUND_BLOCKS, mode="nearest")
    centres = (np.arange(blocks) + 0.5) * _BLOCK_HOPS
    found: Floats = np.interp(np.arange(levels.size), centres, slow)
    return found


def sound_stretches(loudness: Loudness) -> list[SoundStretch]:
    """Return where something sounds, in order; pauses within words do not part it."""
    quiet, voice = loudness.quiet, loudness.voice
    clear = np.maximum(quiet + _CLEAR_OVER_QUIET_DB, voice - _CLEAR_UNDER_VOICE_DB)
    edge = np.maximum(quiet + _EDGE_OVER_QUIET_DB, voice - _EDGE_UNDER_VOICE_DB)
    sounding = _without_gaps(loudness.levels > edge, _CLOSURE_MS)
    return [
        SoundStretch(start=first * HOP, end=last * HOP)
        for first, last in _runs(sounding)
        if (last - first) * HOP_MS >= _SHORTEST_MS
        and bool(np.any(loudness.levels[first:last] > clear[first:last]))
    ]


def _without_gaps(flags: Flags, gap_ms: int) -> Flags:
    """Return flags with every gap shorter than this filled."""
    size = gap_ms // HOP_MS
    padded = np.pad(flags, size)
    closed: Flags = binary_closing(padded, np.ones(size))[size : size + flags.size]
    return closed


def _runs(flags: Flags) -> list[tuple[int, int]]:
    """Return the first and one past the last place of every run of flags."""
    edges = np.flatnonzero(np.diff(np.pad(flags.astype(np.int8), 1)))
    return [(int(a), int(b)) for a, b in edges.reshape(-1, 2)]
