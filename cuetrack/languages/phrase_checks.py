"""What may be wrong with a phrase pack, told in words for whoever writes it."""

from __future__ import annotations

from functools import partial
from string import Formatter
from typing import TYPE_CHECKING, Any, Final

from cuetrack.languages.folders import KeyRule, key_mistakes, unknown_keys
from cuetrack.languages.phrase_keys import (
    CHAPTER_FIELDS,
    COUNTED,
    PAGE_FIELDS,
    PIECE_FIELDS,
    SECTION_NAMES,
    SHEET_FIELDS,
    SHEET_LISTS,
    SIDE_NAMES,
)

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping

LENGTHS = ("full", "short", "shortest")
"""The wordings of a variant, in the order they are tried."""

_KEYS: Final[Mapping[str, KeyRule]] = {
    "language": KeyRule(kind=str),
    "name": KeyRule(kind=str),
    "voice": KeyRule(kind=str, optional=True),
    "count": KeyRule(kind=list),
    "numbers": KeyRule(kind=dict, optional=True),
    "ordinals": KeyRule(kind=dict, optional=True),
    "articles": KeyRule(kind=list),
    "side names": KeyRule(kind=dict),
    "sides": KeyRule(kind=dict),
    "body sides": KeyRule(kind=dict, optional=True),
    "sections": KeyRule(kind=dict),
    "easy movement": KeyRule(kind=dict),
    "counted": KeyRule(kind=dict),
    "pieces": KeyRule(kind=dict),
    "pronounce": KeyRule(kind=dict, optional=True),
    "cues": KeyRule(kind=dict),
    "chapters": KeyRule(kind=dict),
    "page": KeyRule(kind=dict),
    "sheet": KeyRule(kind=dict),
}

_EASY_KEYS: Final[Mapping[str, KeyRule]] = {
    "movement": KeyRule(kind=str),
    "how": KeyRule(kind=str, optional=True),
    "in short": KeyRule(kind=str, optional=True),
}


def pack_mistakes(
    pack: Mapping[str, object], cue_fields: Mapping[str, frozenset[str]]
) -> Iterator[str]:
    """Yield what is wrong with a pack, in words for whoever writes it.

    ``cue_fields`` are the phrases of cues it must have, and what may fill each.
    """
    yield from key_mistakes(pack, _KEYS)
    checks = _CHECKS | {"cues": partial(_cue_mistakes, fields=cue_fields)}
    for key, check in checks.items():
        if isinstance(pack.get(key), _KEYS[key].kind):
            yield from check(pack[key])


def _table_mistakes(
    table: Mapping[str, object], fields: Mapping[str, frozenset[str]], where: str
) -> Iterator[str]:
    for key, allowed in fields.items():
        if key not in table:
            yield f"{where}: '{key}' is missing."
        else:
            yield from _text_mistakes(table[key], allowed, f"{where}: {key}")
    yield from unknown_keys(table, set(fields), where)


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


def _chapter_mistakes(chapters: Mapping[str, object]) -> Iterator[str]:
    yield from _table_mistakes(chapters, CHAPTER_FIELDS, "chapters")


def _page_mistakes(page: Mapping[str, object]) -> Iterator[str]:
    yield from _table_mistakes(page, PAGE_FIELDS, "page")


def _side_name_mistakes(names: Mapping[str, object]) -> Iterator[str]:
    wanted = dict.fromkeys(SIDE_NAMES, frozenset[str]())
    yield from _table_mistakes(names, wanted, "side names")


def _easy_mistakes(words: Mapping[str, object]) -> Iterator[str]:
    yield from key_mistakes(words, _EASY_KEYS, "easy movement")
    yield from _word_mistakes("easy movement")(words)


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


def _cue_mistakes(
    cues: Mapping[str, object], fields: Mapping[str, frozenset[str]]
) -> Iterator[str]:
    for key, allowed in fields.items():
        variants = cues.get(key)
        if not isinstance(variants, list) or not variants:
            yield f"cues: '{key}' is missing; give it at least one wording."
            continue
        for number, variant in enumerate(variants, start=1):
            where = f"cues: {key}, variant {number}"
            if isinstance(variant, dict):
                if "full" not in variant:
                    yield f"{where}: 'full' is missing."
                yield from unknown_keys(variant, set(LENGTHS), where)
                for text in variant.values():
                    yield from _text_mistakes(text, allowed, where)
            else:
                yield from _text_mistakes(variant, allowed, where)
    yield from unknown_keys(cues, set(fields), "cues")


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


def _body_side_mistakes(table: Mapping[Any, object]) -> Iterator[str]:
    for key, words in table.items():
        yield from _text_mistakes(words, frozenset({"side"}), f"body sides: {key}")


_CHECKS: dict[str, Callable[[Any], Iterator[str]]] = {
    "count": _count_mistakes,
    "numbers": _word_mistakes("numbers"),
    "ordinals": _word_mistakes("ordinals"),
    "side names": _side_name_mistakes,
    "sides": _word_mistakes("sides"),
    "body sides": _body_side_mistakes,
    "easy movement": _easy_mistakes,
    "counted": _noun_mistakes,
    "pieces": _piece_mistakes,
    "chapters": _chapter_mistakes,
    "page": _page_mistakes,
    "sections": _section_mistakes,
    "sheet": _sheet_mistakes,
}
