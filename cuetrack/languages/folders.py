"""Where the languages are: one folder each, a user's own before those that come along.

Looked for in this order: in the folders that ``CUETRACK_LANGUAGES`` names, in
``languages`` of the user's data folder, and in the folder of this module. A language
may stand in several of them: each of its files is taken from the first that has it,
so that a folder of one's own need hold no more than what it says differently. A
region falls back on its language: ``de-AT`` on ``de``.
"""

from __future__ import annotations

import os
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import platformdirs
import yaml

from cuetrack.documents.tree import LOADER
from cuetrack.errors import LanguageError

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

FALLBACK: Final = "en"
"""The language whose words stand in where that does no harm, as each use says."""

_KIND_NAMES: Final[Mapping[type, str]] = {
    str: "text",
    int: "whole number",
    float: "number",
    list: "list",
    dict: "table",
}


def base_language(language: str) -> str:
    """Return a language code without its region.

    >>> base_language("en_GB")
    'en'
    """
    return language.casefold().replace("_", "-").split("-")[0]


RIGHT_TO_LEFT: Final = frozenset(
    {"ar", "arc", "ckb", "dv", "fa", "he", "ku", "ps", "sd", "ug", "ur", "yi"}
)
"""Languages whose usual script runs from right to left (CLDR)."""


def is_right_to_left(language: str) -> bool:
    """Return whether a language is written from right to left.

    >>> is_right_to_left("he"), is_right_to_left("en-GB")
    (True, False)
    """
    return base_language(language) in RIGHT_TO_LEFT


def language_roots() -> tuple[Path, ...]:
    """Return the folders that hold languages and may be read, the user's own first."""
    return _roots(os.environ.get("CUETRACK_LANGUAGES", ""))


@cache
def _roots(named: str) -> tuple[Path, ...]:
    own = [Path(part) for part in named.split(os.pathsep) if part]
    own.append(Path(platformdirs.user_data_dir("cuetrack")) / "languages")
    return (*filter(may_be_read, own), Path(__file__).parent)


def may_be_read(folder: Path) -> bool:
    """Return whether a folder is there and lets this user in.

    A service or a guest account may have a home that it may not even look into.
    """
    return os.access(folder, os.R_OK | os.X_OK) and folder.is_dir()


def languages_with(name: str) -> tuple[str, ...]:
    """Return the codes of the languages that have a file or folder ``name``, sorted."""
    found = {
        folder.name
        for root in language_roots()
        if root.is_dir()
        for folder in root.iterdir()
        if folder.is_dir() and (folder / name).exists()
    }
    return tuple(sorted(found))


def language_file(language: str, name: str) -> Path | None:
    """Return a file or folder of a language, None if there is none.

    >>> language_file("en-GB", "phrases.yaml").name
    'phrases.yaml'
    """
    return _file(language, name, os.environ.get("CUETRACK_LANGUAGES", ""))


@cache
def _file(language: str, name: str, named_roots: str) -> Path | None:
    whole = language.casefold().replace("_", "-")
    codes = dict.fromkeys((whole, base_language(whole)))
    for code in codes:
        if not code.replace("-", "").isalnum():
            continue
        for root in _roots(named_roots):
            found = root / code / name
            if found.exists():
                return found
    return None


@dataclass(frozen=True, slots=True, kw_only=True)
class KeyRule:
    """What a key of a language's file must hold, and whether it may be left out."""

    kind: type
    optional: bool = False


def read_table(file: Path, keys: Mapping[str, KeyRule]) -> dict[str, Any]:
    """Return the checked content of a language's file.

    Raises
    ------
    LanguageError
        It is not YAML, a key is missing, of another kind, or not known; all are
        listed.
    """
    table = table_in(file.read_text(encoding="utf-8"), str(file))
    refuse_if_any(str(file), key_mistakes(table, keys))
    return table


def own_table(package: str, *path: str) -> dict[str, Any]:
    """Return the keys of a file that comes along in a package."""
    return table_in(files(package).joinpath(*path).read_text("utf-8"), path[-1])


def table_in(text: str, file: str) -> dict[str, Any]:
    """Return the keys that a text holds; ``file`` is the name messages show.

    Raises
    ------
    LanguageError
        The text is not YAML, or holds no keys.
    """
    try:
        table = yaml.load(text, Loader=LOADER)  # noqa: S506 - both loaders are safe
    except (yaml.YAMLError, RecursionError) as error:
        raise LanguageError(f"this is not YAML. {error}", file=file) from error
    if not isinstance(table, dict):
        raise LanguageError("This is not a list of keys.", file=file)
    return table


def refuse_if_any(file: str, mistakes: Iterable[str]) -> None:
    """Raise a `LanguageError` that lists every mistake, if there is one."""
    told = [f"{file}: {mistake}" for mistake in mistakes]
    if told:
        raise LanguageError("\n".join(told))


def key_mistakes(
    table: Mapping[str, object], keys: Mapping[str, KeyRule], where: str = ""
) -> Iterator[str]:
    """Yield what is wrong with the keys of a table, in words for who writes it."""
    within = f"{where}: " if where else ""
    for key, rule in keys.items():
        if key not in table and rule.optional:
            continue
        kinds = (int, float) if rule.kind is float else rule.kind
        if not isinstance(table.get(key), kinds):
            what = f"{within}'{key}' is missing or is no {_KIND_NAMES[rule.kind]}."
            yield f"{what} Write it after the English file of that name."
    yield from unknown_keys(table, set(keys), where or "the file")


def unknown_keys(
    table: Mapping[str, object], known: set[str], where: str
) -> Iterator[str]:
    """Yield a line for each key that nothing would read, with the nearest name."""
    for key in table:
        if key not in known:
            near = get_close_matches(str(key), known, n=1)
            hint = f" Did you mean '{near[0]}'?" if near else ""
            yield f"{where}: '{key}' is not known.{hint}"
