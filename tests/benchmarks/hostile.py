"""Plans, cue sheets and sound files as bad luck or bad will may make them.

Each is drawn from what is good, by a generator of random numbers that is handed in:
the same numbers give the same file.
"""

from __future__ import annotations

import copy
import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

import yaml

if TYPE_CHECKING:
    from collections.abc import Iterator
    from random import Random

EXAMPLES = [
    path.read_text("utf-8")
    for path in sorted(Path(__file__).parents[2].joinpath("examples").glob("*.yaml"))
]
MOST_LETTERS = 500_000
"""Twice as much as is read."""

SIGNS = (
    *(": ", "- ", "\n", "\n  ", "\t", "[", "]", "{", "}", "&a ", "*a", "!!x ", "? "),
    *("'", '"', "|\n", ">\n", "#", "%", "---\n", "...\n", "<<: *a", "\r", "\x85", ","),
    *("\\", '"\\x1b[2J"', '"\\e]0;a\\a"', '"\\0"', '"\\uD800"', "\u2028", "\u202e"),
    *("\ufeff", "\ud7ff", "\U0001f4a5", "e\u0301" * 9, "\x1b[31m", "\x7f", "\0"),
)
ENCODINGS = (
    *("utf-8",) * 12,
    *("utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "utf-32", "utf-7", "latin-1"),
    *("cp1252", "cp437", "cp037", "mac-roman", "koi8-r", "shift-jis", "gb18030"),
)
VALUES: tuple[Any, ...] = (
    *(None, True, False, 0, -1, 1, 50, 51, 1e300, -1e-300, 2**63, 10**4000, 0.1),
    *(float("nan"), float("inf"), "", " ", "none", "no", "1:30", "0:0", "99:99:99"),
    *("9" * 400, "1e999 s", "10 s from end", "halfway", "6 h", "1 h", "20 s", "5 s"),
    *("x" * 50_000, "word " * 20_000, "9 " * 140, "a\0b", "\x1b]0;a\x07", "\x9b2J"),
    *("\u202egnol", "../../../etc/passwd", "/dev/zero", "~", "[red]x[/]", "{x}", "%s"),
    *("espeak:de", "espeak:../x", "\ufdfa" * 60, "A\u0300" * 150, "...", "?!,;:"),
    *([], {}, [[]], [None], {"a": {}}, {"for": "1 h"}, {"own": "steady"}, ["a"] * 900),
    *(["heel dig"] * 60, {"movement": "x", "sides": "each"}, {"say": "x", "at": "1 s"}),
)


def plan(draw: Random) -> bytes:
    """Return the bytes of a plan."""
    text = draw.choice(EXAMPLES)
    if draw.random() < 0.5:
        text = _changed_plan(draw, text)
    for _ in range(draw.choice((0, 0, 1, 2, 5))):
        way = draw.choice((_scarred, _scarred, _nested, _anchored, _moved))
        text = way(draw, text)[:MOST_LETTERS]
    data = text.encode(draw.choice(ENCODINGS), errors="replace")
    return _damaged(draw, data) if draw.random() < 0.1 else data


def _changed_plan(draw: Random, text: str) -> str:
    """Put other values into a plan that is still YAML."""
    value = yaml.safe_load(text)
    for _ in range(draw.choice((1, 1, 2, 4))):
        value = _changed(draw, value, VALUES)
    return str(yaml.safe_dump(value, allow_unicode=draw.random() < 0.5))


def _scarred(draw: Random, text: str) -> str:
    for _ in range(draw.randint(1, 6)):
        start = draw.randint(0, len(text))
        gone = draw.choice((0, 0, 1, 5, 40))
        text = (
            text[:start]
            + draw.choice(SIGNS) * draw.choice((1, 1, 1, 3))
            + (text[start + gone :])
        )
    return text


def _nested(draw: Random, text: str) -> str:
    """Nest deeply, in brackets, by indentation or with keys."""
    depth = draw.choice((5, 19, 20, 21, 200, 5000, 50_000))
    opened, closed = draw.choice((("[", "]"), ("{a: ", "}"), ("- ", ""), ("? ", "")))
    deep = opened * depth + draw.choice(("", "x")) + closed * draw.choice((depth, 0))
    lines = text.splitlines(keepends=True)
    lines.insert(draw.randint(0, len(lines)), f"music: {deep}\n")
    return "".join(lines)


def _anchored(draw: Random, text: str) -> str:
    """Let aliases stand for aliases, or for what they stand in."""
    width, height = draw.choice(((2, 3), (9, 9), (9, 40), (1, 300), (200, 2)))
    rows = [f"a0: &a0 [{', '.join('x' * width)}]"]
    rows += [
        f"a{row}: &a{row} [{', '.join([f'*a{row - 1}'] * width)}]"
        for row in range(1, height)
    ]
    rows.append(draw.choice(("a: &a [*a]", "<<: *a1", "title: *a0", "music: *a2")))
    return "\n".join(rows) + "\n" + text


def _moved(draw: Random, text: str) -> str:
    lines = text.splitlines(keepends=True)
    for _ in range(draw.randint(1, 5)):
        line = lines.pop(draw.randrange(len(lines))) if lines else "\n"
        line = " " * draw.choice((0, 0, 2, 9)) + line
        lines.insert(draw.randint(0, len(lines)), line * draw.choice((0, 1, 1, 2, 400)))
    return "".join(lines)


def cue_sheet(draw: Random, good: dict[str, Any]) -> bytes:
    """Return the bytes of a cue sheet made from a good one."""
    sheet = copy.deepcopy(good)
    for _ in range(draw.choice((0, 1, 1, 2, 5))):
        sheet = draw.choice((_changed_sheet, _crowded, _stretched))(draw, sheet)
    text = json.dumps(sheet, ensure_ascii=draw.random() < 0.8)
    way = draw.random()
    if way < 0.1:
        depth = draw.choice((900, 5000, 2_000_000))
        deep = "[" * depth + "]" * draw.choice((0, depth))
        text = text.replace("null", deep, 1) if draw.random() < 0.5 else deep
    data = text.encode("utf-8", errors="surrogatepass")
    return _damaged(draw, data) if way > 0.85 else data


def _changed_sheet(draw: Random, sheet: dict[str, Any]) -> dict[str, Any]:
    values = (*VALUES, "\ud800", 24 * 3600 * 1000, 4 * 3600 * 1000, 44_100, "0" * 64)
    changed = _changed(draw, sheet, values)
    return changed if isinstance(changed, dict) else {"format": changed}


def _crowded(draw: Random, sheet: dict[str, Any]) -> dict[str, Any]:
    """Repeat a row many times, under its own name or others."""
    key = draw.choice(("cues", "tones", "segments", "left_out"))
    rows = sheet.get(key)
    whole = (
        [row for row in rows if isinstance(row, dict)]
        if (isinstance(rows, list))
        else []
    )
    if not whole:
        return sheet
    row = draw.choice(whole)
    for number in range(draw.choice((2, 30, 1000, 30_000))):
        again = {**row, "id": f"again {number}"} if "id" in row else dict(row)
        if "clip" in row and draw.random() < 0.3:
            again |= {"clip": f"{number:064d}", "spoken": f"Number {number}."}
        rows.append(again)
    return sheet


def _stretched(draw: Random, sheet: dict[str, Any]) -> dict[str, Any]:
    """Move the ends of a row, or of the class, to odd times."""
    times = (0, -1, 1, 0.5, 1e9, 86_400_000, 86_400_001, 14_400_000, 299_000, 9_999)
    lists = [sheet.get(key) for key in ("cues", "tones")]
    rows = [row for each in lists if isinstance(each, list) for row in each]
    row = draw.choice([sheet, *(row for row in rows if isinstance(row, dict))])
    key = draw.choice(("start_ms", "end_ms", "anchor_ms", "beat_ms", "duration_ms"))
    row[key] = draw.choice(times)
    return sheet


def sound(draw: Random, good: list[tuple[str, bytes]]) -> tuple[str, bytes]:
    """Return the ending and the bytes of a sound file made from good ones."""
    ending, data = draw.choice(good)
    for _ in range(draw.choice((1, 1, 2, 4))):
        data = draw.choice((_damaged, _bad_header, _spliced))(draw, data)
    if draw.random() < 0.2:
        ending = draw.choice(good)[0]
    return ending, data


def _damaged(draw: Random, data: bytes) -> bytes:
    """Cut, flip, repeat or blank bytes."""
    changed = bytearray(data)
    for _ in range(draw.choice((1, 1, 4, 60))):
        start = draw.randint(0, len(changed))
        length = draw.choice((1, 1, 4, 100, len(changed) // 2))
        way = draw.randrange(4)
        if way == 0:
            del changed[start : start + length]
        elif way == 1 and start < len(changed):
            changed[start] ^= 1 << draw.randrange(8)
        elif way == 2:
            changed[start:start] = changed[start : start + min(length, 10_000)]
        else:
            blank = draw.choice((b"\0", b"\xff", b"\x80"))
            part = changed[start : start + length]
            changed[start : start + length] = blank * len(part)
    return bytes(changed)


def _bad_header(draw: Random, data: bytes) -> bytes:
    """Write numbers that lie into the first bytes, where lengths and rates stand."""
    changed = bytearray(data)
    for _ in range(draw.randint(1, 4)):
        start = draw.randrange(min(draw.choice((64, 64, 1024)), len(changed)) or 1)
        bits = draw.choice((16, 32))
        number = draw.choice((0, 1, 2**bits - 1, 2 ** (bits - 1), 2**15, 65_521))
        order = draw.choice(("little", "big"))
        changed[start : start + bits // 8] = number.to_bytes(bits // 8, order)
    return bytes(changed)


def _spliced(draw: Random, data: bytes) -> bytes:
    """Put noise, nothing or a piece of itself before, into or behind a file."""
    parts = (bytes(70_000), draw.randbytes(5000), data[: len(data) // 3], b"ID3\4\0\0")
    part = draw.choice(parts)
    start = draw.choice((0, len(data), draw.randint(0, len(data))))
    return data[:start] + part + data[start:]


def _changed(draw: Random, whole: Any, values: tuple[Any, ...]) -> Any:
    """Return a value of which a part is another, gone, or under another key."""
    path = draw.choice([*_places(whole)])
    if not path:
        return copy.deepcopy(draw.choice(values))
    part = whole
    for step in path[:-1]:
        part = part[step]
    way = draw.random()
    if way < 0.1:
        del part[path[-1]]
    elif way < 0.2 and isinstance(part, dict):
        key = draw.choice(values)
        part[key if isinstance(key, str | int) else "key"] = part.pop(path[-1])
    else:
        part[path[-1]] = copy.deepcopy(draw.choice(values))
    return whole


def _places(value: Any, path: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """Yield the way to every part of a value, from the whole down."""
    yield path
    if isinstance(value, dict | list):
        parts = value.items() if isinstance(value, dict) else enumerate(value)
        for key, each in parts:
            yield from _places(each, (*path, key))
