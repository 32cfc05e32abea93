"""The words movements are found by: regions, equipment, tags and cautions, as data."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, Final

from cuetrack.languages.folders import (
    FALLBACK,
    KeyRule,
    base_language,
    language_file,
    read_table,
)

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping
    from pathlib import Path

FILE: Final = "vocabulary.yaml"


@dataclass(frozen=True, slots=True, kw_only=True)
class Caution:
    """What somebody wants to avoid, and what that leaves out.

    A movement is left out that has one of the ``tags``, works one of the
    ``regions``, or usually needs one of the things in ``equipment``; or that the
    contraindications leave out for the ``facts`` of a group. ``avoiding`` are the words
    after "no", ``phrases`` those that stand alone; ``remember`` is what still has to
    be minded with those that remain.
    """

    name: str
    avoiding: tuple[str, ...] = ()
    phrases: tuple[str, ...] = ()
    tags: frozenset[str] = frozenset()
    regions: frozenset[str] = frozenset()
    equipment: frozenset[str] = frozenset()
    facts: tuple[str, ...] = ()
    remember: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Vocabulary:
    """The words of one language.

    ``regions`` and ``equipment`` map each to other words for it,
    ``equipment_names`` what things are called that the facts of movements name,
    ``region_groups`` a word to several regions, ``tags`` each to its meaning.
    ``refusing`` stands before what is avoided, ``safe`` before what somebody has;
    ``fillers`` say nothing in a search.
    """

    language: str
    regions: Mapping[str, tuple[str, ...]]
    region_groups: Mapping[str, tuple[str, ...]]
    equipment: Mapping[str, tuple[str, ...]]
    equipment_names: Mapping[str, str]
    tags: Mapping[str, str]
    cautions: tuple[Caution, ...]
    refusing: tuple[str, ...]
    safe: tuple[str, ...]
    fillers: frozenset[str]


def vocabulary(language: str = FALLBACK) -> Vocabulary:
    """Return the words of a language, those of English if it has none.

    Raises
    ------
    LanguageError
        The file has mistakes; all are listed.
    """
    own = language_file(language, FILE)
    if own is not None:
        return _read(own, base_language(language))
    english = language_file(FALLBACK, FILE)
    if english is None:
        raise LookupError(FILE)
    return _read(english, FALLBACK)


_KEYS: Final[Mapping[str, KeyRule]] = {
    "regions": KeyRule(kind=dict),
    "region groups": KeyRule(kind=dict),
    "equipment": KeyRule(kind=dict),
    "equipment names": KeyRule(kind=dict, optional=True),
    "tags": KeyRule(kind=dict),
    "cautions": KeyRule(kind=list),
    "refusing": KeyRule(kind=list),
    "safe": KeyRule(kind=list),
    "fillers": KeyRule(kind=list),
}


@cache
def _read(file: Path, language: str) -> Vocabulary:
    data = read_table(file, _KEYS)
    called: dict[str, str] = data.get("equipment names", {})
    return Vocabulary(
        language=language,
        regions=_lists(data["regions"]),
        region_groups=_lists(data["region groups"]),
        equipment=_lists({called.get(k, k): v for k, v in data["equipment"].items()}),
        equipment_names=MappingProxyType(called),
        tags=MappingProxyType(data["tags"]),
        cautions=tuple(_cautions(data["cautions"], called)),
        refusing=tuple(data["refusing"]),
        safe=tuple(data["safe"]),
        fillers=frozenset(data["fillers"]),
    )


def _lists(data: Mapping[str, list[str]]) -> Mapping[str, tuple[str, ...]]:
    return MappingProxyType({word: tuple(others) for word, others in data.items()})


def _cautions(
    data: Iterable[dict[str, Any]], called: Mapping[str, str]
) -> Iterable[Caution]:
    for item in data:
        yield Caution(
            name=item["caution"],
            avoiding=tuple(item["avoiding"]),
            phrases=tuple(item["phrases"]),
            tags=frozenset(item.get("tags", ())),
            regions=frozenset(item.get("regions", ())),
            equipment=frozenset(called.get(k, k) for k in item.get("equipment", ())),
            facts=(item["fact"],) if "fact" in item else (),
            remember=item.get("remember"),
        )
