"""The few words that some keys of a plan choose from."""

from __future__ import annotations

from enum import StrEnum
from typing import Final


class SectionKind(StrEnum):
    """The parts of a class, in the words leaders use."""

    WELCOME = "welcome"
    WARM_UP = "warm-up"
    INTERVALS = "intervals"
    RECOVERY = "recovery"
    COOL_DOWN = "cool-down"
    CLOSE = "close"


TALKS: Final = frozenset({SectionKind.WELCOME, SectionKind.CLOSE})
"""The sections of words alone, without movements."""


class Coaching(StrEnum):
    """How much the voice says."""

    EVERYTHING = "everything"
    """Every cue: for someone alone at home, or a volunteer who presses play."""
    CLOCK = "clock"
    """Only the clock and the changes: a leader coaches live over the track."""


class Counting(StrEnum):
    """What marks the count-in, the time calls and the changes."""

    VOICE = "voice"
    TONES = "tones"
    BOTH = "both"


class Pace(StrEnum):
    """How fast the voice speaks."""

    CALM = "calm"
    USUAL = "usual"
    LIVELY = "lively"


class Options(StrEnum):
    """Which way of doing a movement is told first."""

    USUAL = "usual"
    """What to mind, then the easier way; the harder one in a later round."""
    EASIER = "easier first"
    """The easier way before anything else, and again in place of the harder."""
    HARDER = "harder first"
    """As usual, and in later rounds the harder way before anything else."""


class TimeCalls(StrEnum):
    """How often the time is called while people work."""

    FEW = "few"
    """The final count, and nothing before it."""
    USUAL = "usual"
    """One call after halfway, and halfway in longer works."""
    MANY = "many"
    """Halfway, and 15, 10 and 5 seconds left."""


class SlowMoves(StrEnum):
    """What says how slow "slowly" is, in movements against a resistance."""

    OWN_PACE = "own pace"
    """Nothing: each finds a pace of their own."""
    COUNTED = "counted"
    """Once in each work the voice counts one there, and twice as long back."""


class MusicStyle(StrEnum):
    """The moods of the music that is made for a plan."""

    CALM = "calm"
    STEADY = "steady"
    BRIGHT = "bright"
    SWINGING = "swinging"
