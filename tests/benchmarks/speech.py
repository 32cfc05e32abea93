"""What making speech costs beyond its synthesis, and what finding it again costs.

Run: ``python tests/benchmarks/speech.py``. All figures come from one run on one
machine; only the ratios mean anything elsewhere.
"""

from __future__ import annotations

import sys
import tempfile
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

from cuetrack.speech.engines import open_engine, worker_count
from cuetrack.speech.records import StoredTimings
from cuetrack.speech.speaker import StoredSpeaker
from cuetrack.speech.store import ClipStore
from cuetrack.speech.voices import voice_named

MOVEMENTS = ("heel dig", "straight punch", "toe tap side", "easy march", "arm circle")
TEXTS = (
    *("Three.", "Two.", "One.", "Go!", "Rest.", "And stop.", "Halfway there."),
    *(f"{n} seconds left." for n in ("Fifteen", "Ten", "Five")),
    *(f"Next, {name}. Watch first." for name in MOVEMENTS),
    *(f"Keep the {name} small and slow if you like." for name in MOVEMENTS),
    *(f"{n} of six, {name}." for n in ("Third", "Fourth") for name in MOVEMENTS),
    *(f"Breathe out with each {name}, and sit tall." for name in MOVEMENTS),
)
ROUNDS = 3


def seconds(work, clock=time.perf_counter) -> float:
    """Return how long something takes, by the wall clock unless told otherwise."""
    started = clock()
    work()
    return clock() - started


def main() -> None:
    """Print the figures of one voice, ``joe`` unless another is named."""
    voice = voice_named(sys.argv[1] if len(sys.argv) > 1 else "joe")
    loading_s = seconds(lambda: open_engine(voice))
    engine = open_engine(voice)
    engine.render("Warm up.")
    rounds = [one_round(voice, engine) for _ in range(ROUNDS)]
    pure_s, made_s, stored_s, asked_s = map(min, zip(*rounds, strict=True))
    alone_s = seconds(lambda: [engine.render(text) for text in TEXTS])
    cpu_ratio = processor_ratio(voice, engine)
    rows = (
        ("loading the engine, s", loading_s),
        ("synthesis in one thread, s", alone_s),
        ("synthesis in the threads of speak(), s", pure_s),
        ("speak(): synthesis, chain, store, s", made_s),
        ("  ratio of these two", made_s / pure_s),
        ("  the same in processor time, in one round", cpu_ratio),
        ("  the same with loading", (made_s + loading_s) / (pure_s + loading_s)),
        ("speak() again, all stored, s", stored_s),
        ("asking for lengths only, s", asked_s),
    )
    sys.stdout.write(f"{len(TEXTS)} wordings by {voice.name}, best of {ROUNDS}\n")
    sys.stdout.writelines(f"{name:<46}{value:8.3f}\n" for name, value in rows)


def processor_ratio(voice, engine) -> float:
    """Return processor time of speak() over that of its synthesis; calm under load."""
    pure_s = seconds(lambda: [engine.render(t) for t in TEXTS], time.process_time)
    with tempfile.TemporaryDirectory() as name:
        speaker = StoredSpeaker(voice, ClipStore(Path(name)), lambda _: engine)
        return seconds(lambda: speaker.speak(TEXTS), time.process_time) / pure_s


def one_round(voice, engine) -> tuple[float, float, float, float]:
    """Return seconds of pure synthesis, of speak(), of speak() again, of asking."""
    longest_first = sorted(TEXTS, key=len, reverse=True)
    with ThreadPoolExecutor(worker_count(voice)) as pool:
        pure_s = seconds(lambda: list(pool.map(engine.render, longest_first)))
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        speaker = StoredSpeaker(voice, ClipStore(folder), lambda _: engine)
        made_s = seconds(lambda: speaker.speak(TEXTS))
        again = StoredSpeaker(voice, ClipStore(folder))
        stored_s = seconds(lambda: again.speak(TEXTS))
        timings = StoredTimings(voice, folder)
        asked_s = seconds(lambda: [timings.timing(text) for text in TEXTS])
    return pure_s, made_s, stored_s, asked_s


if __name__ == "__main__":
    main()
