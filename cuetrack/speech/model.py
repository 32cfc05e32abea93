"""Voices, engines and clips: the small interface everything spoken goes through."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING, Protocol

if TYPE_CHECKING:
    from collections.abc import Iterable
    from pathlib import Path

    from cuetrack.arrays import Samples
    from cuetrack.speech.recorded_facts import RecordedFacts


class BeatRule(StrEnum):
    """Which instant of a word counts as its beat."""

    RISE = "rise"
    START = "start"
    VOWEL = "vowel"


@dataclass(frozen=True, slots=True, kw_only=True)
class Voice:
    """A voice file, read and checked.

    ``engine`` is one of ``engines.ENGINES``. ``settings`` are the engine's
    own (rate, model, variant), sorted by name. ``beat_offsets_ms`` corrects
    the beat of single words, keyed by the lower-case spoken word. ``about`` is one
    line for people who choose a voice; ``words_a_minute`` its pace as measured.
    ``recorded`` says whose voice it is, None for an engine's; ``filling`` is the voice
    that says what was not recorded, None where nobody does.
    """

    name: str
    engine: str
    language: str
    settings: tuple[tuple[str, str], ...]
    beat_rule: BeatRule = BeatRule.RISE
    beat_offsets_ms: tuple[tuple[str, int], ...] = ()
    folder: Path | None = None
    about: str = ""
    licence: str = ""
    words_a_minute: int | None = None
    recorded: RecordedFacts | None = None
    filling: Voice | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class RawSpeech:
    """What an engine gives: mono samples at its own rate, times in seconds.

    ``vowel_s`` is where the engine says the first stressed vowel starts, None
    when it does not say. ``beat_s`` is where the beat of this very sound is known to
    be, None where the rule of the voice is to find it.
    """

    samples: Samples
    rate_hz: int
    vowel_s: float | None = None
    beat_s: float | None = None


class Engine(Protocol):
    """A speech engine: one text in, one sound out, the same every time."""

    def render(self, spoken: str) -> RawSpeech:
        """Speak ``spoken``; raise SpeechError when the result cannot be trusted."""
        ...


@dataclass(frozen=True, slots=True, kw_only=True)
class Clip:
    """A spoken wording as it lies in the store: 48 kHz mono, levelled.

    All positions are frames from the first frame of the clip. Speech lies in
    ``speech_start``..``speech_end``; ``beat`` is the beat point. ``key`` finds
    the samples in the store.
    """

    key: str
    spoken: str
    frames: int
    speech_start: int
    speech_end: int
    beat: int


class ClipSource(Protocol):
    """Where the samples of clips come from, one at a time."""

    def samples(self, key: str) -> Samples:
        """Return the samples of the clip with this key; shape (frames,)."""
        ...


class Progress(Protocol):
    """Told how far long work has come; both counts in the work's own unit."""

    def __call__(self, done: int, total: int) -> None:
        """Report ``done`` of ``total``."""
        ...


class Speaker(Protocol):
    """Speaks wordings, from the store where it can."""

    def speak(
        self, spoken: Iterable[str], progress: Progress | None = None
    ) -> dict[str, Clip]:
        """Return a clip for each distinct spoken text."""
        ...

    def samples(self, key: str) -> Samples:
        """Return the samples of the clip with this key; shape (frames,)."""
        ...
