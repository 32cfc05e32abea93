"""Voice files: where they are looked for, what they may say, which one to take.

A voice is a small YAML file, or a model ``NAME.onnx`` with its ``NAME.onnx.json``
that a user puts into a folder of their own. ``voices/README.md`` says how. Looked for
in this order, the first of a name wins: the folders in ``CUETRACK_VOICES``, the user's
data folder, the folder that comes with cuetrack. Besides, ``espeak:CODE`` is a voice
for every language code of the embedded espeak-ng.
"""

from __future__ import annotations

import difflib
import json
import os
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import platformdirs
import yaml

from cuetrack.errors import SpeechError
from cuetrack.languages.folders import language_file, may_be_read
from cuetrack.languages.phrases import FILE as PHRASES_FILE
from cuetrack.languages.phrases import load_phrases
from cuetrack.speech.languages import espeak_code, espeak_languages, primary, tidy
from cuetrack.speech.model import BeatRule, Voice
from cuetrack.speech.pace import paced, split_pace

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping

ANY_LANGUAGE = "any"
"""The language of a voice that speaks whatever the operating system speaks."""

ESPEAK_PREFIX = "espeak:"
DEFAULT_RATE = "125"
"""espeak-ng's own unit: about 145 English words a minute."""
_NO_CONFIG = (ValueError, KeyError, AttributeError, TypeError, RecursionError)
MODEL_SUFFIX = ".onnx"
MAX_BYTES = 65_536

KEYS = (
    *("name", "engine", "language", "about", "words a minute"),
    *("settings", "beat", "licence", "origin"),
)
BEAT_KEYS = ("rule", "corrections ms")


def _number(low: float, high: float) -> Callable[[str], bool]:
    def check(text: str) -> bool:
        try:
            return low <= float(text) <= high
        except ValueError:
            return False

    check.__doc__ = f"a number from {low:g} to {high:g}"
    return check


def _whole(low: int, high: int) -> Callable[[str], bool]:
    def check(text: str) -> bool:
        return text.isascii() and text.isdigit() and low <= int(text) <= high

    check.__doc__ = f"a whole number from {low} to {high}"
    return check


def _word(text: str) -> bool:
    """text"""  # noqa: D400, D403 - shown inside a sentence
    return bool(text) and text.isprintable()


def _digest(text: str) -> bool:
    """64 hexadecimal digits"""  # noqa: D400 - shown inside a sentence
    return len(text) == 64 and all(digit in "0123456789abcdef" for digit in text)


SETTINGS: Mapping[str, Mapping[str, Callable[[str], bool]]] = {
    "neural": {
        "package": _word,
        "model": _word,
        "model sha256": _digest,
        "config sha256": _digest,
        "length scale": _number(0.5, 3.0),
        "sentence pause ms": _whole(0, 2000),
        "speaker": _whole(0, 10_000),
    },
    "kokoro": {
        "style": _word,
        "style sha256": _digest,
        "length scale": _number(0.5, 3.0),
        "sentence pause ms": _whole(0, 2000),
    },
    "espeak": {"rate": _whole(80, 300), "variant": _word},
    "system": {"voice": _word, "rate": _whole(80, 300), "timeout s": _whole(1, 600)},
}
"""What each engine may be told, and what its values must look like."""

NEEDED = {"neural": "model", "kokoro": "style"}
"""The setting without which an engine has nothing to speak with."""


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
            codes.add(_read(path).language)
        except SpeechError:
            continue  # a broken voice is reported when it is asked for
    return tuple(sorted(codes - {ANY_LANGUAGE}))


def find_voice(name: str | None, language: str) -> Voice:
    """Return the voice of this name, or the default voice of ``language``.

    The default is the voice that the folder of the language names, such as the
    neural one of English, and espeak-ng where it names none. A pace behind the name,
    as in ``joe, calm``, is that of the voice.

    Raises
    ------
    SpeechError
        If there is no such voice, its file is wrong, it speaks another language, or
        no voice speaks the language.
    """
    if name is None:
        return _default_voice(tidy(language))
    plain, pace = split_pace(name)
    return paced(_fitted(voice_named(plain), tidy(language)), pace)


def voice_named(name: str) -> Voice:
    """Return the voice of this name, whatever it speaks.

    Raises
    ------
    SpeechError
        If there is no such voice, or its file is wrong.
    """
    if name.lower().startswith(ESPEAK_PREFIX):
        return _espeak_voice(name[len(ESPEAK_PREFIX) :])
    files = _files()
    by_lower = {known.lower(): known for known in files}
    found = by_lower.get(name.strip().lower())
    if found is None:
        raise SpeechError(
            f"There is no voice {name!r}.{_nearest(name, files)} Known voices: "
            f"{', '.join(sorted(files))}, and {ESPEAK_PREFIX}CODE for any language "
            "code of espeak-ng."
        )
    return _read(files[found])


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
        return _read(files[best])
    exact = f"espeak-{language}"
    if exact in files:
        return _read(files[exact])
    for code in (language, primary(language)):
        if espeak_code(code) in espeak_languages():
            return _espeak_voice(code)
    raise SpeechError(
        "No voice speaks the language "
        f"{language!r}.{_nearest(language, known_languages())} Languages are written "
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
            f"{_nearest(code, espeak_languages())} It knows: "
            f"{', '.join(espeak_languages())}."
        )
    files = _files()
    path = files.get(f"espeak-{code}") or files.get(f"espeak-{primary(code)}")
    name = f"{ESPEAK_PREFIX}{code}"
    if path is not None:
        return replace(_read(path), name=name, language=code)
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
            if path.suffix in {".yaml", ".yml"} or _is_model(path):
                files.setdefault(path.stem, path)
    return files


def _is_model(path: Path) -> bool:
    return path.suffix == MODEL_SUFFIX and path.with_name(path.name + ".json").is_file()


def _read(path: Path) -> Voice:
    return _read_model(path) if path.suffix == MODEL_SUFFIX else read_voice(path)


def read_voice(path: Path) -> Voice:
    """Return the voice that a file describes.

    Raises
    ------
    SpeechError
        If the file cannot be read, or says something that no voice may say.
    """
    data = _mapping(_load(path), "the file", path)
    _check_keys(data, KEYS, path)
    for needed in ("engine", "language"):
        if needed not in data:
            raise SpeechError(f"the key {needed!r} is missing.", "Add it.", file=path)
    engine = _choice(data["engine"], tuple(SETTINGS), "engine", path)
    name = str(data.get("name", path.stem))
    if name != path.stem:
        raise SpeechError(
            f"the name {name!r} differs from the file's.",
            "Name one as the other.",
            file=path,
        )
    beat = _mapping(data.get("beat", {}), "beat", path)
    _check_keys(beat, BEAT_KEYS, path)
    rules = tuple(rule.value for rule in BeatRule)
    return Voice(
        name=name,
        engine=engine,
        language=_language(data["language"]),
        settings=_settings(data.get("settings", {}), engine, path),
        beat_rule=BeatRule(_choice(beat.get("rule", "rise"), rules, "rule", path)),
        beat_offsets_ms=_corrections(beat.get("corrections ms", {}), path),
        folder=path.resolve().parent,
        about=str(data.get("about", "")),
        licence=str(data.get("licence", "")),
        words_a_minute=_pace(data.get("words a minute"), path),
    )


def _pace(value: object, path: Path) -> int | None:
    if value is None:
        return None
    if type(value) is int and 40 <= value <= 400:
        return value
    raise SpeechError(
        f"words a minute is {value!r}, expected a whole number from 40 to 400.",
        file=path,
    )


def _load(path: Path) -> object:
    try:
        with path.open("rb") as file:
            content = file.read(MAX_BYTES + 1)
        if len(content) > MAX_BYTES:
            raise SpeechError(
                f"{path} is larger than a voice file may be ({MAX_BYTES} bytes)."
            )
        text = content.decode("utf-8")
        # Aliases of aliases could stand for more than any memory holds.
        if any(isinstance(event, yaml.AliasEvent) for event in yaml.parse(text)):
            raise SpeechError("a voice file has no aliases (*).", file=path)
        return yaml.safe_load(text)
    except OSError as error:
        raise SpeechError(f"{path} cannot be read: {error.strerror}.") from error
    except UnicodeDecodeError as error:
        raise SpeechError(f"{path} is not UTF-8 text.", "Save it as UTF-8.") from error
    except (yaml.YAMLError, RecursionError) as error:
        raise SpeechError(f"{path} is not YAML: {error}") from error


def _mapping(value: object, what: str, path: Path) -> dict[str, Any]:
    if not isinstance(value, dict):
        raise SpeechError(
            f"{what} must be keys with values, as in the other voice files.", file=path
        )
    return {str(key): content for key, content in value.items()}


def _check_keys(data: Iterable[str], known: Iterable[str], path: Path) -> None:
    known = tuple(known)
    for key in data:
        if key not in known:
            raise SpeechError(
                f"unknown key {key!r}.{_nearest(key, known)} Known here: "
                f"{', '.join(known)}.",
                file=path,
            )


def _choice(value: object, known: tuple[str, ...], what: str, path: Path) -> str:
    if value in known:
        return str(value)
    raise SpeechError(
        f"{what} is {value!r}, expected one of: {', '.join(known)}.", file=path
    )


def _language(value: object) -> str:
    """Return a language code; YAML reads Norwegian's as a truth value."""
    return "no" if value is False else tidy(str(value))


def _settings(value: object, engine: str, path: Path) -> tuple[tuple[str, str], ...]:
    settings = _mapping(value, "settings", path)
    checks = SETTINGS[engine]
    _check_keys(settings, checks, path)
    for name, content in settings.items():
        check = checks[name]
        if isinstance(content, (dict, list, bool)) or not check(str(content)):
            raise SpeechError(
                f"{name} is {content!r}, expected {check.__doc__}.", file=path
            )
    needed = NEEDED.get(engine)
    if needed and needed not in settings:
        raise SpeechError(f"the setting {needed!r} is missing.", "Add it.", file=path)
    return tuple(sorted((name, str(content)) for name, content in settings.items()))


def _corrections(value: object, path: Path) -> tuple[tuple[str, int], ...]:
    corrections = _mapping(value, "corrections ms", path)
    for word, offset in corrections.items():
        if type(offset) is not int or abs(offset) > 500:
            raise SpeechError(
                f"the correction of {word!r} is {offset!r}, expected whole "
                "milliseconds from -500 to 500.",
                file=path,
            )
    return tuple(sorted((word.lower(), offset) for word, offset in corrections.items()))


def _read_model(path: Path) -> Voice:
    """Return the voice of a model that stands in a folder without a voice file."""
    config = path.with_name(path.name + ".json")
    try:
        data = json.loads(config.read_text(encoding="utf-8"))
        language = data.get("language", {}).get("code") or data["espeak"]["voice"]
    except (OSError, *_NO_CONFIG) as error:
        raise SpeechError(
            f"{config} does not say which language the model speaks ({error!r}).",
            "It must be the JSON file that came with the model.",
        ) from error
    return Voice(
        name=path.stem,
        engine="neural",
        language=tidy(str(language)),
        settings=(("model", path.name),),
        folder=path.resolve().parent,
        about=f"The model {path.name}, without a voice file.",
    )


def _nearest(word: str, known: Iterable[str]) -> str:
    near = difflib.get_close_matches(word, tuple(known), n=3)
    return f" Did you mean {' or '.join(near)}?" if near else ""
