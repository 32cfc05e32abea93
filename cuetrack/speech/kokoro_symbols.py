"""From the phonemes of espeak-ng to the numbers that the Kokoro model reads.

The numbers are those of the model's own vocabulary (Kokoro-82M, ``config.json``).
Diphthongs, affricates and the American r are single symbols there.
"""

from __future__ import annotations

import re
from types import MappingProxyType
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Mapping

_RUNS: Final = (
    (1, ";:,.!?"),
    (9, '—…"()“” \u0303ʣʥʦʨᵝ\uab67AI'),
    (31, "O"),
    (33, "Q"),
    (35, "ST"),
    (39, "W"),
    (41, "Yᵊabcdef"),
    (50, "hijklmnopqrstuvwxyzɑɐɒæ"),
    (75, "βɔɕç"),
    (80, "ɖðʤə"),
    (85, "ɚɛɜ"),
    (90, "ɟ"),
    (92, "ɡ"),
    (99, "ɥ"),
    (101, "ɨɪʝ"),
    (110, "ɯɰŋɳɲɴø"),
    (118, "ɸθœ"),
    (123, "ɹ"),
    (125, "ɾɻ"),
    (128, "ʁɽʂʃʈʧ"),
    (135, "ʊʋ"),
    (138, "ʌɣɤ"),
    (142, "χʎ"),
    (147, "ʒʔ"),
    (156, "ˈˌː"),
    (162, "ʰ"),
    (164, "ʲ"),
    (169, "↓"),
    (171, "→↗↘"),
    (177, "ᵻ"),
)
SYMBOLS: Final[Mapping[str, int]] = MappingProxyType(
    {symbol: first + n for first, run in _RUNS for n, symbol in enumerate(run)}
)
"""Each symbol of the vocabulary by its number; 0 stands at both ends of a text."""

_EVERYWHERE: Final = (("dʒ", "ʤ"), ("tʃ", "ʧ"), ("ts", "ʦ"), ("dz", "ʣ"), ("g", "ɡ"))
_ENGLISH: Final = (
    ("ts", "ts"),
    ("dz", "dz"),
    ("n\u0329", "ᵊn"),
    ("l\u0329", "ᵊl"),
    ("eɪ", "A"),
    ("aɪ", "I"),
    ("aʊ", "W"),
    ("ɔɪ", "Y"),
    ("əʊ", "Q"),
    ("oʊ", "O"),
    ("ɚ", "əɹ"),
    ("ɐ", "ə"),
    ("r", "ɹ"),
    ("x", "k"),
    ("ɬ", "l"),
)
_AMERICAN: Final = (("ɜːɹ", "ɜɹ"), ("ɜː", "ɜɹ"), ("ː", ""))


def symbols_of(phonemes: str, language: str) -> str:
    """Return phonemes of espeak-ng in the model's symbols; what it lacks is left out.

    >>> symbols_of("lˈɪft ðə ɹˈaɪt fˈʊt, mˈɑːɹtʃ!", "en-us")
    'lˈɪft ðə ɹˈIt fˈʊt, mˈɑɹʧ!'
    """
    pairs = dict(_EVERYWHERE)
    if language.startswith("en"):
        pairs |= dict(_ENGLISH)
    if language == "en-us":
        pairs |= dict(_AMERICAN)
    longest_first = sorted(pairs, key=len, reverse=True)
    pattern = "|".join(map(re.escape, longest_first))
    written = re.sub(pattern, lambda found: pairs[found.group()], phonemes)
    return "".join(symbol for symbol in written if symbol in SYMBOLS)


def tokens_of(symbols: str) -> list[int]:
    """Return the numbers of symbols, 0 at both ends.

    >>> tokens_of("mˈɑ")
    [0, 55, 156, 69, 0]
    """
    return [0, *(SYMBOLS[symbol] for symbol in symbols), 0]
