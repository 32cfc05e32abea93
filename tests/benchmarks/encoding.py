"""What writing a track costs beyond its encoder, with and without a meter.

Run ``python tests/benchmarks/encoding.py [MINUTES]``. For each format: the bare
encoder in one thread, for MP3 the one inside PyAV; `write_track`; `write_track` with
a loudness and true-peak meter that hears the decoded sound while it is made. Seconds
by the clock, and of the processor in all threads; on two free cores the first should
differ little.
"""

from __future__ import annotations

import sys
import tempfile
import time
from fractions import Fraction
from itertools import cycle, islice
from pathlib import Path

import av
import numpy as np
import soundfile

from cuetrack.output.track.encoding import write_track
from cuetrack.output.track.formats import M4A, OPUS, Ffmpeg
from cuetrack.output.track.metadata import Tags
from cuetrack.sound.loudness import Meter

RATE_HZ = 48_000
BLOCK_FRAMES = 65_536
MP3_BY_PYAV = Ffmpeg(
    encoder="libmp3lame",
    decoder="mp3float",
    container="mp3",
    bits_per_second=(128_000, 192_000),
)
RECIPES = {"mp3": MP3_BY_PYAV, "m4a": M4A.encoding, "opus": OPUS.encoding}
SUBTYPES = {"wav": "PCM_24", "flac": "PCM_24", "ogg": "VORBIS"}


def material(channels):
    """Half a minute of speech-like bursts over a soft pad."""
    frames = 30 * RATE_HZ
    time_s = np.arange(frames) / RATE_HZ
    draw = np.random.default_rng(1)
    noise = np.fft.rfft(draw.standard_normal(frames))
    hz = np.fft.rfftfreq(frames, 1 / RATE_HZ)
    noise *= 1 / (1 + (hz / 800) ** 2)
    voice = np.fft.irfft(noise, frames) * (np.sin(2 * np.pi * 2.3 * time_s) > 0.2)
    pad = sum(np.sin(2 * np.pi * f * time_s) for f in (220, 277, 330))
    sound = 0.2 * voice / np.abs(voice).max() * 3 + 0.02 * pad
    block = np.repeat(sound[:, None], channels, axis=1).astype(np.float32)
    if channels == 2:
        block[:, 1] *= 0.9
    return [block[at : at + BLOCK_FRAMES] for at in range(0, frames, BLOCK_FRAMES)]


def bare(path, blocks, channels):
    extension = path.suffix[1:]
    if extension in SUBTYPES:
        with soundfile.SoundFile(
            path, "w", RATE_HZ, channels, subtype=SUBTYPES[extension]
        ) as file:
            for block in blocks:
                file.write(block)
        return
    recipe = RECIPES[extension]
    layout = "mono" if channels == 1 else "stereo"
    with av.open(str(path), "w", format=recipe.container) as container:
        stream = container.add_stream(recipe.encoder, rate=RATE_HZ, layout=layout)
        stream.bit_rate = recipe.bits_per_second[channels - 1]
        if recipe is MP3_BY_PYAV:
            stream.codec_context.options = {"compression_level": "7"}
        position = 0
        for block in blocks:
            frame = av.AudioFrame.from_ndarray(
                np.ascontiguousarray(block.T), "fltp", layout
            )
            frame.sample_rate, frame.pts = RATE_HZ, position
            frame.time_base = Fraction(1, RATE_HZ)
            position += len(block)
            container.mux(stream.encode(frame))
        container.mux(stream.encode(None))


def whole(path, blocks, channels, listener=None):
    write_track(
        path,
        blocks,
        format=path.suffix[1:],
        channels=channels,
        tags=Tags(title="a"),
        overwrite=True,
        listener=listener,
    )


def timed(work, *arguments):
    clock, processor = time.perf_counter(), time.process_time()
    work(*arguments)
    return time.perf_counter() - clock, time.process_time() - processor


def compared(path, channels, minutes):
    """Return one row of the table."""
    loop = material(channels)
    count = round(minutes * 60 * RATE_HZ / BLOCK_FRAMES)
    runs = [
        timed(bare, path, islice(cycle(loop), count), channels),
        timed(whole, path, islice(cycle(loop), count), channels),
        timed(whole, path, islice(cycle(loop), count), channels, Meter(channels).add),
    ]
    cells = " | ".join(f"{clock:5.2f} ({cpu:5.2f})" for clock, cpu in runs)
    ratios = " ".join(f"{clock / runs[0][0]:.2f}" for clock, _ in runs[1:])
    return f"{path.suffix:6} {channels}  | {cells} | {ratios}\n"


def main():
    minutes = float(sys.argv[1]) if len(sys.argv) > 1 else 20
    sys.stdout.write(
        "format ch |  bare encoder | write_track   | and metered   | clock ratios\n"
    )
    with tempfile.TemporaryDirectory() as folder:
        for channels in (1, 2):
            for extension in ("mp3", "m4a", "ogg", "opus", "flac", "wav"):
                path = Path(folder) / f"a.{extension}"
                sys.stdout.write(compared(path, channels, minutes))
                sys.stdout.flush()


if __name__ == "__main__":
    main()
