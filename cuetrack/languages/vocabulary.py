"""The words movements are found by: regions, equipment, tags and cautions, as data."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

import yaml

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping
    from importlib.resources.abc import Traversable

_LOADER = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_FALLBACK = "en"


@dataclass(frozen=True, slots=True, kw_only=True)
class Caution:
    """What somebody wants to avoid, and what that leaves out.

    A movement is left out that has one of the ``tags``, works one of the
    ``regions``, or usually needs one of the things in ``equipment``.
    ``avoiding`` are the words after "no", ``phrases`` those that stand alone;
    ``remember`` is what still has to be minded with those that remain.
    """

    name: str
    avoiding: tuple[str, ...] = ()
    phrases: tuple[str, ...] = ()
    tags: frozenset[str] = frozenset()
    regions: frozenset[str] = frozenset()
    equipment: frozenset[str] = frozenset()
    remember: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Vocabulary:
    """The words of one language.

    ``regions`` and ``equipment`` map each to other words for it,
    ``region_groups`` a word to several regions, ``tags`` each to its meaning.
    ``refusing`` stands before what is avoided, ``safe`` before what somebody has;
    ``fillers`` say nothing in a search.
    """

    language: str
    regions: Mapping[str, tuple[str, ...]]
    region_groups: Mapping[str, tuple[str, ...]]
    equipment: Mapping[str, tuple[str, ...]]
    tags: Mapping[str, str]
    cautions: tuple[Caution, ...]
    refusing: tuple[str, ...]
    safe: tuple[str, ...]
    fillers: frozenset[str]


def language_folder(language: str) -> Traversable | None:
    """Return the folder of the library in a language, None if it has none.

    >>> language_folder("en-GB").name
    'en'
    """
    code = base_language(language)
    found = files("cuetrack.languages").joinpath(code)
    written = code.isalpha() and found.joinpath("vocabulary.yaml").is_file()
    return found if written else None


def base_language(language: str) -> str:
    """Return a language code without its region.

    >>> base_language("en_GB")
    'en'
    """
    return language.casefold().replace("_", "-").split("-")[0]


def vocabulary(language: str = _FALLBACK) -> Vocabulary:
    """Return the words of a language, those of English if it has none."""
    written = language_folder(language) is not None
    return _vocabulary(base_language(language) if written else _FALLBACK)


@cache
def _vocabulary(language: str) -> Vocabulary:
    folder = language_folder(language)
    if folder is None:
        raise LookupError(language)
    data = read_data(folder, "vocabulary.yaml")
    return Vocabulary(
        language=base_language(language),
        regions=_lists(data["regions"]),
        region_groups=_lists(data["region groups"]),
        equipment=_lists(data["equipment"]),
        tags=MappingProxyType(data["tags"]),
        cautions=tuple(_cautions(data["cautions"])),
        refusing=tuple(data["refusing"]),
        safe=tuple(data["safe"]),
        fillers=frozenset(data["fillers"]),
    )


def read_data(folder: Traversable, name: str) -> dict[str, Any]:
    """Return what a data file of the library holds."""
    text = folder.joinpath(name).read_text("utf-8")
    data: dict[str, Any] = yaml.load(text, Loader=_LOADER)  # noqa: S506 - the safe loader in C, on our own file
    return data


def _lists(data: Mapping[str, list[str]]) -> Mapping[str, tuple[str, ...]]:
    return MappingProxyType({word: tuple(others) for word, others in data.items()})


def _cautions(data: Iterable[dict[str, Any]]) -> Iterable[Caution]:
    for item in data:
        yield Caution(
            name=item["caution"],
            avoiding=tuple(item["avoiding"]),
            phrases=tuple(item["phrases"]),
            tags=frozenset(item.get("tags", ())),
            regions=frozenset(item.get("regions", ())),
            equipment=frozenset(item.get("equipment", ())),
            remember=item.get("remember"),
        )
