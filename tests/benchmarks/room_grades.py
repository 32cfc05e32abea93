"""What the room check says of 30 simulated rooms, beside judges that are not ours.

    python tests/benchmarks/room_grades.py [NUMBER ...] [--haspi] [--record FILE]

The rooms are boxes by the image-source model of pyroomacoustics, from a carpeted
lounge to a bare hall of 2400 cubic metres, with talk all around and with music. Each
is recorded with one loudspeaker and checked from the recording alone. Beside it stand
- the speech transmission index of IEC 60268-16, from the true response and the true
  noise, and its class; ``tests/reference/transmission_index.py``, by formulas;
- HASPI v2 of a few calls as they arrive, for ears without hearing loss and for those
  where the worse-hearing quarter of 75 begins (with --haspi; needs `pyclarity`);
- what the same check says in the same room once the advised step was done.
Nothing is asserted; ``--record`` writes what the tests of `tests/reference` read, and
keeps what HASPI said before where it is not asked again.
"""

# ruff: noqa: T201 - printing is what it is for

from __future__ import annotations

import argparse
import json
import sys
import tempfile
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import pyroomacoustics
import soundfile
import soxr

sys.path.insert(0, str(Path(__file__).parents[2]))

from cuetrack.plan.model import Group
from cuetrack.sound.hearing.listeners import worst_listener
from cuetrack.sound.hearing.sii_tables import CENTRES_HZ
from cuetrack.times import SAMPLE_RATE_HZ
from cuetrack.verification.room import check_room
from cuetrack.verification.room.advice import Remedy
from tests.reference.transmission_index import class_of, transmission_index
from tests.verification.rooms import (
    Place,
    babble,
    ducked_music,
    recorded,
    speaker,
    spoken_class,
)

RATE_HZ = 16_000
HALF_FILTER = 36
"""Fractional delays are centred on tap 40; the direct sound is displaced, too."""
SPEED_M_S = 343.0
SECONDS = 60
JUDGED = 2
LIVING, LOUNGE, HALL, LARGE = (7, 5, 2.6), (10, 7, 3), (16, 10, 4.5), (24, 14, 7)


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """A box, how long it echoes by Sabine's formula, and what is heard in it."""

    size: tuple[float, float, float]
    echo_s: float
    away_m: float
    noise_db: float = -25.0
    music_under_db: float | None = None
    level_db_spl: float = 65.0


ROOMS = (
    Room(size=LIVING, echo_s=0.3, away_m=2),
    Room(size=LIVING, echo_s=0.35, away_m=4),
    Room(size=LIVING, echo_s=0.5, away_m=5),
    Room(size=LIVING, echo_s=0.8, away_m=4),
    Room(size=LOUNGE, echo_s=0.4, away_m=6),
    Room(size=LOUNGE, echo_s=0.55, away_m=6),
    Room(size=LOUNGE, echo_s=0.55, away_m=6, noise_db=-10),
    Room(size=LOUNGE, echo_s=0.55, away_m=6, noise_db=-5),
    Room(size=LOUNGE, echo_s=0.55, away_m=6, noise_db=0),
    Room(size=LOUNGE, echo_s=0.8, away_m=6),
    Room(size=LOUNGE, echo_s=1.1, away_m=2),
    Room(size=LOUNGE, echo_s=1.1, away_m=8),
    Room(size=HALL, echo_s=0.6, away_m=4),
    Room(size=HALL, echo_s=0.6, away_m=12),
    Room(size=HALL, echo_s=0.8, away_m=8, noise_db=-20),
    Room(size=HALL, echo_s=1.0, away_m=4),
    Room(size=HALL, echo_s=1.0, away_m=12, noise_db=-20),
    Room(size=HALL, echo_s=1.3, away_m=2),
    Room(size=HALL, echo_s=1.3, away_m=8),
    Room(size=HALL, echo_s=1.7, away_m=15),
    Room(size=HALL, echo_s=1.7, away_m=4),
    Room(size=HALL, echo_s=2.2, away_m=12, noise_db=-20),
    Room(size=LARGE, echo_s=1.2, away_m=10),
    Room(size=LARGE, echo_s=1.7, away_m=15, noise_db=-20),
    Room(size=LARGE, echo_s=2.5, away_m=20, noise_db=-20),
    Room(size=LARGE, echo_s=2.5, away_m=6),
    Room(size=LOUNGE, echo_s=0.55, away_m=6, level_db_spl=55),
    Room(size=LOUNGE, echo_s=0.55, away_m=6, music_under_db=3),
    Room(size=LOUNGE, echo_s=0.55, away_m=6, music_under_db=12),
    Room(size=HALL, echo_s=1.0, away_m=8, music_under_db=8, noise_db=-20),
)


def response_in(room: Room) -> np.ndarray:
    """Return the response from when a loudspeaker sounds on, to one phone."""
    absorption, order = pyroomacoustics.inverse_sabine(room.echo_s, room.size)
    pyroomacoustics.random.seed(20)
    box = pyroomacoustics.ShoeBox(
        room.size,
        fs=RATE_HZ,
        materials=pyroomacoustics.Material(absorption),
        max_order=min(order, 42),
        use_rand_ism=True,
        max_rand_disp=0.05,
    )
    source = np.array((0.9, 0.47 * room.size[1], 1.5))
    aside, down = min(0.9, 0.2 * room.away_m), min(0.4, 0.3 * room.away_m)
    along = np.sqrt(room.away_m**2 - aside**2 - down**2)
    phone = source + np.array((along, aside, -down))
    box.add_source(source)
    box.add_microphone(phone)
    box.compute_rir()
    return np.asarray(box.rir[0][0])


def place_in(room: Room, first_away_m: float | None = None) -> Place:
    """Return the response from the direct sound on.

    There may be a first loudspeaker farther away, as loud as the one of the room.
    """
    found = response_in(room)
    if first_away_m is not None:
        first = response_in(replace(room, away_m=first_away_m))
        long = max(found.size, first.size)
        found = sum(np.pad(one, (0, long - one.size)) for one in (found, first))
    found = found[round(room.away_m / SPEED_M_S * RATE_HZ) + HALF_FILTER :]
    left = np.cumsum(found[::-1] ** 2)[::-1] / np.sum(found**2)
    found = found[: int(np.argmax(left < 1e-6)) or None] / np.abs(found).max()
    return Place(response=found.astype(np.float32), distance_s=room.away_m / SPEED_M_S)


class Hall:
    """Records a class in rooms and checks it."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        voice = speaker(folder / "clips")
        self.track = spoken_class(voice, SECONDS)
        self._talk = babble(voice, 30)

    def recording(self, room, place):
        """What a phone hears, and what was played."""
        speech, under_db = self.track.sound(), room.music_under_db
        bed = None if under_db is None else ducked_music(self.track, under_db)
        truth = recorded(
            speech, bed, self._talk, place, noise_db=room.noise_db, before_s=4.0
        )
        return truth, speech if bed is None else np.stack([speech + bed] * 2, axis=1)

    def checked(self, room, age=75, place=None):
        """The report, and the truth of the recording."""
        truth, played = self.recording(room, place or place_in(room))
        heard, track = self._folder / "hall.wav", self._folder / "class.flac"
        soundfile.write(track, 0.5 * played, SAMPLE_RATE_HZ)
        soundfile.write(heard, truth.sound, SAMPLE_RATE_HZ)
        group = Group(age=age, level_db_spl=room.level_db_spl)
        return check_room(heard, track, self.track.sheet, group), truth


def haspi(hall, truth, level_db_spl):
    """HASPI v2 of the longest calls as they arrive, for two pairs of ears."""
    from clarity.evaluator.haspi import haspi_v2  # noqa: PLC0415 - only where asked
    from clarity.utils.audiogram import Audiogram  # noqa: PLC0415

    hz = np.array((250, 500, 1000, 2000, 4000, 6000))
    worse = worst_listener(75, 0.75).threshold_db_hl
    at = np.log10(CENTRES_HZ)
    ears = (np.zeros(6), np.interp(np.log10(hz), at, worse))
    longest = sorted(hall.track.sheet.cues, key=lambda cue: cue.start_ms - cue.end_ms)
    parts = [
        slice(round((cue.start_ms - 50) * 48), round((cue.end_ms + 150) * 48))
        for cue in longest[:JUDGED]
    ]
    sent, speech, heard = (
        np.concatenate([sound[part] for part in parts])
        for sound in (
            hall.track.sound(),
            truth.speech,
            truth.speech + truth.music + truth.noise,
        )
    )
    active = np.abs(sent) > 0.01 * np.abs(sent).max()
    clear, arrived = (
        soxr.resample(sound / np.sqrt(np.mean(base[active] ** 2)), 48_000, 24_000)
        for sound, base in ((sent, sent), (heard, speech))
    )
    found = []
    for levels in ears:
        np.random.seed(1)  # noqa: NPY002 - HASPI draws its dither here
        audiogram = Audiogram(levels=levels, frequencies=hz)
        index, _ = haspi_v2(
            clear, 24_000, arrived, 24_000, audiogram, level1=level_db_spl
        )
        found.append(round(float(index), 3))
    return found


def judge(hall, number, *, with_haspi):
    """Everything that is said of a room; one row."""
    room = ROOMS[number]
    place = place_in(room)
    report, truth = hall.checked(room, place=place)
    response = soxr.resample(place.response.astype(float), RATE_HZ, SAMPLE_RATE_HZ)
    index = transmission_index(response, SAMPLE_RATE_HZ, snr_db=-room.noise_db)
    advice = report.advice
    older = hall.checked(room, age=80, place=place)[0].advice
    row = {
        "room": number,
        "size": room.size,
        "away_m": room.away_m,
        "noise_db": room.noise_db,
        "music_under_db": room.music_under_db,
        "level_db_spl": room.level_db_spl,
        "echo_s": round(place.reverberation_s, 2),
        "clarity_db": round(place.clarity_db, 1),
        "sti": round(index, 3),
        "sti_class": class_of(index),
        "grade": advice.grade,
        "grade_80": older.grade,
        "followed": [one.words for one in advice.now],
        "indices": np.mean([r.sii_with_echo for r in report.rows], axis=0)
        .round(3)
        .tolist(),
        "remedy": advice.remedy,
        "amount_db": advice.amount_db,
        "distance": advice.distance,
        "then": [one.words for one in advice.then],
    }
    if with_haspi:
        row["haspi"] = haspi(hall, truth, room.level_db_spl)
    done = after(room, advice)
    if done != room:
        second = advice.remedy is Remedy.SECOND_LOUDSPEAKER
        place = place_in(done, first_away_m=room.away_m if second else None)
        found, truth = hall.checked(done, place=place)
        row["when_done"] = [one.words for one in found.advice.now]
        if with_haspi:
            row["haspi_done"] = haspi(hall, truth, done.level_db_spl)
    return row


def after(room, advice):
    """Return the room with the advised step done."""
    if advice.remedy is Remedy.MUSIC_DOWN:
        return replace(room, music_under_db=room.music_under_db + advice.amount_db)
    if advice.remedy is Remedy.LOUDSPEAKER_UP:
        return replace(
            room,
            level_db_spl=room.level_db_spl + advice.amount_db,
            noise_db=room.noise_db - advice.amount_db,
        )
    return replace(room, away_m=room.away_m * advice.distance)


def show(row):
    """Print a row of the table."""
    judged = " / ".join(f"{value:.2f}" for value in row.get("haspi", ()))
    indices = " / ".join(f"{value:.2f}" for value in row["indices"])
    print(
        f"| {row['room']} | {row['echo_s']:.2f} s, {row['away_m']:g} m, noise "
        f"{row['noise_db']:g}, music {row['music_under_db']}, {row['level_db_spl']:g} "
        f"dB | {row['clarity_db']:+.1f} | {row['sti']:.2f} {row['sti_class']} "
        f"| {judged} | {indices} | {row['grade']} ({row['grade_80']}) "
        f"| {'; '.join(row['followed'])} | {row['remedy']} {row['amount_db'] or ''} "
        f"| {'; '.join(row['then'])} | {'; '.join(row.get('when_done', ()))} "
        f"{row.get('haspi_done', '')} |",
        flush=True,
    )


def main():
    """Judge, print, and record if asked."""
    reader = argparse.ArgumentParser()
    reader.add_argument("rooms", nargs="*", type=int, default=range(len(ROOMS)))
    reader.add_argument("--haspi", action="store_true")
    reader.add_argument("--record", type=Path)
    asked = reader.parse_args()
    print(
        "| room | echo, distance | C50 | STI | HASPI without loss, quarter | index "
        "| grade at 75 (80) | followed | advice | then, reckoned | then, done |"
    )
    print("|---" * 11 + "|")
    before = {}
    if asked.record and asked.record.exists():
        before = {row["room"]: row for row in json.loads(asked.record.read_text())}
    rows = []
    with tempfile.TemporaryDirectory() as folder:
        hall = Hall(Path(folder))
        for number in asked.rooms:
            row = judge(hall, number, with_haspi=asked.haspi)
            if "haspi" in before.get(number, ()):
                row.setdefault("haspi", before[number]["haspi"])
            rows.append(row)
            show(row)
            if asked.record:
                lines = ",\n".join(json.dumps(row) for row in rows)
                asked.record.write_text(f"[\n{lines}\n]\n")


if __name__ == "__main__":
    main()
