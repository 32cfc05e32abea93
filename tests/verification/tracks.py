"""Small finished tracks whose every sample is known, and ways to damage them."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
import soundfile

from cuetrack.cues.tonekinds import TONES, ToneKind
from cuetrack.output.track.cue_rows import CueRow, ToneRow
from cuetrack.output.track.cuefile import CueFile
from cuetrack.sound.loudness import measure
from cuetrack.sound.tones import tone
from cuetrack.times import SAMPLE_RATE_HZ, frames_from_ms, ms_from_frames
from tests.fakes import ToneSpeaker

if TYPE_CHECKING:
    from collections.abc import Iterable
    from pathlib import Path

    from cuetrack.arrays import Samples
    from cuetrack.speech.model import Clip, Speaker

PHRASES = (
    "Welcome to Larkfield Hall.",
    "Sit tall, feet flat on the floor.",
    "Next: heel digs.",
    "Shoulders down.",
    "Halfway.",
    "Breathe out as you push.",
    "Third of six.",
    "Well done, rest now.",
)
COUNT = ("Three.", "Two.", "One.")
TARGET_LUFS = -16.2
"""Nothing here limits peaks, so a little room is left below the -16 asked for."""


class Shelf:
    """A clip shelf over what a speaker has said."""

    def __init__(self, speaker: Speaker, clips: Iterable[Clip] = ()) -> None:
        self.speaker = speaker
        self.clips = {clip.key: clip for clip in clips}

    def holds(self, key: str) -> Clip | None:
        return self.clips.get(key)

    def samples(self, key: str) -> Samples:
        return self.speaker.samples(key)


@dataclass(frozen=True, kw_only=True)
class Event:
    """One sound of a track: its first frame is frame ``at`` of the track."""

    at: int
    sound: Samples


@dataclass(frozen=True, kw_only=True)
class Track:
    """A cue sheet and the sounds that make its track, cue and tone by cue and tone."""

    sheet: CueFile
    cues: tuple[Event, ...]
    tones: tuple[Event, ...]
    shelf: Shelf
    bed: Samples | None = None

    def move(self, index: int, frames: int) -> Track:
        moved = replace(self.cues[index], at=self.cues[index].at + frames)
        return self.with_cues(*self.cues[:index], moved, *self.cues[index + 1 :])

    def drop(self, index: int) -> Track:
        return self.with_cues(*self.cues[:index], *self.cues[index + 1 :])

    def swap(self, first: int, second: int) -> Track:
        cues = list(self.cues)
        cues[first] = replace(self.cues[second], at=self.cues[first].at)
        cues[second] = replace(self.cues[first], at=self.cues[second].at)
        return self.with_cues(*cues)

    def with_cues(self, *cues: Event) -> Track:
        return replace(self, cues=cues)

    def sound(self) -> Samples:
        """Return the track as it would be finished, at -16.2 LUFS."""
        speech = np.zeros(frames_from_ms(self.sheet.duration_ms), np.float32)
        for event in (*self.cues, *self.tones):
            at = max(0, event.at)
            sound = event.sound[at - event.at :][: speech.size - at]
            speech[at : at + sound.size] += sound
        if self.bed is None:
            return levelled(speech)
        other_side = np.roll(self.bed, 12)
        return levelled(np.stack([speech + self.bed, speech + other_side], axis=1))


def levelled(sound: Samples) -> Samples:
    """Return the sound at -16.2 LUFS."""
    shaped = sound.reshape(len(sound), -1)
    levels = measure([shaped], shaped.shape[1])
    gain = 10 ** ((TARGET_LUFS - levels.integrated_lufs) / 20)
    return (sound * gain).astype(np.float32)


def build(
    texts: tuple[tuple[int, str], ...],
    tones: tuple[tuple[int, ToneKind], ...] = (),
    *,
    duration_ms: int,
    speaker: Speaker | None = None,
    counted: tuple[str, ...] = (),
) -> Track:
    """Return a track that says each text (its speech starts at the given ms).

    Texts in ``counted`` are words of a countdown.
    """
    speaker = speaker or ToneSpeaker()
    clips = speaker.speak([text for _, text in texts])
    rows, events = [], []
    for number, (start_ms, text) in enumerate(texts):
        clip = clips[text]
        start = frames_from_ms(start_ms)
        end = start + clip.speech_end - clip.speech_start
        rows.append(
            CueRow(
                id=f"cue-{number}",
                kind="countdown" if text in counted else "form",
                segment="s1",
                text=text,
                spoken=text,
                clip=clip.key,
                start_ms=float(start_ms),
                end_ms=ms_from_frames(end),
                anchor_ms=None,
                beat_ms=None,
            )
        )
        samples = speaker.samples(clip.key)
        events.append(Event(at=start - clip.speech_start, sound=samples))
    sheet = CueFile(
        title="Ten gentle minutes at Larkfield Hall",
        language="en",
        sample_rate=SAMPLE_RATE_HZ,
        duration_ms=duration_ms,
        voice="tones",
        segments=(),
        cues=tuple(rows),
        tones=tuple(
            ToneRow(kind=kind, start_ms=at, end_ms=at + TONES[kind].length_ms)
            for at, kind in tones
        ),
        left_out=(),
    )
    return Track(
        sheet=sheet,
        cues=tuple(events),
        tones=tuple(
            Event(at=frames_from_ms(at), sound=tone(kind)) for at, kind in tones
        ),
        shelf=Shelf(speaker, clips.values()),
    )


def small_class(seed: int = 0) -> Track:
    """Return a class of some 30 s: cues at drawn times, a count, all four tones."""
    draw = np.random.default_rng(seed)
    at_ms, texts, tones = 40, [], []
    for text in draw.permutation(PHRASES):
        texts.append((at_ms, str(text)))
        at_ms += 2400 + int(draw.integers(0, 1500))
    for word in COUNT:
        texts.append((at_ms, word))
        at_ms += 1000
    for kind, wait_ms in (
        (ToneKind.START, 1500),
        (ToneKind.SIDE, 1500),
        (ToneKind.TICK, 1000),
        (ToneKind.TICK, 1000),
        (ToneKind.STOP, 1500),
    ):
        tones.append((at_ms, kind))
        at_ms += wait_ms
    return build(tuple(texts), tuple(tones), duration_ms=at_ms)


def music(frames: int, seed: int, level_db: float) -> Samples:
    """Return chords, a bass, a melody and hats, ``level_db`` below the fake speech."""
    draw = np.random.default_rng(seed)
    beat = SAMPLE_RATE_HZ // 2
    sound = np.zeros(frames + 4 * beat)
    seconds = np.arange(beat * 2) / SAMPLE_RATE_HZ
    fade = np.exp(-seconds * 2.5)
    scale_hz = 220 * 2 ** (np.array([0, 2, 4, 7, 9, 12, 14, 16, 24, 28]) / 12)
    chords = np.array(
        [
            sum(np.sin(2 * np.pi * hz * n * seconds) / n**1.5 for n in (1, 2, 3, 4))
            for hz in scale_hz
        ]
    )
    basses = 2 * np.sin(2 * np.pi * scale_hz[:, None] / 4 * seconds)
    for start in range(0, frames, beat):
        notes = chords[draw.choice(len(scale_hz), 4)].sum(axis=0)
        notes += basses[draw.integers(len(scale_hz))]
        sound[start : start + beat * 2] += notes * fade
        hat = draw.standard_normal(2400) * np.exp(-np.arange(2400) / 400)
        sound[start : start + 2400] += np.diff(hat, prepend=0.0)
    sound = sound[:frames]
    rms = 0.1 * 10 ** (level_db / 20)
    return (sound * rms / np.sqrt(np.mean(sound**2))).astype(np.float32)


def write(path: Path, sound: Samples, rate_hz: int = SAMPLE_RATE_HZ) -> Path:
    """Write a finished track in the format its name says.

    In blocks, because libsndfile keeps what it is given for Vorbis on the stack.
    """
    subtypes = {".wav": "FLOAT", ".flac": "PCM_24"}
    with soundfile.SoundFile(
        path,
        "w",
        samplerate=rate_hz,
        channels=1 if sound.ndim == 1 else sound.shape[1],
        subtype=subtypes.get(path.suffix),
    ) as file:
        for start in range(0, len(sound), SAMPLE_RATE_HZ):
            file.write(sound[start : start + SAMPLE_RATE_HZ])
    return path
