"""The kinds of tone: one table of all that any stage asks of a kind.

How the pulses are chosen and sounded: ``sound.tones``.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping


class ToneKind(StrEnum):
    """The tones of the clock, told apart by more than pitch."""

    START = "start"
    STOP = "stop"
    SIDE = "side"
    MIDWAY = "midway"
    TICK = "tick"


@dataclass(frozen=True, slots=True, kw_only=True)
class Pulse:
    """One sounding part of a tone: its place in the tone and where it glides."""

    start_ms: int
    length_ms: int
    from_hz: float
    to_hz: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ToneShape:
    """How a tone sounds and is told.

    ``counts`` says that it is one of the beats of a count; the other tones have a
    caption, ``tone KIND`` of the phrase pack's page.
    """

    pulses: tuple[Pulse, ...]
    counts: bool = False

    @property
    def length_ms(self) -> int:
        """How long it sounds, its fades included."""
        return max(pulse.start_ms + pulse.length_ms for pulse in self.pulses)


TONES: Mapping[ToneKind, ToneShape] = MappingProxyType(
    {
        ToneKind.START: ToneShape(
            pulses=(Pulse(start_ms=0, length_ms=400, from_hz=500, to_hz=1000),)
        ),
        ToneKind.STOP: ToneShape(
            pulses=(
                Pulse(start_ms=0, length_ms=140, from_hz=1000, to_hz=860),
                Pulse(start_ms=170, length_ms=140, from_hz=800, to_hz=680),
                Pulse(start_ms=340, length_ms=160, from_hz=640, to_hz=500),
            )
        ),
        ToneKind.SIDE: ToneShape(
            pulses=(
                Pulse(start_ms=0, length_ms=130, from_hz=560, to_hz=880),
                Pulse(start_ms=170, length_ms=130, from_hz=880, to_hz=560),
            )
        ),
        ToneKind.MIDWAY: ToneShape(
            pulses=(Pulse(start_ms=0, length_ms=260, from_hz=880, to_hz=560),)
        ),
        ToneKind.TICK: ToneShape(
            pulses=(Pulse(start_ms=0, length_ms=120, from_hz=620, to_hz=1000),),
            counts=True,
        ),
    }
)
