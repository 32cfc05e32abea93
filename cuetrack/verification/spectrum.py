"""Sound limited to 200-6000 Hz, the band in which cues are looked for.

What lies outside is rumble of the music or what an encoder has thrown away.
Nothing above 6 kHz is left, so every fourth frame says it all: searching runs
at 12 kHz and is interpolated back, without loss.
"""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt
from scipy import fft

from cuetrack.times import SAMPLE_RATE_HZ

if TYPE_CHECKING:
    from cuetrack.arrays import Samples

Samples32 = npt.NDArray[np.float32]
"""Band-limited sound at 12 kHz, shape (frames / 4,)."""

Spectrum = npt.NDArray[np.complex64]

THINNING = 4
SEARCH_RATE_HZ = SAMPLE_RATE_HZ // THINNING
LOW_EDGE_HZ = (150.0, 250.0)
HIGH_EDGE_HZ = (5500.0, 6000.0)


def narrow_frames(frames: int) -> int:
    """Return a transform length at 12 kHz that holds ``frames`` at 48 kHz."""
    needed = -(-frames // THINNING)
    return int(fft.next_fast_len(needed + needed % 2, real=True))


def narrow_spectrum(samples: Samples, length: int) -> Spectrum:
    """Return the spectrum of ``samples``, limited to the band, as seen at 12 kHz.

    Parameters
    ----------
    samples
        Mono sound at 48 kHz, shape (frames,), frames <= 4 * length.
    length
        Transform length at 12 kHz, from ``narrow_frames``.

    Returns
    -------
    Spectrum
        Shape (length // 2 + 1,). Its inverse real transform of ``length`` is
        every fourth frame of the band-limited sound; no phase is changed.
    """
    whole = fft.rfft(samples, length * THINNING)
    kept: Spectrum = whole[: length // 2 + 1] * _band_gain(length)
    return kept


def narrow_sound(spectrum: Spectrum, length: int) -> Samples32:
    """Return the 12 kHz sound of a spectrum, shape (length,)."""
    sound: Samples32 = fft.irfft(spectrum, length)
    return sound


@lru_cache(maxsize=64)
def _band_gain(length: int) -> npt.NDArray[np.float32]:
    """Return raised-cosine band edges over the bins of a 12 kHz transform."""
    hz = fft.rfftfreq(length, 1 / SEARCH_RATE_HZ)
    rise = np.clip(np.interp(hz, LOW_EDGE_HZ, (0.0, 1.0)), 0.0, 1.0)
    fall = np.clip(np.interp(hz, HIGH_EDGE_HZ, (1.0, 0.0)), 0.0, 1.0)
    edges = (0.5 - 0.5 * np.cos(np.pi * rise)) * (0.5 - 0.5 * np.cos(np.pi * fall))
    # The inverse transform divides by its own, four times shorter, length.
    gain: npt.NDArray[np.float32] = (edges / THINNING).astype(np.float32)
    return gain
