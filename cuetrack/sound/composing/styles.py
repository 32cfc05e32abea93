"""The styles: keys, chords, and which voices play what in each scene, as data.

A scene is made of places; in each place one of several layers plays for a phrase,
or nobody where it says ``None``. So the same section never sounds the same for
long, and nothing that was not thought to fit together meets.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

from cuetrack.plan.model import MusicStyle
from cuetrack.sound.composing.scenes import Scene

if TYPE_CHECKING:
    from collections.abc import Mapping


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
class Style:
    """A mood.

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


def _drums(*figures: str, level_db: float = 0.0, since: int = 0) -> Layer:
    return Layer(part=LayerPart.DRUMS, figures=figures, level_db=level_db, since=since)


def _bass(*figures: str, level_db: float = 0.0, voice: str = "round bass") -> Layer:
    return Layer(part=LayerPart.BASS, voice=voice, figures=figures, level_db=level_db)


def _chords(voice: str, *figures: str, level_db: float = 0.0) -> Layer:
    return Layer(part=LayerPart.CHORDS, voice=voice, figures=figures, level_db=level_db)


def _arpeggio(
    voice: str, *figures: str, level_db: float = 0.0, since: int = 0
) -> Layer:
    return Layer(
        part=LayerPart.ARPEGGIO,
        voice=voice,
        figures=figures,
        level_db=level_db,
        since=since,
    )


def _melody(voice: str, level_db: float = 0.0, since: int = 1) -> Layer:
    return Layer(part=LayerPart.MELODY, voice=voice, level_db=level_db, since=since)


def _sparse(voice: str, level_db: float = -2.0, since: int = 0) -> Layer:
    return Layer(
        part=LayerPart.SPARSE_MELODY, voice=voice, level_db=level_db, since=since
    )


def _pad(voice: str = "warm pad", level_db: float = -8.0) -> Layer:
    return Layer(part=LayerPart.PAD, voice=voice, level_db=level_db)


_HUSHED: tuple[LayerPlaces, ...] = ((_pad(level_db=0.0), _pad("low pad", 0.0)),)

_CALM = Style(
    meaning="soft and unhurried: plucked strings, a warm bass, hardly any drums",
    keys=(7, 2, 5, 9),
    verses=(
        "I6 vi7 IVmaj7 IV6 I6 iii7 IVmaj7 Vsus",
        "Imaj7 IVmaj7 Imaj7 IV6 vi7 IVmaj7 ii7 Vsus",
        "I vi7 ii7 V7 iii7 vi7 ii7 Vsus",
    ),
    bridges=(
        "IVmaj7 Vsus iii7 vi7 IVmaj7 Imaj7 ii7 Vsus",
        "vi7 iii7 IVmaj7 I6 ii7 vi7 IV6 Vsus",
        "ii7 Vsus Imaj7 vi7 ii7 IV6 I6 Vsus",
    ),
    scenes={
        Scene.WORK: (
            (_drums("heartbeat", "hands", level_db=-7), _drums("stroll", level_db=-8)),
            (_bass("two", "two up", "long two"),),
            (
                _arpeggio("guitar", "up and down", "rolling", "broken", level_db=-2),
                _arpeggio("harp", "rolling", "three", level_db=-2),
            ),
            (
                _chords("keys", "push", "halves", "easy", level_db=-6),
                _pad(level_db=-8),
            ),
            (_melody("vibes", -5), None, _melody("guitar", -3), _melody("kalimba", -5)),
        ),
        Scene.WARM: (
            (_drums("breath", "heartbeat", level_db=-9),),
            (_bass("two", "long two", level_db=-1),),
            (
                _arpeggio("guitar", "up and down", "broken", level_db=-2),
                _arpeggio("harp", "rolling", level_db=-2),
            ),
            (_pad(level_db=-7), _chords("keys", "whole", "halves", level_db=-6)),
            (_sparse("vibes", -4, 1), None, _sparse("guitar", -3, 1)),
        ),
        Scene.EASY: (
            (_drums("breath", level_db=-9),),
            (_bass("long two", "long", level_db=-1),),
            (_arpeggio("guitar", "sparse", "slow", level_db=-3),),
            (_pad(level_db=-5),),
            (_sparse("vibes", -4), None),
        ),
        Scene.REST: (
            (_drums("breath", "heartbeat", level_db=-8),),
            (_bass("long", "long two", level_db=-2),),
            (_pad(level_db=-3),),
            (None, _chords("keys", "whole", level_db=-4)),
        ),
        Scene.COOL: (
            (_bass("long", "long two", level_db=-3),),
            (
                _arpeggio("harp", "slow", "sparse", level_db=-2),
                _arpeggio("guitar", "slow", "sparse", level_db=-2),
            ),
            (_pad(level_db=-4),),
            (_sparse("vibes", -4), None),
        ),
        Scene.STILL: (
            (_pad(level_db=0),),
            (_arpeggio("harp", "slow", level_db=-2), _sparse("vibes", -2)),
        ),
        Scene.THIN: (
            (_pad(level_db=0),),
            (_arpeggio("guitar", "slow", "sparse", level_db=-2),),
        ),
        Scene.HUSH: _HUSHED,
    },
)

_STEADY = Style(
    meaning="an even walking beat: bass, guitar and mallets over light drums",
    keys=(7, 9, 5, 2),
    verses=(
        "I I IV I V IV I V",
        "I vi IV V I vi ii7 V",
        "I IV I V IV I ii7 V7",
    ),
    bridges=(
        "IV IV I I ii7 ii7 V V7",
        "vi IV I V vi IV ii7 Vsus",
        "IV V iii7 vi IV I V V7",
    ),
    scenes={
        Scene.WORK: (
            (_drums("march", "backbeat"), _drums("stroll", "hands")),
            (_bass("two up", "push", "rise", "walk up", level_db=1),),
            (
                _chords("guitar", "strum", "off beats", level_db=-3),
                _chords("keys", "push", "two and four", "skip", level_db=-4),
            ),
            (
                _arpeggio("marimba", "ticking", "three", "broken", level_db=-5),
                None,
                _arpeggio("guitar", "broken", "falling", level_db=-5),
                _pad(level_db=-10),
            ),
            (
                _melody("vibes", -5),
                None,
                _melody("marimba", -3),
                _melody("kalimba", -4),
            ),
        ),
        Scene.WARM: (
            (_drums("stroll", "hands", level_db=-4), _drums("heartbeat", level_db=-3)),
            (_bass("two", "two up"),),
            (
                _chords("guitar", "off beats", "strum", level_db=-4),
                _chords("keys", "push", "halves", level_db=-4),
            ),
            (_pad(level_db=-10), _arpeggio("marimba", "sparse", "three", level_db=-6)),
            (_sparse("vibes", -4, 1), None, _sparse("kalimba", -4, 1)),
        ),
        Scene.EASY: (
            (_drums("heartbeat", "pulse", level_db=-5),),
            (_bass("two", "long two", level_db=-1),),
            (_arpeggio("guitar", "up and down", "broken", level_db=-3),),
            (_pad(level_db=-7),),
            (_sparse("vibes", -4), None),
        ),
        Scene.REST: (
            (_drums("pulse", "breath", level_db=-4),),
            (_bass("long two", "two", level_db=-1),),
            (_pad(level_db=-3),),
            (None, _chords("keys", "whole", level_db=-4)),
        ),
        Scene.COOL: (
            (_drums("breath", level_db=-10), None),
            (_bass("long two", "two", level_db=-2),),
            (
                _arpeggio("guitar", "up and down", "sparse", level_db=-2),
                _arpeggio("harp", "rolling", "sparse", level_db=-2),
            ),
            (_pad(level_db=-5),),
            (_sparse("vibes", -4), None),
        ),
        Scene.STILL: (
            (_pad(level_db=0),),
            (_arpeggio("harp", "slow", level_db=-2), _sparse("vibes", -2)),
        ),
        Scene.THIN: (
            (_pad(level_db=-1),),
            (_arpeggio("guitar", "sparse", "slow", level_db=-1),),
        ),
        Scene.HUSH: _HUSHED,
    },
)

_BRIGHT = Style(
    meaning="cheerful and springy: mallets, harp and hand claps, a bouncing bass",
    keys=(0, 2, 5, 9),
    verses=(
        "I V vi IV I V IV V",
        "I iii7 IV V I iii7 ii7 V",
        "I IV vi V I IV bVII V",
    ),
    bridges=(
        "vi V IV I vi V ii7 Vsus",
        "IV I V vi IV I bVII V",
        "ii7 iii7 IV V ii7 iii7 IV V7",
    ),
    scenes={
        Scene.WORK: (
            (_drums("four", "clapping", level_db=-1), _drums("backbeat", "hands")),
            (_bass("bounce", "pulse", "push", "rise"),),
            (
                _arpeggio("marimba", "ticking", "three", "broken", level_db=-2),
                _arpeggio("harp", "rolling", "falling", level_db=-2),
            ),
            (
                _chords("keys", "off beats", "skip", "push", level_db=-4),
                _chords("guitar", "strum", "off beats", level_db=-3),
            ),
            (
                _melody("kalimba", -3),
                None,
                _melody("vibes", -4),
                _melody("marimba", -2),
            ),
        ),
        Scene.WARM: (
            (_drums("hands", "stroll", level_db=-3), _drums("clapping", level_db=-5)),
            (_bass("bounce", "two up", "two"),),
            (
                _arpeggio("marimba", "three", "sparse", level_db=-2),
                _arpeggio("harp", "rolling", level_db=-2),
            ),
            (_chords("guitar", "off beats", "strum", level_db=-5), _pad(level_db=-9)),
            (_sparse("kalimba", -3, 1), None, _sparse("vibes", -4, 1)),
        ),
        Scene.EASY: (
            (_drums("hands", "pulse", level_db=-6),),
            (_bass("two", "two up", level_db=-1),),
            (_arpeggio("harp", "rolling", "three", level_db=-3),),
            (_pad(level_db=-7),),
            (_sparse("kalimba", -4), None),
        ),
        Scene.REST: (
            (_drums("pulse", "breath", level_db=-4),),
            (_bass("two", "long two", level_db=-1),),
            (_pad(level_db=-3),),
            (None, _arpeggio("harp", "slow", level_db=-4)),
        ),
        Scene.COOL: (
            (_drums("breath", level_db=-10), None),
            (_bass("long two", level_db=-2),),
            (
                _arpeggio("harp", "up and down", "sparse", level_db=-2),
                _arpeggio("guitar", "up and down", level_db=-2),
            ),
            (_pad(level_db=-5),),
            (_sparse("kalimba", -4), _sparse("vibes", -4), None),
        ),
        Scene.STILL: (
            (_pad(level_db=0),),
            (_arpeggio("harp", "slow", level_db=-2), _sparse("kalimba", -2)),
        ),
        Scene.THIN: (
            (_pad(level_db=-1),),
            (_arpeggio("harp", "sparse", "slow", level_db=-1),),
        ),
        Scene.HUSH: _HUSHED,
    },
)

_SWINGING = Style(
    meaning="a dance band in a good mood: walking bass, brushes, vibraphone",
    keys=(5, 10, 3, 8),
    swing=4,
    verses=(
        "I6 vi7 ii7 V7 I6 vi7 ii7 V7",
        "I6 I6 IV6 I6 ii7 V7 I6 V7",
        "I6 iii7 ii7 V7 iii7 vi7 ii7 V7",
    ),
    bridges=(
        "IV6 IV6 I6 I6 ii7 ii7 V7 V7",
        "iii7 vi7 ii7 V7 iii7 vi7 ii7 V9",
        "vi7 ii7 V7 I6 IVmaj7 iii7 ii7 V7",
    ),
    scenes={
        Scene.WORK: (
            (_drums("swung", level_db=-1), _drums("shuffle", level_db=-1)),
            (_bass("walk", "walk up", level_db=2),),
            (
                _chords("guitar", "two and four", "off beats", level_db=-3),
                _chords("keys", "charleston", "push", level_db=-3),
            ),
            (
                _arpeggio("vibes", "three", "broken", level_db=-6),
                None,
                _arpeggio("marimba", "broken", level_db=-5),
            ),
            (_melody("vibes", -3), None, _melody("guitar", -1), _melody("keys", -3)),
        ),
        Scene.WARM: (
            (_drums("swung", "shuffle", level_db=-4),),
            (_bass("two", "two up", level_db=1),),
            (
                _chords("guitar", "two and four", level_db=-3),
                _chords("keys", "charleston", "halves", level_db=-3),
            ),
            (_pad(level_db=-11),),
            (_sparse("vibes", -3, 1), None, _sparse("guitar", -2, 1)),
        ),
        Scene.EASY: (
            (_drums("shuffle", "pulse", level_db=-6),),
            (_bass("two", "long two"),),
            (_chords("keys", "halves", "charleston", level_db=-3),),
            (_pad(level_db=-8),),
            (_sparse("vibes", -3), None),
        ),
        Scene.REST: (
            (_drums("pulse", "breath", level_db=-4),),
            (_bass("two", "long two"),),
            (_pad(level_db=-3),),
            (None, _chords("keys", "whole", level_db=-3)),
        ),
        Scene.COOL: (
            (_drums("breath", level_db=-9), None),
            (_bass("long two", "two", level_db=-1),),
            (
                _chords("keys", "halves", "whole", level_db=-2),
                _arpeggio("guitar", "sparse", "up and down", level_db=-2),
            ),
            (_pad(level_db=-7),),
            (_sparse("vibes", -3), None),
        ),
        Scene.STILL: (
            (_pad(level_db=0),),
            (_arpeggio("guitar", "slow", level_db=-2), _sparse("vibes", -2)),
        ),
        Scene.THIN: (
            (_pad(level_db=-2),),
            (_chords("keys", "whole", level_db=0), _sparse("vibes", -2)),
        ),
        Scene.HUSH: _HUSHED,
    },
)

STYLES: Mapping[str, Style] = {
    MusicStyle.CALM: _CALM,
    MusicStyle.STEADY: _STEADY,
    MusicStyle.BRIGHT: _BRIGHT,
    MusicStyle.SWINGING: _SWINGING,
}
"""Every style by the word a plan uses for it."""
