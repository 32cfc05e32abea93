"""What the forms of the page let one choose from, in the words of the desk."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from cuetrack.desk.shelf import shown_name
from cuetrack.desk.templating import desk_words
from cuetrack.movements.library import library_entries
from cuetrack.movements.model import Role
from cuetrack.plan.model import (
    Coaching,
    Counting,
    MusicStyle,
    Options,
    Pace,
    SectionKind,
    TimeCalls,
)
from cuetrack.speech.voices import known_voices, recorded_in
from cuetrack.times import duration

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable

    from cuetrack.plan.model import Plan

SOUND_SUFFIXES: Final = frozenset(
    {".mp3", ".m4a", ".wav", ".flac", ".ogg", ".opus", ".aac"}
)
MOST_SOUNDS: Final = 30
_EASY: Final = frozenset({Role.RECOVERY, Role.WARM_UP})


def choices_for(plan: Plan, made: Collection[str]) -> dict[str, Any]:
    """Return what the forms of a class offer; ``made`` is no music of the leader's."""
    settings = (
        ("pace", "pace", plan.pace, Pace),
        ("coaching", "question coaching", plan.coaching, Coaching),
        ("options", "ways", plan.options, Options),
        ("counting", "counting", plan.counting, Counting),
        ("calls", "calls", plan.time_calls, TimeCalls),
    )
    words = desk_words()
    return {
        "voices": _voices_for(plan),
        "styles": tuple(map(str, MusicStyle)),
        "settings": tuple(
            (name, words[key], str(value), _worded(name, kind))
            for name, key, value, kind in settings
        ),
        "part_music": (("", words["as the class"]), *_worded("music", MusicStyle)),
        "coached": (("", words["as the class"]), *_worded("coaching", Coaching)),
        "kinds": tuple((str(one), words[f"part {one}"]) for one in SectionKind),
        "lasts": "" if plan.lasts_ms is None else duration(plan.lasts_ms),
        "pronounced": "\n".join(f"{a}: {b}" for a, b in plan.pronunciations),
        "easy_names": _easy_names(plan.language),
        "sounds": sounds_beside(Path(plan.file).parent, made),
        "files": tuple(Path(one).name for one in plan.music.files)
        if plan.music
        else (),
    }


def _voices_for(plan: Plan) -> tuple[str, ...]:
    """Return the voices of a class: recorded ones beside it, ours, and its own."""
    known = dict.fromkeys((*recorded_in(Path(plan.file).parent), *known_voices()))
    own = plan.voice
    return tuple(known) if own is None or own in known else (own, *known)


def _worded(name: str, values: Iterable[str]) -> tuple[tuple[str, str], ...]:
    words = desk_words()
    return tuple((str(one), words[f"{name} {one}"]) for one in values)


@cache
def _easy_names(language: str) -> tuple[str, ...]:
    """Return the movements that suit a break."""
    return tuple(
        one.name for one in library_entries(language) if one.movement.role in _EASY
    )


def sounds_beside(folder: Path, made: Collection[str] = ()) -> tuple[str, ...]:
    """Return the names of the sound files in a folder, but for those that were made."""
    names = (
        path.name
        for path in sorted(folder.iterdir())
        if path.suffix.casefold() in SOUND_SUFFIXES
        and path.name not in made
        and shown_name(path) == path.name
    )
    return tuple(name for name, _ in zip(names, range(MOST_SOUNDS), strict=False))
