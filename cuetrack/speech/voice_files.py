"""Voice files: what they may say, and the voice that each describes.

``voices/README.md`` tells people how to write one.
"""

from __future__ import annotations

import difflib
import json
from typing import TYPE_CHECKING, Any

import yaml

from cuetrack.documents.tree import LOADER
from cuetrack.errors import SpeechError
from cuetrack.speech import recorded_facts
from cuetrack.speech.languages import tidy
from cuetrack.speech.model import BeatRule, Voice
from cuetrack.speech.recorded_facts import VOICE_FILE

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping
    from pathlib import Path

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
    "recorded": {"sentence pause ms": _whole(0, 2000)},
}
"""What each engine may be told, and what its values must look like."""

RECORDED = "recorded"
NEEDED = {"neural": "model", "kokoro": "style"}
"""The setting without which an engine has nothing to speak with."""


def is_model(path: Path) -> bool:
    """Whether a file is a model with its description beside it."""
    return path.suffix == MODEL_SUFFIX and path.with_name(path.name + ".json").is_file()


def voice_in(path: Path) -> Voice:
    """Return the voice of a voice file, or of a model without one.

    Raises SpeechError when it cannot be read, or says what no voice may say.
    """
    return _read_model(path) if path.suffix == MODEL_SUFFIX else read_voice(path)


def read_voice(path: Path) -> Voice:
    """Return the voice that a file describes.

    Raises
    ------
    SpeechError
        If the file cannot be read, or says something that no voice may say.
    """
    data = _mapping(_load(path), "the file", path)
    recorded = data.get("engine") == RECORDED
    _check_keys(data, (*KEYS, *(recorded_facts.KEYS if recorded else ())), path)
    for needed in ("engine", "language"):
        if needed not in data:
            raise SpeechError(f"the key {needed!r} is missing.", "Add it.", file=path)
    engine = _choice(data["engine"], tuple(SETTINGS), "engine", path)
    name = str(data.get("name", name_of(path)))
    if name != name_of(path):
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
        recorded=recorded_facts.facts_in(data, path) if recorded else None,
    )


def name_of(path: Path) -> str:
    """Return the name of a voice: that of its file, of a recorded one its folder's."""
    return path.absolute().parent.name if path.name == VOICE_FILE else path.stem


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
        events = yaml.parse(text, LOADER)
        if any(isinstance(event, yaml.AliasEvent) for event in events):
            raise SpeechError("a voice file has no aliases (*).", file=path)
        return yaml.load(text, LOADER)  # noqa: S506 - both loaders are safe
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
                f"unknown key {key!r}.{nearest(key, known)} Known here: "
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


def nearest(word: str, known: Iterable[str]) -> str:
    """Return a sentence with the words most like one, empty when none is."""
    near = difflib.get_close_matches(word, tuple(known), n=3)
    return f" Did you mean {' or '.join(near)}?" if near else ""
