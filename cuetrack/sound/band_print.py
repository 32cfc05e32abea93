"""A band print: how loud a sound is in half-octave bands, every half second.

Small enough to travel with a track, and enough to tell later whether something sounds
in it that was not there, or no longer does: a listener hears a change in one band
long before the whole has changed.
"""

from __future__ import annotations

from array import array
from typing import TYPE_CHECKING

import numpy as np
from scipy import fft

from cuetrack.times import SAMPLE_RATE_HZ, frames_from_ms

if TYPE_CHECKING:
    from cuetrack.arrays import Floats, Samples

STEP_MS = 500
BANDS = 16
EDGES_HZ = tuple(1000 * 2 ** (step / 2) for step in range(-8, BANDS - 7))
"""62.5 Hz to 16 kHz."""

LOWEST_DB = -90
LETTERS = "".join(chr(code) for code in range(35, 127) if chr(code) != "\\")
"""One for each dB from ``LOWEST_DB`` on, all that JSON writes as they are."""

_WINDOW = 2000
_STEP_FRAMES = frames_from_ms(STEP_MS)
_FULL_SCALE = (3 / 8) * _WINDOW**2 / 2
"""The squares of all lines of a Hann window of sound whose mean square is 1."""


class BandMeter:
    """Measures the band print of a stream of mono sound at 48 kHz."""

    def __init__(self) -> None:
        phase = 2 * np.pi * (np.arange(_WINDOW) + 0.5) / _WINDOW
        self._hann = (0.5 - 0.5 * np.cos(phase)).astype(np.float32)
        hz = fft.rfftfreq(_WINDOW, 1 / SAMPLE_RATE_HZ)
        self._lines = np.searchsorted(hz, EDGES_HZ)
        self._rest = np.empty(0, np.float32)
        self._powers = array("d")

    def add(self, block: Samples) -> None:
        """Take in the next block, shape (frames,)."""
        sound = np.concatenate([self._rest, block])
        steps = sound.size // _STEP_FRAMES
        whole, self._rest = np.split(sound, [steps * _STEP_FRAMES])
        if steps:
            windows = whole.reshape(-1, _WINDOW)
            lines = fft.rfft(windows * self._hann)[:, : self._lines[-1]]
            power = lines.real**2 + lines.imag**2
            bands = np.add.reduceat(power, self._lines[:-1], axis=1)
            mean = bands.reshape(steps, -1, BANDS).mean(axis=1, dtype=np.float64)
            self._powers.extend(mean.ravel())

    def levels_db(self) -> Floats:
        """Return the level of each whole step so far, dBFS, shape (steps, BANDS).

        A sine of full scale is at -3; nothing is under ``LOWEST_DB``.
        """
        levels: Floats = np.array(self._powers).reshape(-1, BANDS)
        levels /= _FULL_SCALE
        np.maximum(levels, 10 ** (LOWEST_DB / 10), out=levels)
        np.log10(levels, out=levels)
        levels *= 10
        return levels


def as_letters(levels_db: Floats) -> str:
    """Return a print as text, a letter for each band of each step, to the whole dB."""
    steps = np.clip(np.rint(levels_db) - LOWEST_DB, 0, len(LETTERS) - 1)
    letters = np.frombuffer(LETTERS.encode("ascii"), np.uint8)
    return str(letters[steps.astype(np.uint8)].tobytes(), "ascii")


def from_letters(text: str) -> Floats:
    """Return the levels that ``as_letters`` wrote, dBFS, shape (steps, BANDS)."""
    place = {letter: LOWEST_DB + step for step, letter in enumerate(LETTERS)}
    levels = np.array([place[letter] for letter in text], np.float64)
    return levels[: levels.size // BANDS * BANDS].reshape(-1, BANDS)
