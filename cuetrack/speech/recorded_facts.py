"""Who is heard in a recorded voice, and what that person agreed to."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

from cuetrack.errors import SpeechError

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

VOICE_FILE: Final = "voice.yaml"
SOUND_FILE: Final = "clips.flac"
LINES_FILE: Final = "clips.vtt"
FILES: Final = (VOICE_FILE, SOUND_FILE, LINES_FILE)
"""The files of a recorded voice, in a folder that has the name of the voice."""

LONGEST_TEXT: Final = 300
MOST_TAKES: Final = 400
KEYS: Final = ("who", "consent", "filling voice", "takes")
"""What the file of a recorded voice says besides what every voice file may say."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Consent:
    """That a person lets their voice be used: by whom, when (ISO 8601), for what."""

    by: str
    day: str
    use: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TakeOrigin:
    """A take that clips were cut from: the name of its file, and its SHA-256."""

    file: str
    sha256: str


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordedFacts:
    """What the file of a recorded voice says of the person.

    ``filling`` names the voice that says what was not read, empty for none.
    """

    who: str
    consent: Consent
    filling: str = ""
    takes: tuple[TakeOrigin, ...] = ()


def facts_in(data: Mapping[str, Any], path: Path) -> RecordedFacts:
    """Return the facts in the content of a voice file.

    Raises SpeechError where something is missing or of another form.
    """
    takes = data.get("takes", [])
    if not isinstance(takes, list) or len(takes) > MOST_TAKES:
        raise SpeechError(f"takes must be a list of at most {MOST_TAKES}.", file=path)
    filling = data.get("filling voice") or ""
    return RecordedFacts(
        who=_text(data, "who", path),
        consent=_consent(data.get("consent"), path),
        filling=_text(data, "filling voice", path) if filling else "",
        takes=tuple(_take(take, path) for take in takes),
    )


def facts_as_data(facts: RecordedFacts) -> dict[str, Any]:
    """Return the facts as a voice file has them; `facts_in` reads them again."""
    consent = facts.consent
    data: dict[str, Any] = {
        "who": facts.who,
        "consent": {"by": consent.by, "day": consent.day, "for": consent.use},
    }
    if facts.filling:
        data["filling voice"] = facts.filling
    takes = [{"file": take.file, "sha256": take.sha256} for take in facts.takes]
    return data | {"takes": takes}


def _consent(value: object, path: Path) -> Consent:
    if not isinstance(value, dict):
        raise SpeechError(
            "it does not say that the person agreed.",
            "Write consent: {by: NAME, day: DATE, for: WHAT}, once they did.",
            file=path,
        )
    _refuse_others(value, ("by", "day", "for"), "consent", path)
    return Consent(
        by=_text(value, "by", path),
        day=_day(value, path),
        use=_text(value, "for", path),
    )


def _day(value: Mapping[str, Any], path: Path) -> str:
    said = value.get("day")
    try:
        return dt.date.fromisoformat(str(said)).isoformat()
    except ValueError:
        raise SpeechError(
            f"the day of the consent is {said!r}, expected a date such as 2026-11-26.",
            file=path,
        ) from None


def _take(value: object, path: Path) -> TakeOrigin:
    if not isinstance(value, dict):
        raise SpeechError("a take must have file and sha256.", file=path)
    _refuse_others(value, ("file", "sha256"), "a take", path)
    digest = str(value.get("sha256"))
    if len(digest) != 64 or set(digest) - set("0123456789abcdef"):
        raise SpeechError("a take's sha256 must be 64 hexadecimal digits.", file=path)
    return TakeOrigin(file=_text(value, "file", path), sha256=digest)


def _text(data: Mapping[str, Any], key: str, path: Path) -> str:
    said = data.get(key)
    text = said.strip() if isinstance(said, str) else ""
    if not text or not text.isprintable() or len(text) > LONGEST_TEXT:
        raise SpeechError(
            f"{key} is {said!r}, expected a line of at most {LONGEST_TEXT} letters.",
            file=path,
        )
    return text


def _refuse_others(
    value: Mapping[object, Any], known: tuple[str, ...], what: str, path: Path
) -> None:
    others = [str(key) for key in value if key not in known]
    if others:
        raise SpeechError(
            f"{what} has an unknown key {others[0]!r}. Known here: {', '.join(known)}.",
            file=path,
        )
