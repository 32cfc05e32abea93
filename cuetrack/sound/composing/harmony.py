"""Chords: from a numeral to its tones, and from tones to notes near the last ones."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache

_DEGREES = {"i": 0, "ii": 2, "iii": 4, "iv": 5, "v": 7, "vi": 9, "vii": 11}
_NUMERAL = re.compile(r"(b?)([iv]+|[IV]+)(.*)")
_COLOURS = {
    # Semitones over the root that stand beside, or in place of, root-third-fifth.
    "": (),
    "6": (9,),
    "7": (10,),
    "maj7": (11,),
    "9": (14,),
    "sus": (5,),
}
PENTATONIC = (0, 2, 4, 7, 9)
"""The scale of every melody: no tone of it is harsh over chords of its key."""

MAJOR = (0, 2, 4, 5, 7, 9, 11)


@dataclass(frozen=True, slots=True, kw_only=True)
class Chord:
    """A chord over C: ``root`` 0..11 and its ``tones`` in semitones from C."""

    root: int
    tones: tuple[int, ...]

    @property
    def third(self) -> int:
        """Semitones from C to its second tone: a third, or a fourth if suspended."""
        return self.tones[1]


@lru_cache(maxsize=256)
def chord(numeral: str) -> Chord:
    """Return a chord by its numeral: upper case major, lower minor, then a colour.

    >>> chord("ii7").tones
    (2, 5, 9, 12)
    >>> chord("bVII").root
    10
    """
    found = _NUMERAL.fullmatch(numeral)
    if found is None:
        raise ValueError(f"not a chord: {numeral!r}")
    flat, degree, colour = found.groups()
    root = _DEGREES[degree.lower()] - len(flat)
    third = 4 if degree.isupper() else 3
    if colour == "sus":
        third, colour = 5, ""
    tones = (0, third, 7, *_COLOURS[colour])
    return Chord(root=root, tones=tuple(root + tone for tone in tones))


def line(numerals: str) -> tuple[Chord, ...]:
    """Return the chords of a line, one a bar.

    >>> [one.root for one in line("I vi IV V")]
    [0, 9, 5, 7]
    """
    return tuple(chord(numeral) for numeral in numerals.split())


def near(tone: int, centre: float) -> int:
    """Return the pitch with the tone's name that lies nearest to a centre.

    >>> near(0, 58.0)
    60
    """
    return int(tone + 12 * round((centre - tone) / 12))


def in_key(pitch: int, tonic: int, chord: Chord) -> int:
    """Return a pitch, or the one below it where it is foreign to key and chord.

    >>> in_key(66, 0, chord("iii"))
    65
    """
    tone = (pitch - tonic) % 12
    belongs = tone in MAJOR or tone in {one % 12 for one in chord.tones}
    return pitch if belongs else pitch - 1


def voicing(
    tones: tuple[int, ...], centre: float, before: tuple[int, ...] = ()
) -> tuple[int, ...]:
    """Return a chord's pitches, from low to high, close around ``centre``.

    Of its inversions the one is taken that moves least from the chord before.
    """
    pitch_classes = sorted({tone % 12 for tone in tones})
    choices = []
    for turn in range(len(pitch_classes)):
        turned = pitch_classes[turn:] + [tone + 12 for tone in pitch_classes[:turn]]
        middle = sum(turned) / len(turned)
        shift = 12 * round((centre - middle) / 12)
        choices.append(tuple(tone + shift for tone in turned))
    return min(
        choices, key=lambda pitches: (_movement(pitches, before, centre), pitches)
    )


def _movement(
    pitches: tuple[int, ...], before: tuple[int, ...], centre: float
) -> float:
    drift = abs(sum(pitches) / len(pitches) - centre)
    if not before:
        return drift
    moved = sum(min(abs(pitch - old) for old in before) for pitch in pitches)
    return moved + drift / 2
