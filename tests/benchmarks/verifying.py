"""How fast a finished track is verified, and in how much memory.

Run it by hand: ``python -m tests.benchmarks.verifying``. It makes tracks of 20
minutes and 3 hours with the fake speaker, and prints seconds, peak memory and
the ratio of the two. Seconds are of the processor, so that a busy machine tells the
same.
"""
# ruff: noqa: T201 - printing is what it is for

from __future__ import annotations

import argparse
import multiprocessing
import sys
import tempfile
import time
from pathlib import Path

import numpy as np
import soundfile

from cuetrack.cues.tonekinds import ToneKind
from cuetrack.times import SAMPLE_RATE_HZ, frames_from_ms
from cuetrack.verification import verify_track
from tests.verification.tracks import PHRASES, Track, build

CUES_A_MINUTE = 15
PHRASE_COUNT = 60
LEVEL = 2.0
"""Brings the fake speech to about -16 LUFS."""


def long_class(minutes: int) -> Track:
    """Return a class with 15 cues a minute in 60 wordings, and a tone every minute."""
    draw = np.random.default_rng(minutes)
    wordings = [
        f"{phrase} {n}" for n in range(PHRASE_COUNT // 8 + 1) for phrase in PHRASES
    ]
    slot_ms = 60_000 // CUES_A_MINUTE
    texts = tuple(
        (slot * slot_ms + int(draw.integers(100, 800)), str(draw.choice(wordings)))
        for slot in range(minutes * CUES_A_MINUTE)
        if slot % CUES_A_MINUTE
    )
    tones = tuple((minute * 60_000 + 1500, ToneKind.START) for minute in range(minutes))
    return build(texts, tones, duration_ms=minutes * 60_000)


def write_blockwise(track: Track, path: Path) -> None:
    """Write the track a minute at a time, so that writing needs no memory either."""
    events = sorted((*track.cues, *track.tones), key=lambda event: event.at)
    minute = 60 * SAMPLE_RATE_HZ
    total = frames_from_ms(track.sheet.duration_ms)
    with soundfile.SoundFile(
        path, "w", samplerate=SAMPLE_RATE_HZ, channels=1, subtype="PCM_24"
    ) as file:
        for start in range(0, total, minute):
            block = np.zeros(min(minute, total - start), np.float32)
            for event in events:
                begin = event.at - start
                if begin < block.size and begin + event.sound.size > 0:
                    sound = event.sound[max(0, -begin) :]
                    sound = sound[: block.size - max(0, begin)]
                    block[max(0, begin) : max(0, begin) + sound.size] += sound
            file.write(LEVEL * block)


def peak_mb() -> float:
    """Return the most memory this process ever held, MB; 0 where nobody tells."""
    try:
        import resource  # noqa: PLC0415 - not on Windows
    except ImportError:
        return 0.0
    scale = 2**20 if sys.platform == "darwin" else 2**10
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / scale


def measure(minutes: int, folder: str) -> tuple[float, float, str]:
    """Return seconds, peak MB and the headline of verifying one track."""
    track = long_class(minutes)
    path = Path(folder) / f"{minutes}.flac"
    write_blockwise(track, path)
    before_mb = peak_mb()
    start = time.process_time()
    report = verify_track(path, track.sheet, track.shelf)
    seconds = time.process_time() - start
    return seconds, max(peak_mb(), before_mb), report.headline


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--minutes", type=int, nargs="+", default=[20, 180])
    arguments = parser.parse_args()
    results = {}
    with tempfile.TemporaryDirectory() as folder:
        for minutes in arguments.minutes:
            # A fresh process for each, because peak memory never goes down.
            context = multiprocessing.get_context("spawn")
            with context.Pool(1) as pool:
                results[minutes] = pool.apply(measure, (minutes, folder))
            seconds, memory, headline = results[minutes]
            print(
                f"{minutes:4} min: {seconds:6.1f} s ({minutes * 60 / seconds:.0f} x "
                f"real time), {memory:.0f} MB. {headline}"
            )
    first, last = results[arguments.minutes[0]], results[arguments.minutes[-1]]
    print(f"time ratio {last[0] / first[0]:.2f}, memory ratio {last[1] / first[1]:.2f}")


if __name__ == "__main__":
    main()
