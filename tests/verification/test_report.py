"""Reports can be read by people and by programs."""

from __future__ import annotations

import json

import pytest

from cuetrack.times import frames_from_ms
from cuetrack.verification import (
    CueVerdict,
    limits,
    report_lines,
    to_json,
    verify_track,
)
from cuetrack.verification.limits import limit_lines
from cuetrack.verification.report import precise_clock
from tests.verification.tracks import small_class, write


@pytest.fixture(scope="module")
def damaged(tmp_path_factory):
    track = small_class().move(3, frames_from_ms(80)).drop(6)
    path = write(tmp_path_factory.mktemp("report") / "class.wav", track.sound())
    return verify_track(path, track.sheet, track.shelf)


def test_json_holds_every_row_and_the_totals(damaged):
    """The JSON form survives a round trip and counts each verdict."""
    told = json.loads(json.dumps(to_json(damaged), allow_nan=False))
    assert told["passed"] is False
    assert told["track"] == "class.wav"
    assert told["counts"]["on time"] == 14
    assert told["counts"]["moved"] == 1
    assert told["counts"]["missing"] == 1
    assert told["worst_error_ms"] == pytest.approx(80, abs=0.05)
    assert len(told["rows"]) == 16
    missing = next(row for row in told["rows"] if row["verdict"] == "missing")
    assert missing["measured_ms"] is None
    assert missing["score"] is None


def test_the_first_line_says_what_is_wrong(damaged):
    """A tired reader needs only the first line, and it names both cues."""
    first = report_lines(damaged)[0]
    assert "80 ms late" in first
    assert "missing" in first


def test_the_table_lists_all_or_only_what_is_wrong(damaged):
    """Every row can be listed, or only those that need a look."""
    every = report_lines(damaged)
    short = report_lines(damaged, every_row=False)
    assert len(every) - len(short) == 14
    assert sum("<-" in line for line in every) == 2
    assert sum("<-" in line for line in short) == 2


def test_lines_fit_a_terminal_and_stay_plain(damaged):
    """The text is plain ASCII but for what the cues themselves say."""
    assert all(line.isascii() for line in report_lines(damaged))


def test_worst_is_the_row_furthest_off(damaged):
    """The worst row is the one that moved, not the one that is missing."""
    assert damaged.worst is not None
    assert damaged.worst.verdict == CueVerdict.MOVED


def test_times_before_the_start_keep_their_sign():
    """A cue heard before the file starts is shown with a minus."""
    assert precise_clock(-9.6) == "-0:00.010"
    assert precise_clock(0.2) == "0:00.000"


def test_the_limits_are_those_the_code_goes_by():
    """What is printed of a limit is the figure that decides."""
    printed = " ".join(limit_lines())
    for figure in (limits.HOLE_MS, limits.CLEAR_DB, limits.COVERED_LOSS * 100):
        assert f" {figure:g} " in printed
    assert max(map(len, limit_lines())) <= 80
