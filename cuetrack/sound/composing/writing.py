"""Writing the music of a phrase: which voice strikes what, on which tick, how hard.

Ticks are exact parts of a beat; nothing here knows of seconds. The same seed writes
the same music on every machine.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cache
from typing import TYPE_CHECKING

from cuetrack.sound.composing.figures import (
    ARPEGGIOS,
    BASS,
    CHORDS,
    FILLS,
    GROOVES,
    MOTIFS,
    SOFT_FILLS,
    SPARSE_MOTIFS,
    STEPS_A_BEAT,
    STRENGTHS,
    strokes,
)
from cuetrack.sound.composing.harmony import PENTATONIC, Chord, in_key, near, voicing
from cuetrack.sound.composing.layers import Layer, LayerPart
from cuetrack.sound.composing.scenes import Scene
from cuetrack.sound.composing.styles import STYLES
from cuetrack.sound.composing.tempo import BAR_BEATS

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence
    from random import Random

    from cuetrack.sound.composing.figures import Stroke
    from cuetrack.sound.composing.layers import StyleScore

TICKS_A_BEAT = 24
PHRASE_BARS = 8
_STEP = TICKS_A_BEAT // STEPS_A_BEAT

_BASS_CENTRE = 41
_BASS_HIGHEST = 53
_CHORD_CENTRE = 57
_ARPEGGIO_CENTRE = 59
_PAD_CENTRE = 53
_MELODY_LOW, _MELODY_HIGH = 60, 76
_STRUM_TICKS = 1
_BASS_SCALE = {"1": 0, "2": 2, "5": 7, "6": 9, "8": 12}
_FULL_SCENES = frozenset({Scene.WORK, Scene.WARM})
_ENDING_PARTS = frozenset(
    {LayerPart.PAD, LayerPart.BASS, LayerPart.ARPEGGIO, LayerPart.CHORDS}
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Note:
    """A voice struck on ``tick`` of its phrase, held for ``ticks``.

    ``pitch`` is a key number (60 is middle C), 0 for drums; ``strength`` 0..1 colours
    the sound, ``level_db`` sets it beside the other voices.
    """

    tick: int
    ticks: int
    voice: str
    pitch: int
    strength: float
    level_db: float


@dataclass(frozen=True, slots=True, kw_only=True)
class MusicPhrase:
    """What a phrase is to be: its scene, chords, and where it stands.

    ``beats`` counts all its beats; ``chords`` has one chord for each of its bars, of
    which the last may be short. ``number`` counts the phrases of a stretch from 0.
    ``closes`` marks the last phrase of a stretch, ``ends`` that of the music.
    """

    scene: Scene
    tonic: int
    chords: tuple[Chord, ...]
    beats: int
    number: int = 0
    closes: bool = False
    ends: bool = False

    @property
    def ticks(self) -> int:
        """Its length."""
        return self.beats * TICKS_A_BEAT

    def bars(self) -> Iterator[tuple[int, int, int, Chord]]:
        """Yield each bar: its number, first tick, beats, and chord."""
        for number, chord in enumerate(self.chords):
            beats = min(BAR_BEATS, self.beats - number * BAR_BEATS)
            yield number, number * BAR_BEATS * TICKS_A_BEAT, beats, chord


@dataclass(slots=True)
class Players:
    """What the players remember from phrase to phrase."""

    rng: Random
    chosen: dict[tuple[Scene, int], Layer | None] = field(default_factory=dict)
    figures: dict[str, str] = field(default_factory=dict)

    def choose(
        self, scene: Scene, place: int, layers: Sequence[Layer | None]
    ) -> Layer | None:
        """Return the layer that plays now: another than before, if there is one."""
        before = self.chosen.get((scene, place))
        others = [layer for layer in layers if layer is not before] or list(layers)
        if (scene, place) not in self.chosen:
            others = [layers[0]] if len(layers) < 2 else list(layers[:2])
        layer = self.rng.choice(others)
        self.chosen[scene, place] = layer
        return layer

    def figure(self, layer: Layer) -> str:
        """Return what a layer plays now: another figure than before, if it can."""
        role = f"{layer.part} {layer.voice}"
        before = self.figures.get(role)
        others = [name for name in layer.figures if name != before] or layer.figures
        self.figures[role] = self.rng.choice(others)
        return self.figures[role]

    def strength(self, plain: float) -> float:
        """Return a strength as hands give it, never twice the same."""
        return min(1.0, max(0.05, plain * self.rng.uniform(0.9, 1.08)))


def write_phrase(style: str, phrase: MusicPhrase, players: Players) -> list[Note]:
    """Return the notes of a phrase, in no special order."""
    notes: list[Note] = []
    taken: set[str] = set()
    for place, layers in enumerate(STYLES[style].scenes[phrase.scene]):
        layer = players.choose(phrase.scene, place, layers)
        if layer is None or phrase.number < layer.since:
            continue
        if layer.voice in taken and layer.part not in {LayerPart.PAD, LayerPart.BASS}:
            continue
        if phrase.ends and layer.part not in _ENDING_PARTS:
            continue
        taken.add(layer.voice)
        notes += _WRITERS[layer.part](STYLES[style], phrase, layer, players)
    return notes


def _ticks(style: StyleScore, step: int) -> int:
    """Return the tick of a step in its bar; swing moves what lies off the beat."""
    beat, off = divmod(step, STEPS_A_BEAT)
    late = {0: 0, 1: style.swing // 2, 2: style.swing, 3: style.swing // 2}[off]
    return beat * TICKS_A_BEAT + off * _STEP + late


def _last_bar(phrase: MusicPhrase, number: int) -> bool:
    return number == len(phrase.chords) - 1


def _rings_out(phrase: MusicPhrase, number: int) -> bool:
    """Return whether a bar belongs to the end of the music, where all comes to rest."""
    return phrase.ends and number >= len(phrase.chords) - 2


def _drums(
    style: StyleScore, phrase: MusicPhrase, layer: Layer, players: Players
) -> Iterator[Note]:
    groove = GROOVES[players.figure(layer)]
    fills = FILLS if phrase.scene in _FULL_SCENES else SOFT_FILLS
    fill = fills[players.rng.choice(sorted(fills))]
    for number, first, beats, _ in phrase.bars():
        fills_in = _last_bar(phrase, number) and (
            phrase.closes or phrase.scene in _FULL_SCENES
        )
        for voice, figure in (fill if fills_in else groove).items():
            for stroke in strokes(figure, number, beats):
                if stroke.sign == "o" and players.rng.random() < 0.08:
                    continue
                yield Note(
                    tick=first + _ticks(style, stroke.step),
                    ticks=0,
                    voice=voice,
                    pitch=0,
                    strength=players.strength(STRENGTHS[stroke.sign]),
                    level_db=layer.level_db,
                )


def _bass(
    style: StyleScore, phrase: MusicPhrase, layer: Layer, players: Players
) -> Iterator[Note]:
    figure = BASS[players.figure(layer)]
    for number, first, beats, chord in phrase.bars():
        playing = "1---------------" if _rings_out(phrase, number) else figure
        following = phrase.chords[(number + 1) % len(phrase.chords)]
        for stroke in strokes(playing, number, beats):
            pitch = near(phrase.tonic + chord.root, _BASS_CENTRE)
            if stroke.sign == "3":
                pitch += chord.third - chord.root
            else:
                pitch = in_key(pitch + _BASS_SCALE[stroke.sign], phrase.tonic, chord)
            if pitch > _BASS_HIGHEST:
                pitch -= 12
            last = stroke.step == 3 * STEPS_A_BEAT and "." not in playing
            if last and beats == BAR_BEATS and following != chord:
                goal = near(phrase.tonic + following.root, pitch)
                pitch = in_key(_beside(goal, pitch), phrase.tonic, chord)
            yield _note(style, stroke, layer, players, first=first, pitch=pitch)


def _beside(goal: int, pitch: int) -> int:
    """Return a tone beside the goal, on the side the line comes from."""
    return goal - 2 if pitch < goal else goal + 2 if pitch > goal else pitch


def _voiced(phrase: MusicPhrase, centre: float) -> list[tuple[int, ...]]:
    """Return the pitches of every chord of a phrase, each near the one before."""
    found: list[tuple[int, ...]] = []
    for chord in phrase.chords:
        tones = tuple(phrase.tonic + tone for tone in chord.tones)
        found.append(voicing(tones, centre, found[-1] if found else ()))
    return found


def _chords(
    style: StyleScore, phrase: MusicPhrase, layer: Layer, players: Players
) -> Iterator[Note]:
    figure = CHORDS[players.figure(layer)]
    voiced = _voiced(phrase, _CHORD_CENTRE)
    spread = _STRUM_TICKS if layer.voice == "guitar" else 0
    for number, first, beats, _ in phrase.bars():
        playing = "x---------------" if _rings_out(phrase, number) else figure
        for stroke in strokes(playing, number, beats):
            up = stroke.step % STEPS_A_BEAT == 2
            pitches = voiced[number][::-1] if up else voiced[number]
            for order, pitch in enumerate(pitches):
                yield _note(
                    style,
                    stroke,
                    layer,
                    players,
                    first=first,
                    pitch=pitch,
                    late=order * spread,
                )


def _arpeggio(
    style: StyleScore, phrase: MusicPhrase, layer: Layer, players: Players
) -> Iterator[Note]:
    figure = ARPEGGIOS[players.figure(layer)]
    voiced = _voiced(phrase, _ARPEGGIO_CENTRE)
    for number, first, beats, _ in phrase.bars():
        rings = _rings_out(phrase, number)
        playing = "0-1-2-3---------" if rings else figure
        tones = voiced[number]
        for stroke in strokes(playing, number, beats):
            octave, place = divmod(int(stroke.sign), len(tones))
            pitch = tones[place] + 12 * octave
            yield _note(style, stroke, layer, players, first=first, pitch=pitch, ring=2)


def _pad(
    style: StyleScore, phrase: MusicPhrase, layer: Layer, players: Players
) -> Iterator[Note]:
    voiced = _voiced(phrase, _PAD_CENTRE)
    for number, first, beats, _ in phrase.bars():
        steps = beats * STEPS_A_BEAT
        for stroke in strokes("x" + "-" * (steps - 1), 0, beats):
            for pitch in voiced[number]:
                yield _note(style, stroke, layer, players, first=first, pitch=pitch)


def _melody(
    style: StyleScore, phrase: MusicPhrase, layer: Layer, players: Players
) -> Iterator[Note]:
    """Yield a tune in the form a, a again, b, and rest: eight bars of two each."""
    motifs = SPARSE_MOTIFS if layer.part is LayerPart.SPARSE_MELODY else MOTIFS
    first_motif, second_motif = players.rng.sample(motifs, 2)
    shape = [players.rng.choice((-2, -1, -1, 1, 1, 2)) for _ in range(12)]
    place = players.rng.randrange(2, 6)
    start, turn = place, 0
    for number, first, beats, chord in phrase.bars():
        part = number // 2 % 4
        if part == 3 or (part == 1 and layer.part is LayerPart.SPARSE_MELODY):
            continue
        motif = second_motif if part == 2 else first_motif
        if number % 2 == 0 and part < 2:
            start, turn = place, 0
        elif number % 2 == 0:
            start, turn = place + 1, 6
        for stroke in strokes(motif, number, beats):
            start = min(max(start + shape[turn % len(shape)], 0), len(_scale(0)) - 1)
            turn += 1
            pitch = _scale(phrase.tonic % 12)[start]
            if stroke.step % 8 == 0:
                pitch = _to_chord(pitch, phrase.tonic, chord)
            yield _note(style, stroke, layer, players, first=first, pitch=pitch, ring=2)


@cache
def _scale(tonic: int) -> tuple[int, ...]:
    """Return the pitches melodies may use, from low to high."""
    names = {(tonic + tone) % 12 for tone in PENTATONIC}
    inside = range(_MELODY_LOW, _MELODY_HIGH + 1)
    pitches = [pitch for pitch in inside if pitch % 12 in names]
    return tuple(pitches[:7])


def _to_chord(pitch: int, tonic: int, chord: Chord) -> int:
    return min(
        (near(tonic + tone, pitch) for tone in chord.tones),
        key=lambda tone: (abs(tone - pitch), tone),
    )


def _note(
    style: StyleScore,
    stroke: Stroke,
    layer: Layer,
    players: Players,
    *,
    first: int,
    pitch: int,
    late: int = 0,
    ring: int = 0,
) -> Note:
    """Return a stroke of the bar that starts on tick ``first`` as a note.

    It comes ``late`` ticks and is held ``ring`` steps longer than written.
    """
    start = _ticks(style, stroke.step)
    end = _ticks(style, stroke.step + stroke.steps + ring)
    return Note(
        tick=first + start + late,
        ticks=end - start - late,
        voice=layer.voice,
        pitch=pitch,
        strength=players.strength(stroke.strength),
        level_db=layer.level_db,
    )


_WRITERS: dict[
    LayerPart, Callable[[StyleScore, MusicPhrase, Layer, Players], Iterator[Note]]
] = {
    LayerPart.DRUMS: _drums,
    LayerPart.BASS: _bass,
    LayerPart.CHORDS: _chords,
    LayerPart.ARPEGGIO: _arpeggio,
    LayerPart.PAD: _pad,
    LayerPart.MELODY: _melody,
    LayerPart.SPARSE_MELODY: _melody,
}
