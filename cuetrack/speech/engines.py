"""The table of speech engines: what a voice file's ``engine`` means.

To add one, write a module with ``open_voice(voice) -> Engine`` and enter it here, in
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
    """Where an engine lives, and how many texts it may be given at once."""

    module: str
    workers: int


ENGINES = {
    "neural": EngineKind(module="cuetrack.speech.neural", workers=2),
    "espeak": EngineKind(module="cuetrack.speech.espeak", workers=1),
    "kokoro": EngineKind(module="cuetrack.speech.kokoro", workers=2),
    "recorded": EngineKind(module="cuetrack.speech.recorded", workers=2),
    "system": EngineKind(module="cuetrack.speech.system", workers=1),
}


def open_engine(voice: Voice) -> Engine:
    """Return the engine of a voice, loaded and ready.

    Raises
    ------
    SpeechError
        If the engine or its model cannot be loaded.
    """
    try:
        module = import_module(ENGINES[voice.engine].module)
    except ImportError as error:
        raise SpeechError(
            f"The {voice.engine} engine cannot be loaded ({error}).",
            "Install cuetrack again, or choose another voice.",
        ) from error
    return cast("Engine", module.open_voice(voice))


def worker_count(voice: Voice) -> int:
    """Return how many texts a voice, and the one that fills in, may say at once."""
    own = ENGINES[voice.engine].workers
    return own if voice.filling is None else min(own, worker_count(voice.filling))
