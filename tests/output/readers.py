"""Readers of sound files that share nothing with cuetrack's own."""

from __future__ import annotations

import subprocess
from typing import TYPE_CHECKING

import av
import imageio_ffmpeg
import numpy as np
import soundfile

if TYPE_CHECKING:
    from pathlib import Path


def by_libsndfile(path: Path) -> np.ndarray:
    return soundfile.read(path, dtype="float32", always_2d=True)[0]


def by_pyav(path: Path) -> np.ndarray:
    """Decode with the FFmpeg inside PyAV, frame after frame as they come."""
    with av.open(str(path)) as container:
        channels = container.streams.audio[0].codec_context.layout.nb_channels
        resampler = av.AudioResampler(format="flt")
        frames = [
            plain.to_ndarray().reshape(-1, channels)
            for frame in container.decode(audio=0)
            for plain in resampler.resample(frame)
        ]
    return np.concatenate(frames)


def by_ffmpeg_program(path: Path) -> np.ndarray:
    """Decode with a program of another FFmpeg version."""
    with av.open(str(path)) as container:
        channels = container.streams.audio[0].codec_context.layout.nb_channels
    raw = ffmpeg("-i", str(path), "-f", "f32le", "-c:a", "pcm_f32le", "-")
    return np.frombuffer(raw, dtype="<f4").reshape(-1, channels)


def ffmpeg(*arguments: str, sound: bytes = b"") -> bytes:
    program = imageio_ffmpeg.get_ffmpeg_exe()
    return subprocess.run(
        [program, "-v", "error", *arguments],
        check=True,
        capture_output=True,
        input=sound,
    ).stdout


def ffmpeg_says(path: Path) -> str:
    """Return what the program tells of a file: streams, tags, chapters."""
    program = imageio_ffmpeg.get_ffmpeg_exe()
    done = subprocess.run(
        [program, "-hide_banner", "-i", str(path)], check=False, capture_output=True
    )
    return done.stderr.decode("utf-8")


READERS = {
    "libsndfile": by_libsndfile,
    "PyAV": by_pyav,
    "ffmpeg": by_ffmpeg_program,
}
NOT_READ = {"m4a": {"libsndfile"}}
"""Formats that one of the readers does not know."""


def readers_of(extension: str) -> list[str]:
    """Return the names of all readers of a format."""
    return [name for name in READERS if name not in NOT_READ.get(extension, ())]
