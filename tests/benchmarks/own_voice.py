"""How well does a class come out that is spoken in a voice read by a person?

The reader is an engine, so that all is known of what was read::

    python tests/benchmarks/own_voice.py class --reader joe [PLAN] [--noise-db 35]

reads the script of a plan into the folder of a voice, makes the class in it with no
other voice to fill in, measures the track, and lets the recogniser listen to it; then
the same of the class in the engine's own voice, for comparison. With --noise-db, noise
like that of a room lies so far under each line, and lines differ by up to 6 dB.
"""

from __future__ import annotations

import argparse
import os
import tempfile
import time
from dataclasses import replace
from pathlib import Path

import numpy as np
from scipy.signal import lfilter

from cuetrack.pipeline.checking import read_plan
from cuetrack.pipeline.making import MakeRequest, make
from cuetrack.pipeline.reading_aloud import script_for
from cuetrack.pipeline.verifying import listen_to, verify
from cuetrack.speech.clips import finish
from cuetrack.speech.engines import open_engine
from cuetrack.speech.recorded_facts import Consent, RecordedFacts
from cuetrack.speech.voices import voice_named
from cuetrack.takes.voice_folder import LineRead, VoiceFacts, add_to_voice

PLAN = Path(__file__).parents[2] / "examples" / "hall-twenty.yaml"
AROUND = 4800
CONSENT = Consent(by="an engine", day="2026-11-26", use="a benchmark")


def say(text):
    print(text, flush=True)  # noqa: T201


def read_by(engine, texts, noise_db=None):
    """Yield each line as an engine reads it, no beat told."""
    draw = np.random.default_rng(1)
    around = np.zeros(AROUND, np.float32)
    for text in texts:
        read = finish(engine.render(text))
        sound = np.concatenate([around, read.samples, around])
        if noise_db is not None:
            loud = np.sqrt(np.mean(read.samples**2))
            hiss = lfilter([1], [1, -0.95], draw.standard_normal(sound.size))
            hiss *= loud * 10 ** (-noise_db / 20) / np.sqrt(np.mean(hiss**2))
            sound = (sound + hiss) * 10 ** (draw.uniform(-6, 6) / 20)
        yield LineRead(
            text=text,
            sound=sound.astype(np.float32),
            speech_start=read.speech_start + AROUND,
            speech_end=read.speech_end + AROUND,
        )


def judged(plan, folder, name):
    """Make, measure and listen to a class; print what came of it."""
    started = time.process_time()
    made = make(plan, MakeRequest(folder=folder, name=name))
    took_s = time.process_time() - started
    report = verify(made.files.track)
    heard = listen_to(made.files.track, None)
    cues = made.cue_file.cues
    words = sum(len(cue.spoken.split()) for cue in cues)
    minutes = sum(cue.end_ms - cue.start_ms for cue in cues) / 60_000
    errors = [row.error_ms for row in report.rows if row.error_ms is not None]
    vital = [row for row in heard.rows if row.falsified]
    say(
        f"{name}: {len(cues)} cues said, {len(made.placed.left_out)} left out, "
        f"{words / minutes:.0f} words a minute, {made.spoken_anew} clips anew, "
        f"{took_s:.1f} CPU s; {made.levels.integrated_lufs:.1f} LUFS"
    )
    say(f"  measured: {report.headline} Passed: {report.passed}.")
    say(f"  largest error {max(map(abs, errors)):.2f} ms of {len(errors)}")
    say(f"  heard right {heard.right} of {heard.judged}, vital ones not: {len(vital)}")
    return made


def beats(one, other):
    """Print how far the beats of count words lie from each other in two clips."""

    def from_start(made):
        return {
            cue.spoken: cue.beat_ms - cue.start_ms
            for cue in made.cue_file.cues
            if cue.beat_ms is not None
        }

    mine, theirs = from_start(one), from_start(other)
    apart = [mine[word] - theirs[word] for word in sorted(mine.keys() & theirs.keys())]
    say(
        f"beats of {len(apart)} words from speech start, ms apart: {np.round(apart, 1)}"
    )


def in_own_voice(path, reader, noise_db):
    """Make a class in a voice that an engine read, and in the engine's own."""
    plan = read_plan(path)
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        os.environ["CUETRACK_STORE"] = str(folder / "store")
        script = script_for([plan])
        voice = voice_named(reader)
        facts = VoiceFacts(
            language=voice.language,
            person=RecordedFacts(who=reader, consent=CONSENT),
        )
        started = time.process_time()
        texts = [line.text for line in script.lines]
        lines = read_by(open_engine(voice), texts, noise_db)
        add_to_voice(folder / "own", facts, list(lines))
        size = sum(path.stat().st_size for path in (folder / "own").iterdir())
        say(
            f"{len(script.lines)} lines read by {reader} in "
            f"{time.process_time() - started:.1f} CPU s, {size / 1e6:.1f} MB"
        )
        own = judged(replace(plan, voice=str(folder / "own")), folder, "own voice")
        engine = judged(replace(plan, voice=reader), folder, reader)
        beats(own, engine)


def in_takes(wish):
    """Print what came of takes; the simulated ones live with the tests."""
    from tests.benchmarks.voice_takes import report  # noqa: PLC0415 - other paths

    report(wish.reader, wish.lines, wish.seed, one_ear=wish.one_ear, say=say)


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parts = parser.add_subparsers(required=True)
    part = parts.add_parser("class")
    part.add_argument("plan", nargs="?", type=Path, default=PLAN)
    part.add_argument("--reader", default="joe")
    part.add_argument("--noise-db", type=float)
    part.set_defaults(
        run=lambda wish: in_own_voice(wish.plan, wish.reader, wish.noise_db)
    )
    part = parts.add_parser("takes")
    part.add_argument("--reader", default="joe")
    part.add_argument("--lines", type=int, default=60)
    part.add_argument("--seed", type=int, default=1)
    part.add_argument("--one-ear", action="store_true")
    part.set_defaults(run=in_takes)
    wish = parser.parse_args()
    wish.run(wish)


if __name__ == "__main__":
    main()
