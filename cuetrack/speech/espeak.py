"""espeak-ng, called directly in the library that a wheel carries.

The library keeps the state of its voice generator from one text to the next, so it
is loaded afresh for each: 4 ms a clip, and a clip never depends on what was said
before it. It is loaded without RTLD_GLOBAL: its names would otherwise replace those
of the copy inside piper, which crashes.
"""

from __future__ import annotations

import ctypes
import os
import threading
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, ClassVar

import espeakng_loader
import numpy as np

from cuetrack.errors import SpeechError
from cuetrack.speech.keys import setting
from cuetrack.speech.languages import espeak_code
from cuetrack.speech.model import RawSpeech
from cuetrack.stopping import undisturbed
from cuetrack.systems import unload

if TYPE_CHECKING:
    from collections.abc import Iterator

    from cuetrack.speech.model import Voice

# Names and values of espeak-ng's public header, speak_lib.h.
_OUTPUT_SYNCHRONOUS = 2
_PHONEME_EVENTS = 1
_CHARS_UTF8 = 1
_RATE = 1
_EVENT_END_OF_LIST = 0
_EVENT_PHONEME = 7
_PRIMARY_STRESS = b"'"


class _EventId(ctypes.Union):
    _fields_: ClassVar = [
        ("number", ctypes.c_int),
        ("name", ctypes.c_char_p),
        ("string", ctypes.c_char * 8),
    ]


class _EspeakEvent(ctypes.Structure):
    _fields_: ClassVar = [
        ("type", ctypes.c_int),
        ("unique_identifier", ctypes.c_uint),
        ("text_position", ctypes.c_int),
        ("length", ctypes.c_int),
        ("audio_position", ctypes.c_int),
        ("sample", ctypes.c_int),
        ("user_data", ctypes.c_void_p),
        ("id", _EventId),
    ]


_CALLBACK = ctypes.CFUNCTYPE(
    ctypes.c_int,
    ctypes.POINTER(ctypes.c_short),
    ctypes.c_int,
    ctypes.POINTER(_EspeakEvent),
)

_one_at_a_time = threading.Lock()


@dataclass
class _SpokenSound:
    """What the library has handed over so far."""

    sound: bytearray = field(default_factory=bytearray)
    vowel_frame: int | None = None

    def listen(self, wave: object, frames: int, events: object) -> int:
        """Take one block of sound and its events; 0 asks for more."""
        if frames > 0:
            self.sound += ctypes.string_at(wave, 2 * frames)  # type: ignore[arg-type]
        index = 0
        while (event := events[index]).type != _EVENT_END_OF_LIST:  # type: ignore[index]
            if (
                self.vowel_frame is None
                and event.type == _EVENT_PHONEME
                and event.id.string.startswith(_PRIMARY_STRESS)
            ):
                self.vowel_frame = event.sample
            index += 1
        return 0


class EspeakEngine:
    """Speaks one text at a time, the same way in any order.

    Raises
    ------
    SpeechError
        If the library cannot be loaded or refuses the language.
    """

    def __init__(self, voice: Voice) -> None:
        variant = setting(voice, "variant", "")
        code = espeak_code(voice.language)
        self._voice = voice
        self._espeak_voice = f"{code}+{variant}" if variant else code
        self._rate = int(setting(voice, "rate", "125"))
        with _one_at_a_time, _loaded() as library:
            self._prepare(library)

    def render(self, spoken: str) -> RawSpeech:
        """Speak ``spoken``; the first stressed vowel is reported."""
        if "\0" in spoken:
            raise SpeechError(f"{spoken!r} has a NUL character.", "Take it out.")
        try:
            text = spoken.encode() + b"\0"
        except UnicodeEncodeError as error:
            raise SpeechError(
                f"{spoken!r} has a broken character at place {error.start + 1}.",
                "Type it again.",
            ) from error
        heard = _SpokenSound()
        callback = _CALLBACK(heard.listen)
        # What a signal raises would be lost in the middle of the library's callback.
        with _one_at_a_time, undisturbed(), _loaded() as library:
            rate_hz = self._prepare(library)
            library.espeak_SetSynthCallback(callback)
            status = library.espeak_Synth(
                text, len(text), 0, 1, 0, _CHARS_UTF8, None, None
            )
        if status != 0:
            raise SpeechError(f"espeak-ng gave up on {spoken!r} (status {status}).")
        samples = np.frombuffer(bytes(heard.sound), dtype=np.int16)
        vowel = heard.vowel_frame
        return RawSpeech(
            samples=(samples / np.float32(32768)).astype(np.float32),
            rate_hz=rate_hz,
            vowel_s=None if vowel is None else vowel / rate_hz,
        )

    def _prepare(self, library: ctypes.CDLL) -> int:
        """Start the library with this voice; return its frames per second."""
        rate_hz: int = library.espeak_Initialize(
            _OUTPUT_SYNCHRONOUS,
            0,
            os.fsencode(espeakng_loader.get_data_path()),
            _PHONEME_EVENTS,
        )
        if rate_hz <= 0:
            raise SpeechError(
                "espeak-ng does not start.",
                "Install the package espeakng-loader again.",
            )
        if library.espeak_SetVoiceByName(self._espeak_voice.encode()) != 0:
            raise SpeechError(
                f"espeak-ng has no voice for the language {self._voice.language!r}.",
                "Choose another language or voice.",
            )
        library.espeak_SetParameter(_RATE, self._rate, 0)
        return rate_hz


@contextmanager
def _loaded() -> Iterator[ctypes.CDLL]:
    """Load a fresh copy of the library; it is gone afterwards."""
    path = espeakng_loader.get_library_path()
    try:
        library = ctypes.CDLL(path)
    except OSError as error:
        raise SpeechError(
            f"The espeak-ng library does not load ({error}).",
            "Install the package espeakng-loader again.",
        ) from error
    try:
        yield library
    finally:
        library.espeak_Terminate()
        unload(library)
