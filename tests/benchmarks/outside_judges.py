"""Ask two models of hearing that are not ours what is left of cues over music.

    python tests/benchmarks/outside_judges.py [beds] [ears] [--record FILE]

Needs the wheels ``pystoi`` and ``pyclarity``; of the latter HASPI v2 alone is used,
so that ``pip install --no-deps pyclarity`` is enough beside numba, which ``librosa``
brings. A table is ``beds`` (each bed at the usual ear, before and after), ``ears``
(other ears, levels and a small loudspeaker) or ``songs`` (tunes no law was found on,
at the usual ear and on a small loudspeaker). Every miss is named under its row. HASPI
takes about a third of a second of the processor for a second of sound. Nothing is
asserted; ``--record`` writes every figure to a file, which the tests of
`tests/reference` read.

"Before" is the least duck of the whole bed by the Speech Intelligibility Index, never
under 10 LU, which this package used at first. The left channel is judged: in a room
channels add by power, which one of them shows and their sum does not.
"""

# ruff: noqa: T201 - printing is what it is for

from __future__ import annotations

import argparse
import json
import sys
import tempfile
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

import numpy as np
import soxr
from clarity.evaluator.haspi import haspi_v2
from clarity.utils.audiogram import Audiogram
from pystoi import stoi
from scipy.signal import butter, sosfilt

sys.path.insert(0, str(Path(__file__).parents[2]))

from cuetrack.plan.model import Group
from cuetrack.sound.composing.styles import STYLES
from cuetrack.sound.duck_solving import (
    FLOOR_LU,
    LOSS_LIMIT,
    STEP_DB,
    Hearing,
    listeners_at_level,
)
from cuetrack.sound.ducking import Duck
from cuetrack.sound.hearing.bands import TrackPart, active_spectrum, stretch_spectra
from cuetrack.sound.hearing.threshold_tables import Sex
from cuetrack.sound.hearing.thresholds import thresholds_by_age
from cuetrack.sound.hearing_mix import fit_to_hearing
from cuetrack.sound.mixing import Stem, mix_blocks
from tests.benchmarks.judged_songs import SONGS
from tests.benchmarks.judged_sounds import RATE, TUNES, clips, mix_plan

HASPI_RATE = 24_000
HASPI_HZ = (250, 500, 1000, 2000, 4000, 6000)
SMALL_SPEAKER = butter(4, 200, "highpass", fs=RATE, output="sos")
BEDS = Path(tempfile.gettempdir()) / "judged-beds"
MOST_LOST = 0.03
STEPS_DB = np.arange(0, 40, STEP_DB)


@dataclass(frozen=True, slots=True, kw_only=True)
class Ear:
    """Who listens, and through what."""

    name: str
    age: int = 75
    percentile: float = 0.75
    level_db_spl: float = 65.0
    small_speaker: bool = False

    @property
    def group(self):
        return Group(age=self.age, level_db_spl=self.level_db_spl)

    @property
    def audiogram(self):
        """The worse of both sexes at each frequency, ISO 7029:2017."""
        both = [thresholds_by_age(self.age, sex, self.percentile) for sex in Sex]
        worse = np.max([one.levels_db_hl for one in both], axis=0)
        at = np.log10(both[0].frequencies_hz)
        levels = np.interp(np.log10(HASPI_HZ), at, worse)
        return Audiogram(levels=levels, frequencies=np.array(HASPI_HZ))

    def through(self, sound):
        return sosfilt(SMALL_SPEAKER, sound) if self.small_speaker else sound


USUAL = Ear(name="worse quarter, 65 dB")
EARS = (
    Ear(name="median, 65 dB", percentile=0.5),
    Ear(name="worse tenth, 65 dB", percentile=0.9),
    Ear(name="worse quarter, 60 dB", level_db_spl=60),
    Ear(name="worse quarter, 55 dB", level_db_spl=55),
    Ear(name="age 80, worse quarter, 65 dB", age=80),
    Ear(name="worse quarter, small loudspeaker", small_speaker=True),
)
EARS_BEDS = ("steady", "choir")


def before(plan, ear):
    """The mix as it was made at first, and how far its bed is down under each cue."""
    speech = [active_spectrum(clips()[event.key]) for event in plan.events]
    spans = [
        TrackPart(start_frame=event.start_frame, end_frame=event.end_frame)
        for event in plan.events
    ]
    under = stretch_spectra(plan.bed.blocks(65_536), spans)
    depths_db = []
    for clip, bed in zip(speech, under, strict=True):
        heard = Hearing([clip] * len(STEPS_DB), [bed] * len(STEPS_DB), audience(ear))
        fits = heard.losses(STEPS_DB) <= LOSS_LIMIT
        fits &= heard.separation_lu + STEPS_DB >= FLOOR_LU
        depths_db.append(float(STEPS_DB[fits.argmax()]))
    ducks = tuple(
        Duck(start_frame=one.start_frame, end_frame=one.end_frame, depth_db=depth_db)
        for one, depth_db in zip(spans, depths_db, strict=True)
    )
    return replace(plan, ducks=ducks), depths_db


def after(plan, ear):
    """The mix as it is made now, and how far its bed is down under each cue."""
    found = fit_to_hearing(
        plan, clips(), ear.group, cue_ids=[event.key for event in plan.events]
    )
    return found.plan, [row.depth_db for row in found.hearing.rows]


def beds_under(plan):
    """The left channel of the bed under each cue, as mixed."""
    left = np.concatenate([b[:, 0] for b in mix_blocks(plan, clips(), stem=Stem.BED)])
    return [left[event.start_frame : event.end_frame] for event in plan.events]


def judged(clip, bed, ear):
    """HASPI v2 and ESTOI of a clip over a bed."""
    heard = ear.through(clip + bed)
    np.random.seed(1)  # noqa: NPY002 - HASPI draws its dither here
    clear, mixed = (soxr.resample(one, RATE, HASPI_RATE) for one in (clip, heard))
    index, _ = haspi_v2(
        clear,
        HASPI_RATE,
        mixed,
        HASPI_RATE,
        ear.audiogram,
        level1=audience(ear).offset_db,
    )
    return float(index), float(stoi(ear.through(clip), heard, RATE, extended=True))


@cache
def quiet(ear):
    """HASPI of each clip without music."""
    silent = {key: np.zeros(len(clip), np.float32) for key, clip in clips().items()}
    return [judged(clip, silent[key], ear)[0] for key, clip in clips().items()]


@cache
def audience(ear):
    """The listeners of the ear's group, and what level full scale has for them."""
    speech = [active_spectrum(clip) for clip in clips().values()]
    return listeners_at_level(ear.group, speech)


def judge(name, ear, way):
    """What both judges say of every cue over a bed; one row a cue."""
    plan = mix_plan(name, BEDS)
    made, lowered = before(plan, ear) if way == "before" else after(plan, ear)
    rows = []
    for key, bed, lu, alone in zip(
        clips(), beds_under(made), lowered, quiet(ear), strict=True
    ):
        haspi, estoi = judged(clips()[key], bed, ear)
        rows.append(
            {
                "bed": name,
                "ear": ear.name,
                "way": way,
                "cue": key,
                "lowered_lu": round(lu, 2),
                "haspi_quiet": round(alone, 4),
                "haspi": round(haspi, 4),
                "estoi": round(estoi, 4),
            }
        )
    show(rows)
    return rows


def show(rows):
    lowered, estoi, alone, haspi = (
        np.array([row[key] for row in rows])
        for key in ("lowered_lu", "estoi", "haspi_quiet", "haspi")
    )
    loss = alone - haspi
    first = rows[0]
    print(
        f"| {first['bed']} | {first['ear']} | {first['way']} "
        f"| {lowered.mean():.1f} ({lowered.min():.1f}-{lowered.max():.1f}) "
        f"| {alone.mean():.3f} / {alone.min():.3f} "
        f"| {haspi.mean():.3f} / {haspi.min():.3f} "
        f"| {loss.max():.3f} | {(loss > MOST_LOST).sum()} of {len(rows)} "
        f"| {estoi.mean():.2f} / {estoi.min():.2f} |",
        flush=True,
    )
    for row, lost in zip(rows, loss, strict=True):
        if lost > MOST_LOST:
            print(f"|   missed: {row['cue']} | | | | | | {lost:.3f} | | |")


def main():
    """Judge, print, and record if asked."""
    reader = argparse.ArgumentParser()
    reader.add_argument("tables", nargs="*", default=["beds", "ears", "songs"])
    reader.add_argument("--ways", nargs="+", default=["before", "after"])
    reader.add_argument("--beds", nargs="+", default=[*STYLES, *TUNES, *SONGS])
    reader.add_argument("--record", type=Path)
    asked = reader.parse_args()
    print(
        "| bed | ear | duck | lowered LU | HASPI quiet, mean / worst | HASPI "
        "| most lost | over .03 | ESTOI |"
    )
    print("|---|---|---|---|---|---|---|---|---|")
    runs = []
    if "beds" in asked.tables:
        beds = [bed for bed in asked.beds if bed not in SONGS]
        runs += [(bed, USUAL, way) for bed in beds for way in asked.ways]
    if "ears" in asked.tables:
        beds = [bed for bed in EARS_BEDS if bed in asked.beds]
        runs += [(bed, ear, "after") for ear in EARS for bed in beds]
    if "songs" in asked.tables:
        beds = [bed for bed in SONGS if bed in asked.beds]
        runs += [(bed, ear, "after") for ear in (USUAL, EARS[-1]) for bed in beds]
    for run in runs:
        rows = judge(*run)
        if asked.record:
            record(rows, asked.record)


def record(rows, path):
    """Put rows into a file, in the place of those it had of the same mix."""
    kept = json.loads(path.read_text()) if path.exists() else []
    mixes = {tuple(row[key] for key in ("bed", "ear", "way")) for row in rows}
    kept = [r for r in kept if tuple(r[k] for k in ("bed", "ear", "way")) not in mixes]
    lines = ",\n".join(json.dumps(row) for row in [*kept, *rows])
    path.write_text(f"[\n{lines}\n]\n")


if __name__ == "__main__":
    main()
