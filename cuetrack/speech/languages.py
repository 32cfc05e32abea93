"""Language codes: what people write, what espeak-ng calls it, what it can speak."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path

import espeakng_loader

from cuetrack.errors import SpeechError

ESPEAK_CODES = {"en-gb": "en", "fr-fr": "fr", "pt-pt": "pt", "zh": "cmn", "no": "nb"}
"""Codes that espeak-ng lists or people use, but which it refuses as a voice."""

_DICTIONARY_LINE = re.compile(rb"^dictionary[ \t]+(\S+)", re.MULTILINE)


def tidy(language: str) -> str:
    """Return a language code as it is compared: lower case, hyphens.

    >>> tidy("pt_BR")
    'pt-br'
    """
    return language.strip().lower().replace("_", "-")


def primary(language: str) -> str:
    """Return a language code without its region.

    >>> primary("pt-br")
    'pt'
    """
    return tidy(language).split("-", 1)[0]


def espeak_code(language: str) -> str:
    """Return the code by which espeak-ng accepts a language; unknown ones unchanged.

    >>> espeak_code("en-GB"), espeak_code("zh"), espeak_code("de")
    ('en', 'cmn', 'de')
    """
    code = tidy(language)
    return ESPEAK_CODES.get(code, code)


@cache
def espeak_languages() -> tuple[str, ...]:
    """Return the codes that the embedded espeak-ng speaks, sorted.

    A code is the name of one of its language files, as long as the dictionary which
    that file needs is there too.

    Raises
    ------
    SpeechError
        If its data is not where the installed package should have it.
    """
    data = Path(espeakng_loader.get_data_path())
    codes = {
        path.name.lower()
        for path in (data / "lang").rglob("*")
        if path.is_file() and (data / f"{_dictionary(path)}_dict").is_file()
    }
    if not codes:
        raise SpeechError(
            f"espeak-ng has no languages in {data}.",
            "Install the package espeakng-loader again.",
        )
    return tuple(sorted(codes))


def _dictionary(path: Path) -> str:
    """Return the dictionary that a language file names, else its own language's."""
    named = _DICTIONARY_LINE.search(path.read_bytes())
    return named[1].decode("ascii") if named else primary(path.name)
