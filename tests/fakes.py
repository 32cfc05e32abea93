"""Honest stand-ins: a speaker whose clips are known to the frame, without an engine."""

from __future__ import annotations

import hashlib
from typing import TYPE_CHECKING

import numpy as np

from cuetrack.cues.model import SpeechTiming
from cuetrack.speech.model import Clip
from cuetrack.times import SAMPLE_RATE_HZ, ceil_ms_from_frames, frames_from_ms

if TYPE_CHECKING:
    from collections.abc import Iterable

    from cuetrack.arrays import Samples
    from cuetrack.speech.model import Progress

PAD_MS = 5
CONSONANT_MS = 40
RAMP_MS = 20
WORD_GAP_MS = 60
LEVEL = 0.1


def word_ms(word: str) -> int:
    """How long the fake takes to say a word."""
    return 160 + 30 * min(len(word), 12)


def text_ms(spoken: str) -> int:
    """How long the fake takes to say a text, from its first frame to its last."""
    words = spoken.split()
    return sum(map(word_ms, words)) + WORD_GAP_MS * (len(words) - 1)


class ToneSpeaker:
    """Says each word as one syllable: a faint hiss, then a voiced hum with noise.

    Every text has a sound of its own (pitch, colour and noise are drawn from its
    digest), so a matched filter tells any two apart; the same text is always the
    same sound. All sound lies in 200-4000 Hz. The beat sits in the middle of the
    first hum's rise.
    """

    def __init__(self) -> None:
        self.rendered = 0
        self.progress: list[tuple[int, int]] = []
        self._samples: dict[str, Samples] = {}
        self._clips: dict[str, Clip] = {}

    def speak(
        self, spoken: Iterable[str], progress: Progress | None = None
    ) -> dict[str, Clip]:
        """Return a clip for each distinct spoken text."""
        texts = tuple(dict.fromkeys(spoken))
        for done, text in enumerate(texts, 1):
            if text not in self._clips:
                self._render(text)
            if progress is not None:
                progress(done, len(texts))
        return {text: self._clips[text] for text in texts}

    def samples(self, key: str) -> Samples:
        """Return the samples of a clip that was spoken before."""
        return self._samples[key]

    def timing(self, spoken: str) -> SpeechTiming:
        """Return the lengths of a text, spoken before or not."""
        clip = self.speak([spoken])[spoken]
        return SpeechTiming(
            length_ms=ceil_ms_from_frames(clip.speech_end - clip.speech_start),
            beat_ms=ceil_ms_from_frames(clip.beat - clip.speech_start),
        )

    def _render(self, text: str) -> None:
        key = hashlib.sha256(f"tone speaker 1\n{text}".encode()).hexdigest()
        draw = np.random.default_rng(int(key[:16], 16))
        gap = np.zeros(frames_from_ms(WORD_GAP_MS))
        parts: list[np.ndarray] = []
        for word in text.split():
            parts += [_syllable(frames_from_ms(word_ms(word)), draw), gap]
        pad = np.zeros(frames_from_ms(PAD_MS))
        sound = np.concatenate([pad, *parts[:-1], pad]).astype(np.float32)
        start = pad.size
        self._clips[text] = Clip(
            key=key,
            spoken=text,
            frames=sound.size,
            speech_start=start,
            speech_end=sound.size - pad.size,
            beat=start + frames_from_ms(CONSONANT_MS + RAMP_MS // 2),
        )
        self._samples[key] = sound
        self.rendered += 1


def _band_noise(frames: int, draw: np.random.Generator) -> np.ndarray:
    """Noise within 200-4000 Hz with a drawn colour, RMS 1."""
    spectrum = np.fft.rfft(draw.standard_normal(frames))
    hz = np.fft.rfftfreq(frames, 1 / SAMPLE_RATE_HZ)
    centre_hz = draw.uniform(500, 2500)
    spectrum *= np.exp(-(((hz - centre_hz) / 900) ** 2))
    spectrum[(hz < 200) | (hz > 4000)] = 0
    noise = np.fft.irfft(spectrum, frames)
    return noise / np.sqrt(np.mean(noise**2))


def _syllable(frames: int, draw: np.random.Generator) -> np.ndarray:
    """A faint consonant, then a hum that rises within RAMP_MS and falls at the end."""
    consonant = frames_from_ms(CONSONANT_MS)
    ramp = frames_from_ms(RAMP_MS)
    seconds = np.arange(frames) / SAMPLE_RATE_HZ
    pitch_hz = draw.uniform(200, 320)
    hum = sum(
        np.sin(2 * np.pi * pitch_hz * n * seconds + draw.uniform(0, 6)) / n
        for n in range(1, 11)
    )
    body = hum / np.sqrt(np.mean(hum**2)) + _band_noise(frames, draw)
    rise = 0.5 - 0.5 * np.cos(np.pi * (np.arange(ramp) + 0.5) / ramp)
    shape = np.full(frames, 1.0)
    shape[:consonant] = 0.0
    shape[consonant : consonant + ramp] = rise
    shape[-ramp:] *= rise[::-1]
    hiss = 0.03 * _band_noise(frames, draw)
    hiss[: ramp // 4] *= np.linspace(0, 1, ramp // 4)
    hiss[consonant:] = 0.0
    return LEVEL * (body * shape / np.sqrt(2) + hiss)
