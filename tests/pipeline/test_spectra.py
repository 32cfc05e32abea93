"""Spectra of clips are kept, and those kept are those that were found."""

from __future__ import annotations

import numpy as np
import pytest

from cuetrack.pipeline.spectra import spectrum_of
from cuetrack.sound.hearing.bands import SPECTRUM_VERSION, active_spectrum
from cuetrack.speech.records import path_of
from cuetrack.speech.store import NOTE_SUFFIX, ClipStore


class Tones:
    """A source of two clips that counts how often it is asked."""

    def __init__(self) -> None:
        self.asked = 0

    def samples(self, key):
        self.asked += 1
        seconds = np.arange(24_000) / 48_000
        hum = np.sin(2 * np.pi * (500 if key == "aa" else 1000) * seconds)
        return (0.1 * hum).astype(np.float32)


def test_a_spectrum_is_worked_out_once(tmp_path):
    """It comes back to the bit; one that was damaged is worked out anew."""
    tones, store = Tones(), ClipStore(tmp_path)
    fresh = active_spectrum(tones.samples("aa"))
    tones.asked = 0
    assert [spectrum_of("aa", tones, store) for _ in range(3)] == [fresh] * 3
    assert tones.asked == 1
    assert spectrum_of("bb", tones, store) != fresh
    name = f"aa-spectrum-{SPECTRUM_VERSION}"
    path_of(tmp_path, name, NOTE_SUFFIX).write_bytes(b"rubbish")
    assert spectrum_of("aa", tones, store) == fresh
    assert tones.asked == 3


def test_a_store_that_cannot_be_written_is_no_hindrance(tmp_path):
    """Then the spectrum is worked out each time."""
    (tmp_path / "file").write_text("x")
    tones = Tones()
    store = ClipStore(tmp_path / "file")
    assert spectrum_of("aa", tones, store) == spectrum_of("aa", tones, store)
    assert tones.asked == 2


def test_kept_spectra_are_those_of_this_version():
    """Whoever changes what a spectrum is counts the version up, and these figures.

    No outside source: the levels as version 1 gave them for this tone.
    """
    found = active_spectrum(Tones().samples("aa"))
    assert SPECTRUM_VERSION == "1"
    assert found.loudness_lufs == pytest.approx(-23.659850, abs=1e-5)
    around_db = [-51.286046, -23.026531, -53.178000]  # 400, 500 and 630 Hz
    assert found.band_db[4:7] == pytest.approx(around_db, abs=1e-5)
