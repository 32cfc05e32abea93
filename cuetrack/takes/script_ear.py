"""Hearing the words of a take: a recogniser that knows the script.

It hears words in any order, those of the script likelier in the order they have there,
so that slips, false starts and lines out of order are heard as what they are; and it
chooses between phrases that are given to it.
"""

from __future__ import annotations

import math
import re
from collections import Counter
from itertools import pairwise
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, Final

from cuetrack.takes.alignment import HeardWord
from cuetrack.takes.rivals import BESIDE
from cuetrack.times import frames_from_ms
from cuetrack.verification.recogniser import (
    decode,
    new_decoder,
    pcm_of,
    require_recogniser,
)
from cuetrack.verification.vocabulary import grammar, vocabulary_of

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Sequence

    from cuetrack.arrays import Samples
    from cuetrack.takes.activity import SoundStretch

_FRAME: Final = frames_from_ms(10)
_MARGIN: Final = frames_from_ms(100)
_IN_ORDER: Final = 0.75
"""How likely the next word of the script is after one of its words."""
_LANGUAGE_WEIGHT: Final = 6.5
_VARIANT: Final = re.compile(r"\(\d+\)$")
_NO_WORDS: Final = ("<", "[", "+")


class ScriptEar:
    """A recogniser for the words of a script.

    Parameters
    ----------
    lines
        The texts of the script.
    names
        What might be said in its place: names of movements that are not in it.

    Attributes
    ----------
    words : dict[str, tuple[str, ...]]
        The words that are listened for in each line that can be heard.
    unknown : dict[str, str]
        The other lines, with the first word nobody can pronounce.
    """

    def __init__(self, lines: Sequence[str], names: Iterable[str]) -> None:
        require_recogniser()
        self._decoder = new_decoder(_LANGUAGE_WEIGHT)
        known = vocabulary_of([*lines, *names, *BESIDE.split()], self._decoder)
        for word, phones in known.added.items():
            self._decoder.add_word(word, phones, update=True)
        mine = set(lines)
        self.words = {
            text: tuple(phrase.split())
            for text, phrase in known.phrases.items()
            if text in mine
        }
        self.unknown = {t: w for t, w in known.unknown.items() if t in mine}
        heard = {word for phrase in known.phrases.values() for word in phrase.split()}
        with TemporaryDirectory() as folder:
            path = Path(folder) / "script.lm"
            path.write_text(script_model(self.words.values(), heard), "ascii")
            self._decoder.add_lm_file("script", str(path))

    def hear(
        self, samples: Samples, stretches: Sequence[SoundStretch]
    ) -> list[HeardWord]:
        """Return the words in these stretches of a take, in order."""
        self._decoder.activate_search("script")
        heard = []
        for stretch in stretches:
            start = max(stretch.start - _MARGIN, 0)
            self._decode(samples[start : stretch.end + _MARGIN])
            heard += [
                HeardWord(
                    word=word,
                    start=start + first * _FRAME,
                    end=start + (last + 1) * _FRAME,
                )
                for word, first, last in self._segments()
            ]
        return heard

    def which(self, samples: Samples, phrases: Collection[str]) -> str:
        """Return which of the phrases is said, "" when none is heard to its end."""
        self._decoder.add_jsgf_string("choice", grammar(phrases))
        self._decoder.activate_search("choice")
        heard = self._decode(samples)
        return heard if heard in phrases else ""

    def sounds_of(self, words: Sequence[str]) -> tuple[str, ...]:
        """Return how words are pronounced, so that "two" and "too" are the same."""
        return tuple(self._decoder.lookup_word(word) or word for word in words)

    def _decode(self, samples: Samples) -> str:
        try:
            return decode(self._decoder, pcm_of(samples))
        except RuntimeError:
            return ""

    def _segments(self) -> list[tuple[str, int, int]]:
        if self._decoder.hyp() is None:
            return []
        return [
            (_VARIANT.sub("", one.word), one.start_frame, one.end_frame)
            for one in self._decoder.seg()
            if not one.word.startswith(_NO_WORDS)
        ]


def script_model(lines: Collection[Sequence[str]], words: Collection[str]) -> str:
    """Return a language model of word pairs in ARPA form.

    After a word comes one that follows it in the script, or any word at all; half of
    these by how often the script has it, half by none being preferred.
    """
    pairs: Counter[tuple[str, str]] = Counter()
    for line in lines:
        pairs.update(pairwise(["<s>", *line, "</s>"]))
    after: Counter[str] = Counter()
    single: Counter[str] = Counter()
    for (word, following), count in pairs.items():
        after[word] += count
        single[following] += count
    total, every = sum(single.values()), [*sorted(words), "</s>"]
    alone = {word: (single[word] / total + 1 / len(every)) / 2 for word in every}
    other = 1 - _IN_ORDER
    back_off = {word: math.log10(other) if after[word] else 0.0 for word in every}
    rows = ["\\data\\", f"ngram 1={len(every) + 1}", f"ngram 2={len(pairs)}"]
    rows += ["", "\\1-grams:", f"-99 <s> {math.log10(other):.4f}"]
    rows += [f"{math.log10(alone[w]):.4f} {w} {back_off[w]:.4f}" for w in every]
    rows += ["", "\\2-grams:"]
    for (word, following), count in sorted(pairs.items()):
        chance = _IN_ORDER * count / after[word] + other * alone[following]
        rows.append(f"{math.log10(chance):.4f} {word} {following}")
    return "\n".join([*rows, "", "\\end\\", ""])
