"""WebVTT as this package writes it: cues with an id, read back as they were written.

The format is that of the W3C (https://www.w3.org/TR/webvtt1/). Read is only what it
needs: notes, cues with an id, times, and the text as it stands; settings of a cue and
styles are passed over.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Sequence

ARROW: Final = "-->"
_TIME: Final = r"(?:(\d{2,}):)?([0-5]\d):([0-5]\d)\.(\d{3})"
_TIMES: Final = re.compile(rf"{_TIME}[ \t]+-->[ \t]+{_TIME}(?:[ \t].*)?")
_ESCAPES: Final = (("&lt;", "<"), ("&gt;", ">"), ("&amp;", "&"))


@dataclass(frozen=True, slots=True, kw_only=True)
class TimedText:
    """What stands from ``start_ms`` until ``end_ms``: marked-up text, or data."""

    id: str
    start_ms: int
    end_ms: int
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TimedTexts:
    """A whole file: the texts of its notes, and its cues in their order."""

    notes: tuple[str, ...]
    cues: tuple[TimedText, ...]


def webvtt_of(cues: Sequence[TimedText], note: str = "") -> str:
    """Return a WebVTT file of cues whose ids and texts it can hold as they are."""
    blocks = ["WEBVTT", *([f"NOTE\n{note}"] if note else [])]
    blocks += [
        f"{cue.id}\n{timestamp(cue.start_ms)} {ARROW} {timestamp(cue.end_ms)}\n"
        f"{cue.text}"
        for cue in cues
    ]
    return "\n\n".join(blocks) + "\n"


def read_webvtt(text: str) -> TimedTexts:
    """Return what a WebVTT file holds.

    Raises ValueError, with the number of the line, where it is none, or a cue has no
    id or no times.
    """
    lines = text.removeprefix("\ufeff").splitlines()
    if not lines or not re.match(r"WEBVTT(?:[ \t]|$)", lines[0]):
        raise ValueError("line 1: this is no WebVTT file")
    notes, cues = [], []
    for number, block in _blocks(lines):
        if block[0].split(maxsplit=1)[0] in {"STYLE", "REGION"}:
            continue
        if block[0].startswith("NOTE"):
            notes.append("\n".join([block[0][4:].strip(), *block[1:]]).strip())
            continue
        cues.append(_cue(number, block))
    return TimedTexts(notes=tuple(notes), cues=tuple(cues))


def _blocks(lines: Sequence[str]) -> list[tuple[int, list[str]]]:
    """Return what empty lines part after the head, with the number of its line."""
    blocks: list[tuple[int, list[str]]] = []
    parted = False
    for number, line in enumerate(lines, start=1):
        if not line.strip():
            parted = True
        elif parted:
            blocks.append((number, [line]))
            parted = False
        elif blocks:
            blocks[-1][1].append(line)
    return blocks


def _cue(number: int, block: Sequence[str]) -> TimedText:
    if ARROW in block[0]:
        raise ValueError(f"line {number}: this cue has no id")
    found = _TIMES.fullmatch(block[1].strip()) if len(block) > 1 else None
    if found is None:
        raise ValueError(f"line {number + 1}: a time such as 00:01.500 is expected")
    times = found.groups()
    start_ms, end_ms = _ms(times[:4]), _ms(times[4:])
    if end_ms <= start_ms:
        raise ValueError(f"line {number + 1}: the cue ends before it starts")
    return TimedText(
        id=block[0].strip(), start_ms=start_ms, end_ms=end_ms, text="\n".join(block[2:])
    )


def _ms(parts: Sequence[str | None]) -> int:
    hours, minutes, seconds, rest = (int(part or 0) for part in parts)
    return ((hours * 60 + minutes) * 60 + seconds) * 1000 + rest


def escaped(text: str) -> str:
    """Return ``text`` as WebVTT shows it unchanged, arrows included.

    >>> escaped("1 --> 2 & <b>")
    '1 --&gt; 2 &amp; &lt;b&gt;'
    """
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")


def unescaped(text: str) -> str:
    """Return what is shown of a text, its marks of markup taken off.

    >>> unescaped("<c.start>Go &amp; <b>go</b>!</c>")
    'Go & go!'
    """
    plain = re.sub(r"<[^>]*>", "", text)
    for mark, letter in _ESCAPES:
        plain = plain.replace(mark, letter)
    return plain


def timestamp(ms: int, point: str = ".") -> str:
    """Return a time as WebVTT writes it, SRT with a comma for ``point``.

    >>> timestamp(3_723_004)
    '01:02:03.004'
    """
    seconds, rest = divmod(ms, 1000)
    minutes, hours = seconds // 60, seconds // 3600
    return f"{hours:02}:{minutes % 60:02}:{seconds % 60:02}{point}{rest:03}"
