"""A speech recogniser that chooses between the phrases of a class and decoys."""

from __future__ import annotations

import importlib.util
from typing import TYPE_CHECKING

import numpy as np
import soxr

from cuetrack.errors import UsageError
from cuetrack.times import SAMPLE_RATE_HZ
from cuetrack.verification.vocabulary import (
    DECOYS,
    ListeningGrammar,
    grammar,
    vocabulary_of,
)

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from pocketsphinx import Decoder

    from cuetrack.arrays import Samples

LANGUAGE = "en"
"""The only language whose model the recogniser brings."""

_RATE_HZ = 16_000
_PEAK = 0.5
_HISS = 1e-3
"""Noise 60 dB below the peak: the model never met digital silence."""
_LANGUAGE_WEIGHT = 1.0
"""All phrases are equally likely, so the sound alone decides."""


def require_recogniser() -> None:
    """Raise UsageError, which says how to get it, where there is no recogniser."""
    if importlib.util.find_spec("pocketsphinx") is None:
        raise UsageError(
            "Listening needs a speech recogniser, which is not installed: in the "
            'folder of cuetrack\'s README type pip install ".[listen]" (Python 3.11 '
            "to 3.13)."
        )


class Recogniser:
    """A decoder with its grammar; it is built anew when it breaks.

    Parameters
    ----------
    texts
        What is spoken, and how it is written.
    """

    def __init__(self, texts: Mapping[str, str]) -> None:
        decoder = new_decoder()
        self.vocabulary: ListeningGrammar = vocabulary_of(texts, decoder, texts)
        said = set(self.vocabulary.phrases.values())
        self.decoys = vocabulary_of(
            (decoy for decoy in DECOYS if decoy not in said), decoder
        )
        self.choices = said | set(self.decoys.phrases.values())
        self._prepared = self._prepare(decoder)

    def hear(self, pieces: Sequence[Samples]) -> str | None:
        """Return the phrase heard, None if the recogniser failed.

        Parameters
        ----------
        pieces
            The same place with more and more around it, mono at 48 kHz. The
            first in which a phrase is heard to its end counts, or else what was
            heard in the first.
        """
        heard = [self._decode(pcm_of(piece)) for piece in pieces[:1]]
        for piece in pieces[1:]:
            if heard[-1] in self.choices:
                return heard[-1]
            heard.append(self._decode(pcm_of(piece)))
        return heard[-1] if heard[-1] in self.choices else heard[0]

    def _decode(self, pcm: bytes) -> str | None:
        for _ in range(2):
            try:
                return decode(self._prepared, pcm)
            except RuntimeError:
                self._prepared = self._prepare(new_decoder())
        return None

    def _prepare(self, decoder: Decoder) -> Decoder:
        for word, phones in (self.vocabulary.added | self.decoys.added).items():
            decoder.add_word(word, phones, update=True)
        decoder.add_jsgf_string("cues", grammar(self.choices))
        decoder.activate_search("cues")
        return decoder


def new_decoder(language_weight: float = _LANGUAGE_WEIGHT) -> Decoder:
    """Return a recogniser without a grammar; a model's weight is 1 for none."""
    from pocketsphinx import Decoder  # noqa: PLC0415 - an extra

    return Decoder(samprate=_RATE_HZ, lm=None, lw=language_weight, loglevel="FATAL")


def pcm_of(samples: Samples) -> bytes:
    """Return 16-bit sound at 16 kHz, as loud as the recogniser likes it."""
    sound = soxr.resample(samples, SAMPLE_RATE_HZ, _RATE_HZ)
    peak = float(np.abs(sound).max(initial=0.0))
    hiss = np.random.default_rng(0).standard_normal(sound.size)
    scaled = sound * (_PEAK / peak if peak else 0.0) + _PEAK * _HISS * hiss
    pcm: bytes = (np.clip(scaled, -1, 1) * 32_767).astype("<i2").tobytes()
    return pcm


def decode(decoder: Decoder, pcm: bytes) -> str:
    """Return what is heard in sound as ``pcm_of`` gives it, "" for nothing."""
    decoder.start_utt()
    decoder.process_raw(pcm, full_utt=True)
    decoder.end_utt()
    hypothesis = decoder.hyp()
    return hypothesis.hypstr if hypothesis is not None else ""
