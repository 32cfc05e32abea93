"""Phrase packs: what the voice says in one language, as data.

A pack is ``phrases/LANGUAGE.yaml`` beside this module. Each phrase has one or
more variants, so that the voice need not repeat itself; each variant has a full
wording and, where it helps, a short and a shortest one. Placeholders stand in
braces. A pack is checked whole when it is loaded, so a mistake in it shows at
once and not in the tenth minute of a class.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from difflib import get_close_matches
from functools import cache
from importlib.resources import files
from string import Formatter
from typing import TYPE_CHECKING, Any

import yaml

from cuetrack.errors import CuetrackError
from cuetrack.languages.phrase_keys import (
    COUNTED,
    CUE_FIELDS,
    PAGE_FIELDS,
    PIECE_FIELDS,
    SECTION_NAMES,
    SHEET_FIELDS,
    SHEET_LISTS,
)

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping

LENGTHS = ("full", "short", "shortest")
"""The wordings of a variant, in the order they are tried."""

Wordings = tuple[str, ...]
"""The wordings of one variant, filled, from full to shortest."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Phrases:
    """The words of one language, checked.

    ``counts`` are the words of a count in the order they are said, the last one
    a second before the change. ``pronunciations`` are (written, said) pairs for
    the voice. ``templates`` holds the variants of every phrase. ``sheet`` and
    ``sheet_lists`` are the words of what is printed, ``page`` those of the follow
    page, placeholders unfilled.
    """

    language: str
    name: str
    counts: Wordings
    numbers: Mapping[int, str]
    ordinals: Mapping[int, str]
    articles: Wordings
    sides: Mapping[str, str]
    sections: Mapping[str, str]
    counted_nouns: Mapping[str, tuple[str, str]]
    pieces: Mapping[str, str]
    templates: Mapping[str, tuple[Wordings, ...]]
    pronunciations: tuple[tuple[str, str], ...]
    sheet: Mapping[str, str] = field(default_factory=dict)
    sheet_lists: Mapping[str, Wordings] = field(default_factory=dict)
    page: Mapping[str, str] = field(default_factory=dict)

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

    def side(self, name: str) -> str:
        """Return what a side is called; one the pack does not know keeps its name."""
        return self.sides.get(name.lower(), name)

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
    return tuple(
        sorted(
            folder.name
            for folder in files("cuetrack.languages").iterdir()
            if folder.joinpath("phrases.yaml").is_file()
        )
    )


@cache
def load_phrases(language: str) -> Phrases:
    """Return the phrase pack of a language; ``en-GB`` falls back on ``en``.

    Raises
    ------
    CuetrackError
        There is no such pack, or the pack has mistakes; all are listed.
    """
    known = known_languages()
    wanted = language.lower().replace("_", "-")
    name = next((n for n in (wanted, wanted.partition("-")[0]) if n in known), None)
    if name is None:
        raise CuetrackError(
            f"There are no phrases in the language '{language}'. "
            f"Use one of these: {', '.join(known)}."
        )
    pack = files("cuetrack.languages").joinpath(name, "phrases.yaml")
    return read_phrases(pack.read_text(encoding="utf-8"), f"{name}.yaml")


def read_phrases(text: str, file: str) -> Phrases:
    """Return the pack written in ``text``; ``file`` is the name messages show.

    Raises
    ------
    CuetrackError
        The text is not YAML or the pack has mistakes; all are listed.
    """
    loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
    try:
        pack = yaml.load(text, Loader=loader)  # noqa: S506 - both loaders are safe
    except yaml.YAMLError as error:
        raise CuetrackError(f"{file}: this is not YAML. {error}") from error
    mistakes = (
        list(_mistakes(pack))
        if isinstance(pack, dict)
        else ["This is not a list of keys."]
    )
    if mistakes:
        raise CuetrackError("\n".join(f"{file}: {mistake}" for mistake in mistakes))
    return Phrases(
        language=pack["language"],
        name=pack["name"],
        counts=tuple(pack["count"]),
        numbers=pack["numbers"],
        ordinals=pack["ordinals"],
        articles=tuple(pack["articles"]),
        sides=pack["sides"],
        sections=pack["sections"],
        counted_nouns={n: (v["one"], v["many"]) for n, v in pack["counted"].items()},
        pieces=pack["pieces"],
        templates={
            key: tuple(_wordings(variant) for variant in variants)
            for key, variants in pack["cues"].items()
        },
        pronunciations=tuple((pack.get("pronounce") or {}).items()),
        sheet={key: pack["sheet"][key] for key in SHEET_FIELDS},
        sheet_lists={key: tuple(pack["sheet"][key]) for key in SHEET_LISTS},
        page=pack["page"],
    )


_TOP_KEYS: Mapping[str, type] = {
    "language": str,
    "name": str,
    "count": list,
    "numbers": dict,
    "ordinals": dict,
    "articles": list,
    "sides": dict,
    "sections": dict,
    "counted": dict,
    "pieces": dict,
    "cues": dict,
    "page": dict,
    "sheet": dict,
}


def _wordings(variant: str | Mapping[str, str]) -> Wordings:
    if isinstance(variant, str):
        return (variant,)
    return tuple(variant[length] for length in LENGTHS if length in variant)


def _filled(template: str, fields: Mapping[str, str]) -> str:
    """Fill a template; fields left empty leave no gap behind."""
    return sentence(template.format(**fields))


def _mistakes(pack: Mapping[str, object]) -> Iterator[str]:
    """Yield what is wrong with a pack, in words for whoever writes it."""
    wrong_kind = {
        key for key, kind in _TOP_KEYS.items() if not isinstance(pack.get(key), kind)
    }
    for key in sorted(wrong_kind):
        yield f"'{key}' is missing or is no {_KIND_NAMES[_TOP_KEYS[key]]}."
    yield from _unknown(pack, {*_TOP_KEYS, "pronounce"}, "the pack")
    for key, check in _CHECKS.items():
        if key not in wrong_kind:
            yield from check(pack[key])


_KIND_NAMES: Mapping[type, str] = {str: "text", list: "list", dict: "table"}


def _table_mistakes(
    table: Mapping[str, object], fields: Mapping[str, frozenset[str]], where: str
) -> Iterator[str]:
    for key, allowed in fields.items():
        if key not in table:
            yield f"{where}: '{key}' is missing."
        else:
            yield from _text_mistakes(table[key], allowed, f"{where}: {key}")
    yield from _unknown(table, set(fields), where)


def _piece_mistakes(pieces: Mapping[str, object]) -> Iterator[str]:
    yield from _table_mistakes(pieces, PIECE_FIELDS, "pieces")


def _sheet_mistakes(sheet: Mapping[str, object]) -> Iterator[str]:
    texts = {key: sheet[key] for key in sheet if key not in SHEET_LISTS}
    yield from _table_mistakes(texts, SHEET_FIELDS, "sheet")
    for key in SHEET_LISTS:
        lines = sheet.get(key)
        if not isinstance(lines, list) or not lines:
            yield f"sheet: '{key}' is missing; give it at least one line."
            continue
        for line in lines:
            yield from _text_mistakes(line, frozenset(), f"sheet: {key}")


def _page_mistakes(page: Mapping[str, object]) -> Iterator[str]:
    yield from _table_mistakes(page, PAGE_FIELDS, "page")


def _section_mistakes(sections: Mapping[str, object]) -> Iterator[str]:
    names = dict.fromkeys(SECTION_NAMES, frozenset[str]())
    yield from _table_mistakes(sections, names, "sections")


def _count_mistakes(counts: list[object]) -> Iterator[str]:
    if len(counts) != 3:
        yield f"count: expected three words, one a second, found {len(counts)}."
    for word in counts:
        yield from _text_mistakes(word, frozenset(), "count")


def _noun_mistakes(counted: Mapping[str, object]) -> Iterator[str]:
    for noun in COUNTED:
        forms = counted.get(noun)
        if not isinstance(forms, dict) or {*forms} != {"one", "many"}:
            yield f"counted: '{noun}' needs 'one' and 'many'."
            continue
        for form in forms.values():
            yield from _text_mistakes(form, frozenset({"count"}), f"counted: {noun}")


def _cue_mistakes(cues: Mapping[str, object]) -> Iterator[str]:
    for key, allowed in CUE_FIELDS.items():
        variants = cues.get(key)
        if not isinstance(variants, list) or not variants:
            yield f"cues: '{key}' is missing; give it at least one wording."
            continue
        for number, variant in enumerate(variants, start=1):
            where = f"cues: {key}, variant {number}"
            if isinstance(variant, dict):
                if "full" not in variant:
                    yield f"{where}: 'full' is missing."
                yield from _unknown(variant, set(LENGTHS), where)
                for text in variant.values():
                    yield from _text_mistakes(text, allowed, where)
            else:
                yield from _text_mistakes(variant, allowed, where)
    yield from _unknown(cues, set(CUE_FIELDS), "cues")


def _unknown(table: Mapping[str, object], known: set[str], where: str) -> Iterator[str]:
    for key in table:
        if key not in known:
            near = get_close_matches(str(key), known, n=1)
            hint = f" Did you mean '{near[0]}'?" if near else ""
            yield f"{where}: '{key}' is not known.{hint}"


def _text_mistakes(text: object, allowed: frozenset[str], where: str) -> Iterator[str]:
    if not isinstance(text, str) or not text.strip():
        yield f"{where}: expected words, found {text!r}."
        return
    try:
        parts = [part for part in Formatter().parse(text) if part[1] is not None]
    except ValueError as error:
        yield f"{where}: the braces in '{text}' do not pair. ({error})"
        return
    for _, name, spec, conversion in parts:
        if name not in allowed or spec or conversion:
            choices = ", ".join(sorted(allowed)) or "none"
            yield (
                f"{where}: '{{{name}}}' cannot be filled in here. "
                f"Placeholders of this phrase: {choices}."
            )


def _word_mistakes(name: str) -> Callable[[Mapping[Any, object]], Iterator[str]]:
    """Return a check that every value of a table is words, not YAML's own."""

    def check(table: Mapping[Any, object]) -> Iterator[str]:
        for key, word in table.items():
            yield from _text_mistakes(word, frozenset(), f"{name}: {key}")

    return check


_CHECKS: Mapping[str, Callable[[Any], Iterator[str]]] = {
    "count": _count_mistakes,
    "numbers": _word_mistakes("numbers"),
    "ordinals": _word_mistakes("ordinals"),
    "sides": _word_mistakes("sides"),
    "counted": _noun_mistakes,
    "pieces": _piece_mistakes,
    "page": _page_mistakes,
    "sections": _section_mistakes,
    "cues": _cue_mistakes,
    "sheet": _sheet_mistakes,
}
