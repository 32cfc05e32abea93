"""What a style is made of: layers that each play a part of the music."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping

    from cuetrack.sound.composing.scenes import Scene


class LayerPart(StrEnum):
    """What a layer does in the music."""

    DRUMS = "drums"
    BASS = "bass"
    CHORDS = "chords"
    ARPEGGIO = "arpeggio"
    PAD = "pad"
    MELODY = "melody"
    SPARSE_MELODY = "sparse melody"


@dataclass(frozen=True, slots=True, kw_only=True)
class Layer:
    """A voice with what it may play, at a level in dB beside the others.

    ``figures`` name grooves, bass figures, chord rhythms or arpeggios, of which
    one is taken a phrase. From phrase number ``since`` of a stretch on it plays.
    """

    part: LayerPart
    voice: str = ""
    figures: tuple[str, ...] = ()
    level_db: float = 0.0
    since: int = 0


LayerPlaces = tuple[Layer | None, ...]
"""Layers of which one plays at a time."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StyleScore:
    """A mood as music: what is played in each scene.

    ``meaning`` says it in a few words. ``keys`` are tonics in semitones from C,
    taken in turn; ``verses`` and ``bridges`` lines of eight chords, one a bar.
    ``swing`` delays every second eighth, in ticks of a twenty-fourth of a beat.
    """

    meaning: str
    keys: tuple[int, ...]
    verses: tuple[str, ...]
    bridges: tuple[str, ...]
    scenes: Mapping[Scene, tuple[LayerPlaces, ...]]
    swing: int = 0


def drums(*figures: str, level_db: float = 0.0) -> Layer:
    """Return drums in one of several grooves."""
    return Layer(part=LayerPart.DRUMS, figures=figures, level_db=level_db)


def bass(*figures: str, level_db: float = 0.0, voice: str = "round bass") -> Layer:
    """Return a bass playing one of several figures."""
    return Layer(part=LayerPart.BASS, voice=voice, figures=figures, level_db=level_db)


def chords(voice: str, *figures: str, level_db: float = 0.0) -> Layer:
    """Return chords in one of several rhythms."""
    return Layer(part=LayerPart.CHORDS, voice=voice, figures=figures, level_db=level_db)


def arpeggio(voice: str, *figures: str, level_db: float) -> Layer:
    """Return broken chords in one of several figures."""
    part = LayerPart.ARPEGGIO
    return Layer(part=part, voice=voice, figures=figures, level_db=level_db)


def melody(voice: str, level_db: float = 0.0, since: int = 1) -> Layer:
    """Return a melody."""
    return Layer(part=LayerPart.MELODY, voice=voice, level_db=level_db, since=since)


def sparse(voice: str, level_db: float = -2.0, since: int = 0) -> Layer:
    """Return a melody of few notes."""
    return Layer(
        part=LayerPart.SPARSE_MELODY, voice=voice, level_db=level_db, since=since
    )


def pad(voice: str = "warm pad", level_db: float = -8.0) -> Layer:
    """Return chords held on."""
    return Layer(part=LayerPart.PAD, voice=voice, level_db=level_db)
