"""Readers who do what readers do: slip, begin again, skip, stray, and talk between."""

from __future__ import annotations

import random
from dataclasses import replace
from typing import TYPE_CHECKING

from tests.takes.simulated import Said

if TYPE_CHECKING:
    from collections.abc import Sequence

TALK = (
    "Sorry, once more.",
    "Oh dear, where was I?",
    "Is this thing still running?",
    "Right, next page.",
    "I need a drink of water.",
)
OTHER_WORDS = {
    "left": "right",
    "right": "left",
    "up": "down",
    "down": "up",
    "slowly": "quickly",
    "feet": "knees",
    "hands": "elbows",
    "arms": "shoulders",
    "gently": "firmly",
    "forward": "sideways",
    "back": "front",
    "chair": "table",
    "twenty": "thirty",
    "thirty": "twenty",
    "three": "two",
    "toes": "fingers",
    "heel": "hip",
    "your": "the",
    "open": "closed",
    "low": "high",
}
"""What a tired reader says instead; half of these no rule of the package has."""

KINDS = {
    "again": 3,
    "false start": 4,
    "skipped": 3,
    "swapped": 2,
    "wrong name": 14,
    "wrong name, mended": 4,
    "wrong word": 4,
    "word left out": 3,
    "word added": 2,
    "talk": 3,
    "knock": 4,
    "breath": 5,
    "run on": 5,
}
"""How often each happens among a hundred lines."""


def slip_over(
    lines: Sequence[tuple[str, str]], names: Sequence[str], seed: int
) -> list[tuple[str, Said]]:
    """Return what is said when these lines (id, text) are read, each with its kind."""
    draw = random.Random(seed)
    kinds = [*KINDS, "plain"]
    weights = [*KINDS.values(), 100 - sum(KINDS.values())]
    found: list[tuple[str, Said]] = []
    queue = list(lines)
    while queue:
        line, text = queue.pop(0)
        kind = draw.choices(kinds, weights)[0]
        pause_ms = draw.randint(550, 1500)
        plain = Said(line=line, text=text, pause_ms=pause_ms)
        said = _said(kind, plain, names, draw)
        if said is None:
            found.append(("plain", plain))
        elif kind == "swapped" and queue:
            other, its_text = queue.pop(0)
            found.append((kind, Said(line=other, text=its_text, pause_ms=pause_ms)))
            found.append((kind, plain))
        else:
            found += [(kind, one) for one in said]
    return found


def _said(
    kind: str, plain: Said, names: Sequence[str], draw: random.Random
) -> list[Said] | None:
    """Return what is said for a line, None where this slip cannot befall it."""
    words = plain.text.split()
    if kind in WRONG:
        bad = WRONG[kind](plain.text, names, draw)
        wrong = replace(plain, text=bad, pause_ms=700, good=False)
        return bad and ([wrong, plain] if kind.endswith("mended") else [wrong])
    beside = Said(line=None, text=draw.choice(TALK) if kind == "talk" else "")
    found = {
        "again": [plain, plain],
        "talk": [plain, beside],
        "knock": [plain, beside],
        "run on": [replace(plain, pause_ms=70)],
        "skipped": [],
        "swapped": [plain],
    }
    if kind == "false start" and len(words) > 2:
        cut = " ".join(words[: draw.randint(1, len(words) - 1)])
        pause_ms = draw.randint(250, 900)
        return [replace(plain, text=cut, pause_ms=pause_ms, good=False), plain]
    if kind == "breath" and len(words) > 3:
        half = draw.randint(2, len(words) - 2)
        parts = (" ".join(words[:half]), " ".join(words[half:]))
        return [replace(plain, text="|".join(parts))]
    return found.get(kind)


def _another_name(text: str, names: Sequence[str], draw: random.Random) -> str | None:
    held = [name for name in names if f" {name}" in f" {text.lower()}"]
    if not held:
        return None
    name = max(held, key=len)
    at = text.lower().index(name)
    other = draw.choice([one for one in names if one not in held])
    return text[:at] + other + text[at + len(name) :]


def _another_word(text: str, _: Sequence[str], draw: random.Random) -> str | None:
    words = text.split()
    bare = [word.strip(".,:").lower() for word in words]
    places = [at for at, word in enumerate(bare) if word in OTHER_WORDS]
    if not places:
        return None
    at = draw.choice(places)
    words[at] = words[at].lower().replace(bare[at], OTHER_WORDS[bare[at]])
    return " ".join(words)


def _a_word_less(text: str, _: Sequence[str], draw: random.Random) -> str | None:
    words = text.split()
    if len(words) < 3:
        return None
    words.pop(draw.randint(0, len(words) - 2))
    return " ".join(words)


def _a_word_more(text: str, _: Sequence[str], draw: random.Random) -> str | None:
    words = text.split()
    if len(words) < 3:
        return None
    words.insert(draw.randint(1, len(words) - 1), draw.choice(["then", "just", "now"]))
    return " ".join(words)


WRONG = {
    "wrong name": _another_name,
    "wrong name, mended": _another_name,
    "wrong word": _another_word,
    "word left out": _a_word_less,
    "word added": _a_word_more,
}
