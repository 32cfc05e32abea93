"""The styles: keys, chords, and which voices play what in each scene, as data.

A scene is made of places; in each place one of several layers plays for a phrase,
or nobody where it says ``None``. So the same section never sounds the same for
long, and nothing that was not thought to fit together meets.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from cuetrack.plan.model import MusicStyle
from cuetrack.sound.composing.layers import (
    StyleScore,
    arpeggio,
    bass,
    chords,
    drums,
    melody,
    pad,
    sparse,
)
from cuetrack.sound.composing.scenes import Scene

if TYPE_CHECKING:
    from collections.abc import Mapping

    from cuetrack.sound.composing.layers import LayerPlaces


_HUSHED: tuple[LayerPlaces, ...] = ((pad(level_db=0.0), pad("low pad", 0.0)),)

_CALM = StyleScore(
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
            (drums("heartbeat", "hands", level_db=-7), drums("stroll", level_db=-8)),
            (bass("two", "two up", "long two"),),
            (
                arpeggio("guitar", "up and down", "rolling", "broken", level_db=-2),
                arpeggio("harp", "rolling", "three", level_db=-2),
            ),
            (
                chords("keys", "push", "halves", "easy", level_db=-6),
                pad(level_db=-8),
            ),
            (melody("vibes", -5), None, melody("guitar", -3), melody("kalimba", -5)),
        ),
        Scene.WARM: (
            (drums("breath", "heartbeat", level_db=-9),),
            (bass("two", "long two", level_db=-1),),
            (
                arpeggio("guitar", "up and down", "broken", level_db=-2),
                arpeggio("harp", "rolling", level_db=-2),
            ),
            (pad(level_db=-7), chords("keys", "whole", "halves", level_db=-6)),
            (sparse("vibes", -4, 1), None, sparse("guitar", -3, 1)),
        ),
        Scene.EASY: (
            (drums("breath", level_db=-9),),
            (bass("long two", "long", level_db=-1),),
            (arpeggio("guitar", "sparse", "slow", level_db=-3),),
            (pad(level_db=-5),),
            (sparse("vibes", -4), None),
        ),
        Scene.REST: (
            (drums("breath", "heartbeat", level_db=-8),),
            (bass("long", "long two", level_db=-2),),
            (pad(level_db=-3),),
            (None, chords("keys", "whole", level_db=-4)),
        ),
        Scene.COOL: (
            (bass("long", "long two", level_db=-3),),
            (
                arpeggio("harp", "slow", "sparse", level_db=-2),
                arpeggio("guitar", "slow", "sparse", level_db=-2),
            ),
            (pad(level_db=-4),),
            (sparse("vibes", -4), None),
        ),
        Scene.STILL: (
            (pad(level_db=0),),
            (arpeggio("harp", "slow", level_db=-2), sparse("vibes", -2)),
        ),
        Scene.THIN: (
            (pad(level_db=0),),
            (arpeggio("guitar", "slow", "sparse", level_db=-2),),
        ),
        Scene.HUSH: _HUSHED,
    },
)

_STEADY = StyleScore(
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
            (drums("march", "backbeat"), drums("stroll", "hands")),
            (bass("two up", "push", "rise", "walk up", level_db=1),),
            (
                chords("guitar", "strum", "off beats", level_db=-3),
                chords("keys", "push", "two and four", "skip", level_db=-4),
            ),
            (
                arpeggio("marimba", "ticking", "three", "broken", level_db=-5),
                None,
                arpeggio("guitar", "broken", "falling", level_db=-5),
                pad(level_db=-10),
            ),
            (
                melody("vibes", -5),
                None,
                melody("marimba", -3),
                melody("kalimba", -4),
            ),
        ),
        Scene.WARM: (
            (drums("stroll", "hands", level_db=-4), drums("heartbeat", level_db=-3)),
            (bass("two", "two up"),),
            (
                chords("guitar", "off beats", "strum", level_db=-4),
                chords("keys", "push", "halves", level_db=-4),
            ),
            (pad(level_db=-10), arpeggio("marimba", "sparse", "three", level_db=-6)),
            (sparse("vibes", -4, 1), None, sparse("kalimba", -4, 1)),
        ),
        Scene.EASY: (
            (drums("heartbeat", "pulse", level_db=-5),),
            (bass("two", "long two", level_db=-1),),
            (arpeggio("guitar", "up and down", "broken", level_db=-3),),
            (pad(level_db=-7),),
            (sparse("vibes", -4), None),
        ),
        Scene.REST: (
            (drums("pulse", "breath", level_db=-4),),
            (bass("long two", "two", level_db=-1),),
            (pad(level_db=-3),),
            (None, chords("keys", "whole", level_db=-4)),
        ),
        Scene.COOL: (
            (drums("breath", level_db=-10), None),
            (bass("long two", "two", level_db=-2),),
            (
                arpeggio("guitar", "up and down", "sparse", level_db=-2),
                arpeggio("harp", "rolling", "sparse", level_db=-2),
            ),
            (pad(level_db=-5),),
            (sparse("vibes", -4), None),
        ),
        Scene.STILL: (
            (pad(level_db=0),),
            (arpeggio("harp", "slow", level_db=-2), sparse("vibes", -2)),
        ),
        Scene.THIN: (
            (pad(level_db=-1),),
            (arpeggio("guitar", "sparse", "slow", level_db=-1),),
        ),
        Scene.HUSH: _HUSHED,
    },
)

_BRIGHT = StyleScore(
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
            (drums("four", "clapping", level_db=-1), drums("backbeat", "hands")),
            (bass("bounce", "pulse", "push", "rise"),),
            (
                arpeggio("marimba", "ticking", "three", "broken", level_db=-2),
                arpeggio("harp", "rolling", "falling", level_db=-2),
            ),
            (
                chords("keys", "off beats", "skip", "push", level_db=-4),
                chords("guitar", "strum", "off beats", level_db=-3),
            ),
            (
                melody("kalimba", -3),
                None,
                melody("vibes", -4),
                melody("marimba", -2),
            ),
        ),
        Scene.WARM: (
            (drums("hands", "stroll", level_db=-3), drums("clapping", level_db=-5)),
            (bass("bounce", "two up", "two"),),
            (
                arpeggio("marimba", "three", "sparse", level_db=-2),
                arpeggio("harp", "rolling", level_db=-2),
            ),
            (chords("guitar", "off beats", "strum", level_db=-5), pad(level_db=-9)),
            (sparse("kalimba", -3, 1), None, sparse("vibes", -4, 1)),
        ),
        Scene.EASY: (
            (drums("hands", "pulse", level_db=-6),),
            (bass("two", "two up", level_db=-1),),
            (arpeggio("harp", "rolling", "three", level_db=-3),),
            (pad(level_db=-7),),
            (sparse("kalimba", -4), None),
        ),
        Scene.REST: (
            (drums("pulse", "breath", level_db=-4),),
            (bass("two", "long two", level_db=-1),),
            (pad(level_db=-3),),
            (None, arpeggio("harp", "slow", level_db=-4)),
        ),
        Scene.COOL: (
            (drums("breath", level_db=-10), None),
            (bass("long two", level_db=-2),),
            (
                arpeggio("harp", "up and down", "sparse", level_db=-2),
                arpeggio("guitar", "up and down", level_db=-2),
            ),
            (pad(level_db=-5),),
            (sparse("kalimba", -4), sparse("vibes", -4), None),
        ),
        Scene.STILL: (
            (pad(level_db=0),),
            (arpeggio("harp", "slow", level_db=-2), sparse("kalimba", -2)),
        ),
        Scene.THIN: (
            (pad(level_db=-1),),
            (arpeggio("harp", "sparse", "slow", level_db=-1),),
        ),
        Scene.HUSH: _HUSHED,
    },
)

_SWINGING = StyleScore(
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
            (drums("swung", level_db=-1), drums("shuffle", level_db=-1)),
            (bass("walk", "walk up", level_db=2),),
            (
                chords("guitar", "two and four", "off beats", level_db=-3),
                chords("keys", "charleston", "push", level_db=-3),
            ),
            (
                arpeggio("vibes", "three", "broken", level_db=-6),
                None,
                arpeggio("marimba", "broken", level_db=-5),
            ),
            (melody("vibes", -3), None, melody("guitar", -1), melody("keys", -3)),
        ),
        Scene.WARM: (
            (drums("swung", "shuffle", level_db=-4),),
            (bass("two", "two up", level_db=1),),
            (
                chords("guitar", "two and four", level_db=-3),
                chords("keys", "charleston", "halves", level_db=-3),
            ),
            (pad(level_db=-11),),
            (sparse("vibes", -3, 1), None, sparse("guitar", -2, 1)),
        ),
        Scene.EASY: (
            (drums("shuffle", "pulse", level_db=-6),),
            (bass("two", "long two"),),
            (chords("keys", "halves", "charleston", level_db=-3),),
            (pad(level_db=-8),),
            (sparse("vibes", -3), None),
        ),
        Scene.REST: (
            (drums("pulse", "breath", level_db=-4),),
            (bass("two", "long two"),),
            (pad(level_db=-3),),
            (None, chords("keys", "whole", level_db=-3)),
        ),
        Scene.COOL: (
            (drums("breath", level_db=-9), None),
            (bass("long two", "two", level_db=-1),),
            (
                chords("keys", "halves", "whole", level_db=-2),
                arpeggio("guitar", "sparse", "up and down", level_db=-2),
            ),
            (pad(level_db=-7),),
            (sparse("vibes", -3), None),
        ),
        Scene.STILL: (
            (pad(level_db=0),),
            (arpeggio("guitar", "slow", level_db=-2), sparse("vibes", -2)),
        ),
        Scene.THIN: (
            (pad(level_db=-2),),
            (chords("keys", "whole", level_db=0), sparse("vibes", -2)),
        ),
        Scene.HUSH: _HUSHED,
    },
)

STYLES: Mapping[str, StyleScore] = {
    MusicStyle.CALM: _CALM,
    MusicStyle.STEADY: _STEADY,
    MusicStyle.BRIGHT: _BRIGHT,
    MusicStyle.SWINGING: _SWINGING,
}
"""Every style by the word a plan uses for it."""
