"""A voice tried on ten lines before it speaks a class: pace, loudness, ends, counts."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from cuetrack.errors import SpeechError
from cuetrack.languages.folders import language_file
from cuetrack.languages.phrases import FILE, load_phrases
from cuetrack.speech.clips import finish
from cuetrack.speech.engines import open_engine
from cuetrack.times import SAMPLE_RATE_HZ

if TYPE_CHECKING:
    from collections.abc import Sequence

    from cuetrack.speech.clips import FinishedSpeech
    from cuetrack.speech.model import RawSpeech, Voice

SLOWEST_WPM: Final = 130
FASTEST_WPM: Final = 200
"""Single sentences, without the pauses between: 150 to 200 were comfortable for young
and old (Sutton and others 1995); below, people wait for the words."""
LONGEST_COUNT_MS: Final = 850
"""A count word must be over before the next second's."""
CUT_END_DB: Final = -26.0
"""How loud the last 10 ms before the end of a raw sound may be, against its peak."""
CLIPPED_RUN: Final = 3
"""So many samples in a row at the peak of a line: a wave cut flat."""

ENGLISH: Final = (
    "Sit tall, near the front of the chair.",
    "Lift the right foot, then the left, at a brisk pace.",
    "Easier: make the movement smaller.",
    "With a new hip, keep the knee below the hip.",
    "Stop if you have pain in the chest, or feel faint.",
    "Put your light hand weights down, on your lap or a chair.",
    "Breathe out as you lift, and in as you lower.",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class VoiceTrial:
    """What came of a trial: whether the voice is sound, and why not if it is not."""

    sound: bool
    verdict: str
    remarks: tuple[str, ...]
    figures: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class _TriedLine:
    text: str
    raw: RawSpeech
    clip: FinishedSpeech

    @property
    def length_ms(self) -> float:
        speech = self.clip.speech_end - self.clip.speech_start
        return speech / SAMPLE_RATE_HZ * 1000


def tried(voice: Voice) -> VoiceTrial:
    """Return what came of ten lines in a voice.

    The sentences are English ones where the voice's language has no phrase pack. A
    voice that cannot be loaded raises SpeechError, as does one that a person read; one
    that fails at a line does not.
    """
    if voice.recorded is not None:
        raise SpeechError(
            f"The voice {voice.name} was judged line by line when it was read.",
            "Hear a line of it with: cuetrack hear TEXT --voice FOLDER",
        )
    engine = open_engine(voice)
    sentences, counts = lines_for(voice.language)
    spoken, failed = [], []
    for text in (*sentences, *counts):
        try:
            raw = engine.render(text)
            spoken.append(_TriedLine(text=text, raw=raw, clip=finish(raw)))
        except SpeechError as error:
            failed.append(f'"{text}" cannot be spoken: {error}')
    told = [line for line in spoken if line.text in sentences]
    counted = [line for line in spoken if line.text in counts]
    remarks = [
        *failed,
        *_pace(told),
        *_ends(spoken),
        *_clipping(spoken),
        *_counts(counted),
    ]
    heard = f"{len(spoken)} of {len(sentences) + len(counts)} lines were spoken"
    good = not remarks
    return VoiceTrial(
        sound=good,
        verdict=f"{voice.name}: {'fit for a class' if good else 'not as it is'}. "
        f"{heard}; nobody listened.",
        remarks=tuple(remarks),
        figures=tuple(_figures(told, counted)),
    )


def lines_for(language: str) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Return the sentences and the count words of a trial."""
    if language_file(language, FILE) is None:
        return ENGLISH, ("One", "Two", "Three")
    phrases = load_phrases(language)
    counts = tuple(phrases.number(n).capitalize() for n in (1, 2, 3))
    if phrases.language.partition("-")[0] == "en":
        return ENGLISH, counts
    return phrases.sheet_lists["stop sign list"][:7], counts


def _wpm(lines: Sequence[_TriedLine]) -> float:
    words = sum(len(line.text.split()) for line in lines)
    return words / (sum(line.length_ms for line in lines) / 60_000)


def _pace(lines: Sequence[_TriedLine]) -> list[str]:
    if not lines or SLOWEST_WPM <= (wpm := _wpm(lines)) <= FASTEST_WPM:
        return []
    way = "slower" if wpm > FASTEST_WPM else "faster"
    told = (
        f"It speaks {wpm:.0f} words a minute; 150 to 200 are easy to follow. Make it "
    )
    return [f"{told}{way} in a voice file: length scale or rate (voices/README.md)."]


def _ends(lines: Sequence[_TriedLine]) -> list[str]:
    cut = [line.text for line in lines if _is_cut(line.raw)]
    if not cut:
        return []
    return [f'The end is cut off in {len(cut)} lines, such as "{cut[0]}".']


def _is_cut(raw: RawSpeech) -> bool:
    last = raw.samples[-raw.rate_hz // 100 :]
    peak = float(np.abs(raw.samples).max())
    return float(np.abs(last).max()) > peak * 10 ** (CUT_END_DB / 20)


def _clipping(lines: Sequence[_TriedLine]) -> list[str]:
    flat = [line.text for line in lines if _is_clipped(line.raw)]
    if not flat:
        return []
    return [f'The sound is clipped in {len(flat)} lines, such as "{flat[0]}".']


def _is_clipped(raw: RawSpeech) -> bool:
    peak = float(np.abs(raw.samples).max())
    return any(
        np.convolve(raw.samples == end, np.ones(CLIPPED_RUN), "valid").max(initial=0)
        >= CLIPPED_RUN
        for end in (peak, -peak)
    )


def _counts(lines: Sequence[_TriedLine]) -> list[str]:
    long = [line for line in lines if line.length_ms > LONGEST_COUNT_MS]
    told = ", ".join(f'"{line.text}" {line.length_ms / 1000:.2f} s' for line in long)
    return [f"Count words are too long for one a second: {told}."] if long else []


def _figures(told: Sequence[_TriedLine], counted: Sequence[_TriedLine]) -> list[str]:
    figures = []
    if told:
        figures.append(f"Pace: {_wpm(told):.0f} words a minute.")
        levels = [_level_db(line.raw) for line in told]
        spread = max(levels) - min(levels)
        figures.append(f"Loudness differs by {spread:.1f} dB before it is evened out.")
    if counted:
        lengths = ", ".join(f"{line.length_ms / 1000:.2f} s" for line in counted)
        figures.append(f"Count words: {lengths}.")
    return figures


def _level_db(raw: RawSpeech) -> float:
    return float(10 * np.log10(np.mean(raw.samples.astype(np.float64) ** 2) + 1e-12))
