"""Numbers in words, for every language that num2words has."""

from __future__ import annotations

from functools import cache
from types import MappingProxyType
from typing import TYPE_CHECKING, Final

from cuetrack.errors import LanguageError
from cuetrack.languages.folders import base_language

if TYPE_CHECKING:
    from collections.abc import Mapping

COUNTS: Final = (*range(21), *range(25, 61, 5))
"""What a class counts: rounds, movements, and the seconds of works and rests."""
POSITIONS: Final = range(1, 13)


@cache
def number_in_words(number: int, language: str, *, ordinal: bool = False) -> str:
    """Return a number in words, without the commas some languages put into them.

    Raises
    ------
    LanguageError
        num2words does not have the language.

    >>> number_in_words(120, "en"), number_in_words(3, "de-AT", ordinal=True)
    ('one hundred and twenty', 'dritte')
    """
    # Slow to import, and needed only where there is a number.
    from num2words import num2words  # noqa: PLC0415

    code = base_language(language)
    try:
        words = num2words(number, lang=code, to="ordinal" if ordinal else "cardinal")
    except NotImplementedError as error:
        raise LanguageError(
            f"No library puts numbers into words in the language '{code}'.",
            "Write 'numbers' and 'ordinals' into its phrases.yaml, and 'numbers: "
            "digits' into its normalisation.yaml.",
        ) from error
    return str(words).replace(",", "")


def words_of_numbers(language: str, *, ordinal: bool = False) -> Mapping[int, str]:
    """Return the words of every number that a class counts, or of its positions.

    Raises
    ------
    LanguageError
        num2words does not have the language.
    """
    wanted = POSITIONS if ordinal else COUNTS
    words = {n: number_in_words(n, language, ordinal=ordinal) for n in wanted}
    return MappingProxyType(words)
