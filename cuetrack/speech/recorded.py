"""The engine of a recorded voice: the sentences of a text as a person read them."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from cuetrack.errors import SpeechError
from cuetrack.speech.breaths import breaths_of, line_id
from cuetrack.speech.model import RawSpeech
from cuetrack.speech.peaks import levelled
from cuetrack.speech.recorded_lines import read_lines
from cuetrack.speech.recorded_sound import clip_sound, refuse_other_sound
from cuetrack.speech.text_keys import FADED_MS, pause_ms
from cuetrack.times import SAMPLE_RATE_HZ, SECOND_MS, frames_from_ms

if TYPE_CHECKING:
    from cuetrack.arrays import Samples
    from cuetrack.speech.model import Voice
    from cuetrack.speech.recorded_lines import RecordedClip


class RecordedEngine:
    """A voice that was read, found whole and ready.

    Raises
    ------
    SpeechError
        If a file is missing or damaged, or the sound is not that of the lines.
    """

    def __init__(self, voice: Voice) -> None:
        self._folder = voice.folder or Path()
        lines = read_lines(self._folder)
        refuse_other_sound(self._folder, lines)
        self._clips = lines.by_id
        self._pause = np.zeros(frames_from_ms(pause_ms(voice)), np.float32)

    def render(self, spoken: str) -> RawSpeech:
        """Return the sentences of a text, each equally loud, a pause between them."""
        breaths = breaths_of(spoken)
        missing = [text for text in breaths if line_id(text) not in self._clips]
        if missing or not breaths:
            raise SpeechError(
                f"It was not read: {' '.join(missing) or spoken}",
                "List what a plan lacks with: cuetrack voices script PLAN "
                f"--missing-from {self._folder}",
            )
        clips = [self._clips[line_id(text)] for text in breaths]
        parts: list[Samples] = []
        for clip in clips:
            parts += [self._sound(clip), self._pause]
        beat_ms = clips[0].beat_ms
        return RawSpeech(
            samples=np.concatenate(parts[:-1]),
            rate_hz=SAMPLE_RATE_HZ,
            beat_s=None if beat_ms is None else (FADED_MS + beat_ms) / SECOND_MS,
        )

    def _sound(self, clip: RecordedClip) -> Samples:
        """Return the speech of a clip, levelled, with faded margins around it."""
        sound = levelled(clip_sound(self._folder, clip, FADED_MS)).copy()
        faded = frames_from_ms(FADED_MS)
        rise = 0.5 - 0.5 * np.cos(np.pi * (np.arange(faded) + 0.5) / faded)
        sound[:faded] *= rise
        sound[-faded:] *= rise[::-1]
        return sound
