"""What a whole make costs: the figures the project holds itself to.

Run it on a quiet machine: ``python tests/benchmarks/whole_makes.py``. Everything is
a ratio of two measurements of the same run; clock time, the least of some tries.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np
from encoding import bare
from pydub import AudioSegment

from cuetrack.cues.placement.placing import place
from cuetrack.output.track.encoding import write_track
from cuetrack.output.track.formats import FORMATS
from cuetrack.output.track.metadata import Tags
from cuetrack.pipeline.arranging import arrange
from cuetrack.pipeline.checking import cue_sheet, read_plan, voice_of
from cuetrack.pipeline.making import MakeRequest, make
from cuetrack.sound.mixing import mix_blocks
from cuetrack.speech.records import timing_of
from cuetrack.speech.speaker import StoredSpeaker
from cuetrack.speech.store import ClipStore

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
TWENTY = EXAMPLES / "hall-twenty.yaml"
TRIES = 3


def say(line: str) -> None:
    """Print a line."""
    sys.stdout.write(line + "\n")
    sys.stdout.flush()


def least_s(work, tries=TRIES):
    """Return the least time of some tries, in seconds."""
    times = []
    for _ in range(tries):
        started = time.perf_counter()
        work()
        times.append(time.perf_counter() - started)
    return min(times)


def spoken_texts(sheet):
    """Return every distinct text that may be spoken, in the order of the sheet."""
    return tuple(
        dict.fromkeys(wording.spoken for cue in sheet.cues for wording in cue.wordings)
    )


def first_make_against_speaking_everything() -> None:
    """Print a first make against one for which every wording is spoken beforehand.

    That is how first makes were before wordings were spoken on demand.
    """
    plan = read_plan(TWENTY)
    store = os.environ["CUETRACK_STORE"]
    took_s = {}
    for everything in (True, False):
        os.environ["CUETRACK_STORE"] = f"{store}-{everything}"
        started = time.perf_counter()
        speaker = StoredSpeaker(voice_of(plan), ClipStore())
        if everything:
            speaker.speak(spoken_texts(cue_sheet(plan)))
        with tempfile.TemporaryDirectory() as folder:
            made = make(plan, MakeRequest(folder=Path(folder), name="a"))
        took_s[everything] = time.perf_counter() - started
        spoken = speaker.rendered + made.spoken_anew
        say(f"  first make, {spoken} wordings spoken: {took_s[everything]:.1f} s")
    os.environ["CUETRACK_STORE"] = store
    ratio = took_s[False] / took_s[True]
    say(f"first make (mp3) / with every wording spoken: {ratio:.2f}   (reach 0.75)")


def first_make_memory() -> None:
    """Print the peak memory of a first make, in one process, against a warm one."""
    first, warm = (child_make(TWENTY, "mp3")["mb"] for _ in range(2))
    say(
        f"peak memory of a first make / a warm one: {first:.0f} / {warm:.0f} MB = "
        f"{first / warm:.2f}   (reach 1.8)"
    )


def make_against_encoding() -> None:
    """Print a make whose speech is stored against encoding the same sound alone."""
    plan = read_plan(TWENTY)
    speaker = StoredSpeaker(voice_of(plan), ClipStore())
    sheet = cue_sheet(plan)
    clips = speaker.speak(spoken_texts(sheet))
    placed = place(sheet, {text: timing_of(clip) for text, clip in clips.items()})
    mix = arrange(placed, clips)
    blocks = [2 * block for block in mix_blocks(mix, speaker)]
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for extension in FORMATS:

            def encode(extension=extension):
                write_track(
                    folder / f"e.{extension}",
                    iter(blocks),
                    format=extension,
                    channels=1,
                    tags=Tags(title="x"),
                    overwrite=True,
                )

            def whole(extension=extension):
                wishes = MakeRequest(folder=folder, format=extension, overwrite=True)
                make(plan, wishes)

            encode_s, whole_s = least_s(encode), least_s(whole)
            reach = "   (reach 3.5)" if extension == "flac" else ""
            say(
                f"make / encode alone, 20 min, {extension}: {whole_s:.2f} / "
                f"{encode_s:.2f} s = {whole_s / encode_s:.2f}{reach}"
            )
            if extension == "mp3":
                pinned_s = least_s(lambda: bare(folder / "p.mp3", blocks, 1))
                say(
                    f"  the same / encoding by PyAV alone: {whole_s:.2f} / "
                    f"{pinned_s:.2f} s = {whole_s / pinned_s:.2f}   (reach 0.6)"
                )
    mix_s = least_s(lambda: [None for _ in mix_blocks(mix, speaker)])
    say(f"mixing alone: {mix_s:.2f} s for {len(mix.events)} clips and tones")
    pydub_s = overlaid_by_pydub(mix, speaker)
    say(f"pydub overlay of the same / mixing: {pydub_s / mix_s:.0f} x  (reach 100)")


def overlaid_by_pydub(mix, speaker) -> float:
    """Return how long laying every clip over silence takes with pydub, in seconds."""

    def segment(samples):
        data = (np.clip(samples, -1, 1) * 32767).astype("<i2").tobytes()
        return AudioSegment(data, sample_width=2, frame_rate=48_000, channels=1)

    spoken = [event for event in mix.events if not event.is_tone]
    parts = [(e.start_frame // 48, segment(speaker.samples(e.key))) for e in spoken]
    started = time.perf_counter()
    track = AudioSegment.silent(mix.length_frames // 48, 48_000)
    for start_ms, part in parts:
        track = track.overlay(part, position=start_ms)
    return time.perf_counter() - started


CHILD = """
import json, resource, sys, time
from pathlib import Path
from cuetrack.pipeline.checking import read_plan
from cuetrack.pipeline.making import MakeRequest, make
plan = read_plan(Path(sys.argv[1]))
started = time.perf_counter(), time.process_time()
made = make(plan, MakeRequest(folder=Path(sys.argv[2]), format=sys.argv[3]))
print(json.dumps({
    "wall": time.perf_counter() - started[0], "cpu": time.process_time() - started[1],
    "mb": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024,
    "minutes": made.cue_file.duration_ms / 60_000}))
"""


def child_make(plan: Path, extension: str) -> dict[str, float]:
    """Make a plan in a process of its own; return time, memory and length."""
    with tempfile.TemporaryDirectory() as folder:
        ran = subprocess.run(
            [sys.executable, "-c", CHILD, str(plan), folder, extension],
            check=True,
            capture_output=True,
            text=True,
        )
    return json.loads(ran.stdout)


def long_class(minutes: int) -> str:
    """Return a plan of about this many minutes: blocks of ten minutes each."""
    block = (
        "  - intervals: {work: 40 s, rest: 20 s, rounds: 2, between rounds: 40 s, "
        "movements: [heel dig, straight punch, brisk march, toe tap side, "
        "shoulder roll]}\n"
    )
    easy = "{for: 4 min, movements: [easy march, shoulder roll, ankle pump]}"
    return (
        "title: Long morning at Larkfield Hall\n"
        "acknowledge: {T01: a benchmark, T04: a benchmark}\nsections:\n"
        f"  - warm-up: {easy}\n{block * ((minutes - 10) // 10)}  - cool-down: {easy}\n"
    )


def growth() -> None:
    """Print memory and time of a 3-hour class against a 20-minute one."""
    with tempfile.TemporaryDirectory() as name:
        short, long = Path(name) / "short.yaml", Path(name) / "long.yaml"
        short.write_text(long_class(20) + "\n", encoding="utf-8")
        long.write_text(long_class(180) + "\n", encoding="utf-8")
        for extension in ("flac", "mp3"):
            child_make(long, extension)
            one, nine = child_make(short, extension), child_make(long, extension)
            times = nine["minutes"] / one["minutes"]
            say(
                f"{extension}: {nine['minutes']:.0f} against {one['minutes']:.0f} min "
                f"({times:.1f} x the length): time {nine['wall'] / one['wall']:.2f} x, "
                f"cpu {nine['cpu'] / one['cpu']:.2f} x (reach 9.3 at 9 x), peak memory "
                f"{nine['mb']:.0f} / {one['mb']:.0f} MB = {nine['mb'] / one['mb']:.2f} "
                "(reach 1.05)"
            )


def cold_check() -> None:
    """Print how long ``cuetrack check`` takes in a cold process."""
    command = [sys.executable, "-m", "cuetrack", "check", str(TWENTY)]
    took_s = least_s(lambda: subprocess.run(command, check=True, capture_output=True))
    say(f"cold check of a 20-minute plan: {took_s:.2f} s   (reach 1)")


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as store:
        os.environ["CUETRACK_STORE"] = str(Path(store) / "clips")
        first_make_memory()  # first: a child's peak memory starts from its parent's
        growth()
        cold_check()
        make_against_encoding()
        first_make_against_speaking_everything()
