"""How long a text will take to say, before anyone has said it.

The length is a sum over syllables, letters and pauses. Syllables are groups of
vowels, without the silent end that ``reading.yaml`` of a language names, such as the
e of English; letters stand for the consonants between
them; a comma and a full stop inside the text each make a pause. In scripts
without letters for vowels every two and a half letters count as a syllable.

The parts were fitted (least squares, weighted by 1 / length) to 184 clips of the
default English voice, trimmed at -40 dB, and then lengthened by ``SAFETY``, so
that what fits by its estimate mostly fits when spoken. What they are worth:

==========================  =====  =========  ======  ===========  ===========
clips                       count  not short  median  90 % within  most short
==========================  =====  =========  ======  ===========  ===========
default voice, not fitted     189       89 %  +0.30 s        26 %         17 %
default voice, other texts     30       83 %  +0.16 s        28 %         11 %
espeak English, not fitted    189       76 %  +0.19 s        16 %         14 %
==========================  =====  =========  ======  ===========  ===========

``tests/benchmarks/estimate.py`` speaks the 30 other texts anew.
"""

from __future__ import annotations

import re
import unicodedata

from cuetrack.cues.model import SpeechTiming
from cuetrack.languages.reading_level import reading_rules

CALIBRATED_WPM = 145
"""Words a minute at which the parts below hold."""

BASE_MS = 160.0
SYLLABLE_MS = 85.0
LETTER_MS = 50.0
COMMA_MS = 530.0
STOP_MS = 750.0
SAFETY = 1.12

BEAT_MS = 90
"""From speech start to beat: the upper end of nine count words (36 to 92 ms)."""

DIGIT_SYLLABLES = 1.7
DIGIT_LETTERS = 4.5
LETTERS_A_SYLLABLE = 2.5

_WORD = re.compile(r"[^\W\d_]+")
# Vowels of the Latin, Cyrillic and Greek scripts; the look-alikes are meant.
_VOWELS = re.compile("[aeiouyæœøаеёиіоуыэюяєїαεηιουω]+")  # noqa: RUF001


def estimate_ms(
    spoken: str, language: str, words_per_minute: int = CALIBRATED_WPM
) -> SpeechTiming:
    """Return about how long ``spoken`` takes, rather too long than too short.

    Parameters
    ----------
    spoken : str
        The text as the engine gets it.
    language : str
        Its language, whose words may have a silent end.
    words_per_minute : int
        How fast the voice speaks; lengths are in inverse proportion to it.

    >>> estimate_ms("Rest now.", "en").length_ms
    762
    """
    rules = reading_rules(language)
    silent = rules.syllables.timed_silent if rules else None
    words = _WORD.findall(spoken)
    digits = sum(char.isdigit() for char in spoken)
    syllables = sum(_syllables(word, silent) for word in words)
    letters = sum(map(len, words))
    spoken_ms = (
        BASE_MS
        + SYLLABLE_MS * (syllables + DIGIT_SYLLABLES * digits)
        + LETTER_MS * (letters + DIGIT_LETTERS * digits)
        + COMMA_MS * len(re.findall(r"[,;:](?=\s)", spoken))
        + STOP_MS * len(re.findall(r"[.!?](?=\s)", spoken))
    )
    slower = SAFETY * CALIBRATED_WPM / words_per_minute
    return SpeechTiming(
        length_ms=round(spoken_ms * slower), beat_ms=round(BEAT_MS * slower / SAFETY)
    )


def _syllables(word: str, silent: re.Pattern[str] | None) -> float:
    plain = unicodedata.normalize("NFD", word.lower())
    plain = "".join(char for char in plain if not unicodedata.combining(char))
    groups = len(_VOWELS.findall(plain))
    if groups == 0:
        return max(1.0, len(word) / LETTERS_A_SYLLABLE)
    if silent and groups > 1 and silent.search(plain):
        groups -= 1
    return float(groups)
