"""The table of speech engines: what a voice file's ``engine`` means.

To add one, write its class in a module of its name and enter it here, in
``keys.PACKAGES`` and in ``voice_files.SETTINGS``.
"""

from __future__ import annotations

from dataclasses import dataclass
from importlib import import_module
from typing import TYPE_CHECKING, cast

from cuetrack.errors import SpeechError

if TYPE_CHECKING:
    from cuetrack.speech.model import Engine, Voice


@dataclass(frozen=True, slots=True, kw_only=True)
class EngineKind:
    """The class of an engine, and how many texts it may be given at once."""

    class_name: str
    workers: int


ENGINES = {
    "neural": EngineKind(class_name="NeuralEngine", workers=2),
    "espeak": EngineKind(class_name="EspeakEngine", workers=1),
    "kokoro": EngineKind(class_name="KokoroEngine", workers=2),
    "recorded": EngineKind(class_name="RecordedEngine", workers=2),
    "system": EngineKind(class_name="SystemEngine", workers=1),
}


def open_engine(voice: Voice) -> Engine:
    """Return the engine of a voice, loaded and ready.

    Raises
    ------
    SpeechError
        If the engine or its model cannot be loaded.
    """
    kind = ENGINES[voice.engine]
    try:
        module = import_module(f"cuetrack.speech.{voice.engine}")
    except ImportError as error:
        raise SpeechError(
            f"The {voice.engine} engine cannot be loaded ({error}).",
            "Install cuetrack again, or choose another voice.",
        ) from error
    return cast("Engine", getattr(module, kind.class_name)(voice))


def worker_count(voice: Voice) -> int:
    """Return how many texts a voice, and the one that fills in, may say at once."""
    own = ENGINES[voice.engine].workers
    return own if voice.filling is None else min(own, worker_count(voice.filling))
