"""The tracks that are damaged, others on which no limit was fitted, and the formats.

Each is made by the program as a user has it; of each less than a minute is kept, the
one with most cues and tones.
"""

from __future__ import annotations

import subprocess
import sys
from itertools import pairwise
from typing import TYPE_CHECKING

import imageio_ffmpeg
import numpy as np
import soundfile
from msgspec import structs
from scipy.signal import butter, sosfilt

from cuetrack.output.track.cuefile import CueFile, read_cue_file, with_print
from cuetrack.sound.band_print import BandMeter
from tests.benchmarks.damaged_places import RATE, Place, even, ms
from tests.benchmarks.judged_sounds import TUNES
from tests.verification.tracks import music

if TYPE_CHECKING:
    from pathlib import Path

SHORTEST_MS, LONGEST_MS = 42_000, 54_000
FORMATS = {
    "flac": (".flac", ()),
    "mp3": (".mp3", ("-b:a", "128k", "-compression_level", "7")),
    "opus": (".opus", ("-b:a", "96k", "-compression_level", "3")),
}
HONEST = {
    **FORMATS,
    "wav": (".wav", ("-c:a", "pcm_s16le")),
    "m4a": (".m4a", ("-b:a", "128k")),
    "ogg": (".ogg", ("-c:a", "libvorbis", "-q:a", "5")),
    "mp3 at 32 kbit/s": (".mp3", ("-b:a", "32k")),
    "mp3 at 64 kbit/s": (".mp3", ("-b:a", "64k")),
    "m4a at 48 kbit/s": (".m4a", ("-b:a", "48k")),
    "opus at 64 kbit/s": (".opus", ("-b:a", "64k")),
    "44.1 kHz": (".flac", ("-ar", "44100")),
    "32 kHz": (".wav", ("-ar", "32000")),
}
PLAN = """\
title: Four gentle minutes at Larkfield Hall
group: {{facts: [experienced]}}
acknowledge: {{T01: a trial, T04: a trial, T07: a trial}}
warm-up: {{for: 20 s, movements: [shoulder roll]}}
intervals: {{work: 20 s, rest: 15 s, rounds: 1, movements: [heel dig]}}
cool-down: {{for: 20 s, movements: [chest stretch]}}
{more}
"""
OTHER_PLAN = """\
title: An afternoon at Larkfield Hall
group: {{facts: [experienced]}}
acknowledge: {{T01: a trial, T04: a trial, T07: a trial}}
warm-up: {{for: 30 s, movements: [easy march]}}
intervals: {{work: 25 s, rest: 20 s, rounds: 1, movements: [toe tap, side tap]}}
cool-down: {{for: 30 s, movements: [ankle pump]}}
{more}
"""
TRACKS = {
    "speech": "",
    "own bed": "music: {own: steady}",
    "tune": "music: {files: chords.flac, rights: my own}",
    "other voice": "voice: espeak-en\ncounting: tones",
}
FRESH = {
    "joe, calm": "music: {own: calm}",
    "joe, swinging": "music: {own: swinging}\ncounting: tones",
    "joe, rock": "music: {files: rock.flac, rights: my own}",
    "joe, chiptune": "music: {files: chiptune.flac, rights: my own}",
    "tom": "voice: tom",
    "tom, choir": "voice: tom\nmusic: {files: choir.flac, rights: my own}",
    "tom, wood": "voice: tom\nmusic: {files: wood.flac, rights: my own}",
    "espeak, brass": "voice: espeak-en\nmusic: {files: brass.flac, rights: my own}",
    "espeak, old record": "voice: espeak-en\ncounting: tones\n"
    "music: {files: record.flac, rights: my own}",
    "ada, bright": "voice: ada\nmusic: {own: bright}",
}


def chords(frames, side):
    one, other = (music(frames, seed, 0) for seed in (11 + side, 12 - side))
    return 0.7 * one + 0.3 * other


def chiptune(frames, side):
    """Square waves of few steps, a bass on the lowest G, noise for drums: four bits."""
    draw = np.random.default_rng(5)
    step, sound = RATE // 8, np.zeros(frames)
    at = np.arange(step) / RATE
    for number, start in enumerate(range(0, frames, step)):
        lead = np.sign(np.sin(2 * np.pi * draw.choice([392, 494, 587, 784]) * at))
        low = np.sign(np.sin(2 * np.pi * 48.9994 * (at + number * step / RATE)))
        hiss = draw.choice([-1.0, 1.0], step) * (number % 4 == 2)
        parts = (0.3 + 0.1 * side) * lead + 0.5 * low + 0.3 * hiss * np.exp(-at * 30)
        sound[start : start + step] = parts[: frames - start]
    return np.round(sound * 8) / 8


def wood(frames, side):
    """Castanets and wooden blocks, dry and sharp, over a plucked string."""
    draw = np.random.default_rng(7)
    step, sound = RATE // 10, np.zeros(frames + RATE)
    at = np.arange(RATE // 2) / RATE
    for start in range(0, frames, step):
        hz = draw.choice([1900, 2300, 3100])
        if draw.random() < 0.7:
            knock = np.exp(-at * 400) * np.sin(2 * np.pi * hz * at)
            sound[start : start + at.size] += draw.uniform(1, 3) * knock
        pluck = np.exp(-at * 9) * np.sign(
            np.sin(2 * np.pi * draw.choice([110, 147]) * at)
        )
        sound[start : start + at.size] += 0.25 * pluck
    return np.roll(sound[:frames], 20 * side)


def record(frames, side):
    """A waltz from an old record: crackle, hiss, hum of the motor, and wow."""
    draw = np.random.default_rng(9)
    at = np.arange(frames)
    swing = 0.002 * RATE / (2 * np.pi * 0.55) * np.sin(2 * np.pi * 0.55 * at / RATE)
    tune = np.interp(at + swing, at, TUNES["piano"](frames, 0))
    band = butter(2, (150, 5500), "bandpass", fs=RATE, output="sos")
    sound = sosfilt(band, tune / np.abs(tune).max())
    sound += 0.004 * draw.standard_normal(frames)
    sound += 0.01 * np.sin(2 * np.pi * 50.03 * at / RATE)
    ticks = draw.integers(0, frames, frames // RATE * 6)
    sound[ticks] += draw.uniform(-0.4, 0.4, ticks.size)
    return sound * (1 + 0.1 * side)


MADE_TUNES = {
    **TUNES,
    "chords": chords,
    "chiptune": chiptune,
    "wood": wood,
    "record": record,
}


def make_tracks(folder: Path, *, fresh: bool) -> None:
    """Make the tracks that are not there yet as FLAC."""
    wanted = (
        {name: OTHER_PLAN.format(more=more) for name, more in FRESH.items()}
        if fresh
        else {name: PLAN.format(more=more) for name, more in TRACKS.items()}
    )
    folder.mkdir(parents=True, exist_ok=True)
    for name, text in wanted.items():
        stem = stem_of(name)
        if (folder / "made" / f"{stem}.cues.json").exists():
            continue
        plan = folder / f"{stem}.yaml"
        plan.write_text(text, encoding="utf-8")
        for tune, make in MADE_TUNES.items():
            if f"{tune}.flac" in text and not (folder / f"{tune}.flac").exists():
                sides = np.stack([make(60 * RATE, side) for side in (0, 1)])
                loud = sides / np.abs(sides).max() * 0.9
                soundfile.write(folder / f"{tune}.flac", loud.T, RATE)
        command = [sys.executable, "-m", "cuetrack", "make", plan, "--format", "flac"]
        command += ["--out", folder / "made"]
        subprocess.run(command, check=True, stdout=subprocess.DEVNULL)


def stem_of(name: str) -> str:
    return name.replace(",", "").replace(" ", "-")


def places_in(folder: Path, *, fresh: bool) -> dict[str, Place]:
    """Return each track of a folder, cut to its fullest stretch."""
    places = {}
    for seed, name in enumerate(FRESH if fresh else TRACKS):
        stem = folder / "made" / stem_of(name)
        sound, _ = soundfile.read(stem.with_suffix(".flac"), always_2d=True)
        sound, sheet = cropped(sound, read_cue_file(stem.with_suffix(".cues.json")))
        places[name] = Place(sheet=sheet, sound=sound, seed=seed)
    return places


def cropped(sound, sheet: CueFile) -> tuple[np.ndarray, CueFile]:
    """Return the stretch with most cues and tones, cut in gaps, and its sheet."""
    rows = sorted((row.start_ms, row.end_ms) for row in (*sheet.cues, *sheet.tones))
    starts = [row.start_ms for row in (*sheet.cues, *sheet.cues, *sheet.tones)]
    gaps = [
        int((end + start) / 2)
        for (_, end), (start, _) in pairwise(rows)
        if start - end > 500
    ]
    spans = [
        (gap, min((other for other in gaps if other > gap + SHORTEST_MS), default=0))
        for gap in gaps
    ]
    first, last = max(
        (span for span in spans if 0 < span[1] < span[0] + LONGEST_MS),
        key=lambda span: sum(span[0] < start < span[1] for start in starts),
    )

    def kept(rows):
        return tuple(
            structs.replace(
                row,
                start_ms=row.start_ms - first,
                end_ms=row.end_ms - first,
                **(
                    {"beat_ms": None, "anchor_ms": None} if hasattr(row, "clip") else {}
                ),
            )
            for row in rows
            if first < row.start_ms < last
        )

    short = structs.replace(
        sheet,
        duration_ms=last - first,
        cues=kept(sheet.cues),
        tones=kept(sheet.tones),
        segments=(),
    )
    short_sound = even(sound[ms(first) : ms(last)].astype(np.float32))
    bands = BandMeter()
    bands.add(short_sound.mean(axis=1))
    return short_sound, with_print(short, bands.levels_db())


def encoded(sound, path: Path, options: tuple[str, ...]) -> Path:
    """Store a sound as a file of the format that its name says."""
    samples = np.ascontiguousarray(sound, np.float32)
    program = imageio_ffmpeg.get_ffmpeg_exe()
    layout = ["-f", "f32le", "-ar", str(RATE), "-ac", str(samples.shape[1])]
    command = [program, "-y", "-loglevel", "error", *layout, "-i", "pipe:", *options]
    subprocess.run([*command, str(path)], check=True, input=samples.tobytes())
    return path


def decoded(path: Path) -> np.ndarray:
    """Return the sound of a file at 48 kHz, shape (frames, channels)."""
    program = imageio_ffmpeg.get_ffmpeg_exe()
    channels = 1 if "mono" in path.name else 2
    layout = ["-f", "f32le", "-ar", str(RATE), "-ac", str(channels), "pipe:"]
    command = [program, "-loglevel", "error", "-i", str(path), *layout]
    raw = subprocess.run(command, check=True, capture_output=True).stdout
    return np.frombuffer(raw, np.float32).reshape(-1, channels)
