"""What a film costs: processor seconds a second of film, size and memory.

    python -m tests.benchmarks.film [MINUTES ...]

For each length a track of a hum and a class that repeats, so that only what a film
itself costs is measured, in a process of its own.
"""

from __future__ import annotations

import resource
import subprocess
import sys
import time
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
import soundfile
from msgspec import structs

from cuetrack.languages.phrases import load_phrases
from cuetrack.output.film.frames import Reel
from cuetrack.output.film.shots import shots_of
from cuetrack.output.film.writing import write_film
from cuetrack.output.handouts.strip import strip_of
from cuetrack.output.track.captions import captions
from cuetrack.output.track.metadata import Tags
from tests.pages.shortclass import CUE_FILE, DETAILS, FIGURES

MINUTES = (2, 6)
STRETCH = 10
"""Segments last so many times as long as those of the short class."""


def long_class(minutes):
    """Return a cue sheet that repeats the short class, slowed down, and its figures."""
    once_ms = CUE_FILE.duration_ms * STRETCH
    count = max(1, round(minutes * 60_000 / once_ms))
    rows, cues = [], []
    for n in range(count):
        for row in CUE_FILE.segments:
            times = {
                "start_ms": row.start_ms * STRETCH + n * once_ms,
                "end_ms": row.end_ms * STRETCH + n * once_ms,
            }
            rows.append(structs.replace(row, id=f"{n}.{row.id}", **times))
        for cue in CUE_FILE.cues:
            at = cue.start_ms * STRETCH + n * once_ms
            length = cue.end_ms - cue.start_ms
            segment = f"{n}.{cue.segment}"
            cues.append(
                structs.replace(cue, segment=segment, start_ms=at, end_ms=at + length)
            )
    sheet = structs.replace(
        CUE_FILE,
        segments=tuple(rows),
        cues=tuple(cues),
        tones=(),
        duration_ms=count * once_ms,
    )
    return sheet, {row.id: row.id.partition(".")[2] for row in rows}


def write_hum(path, seconds):
    """Write a quiet hum second by second, so that it takes no memory."""
    second = 0.02 * np.sin(2 * np.pi * 220 * np.arange(48_000) / 48_000)
    with soundfile.SoundFile(path, "w", 48_000, 1) as file:
        for _ in range(seconds):
            file.write(second)


def measure(minutes):
    """Write one film and tell what it cost."""
    sheet, names = long_class(minutes)
    phrases = load_phrases("en")
    shown = captions(sheet, phrases)
    details = {id_: DETAILS[name] for id_, name in names.items() if name in DETAILS}
    figures = {id_: FIGURES[name] for id_, name in names.items() if name in FIGURES}
    reel = Reel(
        shots=shots_of(sheet, details, figures, phrases),
        blocks=strip_of(sheet.segments, [row.section for row in sheet.segments]),
        captions=shown,
        end_ms=sheet.duration_ms,
        phrases=phrases,
    )
    with TemporaryDirectory() as folder:
        sound, path = Path(folder) / "sound.flac", Path(folder) / "film.mp4"
        write_hum(sound, sheet.duration_ms // 1000)
        before = time.process_time()
        write_film(
            path,
            reel,
            sound,
            captions=shown,
            chapters=(),
            tags=Tags(title=sheet.title, language="en"),
        )
        spent = (time.process_time() - before) / (sheet.duration_ms / 1000)
        megabytes = path.stat().st_size / 1e6
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    sys.stdout.write(
        f"{sheet.duration_ms / 60_000:5.1f} min  {spent:.3f} CPU s a second  "
        f"{megabytes:6.1f} MB  peak {peak:.0f} MB\n"
    )


if __name__ == "__main__":
    if sys.argv[1:2] == ["one"]:
        measure(float(sys.argv[2]))
    else:
        for length in sys.argv[1:] or map(str, MINUTES):
            command = [sys.executable, "-m", "tests.benchmarks.film", "one", length]
            subprocess.run(command, check=True)
