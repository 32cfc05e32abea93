"""Voices: where their files are looked for, and which one to take.

A voice is a small YAML file, or a model ``NAME.onnx`` with its ``NAME.onnx.json``
that a user puts into a folder of their own. ``voices/README.md`` says how. Looked for
in this order, the first of a name wins: the folders in ``CUETRACK_VOICES``, the user's
data folder, the folder that comes with cuetrack. A recorded voice is a folder of its
own in one of them, or is named by where it is. Besides, ``espeak:CODE`` is a voice
for every language code of the embedded espeak-ng.
"""

from __future__ import annotations

import os
from dataclasses import replace
from pathlib import Path

import platformdirs

from cuetrack.errors import SpeechError
from cuetrack.languages.folders import language_file, may_be_read
from cuetrack.languages.phrases import FILE as PHRASES_FILE
from cuetrack.languages.phrases import load_phrases
from cuetrack.speech.languages import espeak_code, espeak_languages, primary, tidy
from cuetrack.speech.model import Voice
from cuetrack.speech.pace import paced, split_pace
from cuetrack.speech.recorded_facts import VOICE_FILE
from cuetrack.speech.voice_files import is_model, nearest, voice_in

ANY_LANGUAGE = "any"
"""The language of a voice that speaks whatever the operating system speaks."""

ESPEAK_PREFIX = "espeak:"
DEFAULT_RATE = "125"
"""espeak-ng's own unit: about 145 English words a minute."""


def voice_folders() -> tuple[Path, ...]:
    """Return the folders in which voices are looked for, the user's own first."""
    named = os.environ.get("CUETRACK_VOICES", "")
    folders = [Path(part) for part in named.split(os.pathsep) if part]
    folders.append(Path(platformdirs.user_data_dir("cuetrack")) / "voices")
    folders.append(shipped_folder())
    return tuple(folders)


def shipped_folder() -> Path:
    """Return the folder of the voices that come with cuetrack."""
    package = Path(__file__).resolve().parent.parent
    installed = package / "voices"
    return installed if installed.is_dir() else package.parent / "voices"


def known_voices() -> tuple[str, ...]:
    """Return the names of all voices that have a file, sorted."""
    return tuple(sorted(_files()))


def known_languages() -> tuple[str, ...]:
    """Return the language codes that some voice speaks, sorted."""
    codes = set(espeak_languages())
    for path in _files().values():
        try:
            codes.add(voice_in(path).language)
        except SpeechError:
            continue  # a broken voice is reported when it is asked for
    return tuple(sorted(codes - {ANY_LANGUAGE}))


def find_voice(name: str | None, language: str, beside: Path | None = None) -> Voice:
    """Return the voice of this name, or the default voice of ``language``.

    The default is the voice that the folder of the language names, such as the
    neural one of English, and espeak-ng where it names none. A pace behind the name,
    as in ``joe, calm``, is that of the voice. A recorded voice may be named by its
    folder, seen from ``beside``, by default from where the program runs.

    Raises
    ------
    SpeechError
        If there is no such voice, its file is wrong, it speaks another language, or
        no voice speaks the language.
    """
    if name is None:
        return _default_voice(tidy(language))
    plain, pace = split_pace(name)
    return paced(_fitted(voice_named(plain, beside), tidy(language)), pace)


def voice_named(name: str, beside: Path | None = None) -> Voice:
    """Return the voice of this name or folder, whatever it speaks.

    Raises
    ------
    SpeechError
        If there is no such voice, or its file is wrong.
    """
    voice = _named(name, beside)
    filling = voice.recorded and voice.recorded.filling
    if not filling:
        return voice
    plain, pace = split_pace(filling)
    other = paced(_fitted(_named(plain), voice.language), pace)
    if other.recorded is not None:
        raise SpeechError(
            f"The voice {voice.name} cannot be filled in by {other.name}, which is "
            "recorded too.",
            "Name the voice of an engine as the filling voice.",
        )
    return replace(voice, filling=other)


def _named(name: str, beside: Path | None = None) -> Voice:
    if name.lower().startswith(ESPEAK_PREFIX):
        return _espeak_voice(name[len(ESPEAK_PREFIX) :])
    folder = (beside or Path()) / name.strip()
    if name.strip() and _is_recorded(folder):
        return voice_in(folder / VOICE_FILE)
    files = _files()
    by_lower = {known.lower(): known for known in files}
    found = by_lower.get(name.strip().lower())
    if found is None:
        raise SpeechError(
            f"There is no voice {name!r}.{nearest(name, files)} Known voices: "
            f"{', '.join(sorted(files))}, and {ESPEAK_PREFIX}CODE for any language "
            "code of espeak-ng."
        )
    return voice_in(files[found])


def recorded_in(folder: Path) -> tuple[str, ...]:
    """Return the names of the recorded voices whose folders lie in one, sorted."""
    if not may_be_read(folder):
        return ()
    with os.scandir(folder) as entries:
        names = [entry.name for entry in entries if entry.is_dir()]
    return tuple(sorted(name for name in names if _is_recorded(folder / name)))


def _is_recorded(folder: Path) -> bool:
    """Return whether a folder that may be read is that of a recorded voice."""
    try:
        return (folder / VOICE_FILE).is_file()
    except (OSError, ValueError):
        return False


def _fitted(voice: Voice, language: str) -> Voice:
    """Refuse a voice of another language; give a system voice the plan's."""
    if voice.language == ANY_LANGUAGE:
        return replace(voice, language=language)
    if primary(espeak_code(voice.language)) == primary(espeak_code(language)):
        return voice
    raise SpeechError(
        f"The voice {voice.name} speaks {voice.language!r}, not {language!r}.",
        f"Choose {ESPEAK_PREFIX}{espeak_code(language)} or leave the voice out.",
    )


def _default_voice(language: str) -> Voice:
    files = _files()
    best = _best_voice(language)
    if best in files:
        return voice_in(files[best])
    exact = f"espeak-{language}"
    if exact in files:
        return voice_in(files[exact])
    for code in (language, primary(language)):
        if espeak_code(code) in espeak_languages():
            return _espeak_voice(code)
    raise SpeechError(
        "No voice speaks the language "
        f"{language!r}.{nearest(language, known_languages())} Languages are written "
        "as codes (en, fr, pt-br).",
        f"Correct the language, or put a voice for it into {voice_folders()[0]}.",
    )


def _best_voice(language: str) -> str | None:
    """Return the voice that the folder of a language names, None if it names none."""
    written = language_file(language, PHRASES_FILE) is not None
    return load_phrases(language).voice if written else None


def _espeak_voice(language: str) -> Voice:
    """Return the espeak voice of any language, with settings of its file if any."""
    code = espeak_code(language)
    if code not in espeak_languages():
        raise SpeechError(
            f"espeak-ng does not speak {language!r}."
            f"{nearest(code, espeak_languages())} It knows: "
            f"{', '.join(espeak_languages())}."
        )
    files = _files()
    path = files.get(f"espeak-{code}") or files.get(f"espeak-{primary(code)}")
    name = f"{ESPEAK_PREFIX}{code}"
    if path is not None:
        return replace(voice_in(path), name=name, language=code)
    return Voice(
        name=name,
        engine="espeak",
        language=code,
        settings=(("rate", DEFAULT_RATE),),
        about="Spoken by rule.",
    )


def _files() -> dict[str, Path]:
    """Every voice's name and its file, of equal names the first found."""
    files: dict[str, Path] = {}
    for folder in voice_folders():
        if not may_be_read(folder):
            continue
        for path in sorted(folder.iterdir()):
            if _is_recorded(path):
                files.setdefault(path.name, path / VOICE_FILE)
            elif path.suffix in {".yaml", ".yml"} or is_model(path):
                files.setdefault(path.stem, path)
    return files
