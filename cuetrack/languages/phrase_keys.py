"""What a phrase pack must hold besides the phrases of cues, and what may fill it.

A pack is complete when it has each key of ``PIECE_FIELDS``, ``PAGE_FIELDS`` and
``COUNTED``, each phrase that a kind of cue needs (``cuekinds``), and uses no
placeholder that is not listed beside it.
"""

from __future__ import annotations

from types import MappingProxyType
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping

CHAPTER_FIELDS: Mapping[str, frozenset[str]] = MappingProxyType(
    {
        "in section": frozenset({"section", "movement"}),
        "in round": frozenset({"section", "movement", "round"}),
        "recovery": frozenset({"section", "movement", "round"}),
    }
)
"""How the chapters of a track are named."""

PIECE_FIELDS: Mapping[str, frozenset[str]] = MappingProxyType(
    {
        "side first": frozenset({"side"}),
        "side start": frozenset({"side"}),
        "hold": frozenset(),
        "let go": frozenset(),
        "keep moving": frozenset(),
        "keep holding": frozenset(),
        "hold until tone": frozenset(),
        "end of recovery": frozenset(),
        "stay seated unless safe": frozenset(),
        "sit down again": frozenset(),
        "change legs on foot": frozenset(),
        "set up first": frozenset(),
        "other side": frozenset(),
        "two lengths": frozenset({"first", "second"}),
        "lengths between": frozenset({"first", "second"}),
        "comma": frozenset({"first", "second"}),
        "and": frozenset({"first", "second"}),
        "water": frozenset(),
        "telephone": frozenset(),
        "sound band": frozenset({"band"}),
    }
)
"""Parts of sentences, put together before a phrase is filled."""

PAGE_FIELDS: Mapping[str, frozenset[str]] = MappingProxyType(
    {
        key: frozenset(fields.split())
        for key, fields in {
            "start": "",
            "start again": "",
            "play": "",
            "pause": "",
            "back": "",
            "forward": "",
            "hold": "",
            "end hold": "",
            "full screen": "",
            "leave full screen": "",
            "list": "",
            "more": "",
            "shut": "",
            "player": "",
            "kind welcome": "",
            "kind opening": "",
            "kind move": "",
            "kind work": "",
            "kind rest": "",
            "kind recovery": "",
            "kind close": "",
            "ready": "",
            "paused": "",
            "on hold": "",
            "count": "",
            "finished": "",
            "feet": "",
            "easy movement": "",
            "paused hint": "",
            "second left": "",
            "seconds left": "",
            "minutes left": "",
            "count left": "",
            "held for": "",
            "next": "",
            "then": "first second",
            "with side": "movement side",
            "the end": "",
            "back to": "",
            "need": "",
            "easier": "",
            "care": "",
            "round": "round rounds",
            "position": "position positions",
            "clock": "done total",
            "announce": "kind what length",
            "announce kind": "kind length",
            "voice says": "",
            "captions": "",
            "captions page": "",
            "captions browser": "",
            "captions off": "",
            "parts": "",
            "part": "movement round",
            "before": "",
            "bring": "",
            "lasts": "length",
            "sound": "",
            "voice volume": "",
            "music volume": "",
            "volume by device": "",
            "keys": "",
            "letter keys": "hold full",
            "hold letter": "",
            "full letter": "",
            "key space": "",
            "key arrows": "",
            "space": "",
            "arrows": "",
            "about hold": "",
            "after a pause": "",
            "screen may sleep": "",
            "safety": "",
            "stop signs": "",
            "alone": "",
            "no sound": "file",
            "press again": "",
            "no script": "",
            "go on from": "time",
            "from the start": "",
            "no output": "",
            "no decoder": "",
            "sound stands": "",
            "letters": "",
            "letters usual": "",
            "letters large": "",
            "letters largest": "",
            "theme": "",
            "theme device": "",
            "theme light": "",
            "theme dark": "",
            "figure": "",
            "figure moves": "",
            "figure still": "",
            "tone start": "",
            "tone stop": "",
            "tone side": "",
            "tone midway": "",
        }.items()
    }
)
"""The words of the follow page, and the placeholders each may use."""

COUNTED = ("round", "movement", "second", "minute")
"""Nouns a pack must be able to count: one of them, and ``{count}`` of them."""

SECTION_NAMES = (
    "welcome",
    "warm-up",
    "intervals",
    "recovery",
    "cool-down",
    "close",
)
"""Kinds of section a pack must name."""

SIDE_NAMES = (
    "right",
    "left",
    "right leg",
    "left leg",
    "right foot",
    "left foot",
    "right arm",
    "left arm",
)
"""The sides that a plan may ask for by one word, such as each leg."""

SHEET_FIELDS: Mapping[str, frozenset[str]] = MappingProxyType(
    {
        key: frozenset(fields.split())
        for key, fields in {
            "short minutes": "count",
            "short seconds": "count",
            "from to": "start end",
            "quote": "text",
            "number and thing": "number thing",
            "length": "",
            "bring": "",
            "who leads": "",
            "voice leads": "",
            "leader leads": "",
            "parts": "",
            "part": "",
            "starts": "",
            "lasts": "",
            "before": "",
            "when to stop": "",
            "stop signs": "",
            "what to do": "",
            "other rules": "",
            "venue": "",
            "time column": "",
            "what column": "",
            "page": "page pages",
            "time so far": "time",
            "round": "round rounds",
            "work": "",
            "rest": "",
            "get ready": "",
            "recovery": "movement",
            "easier": "",
            "harder": "",
            "take care": "",
            "pick up": "",
            "put down": "",
            "in hands": "",
            "sides": "",
            "side at": "side time",
            "voice": "",
            "voice at": "time",
            "you": "",
            "own welcome": "",
            "own close": "",
            "glance round": "round",
            "glance clock": "work rest",
            "glance alike": "work",
            "glance changes": "",
            "glance with": "thing",
            "glance later": "times",
            "glance sides": "length sides",
            "glance break": "time recovery length",
            "glance stop": "",
            "glance emergency": "",
            "glance whole": "length",
            "glance track": "",
            "before bands": "",
            "home title": "title",
            "home intervals": "work rest rounds",
            "home once": "length",
            "home sides": "sides",
            "home before": "",
            "notice head": "title",
            "notice what": "length",
            "notice main": "rounds movements work rest",
            "notice main alike": "rounds movements work",
            "notice frame": "",
            "notice movements": "movements",
            "notice some movements": "movements",
            "notice bring": "things",
            "notice rest": "",
            "notice caution": "",
            "notice unwell": "",
            "notice at home": "",
            "picture": "title",
            "picture told": "length movements",
            "picture clock": "",
            "picture next": "",
            "picture coaching": "",
            "picture other": "",
            "picture tones": "",
            "picture work": "",
            "picture move": "",
            "picture rest": "",
            "picture recovery": "",
            "picture talk": "",
            "picture loudness": "",
            "picture voice": "",
            "picture bed": "",
            "picture minutes": "",
        }.items()
    }
)
"""Words of what is printed: run sheet, notice and picture."""

SHEET_LISTS = (
    "before list",
    "stop sign list",
    "what to do list",
    "venue blanks",
    "notice blanks",
)
"""Lists of what is printed, each with at least one line."""
