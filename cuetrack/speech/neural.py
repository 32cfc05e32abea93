"""The neural engine: piper's phonemes, and its models run in our own session.

One thread inside the session and no noise, so that the same text is the same sound,
sample for sample. Several threads may render at once; they share the session.
"""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import numpy as np
from piper import PiperVoice, SynthesisConfig
from piper.config import PiperConfig

from cuetrack.errors import SpeechError
from cuetrack.speech.keys import file_digest, model_files, setting
from cuetrack.speech.model import RawSpeech
from cuetrack.speech.sessions import shared_model

if TYPE_CHECKING:
    from pathlib import Path

    from cuetrack.arrays import Samples
    from cuetrack.speech.model import Voice

DEFAULT_PAUSE_MS = "300"
"""Silence added between the sentences of one text."""

MOST_SYMBOLS_AT_ONCE = 160
"""The longest sentence of a class, or two shorter ones: some 130 MB."""


class NeuralEngine:
    """A model that is loaded, checked and ready.

    Raises
    ------
    SpeechError
        If the model is missing, is not the one its voice file names, or is none.
    """

    def __init__(self, voice: Voice) -> None:
        model, config = model_files(voice)
        _check(voice, model, "model sha256")
        _check(voice, config, "config sha256")
        self._piper = PiperVoice(
            session=shared_model(
                model, symbols="input", most_symbols=MOST_SYMBOLS_AT_ONCE
            ),
            config=_config(config),
            download_dir=model.parent,
        )
        speaker = setting(voice, "speaker", "")
        self._synthesis = SynthesisConfig(
            speaker_id=int(speaker) if speaker else None,
            length_scale=float(setting(voice, "length scale", "1.0")),
            noise_scale=0.0,
            noise_w_scale=0.0,
            normalize_audio=False,
        )
        self._pause_ms = int(setting(voice, "sentence pause ms", DEFAULT_PAUSE_MS))

    def render(self, spoken: str) -> RawSpeech:
        """Speak ``spoken``, a pause between its sentences."""
        if "\0" in spoken:
            raise SpeechError(f"{spoken!r} has a NUL character.", "Take it out.")
        rate_hz = self._piper.config.sample_rate
        pause = np.zeros(self._pause_ms * rate_hz // 1000, dtype=np.float32)
        parts: list[Samples] = []
        try:
            for chunk in self._piper.synthesize(spoken, self._synthesis):
                parts += [chunk.audio_float_array, pause]
        except Exception as error:  # whatever piper and its runtime raise
            raise SpeechError(f"piper failed: {error}.") from error
        if not parts:
            raise SpeechError(
                f"piper finds nothing to say in {spoken!r}.", "Write it in words."
            )
        return RawSpeech(samples=np.concatenate(parts[:-1]), rate_hz=rate_hz)


def _check(voice: Voice, path: Path, name: str) -> None:
    """Refuse a file that is not the one the voice file describes."""
    stated = setting(voice, name, "")
    if stated and file_digest(path) != stated:
        raise SpeechError(
            f"{path.name} is not the file that the voice {voice.name} was made with: "
            f"its SHA-256 is {file_digest(path)}, expected {stated}.",
            "Install its package again, or correct the voice file.",
        )


def _config(path: Path) -> PiperConfig:
    try:
        return PiperConfig.from_dict(json.loads(path.read_text(encoding="utf-8")))
    except (OSError, ValueError, KeyError, TypeError, RecursionError) as error:
        raise SpeechError(
            f"{path} is not the description of a voice model: {error!r}"
        ) from error
