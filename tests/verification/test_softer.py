"""A stretch that is softer or louder as a whole is one finding."""

from __future__ import annotations

from dataclasses import replace

import pytest

from cuetrack.times import frames_from_ms
from cuetrack.verification import CueVerdict, report_lines, verify_track
from cuetrack.verification.softer import stretch_checks
from tests.verification.test_judging import row
from tests.verification.tracks import small_class, write


def levelled_rows(levels_db):
    verdicts = {True: CueVerdict.TOO_QUIET, False: CueVerdict.TOO_LOUD}
    return [
        replace(
            row(10_000 * number, 0),
            level_db=level_db,
            verdict=verdicts[level_db < 0] if level_db else CueVerdict.ON_TIME,
        )
        for number, level_db in enumerate(levels_db)
    ]


@pytest.mark.parametrize(
    ("levels_db", "said"),
    [
        ([0, -9, -9.4, -8.8, -9, 0], ["All from 0:10 to 0:40 is 9 dB softer"]),
        (
            [6, 6, 6, 6, -4, -4, -4, -4],
            ["All from 0:00 to 0:30 is 6 dB louder", "All from 0:40 to 1:10 is"],
        ),
        ([6, 6, 6, 6, 0, 0, 0], ["From 0:40 on all is 6 dB softer than before."]),
        ([-7, -7, -7, -7, 0], ["From 0:40 on all is 7 dB louder than before."]),
        ([0, -9, -9, -9, 0, -9], []),
        ([-4, -6, -8, -10, -12], []),
        ([], []),
    ],
)
def test_four_cues_of_one_level_are_a_stretch(levels_db, said):
    """Fewer, or cues of many levels, keep their own rows."""
    rows, checks = stretch_checks(levelled_rows(levels_db))
    assert len(checks) == len(said)
    for check, words in zip(checks, said, strict=True):
        assert check.sentence.startswith(words)
    told = sum(one.with_all for one in rows)
    assert told == 4 * len(said)


def test_a_soft_minute_is_told_in_one_sentence(tmp_path):
    """No row is listed for what is softer only with all around it."""
    track = small_class()
    sound = track.sound()
    first = frames_from_ms(int(track.sheet.cues[2].start_ms) - 200)
    last = frames_from_ms(int(track.sheet.cues[5].end_ms) + 200)
    sound[first:last] *= 0.35
    path = write(tmp_path / "class.wav", sound)
    report = verify_track(path, track.sheet, track.shelf)
    assert "is 9 dB softer than the rest." in report.headline
    assert not report.passed
    assert not any("<-" in line for line in report_lines(report, every_row=False))
