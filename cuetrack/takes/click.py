"""The click that count words are read to, to be heard by one ear."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np
import soundfile

from cuetrack.cues.tonekinds import ToneKind
from cuetrack.sound.tones import tone
from cuetrack.stopping import undisturbed
from cuetrack.takes.reading_script import ReadingPart
from cuetrack.takes.script_lines import CLICK_MS
from cuetrack.times import SAMPLE_RATE_HZ, frames_from_ms

if TYPE_CHECKING:
    from pathlib import Path

    from cuetrack.arrays import Samples
    from cuetrack.takes.reading_script import ReadingScript

SOFT: Final = np.float32(10 ** (-14 / 20))
"""How much softer the clicks are on which nothing is said."""


def click_track(script: ReadingScript) -> Samples:
    """Return a click a second, 48 kHz mono; a loud one where a count word is due."""
    spoken = {line.start_ms for line in script.lines if line.part is ReadingPart.COUNTS}
    clicks = range(0, max(spoken, default=0) + 2 * CLICK_MS, CLICK_MS)
    sound = np.zeros(frames_from_ms(clicks.stop), np.float32)
    click = tone(ToneKind.TICK)
    for at_ms in clicks:
        start = frames_from_ms(at_ms)
        sound[start : start + click.size] = click * (1 if at_ms in spoken else SOFT)
    return sound


def write_click(path: Path, script: ReadingScript) -> None:
    """Write the click as a WAV file, which every phone plays."""
    with undisturbed():
        soundfile.write(
            path, click_track(script), SAMPLE_RATE_HZ, "PCM_16", format="WAV"
        )
