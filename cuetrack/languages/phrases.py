"""Phrase packs: what the voice says in one language, as data.

A pack is ``phrases.yaml`` in the folder of its language. Each phrase has one or
more variants, so that the voice need not repeat itself; each variant has a full
wording and, where it helps, a short and a shortest one. Placeholders stand in
braces. A pack is checked whole when it is loaded, so a mistake in it shows at
once and not in the tenth minute of a class.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cache
from typing import TYPE_CHECKING, Final

from cuetrack.cuekinds import CUE_KINDS, phrase_fields
from cuetrack.errors import LanguageError
from cuetrack.languages.folders import (
    language_file,
    languages_with,
    refuse_if_any,
    table_in,
)
from cuetrack.languages.mark_rules import any_of
from cuetrack.languages.numbers import words_of_numbers
from cuetrack.languages.phrase_checks import LENGTHS, pack_mistakes
from cuetrack.languages.phrase_keys import SHEET_FIELDS, SHEET_LISTS

if TYPE_CHECKING:
    import re
    from collections.abc import Mapping
    from pathlib import Path

    from cuetrack.cuekinds import CueKinds

FILE: Final = "phrases.yaml"

Wordings = tuple[str, ...]
"""The wordings of one variant, filled, from full to shortest."""


@dataclass(frozen=True, slots=True, kw_only=True)
class EasyMovement:
    """What a recovery is filled with where the plan names nothing.

    Without ``how`` the library of the language knows how it is done.
    """

    name: str
    how: str | None = None
    how_short: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Phrases:
    """The words of one language, checked.

    ``counts`` are the words of a count in the order they are said, the last one
    a second before the change. ``side_names`` are what sides are called that a plan
    asks for by one word, ``sides`` how a side is said. ``body_sides`` are what a text
    that fits either side calls a part of the body, and how it is said with the side.
    ``sections`` are the titles of
    sections that the plan gives none. ``pronunciations`` are (written, said) pairs for
    the voice. ``voice`` is the one that speaks the language best, if it is there.
    ``templates`` holds the variants of every phrase. ``sheet`` and ``sheet_lists`` are
    the words of what is printed, ``chapters`` those of the track's chapters, ``page``
    those of the follow page, placeholders unfilled.
    """

    language: str
    name: str
    counts: Wordings
    numbers: Mapping[int, str]
    ordinals: Mapping[int, str]
    articles: Wordings
    side_names: Mapping[str, str]
    sides: Mapping[str, str]
    body_sides: Mapping[str, str]
    sections: Mapping[str, str]
    counted_nouns: Mapping[str, tuple[str, str]]
    pieces: Mapping[str, str]
    easy_movement: EasyMovement
    templates: Mapping[str, tuple[Wordings, ...]]
    pronunciations: tuple[tuple[str, str], ...]
    sheet: Mapping[str, str] = field(default_factory=dict)
    sheet_lists: Mapping[str, Wordings] = field(default_factory=dict)
    chapters: Mapping[str, str] = field(default_factory=dict)
    page: Mapping[str, str] = field(default_factory=dict)
    voice: str | None = None

    def variants(self, key: str, **fields: str) -> tuple[Wordings, ...]:
        """Return every variant of a phrase, filled, each from full to shortest.

        Wordings that come out alike, because a field was empty, appear once.
        """
        return tuple(
            tuple(dict.fromkeys(_filled(text, fields) for text in variant))
            for variant in self.templates[key]
        )

    def piece(self, key: str, **fields: str) -> str:
        """Return a part of a sentence, filled."""
        return self.pieces[key].format(**fields)

    def on_sheet(self, key: str, **fields: str) -> str:
        """Return words of the printed sheet, filled."""
        return self.sheet[key].format(**fields)

    def number(self, count: int) -> str:
        """Return a number in words where the pack has it, else in figures."""
        return self.numbers.get(count, str(count))

    def ordinal(self, position: int) -> str | None:
        """Return ``third`` for 3, None beyond the pack's list."""
        return self.ordinals.get(position)

    def counted(self, noun: str, count: int) -> str:
        """Return ``one round`` or ``three rounds``."""
        one, many = self.counted_nouns[noun]
        return (one if count == 1 else many).format(count=self.number(count))

    def length(self, length_ms: int) -> str:
        """Return a length of time in words; parts of a second are cut off."""
        minutes, seconds = divmod(length_ms // 1000, 60)
        parts = [
            self.counted(noun, count)
            for noun, count in (("minute", minutes), ("second", seconds))
            if count
        ]
        if len(parts) == 2:
            return self.piece("two lengths", first=parts[0], second=parts[1])
        return parts[0] if parts else self.counted("second", 0)

    def rounded_length(self, length_ms: int) -> str:
        """Return a length in whole minutes, or below 90 s in tens of seconds."""
        if length_ms >= 90_000:
            return self.length(round(length_ms / 60_000) * 60_000)
        return self.length(max(1, length_ms // 10_000) * 10_000)

    def lengths_between(self, least_ms: int, most_ms: int) -> str:
        """Return ``thirty seconds to one minute``; one length where both are alike."""
        least, most = self.length(least_ms), self.length(most_ms)
        if least == most:
            return least
        return self.piece("lengths between", first=least, second=most)

    def side(self, name: str) -> str:
        """Return what a side is called; one the pack does not know keeps its name."""
        return self.sides.get(name.lower(), name)

    def of_side(self, text: str, side: str) -> str:
        """Return ``Lift the right foot`` for ``Lift that foot`` and ``right leg``.

        A side that is not named in words the pack knows leaves the text alone.
        """
        bare = next((word for word in self.sides if word in side.lower().split()), None)
        if bare is None or not self.body_sides:
            return text
        pattern = any_of(self.body_sides, before=r"(?<!\w)", after=r"(?!\w)")

        def named(found: re.Match[str]) -> str:
            said = self.body_sides[found[0].lower()].format(side=bare)
            return said[0].upper() + said[1:] if found[0][0].isupper() else said

        return pattern.sub(named, text)

    def without_article(self, thing: str) -> str:
        """Return ``soft ball`` for ``a soft ball``."""
        first, _, rest = thing.strip().partition(" ")
        return rest if rest and first.lower() in self.articles else thing.strip()

    def listed(self, things: tuple[str, ...]) -> str:
        """Return ``a, b and c``."""
        *most, last = things
        if not most:
            return last
        first = most[0]
        for thing in most[1:]:
            first = self.piece("comma", first=first, second=thing)
        return self.piece("and", first=first, second=last)


def sentence(text: str) -> str:
    """Return text as a sentence: capital first, a full stop unless it has an end.

    >>> sentence("feet flat")
    'Feet flat.'
    >>> sentence("Ready?")
    'Ready?'
    """
    trimmed = " ".join(text.split())
    if not trimmed:
        return ""
    ended = trimmed if trimmed[-1] in ".!?…" else f"{trimmed}."
    return ended[0].upper() + ended[1:]


def inline(text: str) -> str:
    """Return text to follow a colon: small first letter, but whole names kept.

    >>> inline("Feet flat.")
    'feet flat.'
    >>> inline("TV stand height")
    'TV stand height.'
    """
    ended = sentence(text)
    own_small = text.strip()[:1].islower()
    shouted = ended[1:2].isupper() or ended[:2] == "I "
    if not ended or (shouted and not own_small):
        return ended
    return ended[0].lower() + ended[1:]


def known_languages() -> tuple[str, ...]:
    """Return the languages there is a phrase pack for, sorted."""
    return languages_with(FILE)


def load_phrases(language: str) -> Phrases:
    """Return the phrase pack of a language; ``en-GB`` falls back on ``en``.

    Raises
    ------
    LanguageError
        There is no such pack, or the pack has mistakes; all are listed.
    """
    pack = language_file(language, FILE)
    if pack is None:
        raise LanguageError(
            f"There are no phrases in the language '{language}'.",
            f"Use one of these: {', '.join(known_languages())}.",
        )
    return _loaded(pack)


@cache
def _loaded(pack: Path) -> Phrases:
    return read_phrases(pack.read_text(encoding="utf-8"), str(pack))


def read_phrases(text: str, file: str, kinds: CueKinds = CUE_KINDS) -> Phrases:
    """Return the pack written in ``text``; ``file`` is the name messages show.

    It must have the phrases of all ``kinds`` of cue, and no others.

    Raises
    ------
    LanguageError
        The text is not YAML or the pack has mistakes; all are listed.
    """
    pack = table_in(text, file)
    refuse_if_any(file, pack_mistakes(pack, phrase_fields(kinds)))
    language = pack["language"]
    return Phrases(
        language=language,
        name=pack["name"],
        counts=tuple(pack["count"]),
        numbers=pack.get("numbers") or words_of_numbers(language),
        ordinals=pack.get("ordinals") or words_of_numbers(language, ordinal=True),
        articles=tuple(pack["articles"]),
        side_names=pack["side names"],
        sides={name.lower(): said for name, said in pack["sides"].items()},
        body_sides=pack.get("body sides") or {},
        sections=pack["sections"],
        counted_nouns={n: (v["one"], v["many"]) for n, v in pack["counted"].items()},
        pieces=pack["pieces"],
        easy_movement=_easy_movement(pack["easy movement"]),
        templates={
            key: tuple(_wordings(variant) for variant in variants)
            for key, variants in pack["cues"].items()
        },
        pronunciations=tuple((pack.get("pronounce") or {}).items()),
        sheet={key: pack["sheet"][key] for key in SHEET_FIELDS},
        sheet_lists={key: tuple(pack["sheet"][key]) for key in SHEET_LISTS},
        chapters=pack["chapters"],
        page=pack["page"],
        voice=pack.get("voice"),
    )


def _easy_movement(words: Mapping[str, str]) -> EasyMovement:
    return EasyMovement(
        name=words["movement"], how=words.get("how"), how_short=words.get("in short")
    )


def _wordings(variant: str | Mapping[str, str]) -> Wordings:
    if isinstance(variant, str):
        return (variant,)
    return tuple(variant[length] for length in LENGTHS if length in variant)


def _filled(template: str, fields: Mapping[str, str]) -> str:
    """Fill a template; fields left empty leave no gap behind."""
    return sentence(template.format(**fields))
