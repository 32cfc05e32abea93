"""What two models of hearing that are not ours said of cues over music.

HASPI v2 (Kates and Arehart, Speech Communication 2021) by the package ``pyclarity``,
ESTOI (Jensen and Taal, IEEE/ACM TASLP 2016) by ``pystoi``. HASPI is slow and its
package large, so that its figures are recorded: ``tests/benchmarks/outside_judges.py``
made ``data/outside_judges.json``. No listener took part.
"""

from __future__ import annotations

import json
from collections import defaultdict
from pathlib import Path

import numpy as np
import pytest
from pystoi import stoi

from cuetrack.plan.model import Group
from cuetrack.sound.composing.styles import STYLES
from cuetrack.sound.hearing_mix import fit_to_hearing
from cuetrack.sound.mixing import Stem, mix_blocks
from tests.benchmarks.judged_songs import SONGS
from tests.benchmarks.judged_sounds import RATE, TUNES, clips, mix_plan
from tests.sound.sounds import joined

pytestmark = pytest.mark.outside

FILE = Path(__file__).parent / "data" / "outside_judges.json"
ROWS = json.loads(FILE.read_text(encoding="utf-8"))
USUAL = "worse quarter, 65 dB"
MOST_LOST = 0.03


def of_mixes(ear, way):
    """The recorded rows of each bed."""
    found = defaultdict(list)
    for row in ROWS:
        if row["ear"] == ear and row["way"] == way:
            found[row["bed"]].append(row)
    return found


@pytest.fixture(scope="module")
def steady(tmp_path_factory):
    """Cues over a bed of our own, mixed now: the rows of the report, ESTOI of each."""
    plan = mix_plan("steady", tmp_path_factory.mktemp("beds"))
    keys = [event.key for event in plan.events]
    fitted = fit_to_hearing(plan, clips(), Group(age=75), cue_ids=keys)
    bed = joined(mix_blocks(fitted.plan, clips(), stem=Stem.BED))[:, 0]
    estoi = [
        stoi(
            clips()[event.key],
            clips()[event.key] + bed[event.start_frame : event.end_frame],
            RATE,
            extended=True,
        )
        for event in plan.events
    ]
    return fitted.hearing.rows, estoi


@pytest.mark.slow
def test_the_recorded_mix_is_the_one_made_now(steady):
    """The judges' figures stand for today's code: same depths, same ESTOI."""
    rows, estoi = steady
    recorded = of_mixes(USUAL, "after")["steady"]
    assert [row.cue for row in rows] == [row["cue"] for row in recorded]
    for row, now, then in zip(rows, estoi, recorded, strict=True):
        assert row.depth_db == pytest.approx(then["lowered_lu"], abs=0.15)
        assert now == pytest.approx(then["estoi"], abs=0.01)


@pytest.mark.slow
def test_estoi_finds_every_cue_clearer_than_before(steady):
    """With the speech band cut no cue is less clear than when all of the bed sank."""
    _, estoi = steady
    before = of_mixes(USUAL, "before")["steady"]
    gained = np.subtract(estoi, [row["estoi"] for row in before])
    assert gained.mean() > 0.05
    assert gained.min() > -0.02


def test_haspi_loses_no_cue():
    """None falls more than 0.03 under no music, nor over songs no law was found on."""
    rows = [row for row in ROWS if row["way"] == "after"]
    assert {row["bed"] for row in rows} == {*STYLES, *TUNES, *SONGS}
    assert len({row["ear"] for row in rows}) == 7
    assert [row for row in rows if row["haspi_quiet"] - row["haspi"] > MOST_LOST] == []


def test_tunes_stay_louder_than_before():
    """Every tune but the one that sings stays louder than when it went down whole."""
    before, after = of_mixes(USUAL, "before"), of_mixes(USUAL, "after")
    for tune in TUNES.keys() - {"choir"}:
        lowered = [
            np.mean([row["lowered_lu"] for row in one[tune]]) for one in (before, after)
        ]
        assert lowered[1] < lowered[0]
