"""A cue as the file has it beside the clip as it was spoken, window by window.

Both are cut into short Hann windows and each window into bands. In every such cell
stand the power of the clip, the power of what is heard, and how much of the one is
in the other: from these follow the gain of the clip, band by band, and what is left
of the sound without it, the residue: bed, noise, and the error of the encoder.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np
import numpy.typing as npt
from scipy import fft

if TYPE_CHECKING:
    from cuetrack.arrays import Flags, Floats, Samples

_LEAST_POWER = 1e-20
Inner = npt.NDArray[np.complex128]


@dataclass(frozen=True, slots=True, kw_only=True)
class CellGrid:
    """How sound is cut: window and hop in frames, bands by their edges in Hz.

    ``rate_hz`` is that of the sound; there is one band fewer than edges.
    """

    rate_hz: int
    window: int
    hop: int
    edges_hz: tuple[float, ...]

    @property
    def lines(self) -> npt.NDArray[np.intp]:
        """The first spectral line of each band, and the one behind the last."""
        hz = fft.rfftfreq(self.window, 1 / self.rate_hz)
        return np.searchsorted(hz, self.edges_hz)

    def spectra(self, sound: Samples) -> npt.NDArray[np.complex64]:
        """Return the spectrum of each window, shape (windows, lines)."""
        phase = 2 * np.pi * (np.arange(self.window) + 0.5) / self.window
        hann = (0.5 - 0.5 * np.cos(phase)).astype(np.float32)
        views = np.lib.stride_tricks.sliding_window_view(sound, self.window)
        found: npt.NDArray[np.complex64] = fft.rfft(views[:: self.hop] * hann)
        return found

    def by_band(self, lines: npt.NDArray[Any]) -> npt.NDArray[Any]:
        """Return the sum of the lines of each band, shape (windows, bands)."""
        *starts, end = self.lines
        sums: npt.NDArray[Any] = np.add.reduceat(lines[:, :end], starts, axis=1)
        return sums


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Cells:
    """Powers of clip and file in every cell, each of shape (windows, bands).

    ``shared`` is their inner product. ``gains`` has for each band the gain at which
    the clip sounds (least squares); its phase tells how the file turns that band.
    """

    known: Floats
    heard: Floats
    shared: Inner
    gains: Inner

    def at_gains_of(self, kept: Flags) -> Cells:
        """Return the same cells at the gains of some of the windows."""
        return replace(self, gains=_gains(self.shared[kept], self.known[kept]))

    @property
    def speech(self) -> Floats:
        """The power of the clip as loud as it is in the file."""
        power: Floats = np.abs(self.gains) ** 2 * self.known
        return power

    @property
    def present(self) -> Floats:
        """How much of that power is there, by what the file shares with the clip."""
        power: Floats = (np.conj(self.gains) * self.shared).real
        return power

    @property
    def residue(self) -> Floats:
        """The power of what is left without the clip."""
        left = self.heard - 2 * self.present + self.speech
        found: Floats = np.maximum(left, 0.0)
        return found


def compare(heard: Samples, known: Samples, grid: CellGrid) -> Cells:
    """Return the cells of two sounds of the same length that start together."""
    file, clip = grid.spectra(heard), grid.spectra(known)
    powers = grid.by_band(_power(clip))
    shared = grid.by_band((file * np.conj(clip)).astype(np.complex128))
    return Cells(
        known=powers,
        heard=grid.by_band(_power(file)),
        shared=shared,
        gains=_gains(shared, powers),
    )


def _gains(shared: Inner, known: Floats) -> Inner:
    found: Inner = shared.sum(axis=0) / np.maximum(known.sum(axis=0), _LEAST_POWER)
    return found


def _power(spectra: npt.NDArray[np.complex64]) -> Floats:
    power: Floats = spectra.real.astype(np.float64) ** 2 + spectra.imag**2
    return power
