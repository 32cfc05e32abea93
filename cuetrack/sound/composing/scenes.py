"""Scenes: how full the music is in each stretch, as the energy of the class asks."""

from __future__ import annotations

from enum import StrEnum
from typing import TYPE_CHECKING

from cuetrack.cues.model import SegmentKind
from cuetrack.plan.model import SectionKind
from cuetrack.sound.bed import BED_LUFS

if TYPE_CHECKING:
    from cuetrack.cues.model import Segment


class Scene(StrEnum):
    """What the music does under a stretch, from the fullest to the thinnest."""

    WORK = "work"
    WARM = "warm"
    """Movements that warm up."""
    EASY = "easy"
    """The long break: feet keep moving, breath comes back."""
    REST = "rest"
    COOL = "cool"
    """Movements that calm down."""
    STILL = "still"
    """A held stretch."""
    THIN = "thin"
    """A section is introduced: mostly talk."""
    HUSH = "hush"
    """Welcome and close: talk, and a little warmth behind it."""


SCENE_LUFS = {
    Scene.WORK: BED_LUFS,
    Scene.WARM: BED_LUFS - 3,
    Scene.EASY: BED_LUFS - 5,
    Scene.REST: BED_LUFS - 6,
    Scene.COOL: BED_LUFS - 6,
    Scene.STILL: BED_LUFS - 8,
    Scene.THIN: BED_LUFS - 9,
    Scene.HUSH: BED_LUFS - 14,
}
"""Loudness of each scene before the mix sets the level of the bed."""

_BY_SEGMENT = {
    SegmentKind.WELCOME: Scene.HUSH,
    SegmentKind.CLOSE: Scene.HUSH,
    SegmentKind.OPENING: Scene.THIN,
    SegmentKind.WORK: Scene.WORK,
    SegmentKind.REST: Scene.REST,
    SegmentKind.RECOVERY: Scene.EASY,
}

_BY_SECTION = {
    SectionKind.WARM_UP: Scene.WARM,
    SectionKind.RECOVERY: Scene.EASY,
    SectionKind.COOL_DOWN: Scene.COOL,
}


def scene_of(segment: Segment) -> Scene:
    """Return the scene of a segment; a held stretch is still wherever it stands."""
    if segment.kind is not SegmentKind.MOVE:
        return _BY_SEGMENT[segment.kind]
    if segment.movement is not None and segment.movement.hold:
        return Scene.STILL
    return _BY_SECTION.get(segment.section_kind, Scene.WORK)
