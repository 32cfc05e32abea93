"""How far the room check is off, in simulated rooms where everything is known.

Run it by hand: ``python -m tests.benchmarks.room_errors [SECONDS]``. Each row is
one recording: another room, noise, music, clock, codec. Printed are the errors of
start, clock, speech over noise and over music (mean and standard deviation over
the cues), reverberation time and early-to-late ratio, the advice, and whether it
is the one the scene was made for.
"""

from __future__ import annotations

import sys
import tempfile
import time
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import soundfile

from cuetrack.output.track.encoding import write_track
from cuetrack.output.track.metadata import Tags
from cuetrack.plan.model import Group
from cuetrack.times import SAMPLE_RATE_HZ
from cuetrack.verification.room import RoomReport, check_room
from cuetrack.verification.room.advice import Remedy
from tests.verification.rooms import (
    Recording,
    Scene,
    levels_apart,
    recorded_in,
    speaker,
    spoken_class,
)

if TYPE_CHECKING:
    from cuetrack.output.track.cuefile import CueFile


SCENES = (
    Scene(place="carpeted room", noise_db=-25, advice=Remedy.FINE),
    Scene(place="carpeted room", noise_db=-20, drift_ppm=200, advice=Remedy.FINE),
    Scene(
        place="carpeted room", noise_db=-25, drift_ppm=-200, format="m4a",
        music_under_db=20, advice=Remedy.FINE,
    ),
    Scene(
        place="hall, second row", noise_db=-22, first_s=20.0, before_s=0.0,
        format="mp3", advice=Remedy.FINE,
    ),
    Scene(place="carpeted room", noise_db=-4, advice=Remedy.LOUDSPEAKER_UP),
    Scene(
        place="carpeted room", noise_db=0, drift_ppm=80, rate_hz=16_000,
        advice=Remedy.LOUDSPEAKER_UP,
    ),
    Scene(
        place="carpeted room", noise_db=-3, rate_hz=8_000, drift_ppm=-60,
        advice=Remedy.LOUDSPEAKER_UP,
    ),
    Scene(
        place="carpeted room", noise_db=-30, level_db_spl=52,
        advice=Remedy.LOUDSPEAKER_UP,
    ),
    Scene(
        place="carpeted room", noise_db=-25, music_under_db=3,
        advice=Remedy.MUSIC_DOWN,
    ),
    Scene(
        place="hall, second row", noise_db=-22, music_under_db=0, drift_ppm=120,
        advice=Remedy.MUSIC_DOWN,
    ),
    Scene(
        place="carpeted room", noise_db=-22, music_under_db=4, format="m4a",
        advice=Remedy.MUSIC_DOWN,
    ),
    Scene(place="bare hall, back row", noise_db=-20, advice=Remedy.MOVE_CLOSER),
    Scene(
        place="bare hall, back row", noise_db=-15, drift_ppm=-150, rate_hz=44_100,
        music_under_db=18, advice=Remedy.MOVE_CLOSER,
    ),
    Scene(
        place="hall, back row", noise_db=-30, drift_ppm=40, format="mp3",
        level_db_spl=68, advice=Remedy.FINE,
    ),
    Scene(
        place="bare hall, back row", noise_db=-8, first_s=30.0, before_s=0.0,
        advice=Remedy.MOVE_CLOSER,
    ),
)  # fmt: skip


def make(
    scene: Scene, seconds: int, folder: Path
) -> tuple[Path, Path, Recording, CueFile]:
    """Return recording, track, truth and cue sheet of a scene."""
    voice = speaker(folder / "clips")
    track = spoken_class(voice, seconds)
    truth, whole = recorded_in(scene, track, voice, 30)
    played = folder / "class.flac"
    soundfile.write(played, 0.5 * whole, SAMPLE_RATE_HZ)
    heard = folder / f"hall.{scene.format}"
    if scene.format == "wav":
        soundfile.write(heard, truth.sound, scene.rate_hz)
    else:
        stereo = np.stack([truth.sound, 0.8 * truth.sound], axis=1)
        write_track(
            heard,
            iter([stereo]),
            format=scene.format,
            channels=2,
            tags=Tags(title="hall"),
        )
    return heard, played, truth, track.sheet


def main() -> None:
    """Print the table."""
    seconds = int(sys.argv[1]) if len(sys.argv) > 1 else 120
    print(  # noqa: T201
        f"{'place':20} {'noise':>5} {'music':>5} {'ppm':>5} {'file':>9} | "
        f"{'start':>6} {'drift':>6} {'over noise':>11} {'over music':>11} "
        f"{'RT60 true':>9} {'error':>6} {'+-':>4} {'C50':>5} {'s':>4} | advice"
    )
    right = 0
    for scene in SCENES:
        with tempfile.TemporaryDirectory() as name:
            heard, played, truth, sheet = make(scene, seconds, Path(name))
            began = time.perf_counter()
            group = Group(level_db_spl=scene.level_db_spl)
            report = check_room(heard, played, sheet, group)
            took = time.perf_counter() - began
        right += report.advice.remedy is scene.advice
        print(row(scene, truth, sheet, report, took))  # noqa: T201
    print(f"advice right: {right} of {len(SCENES)}")  # noqa: T201


def row(
    scene: Scene, truth: Recording, sheet: CueFile, report: RoomReport, took: float
) -> str:
    """Return one line of the table."""
    noise, bed = levels_apart(truth, report.rows, sheet)
    said = report.advice
    decay = report.decay
    music = "-" if scene.music_under_db is None else f"{scene.music_under_db:.0f}"
    kind = f"{scene.format}{scene.rate_hz / 1000:.0f}"
    spread = f"{noise.mean():+5.1f} {noise.std():5.1f}"
    beside = f"{bed.mean():+5.1f} {bed.std():5.1f}" if bed.size else "-"
    echo = (
        f"{decay.reverberation_s - truth.reverberation_s:+6.2f} "
        f"{decay.error_s:4.2f} {decay.clarity_db - truth.clarity_db:+5.1f}"
        if decay
        else f"{'-':>6} {'-':>4} {'-':>5}"
    )
    verdict = "" if said.remedy is scene.advice else f"  <- wanted {scene.advice}"
    return (
        f"{scene.place:20} {scene.noise_db:5.0f} {music:>5} {scene.drift_ppm:5.0f} "
        f"{kind:>9} | {report.place.start_ms - 1000 * truth.start_s:+6.2f} "
        f"{report.place.drift_ppm - scene.drift_ppm:+6.2f} {spread:>11} {beside:>11} "
        f"{truth.reverberation_s:9.2f} {echo} {took:4.1f} | {said.remedy} "
        f"{said.amount_db or ''} ({said.lost_now}->{said.lost_then} of {said.cues})"
        f"{verdict}"
    )


if __name__ == "__main__":
    main()
