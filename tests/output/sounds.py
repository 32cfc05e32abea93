"""Sounds whose every frame is known, and files made of them."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from cuetrack.output.track.chapters import Chapter
from cuetrack.output.track.encoding import write_track
from cuetrack.output.track.metadata import Tags

if TYPE_CHECKING:
    from pathlib import Path

RATE_HZ = 48_000
BURST_FRAMES = 1200
BURSTS_AT = (4_800, 60_011, 123_456, 131_072, 200_003, 262_144)
TRACK_FRAMES = 288_777

TAGS = Tags(
    title="Zehn ruhige Minuten: Larkfield “Hall” ☀",
    album="Classes of the hall",
    artist="Maud",
    language="de",
    comment="One chair,\none bottle",
)
CHAPTERS = (
    Chapter(title="Welcome", start_ms=0, end_ms=1500),
    Chapter(title="Warm-up: Fußkreisen ☀", start_ms=1500, end_ms=2250),
    Chapter(title="Round 1: Heel dig", start_ms=2250, end_ms=6016),
)


def burst() -> np.ndarray:
    """Noise between 300 and 3400 Hz with smooth ends, which only fits in one place."""
    spectrum = np.fft.rfft(np.random.default_rng(7).standard_normal(BURST_FRAMES))
    hz = np.fft.rfftfreq(BURST_FRAMES, 1 / RATE_HZ)
    spectrum[(hz < 300) | (hz > 3400)] = 0
    sound = np.fft.irfft(spectrum, BURST_FRAMES) * np.hanning(BURST_FRAMES)
    return 0.5 * sound / np.abs(sound).max()


def bursts(channels: int) -> np.ndarray:
    """A soft hum with a burst at each place; the right channel is weaker."""
    time_s = np.arange(TRACK_FRAMES) / RATE_HZ
    sound = 0.01 * np.sin(2 * np.pi * 220 * time_s)
    for at in BURSTS_AT:
        sound[at : at + BURST_FRAMES] += burst()
    gains = np.array([1.0, 0.7])[:channels]
    return (sound[:, None] * gains).astype(np.float32)


def noise(frames: int, channels: int = 1, seed: int = 0) -> np.ndarray:
    draw = np.random.default_rng(seed)
    return (0.1 * draw.standard_normal((frames, channels))).astype(np.float32)


def in_blocks(sound: np.ndarray, frames: int = 65_536):
    return (sound[at : at + frames] for at in range(0, len(sound), frames))


def length_frames(sound) -> int:
    """How many frames can be read of an opened sound file."""
    return sum(map(len, sound.blocks()))


def written(path: Path, sound: np.ndarray, **more) -> Path:
    """Write a track of ``sound`` in the format of the path's ending."""
    settings = {
        "format": path.suffix[1:],
        "channels": sound.shape[1],
        "tags": TAGS,
        "chapters": CHAPTERS,
    }
    write_track(path, in_blocks(sound), **(settings | more))
    return path


def offsets(decoded: np.ndarray) -> list[float]:
    """How many frames late each burst lies, by its correlation, to a fraction."""
    template = burst()
    late = []
    for at in BURSTS_AT:
        window = decoded[at - 2400 : at + BURST_FRAMES + 2400, 0].astype(float)
        match = np.correlate(window, template, mode="valid")
        top = int(match.argmax())
        left, peak, right = match[top - 1 : top + 2]
        late.append(top - 2400 + (left - right) / (2 * (left - 2 * peak + right)))
    return late
