"""Parts cut out, played twice, or in each other's place are one finding each."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from cuetrack.verification import CueVerdict, report_lines, verify_track
from cuetrack.verification.elsewhere import path_through
from cuetrack.verification.measuring import Detection
from cuetrack.verification.part_order import (
    mark_elsewhere,
    sentences_of,
    steps_between,
)
from cuetrack.verification.search import Match
from cuetrack.verification.steps import Elsewhere
from cuetrack.verification.targets import targets_of
from tests.verification.test_judging import rows
from tests.verification.tracks import PHRASES, build, small_class, write

TEXTS = (
    *PHRASES,
    "Next: easy march.",
    "Lift your right foot, then your left.",
    "Let your neck relax.",
    "Set your feet as wide as your hips.",
    "Keep your elbows soft.",
    "Say a few words out loud.",
)
EVERY_MS = 3000


@pytest.fixture(scope="module")
def track():
    texts = tuple((500 + EVERY_MS * n, text) for n, text in enumerate(TEXTS))
    return build(texts, duration_ms=EVERY_MS * len(TEXTS))


@pytest.fixture(scope="module")
def cues(track):
    """The sound of each cue, and of the pause after it."""
    return np.split(track.sound(), len(TEXTS))


def verified(tmp_path, track, pieces):
    path = write(tmp_path / "class.wav", np.concatenate(pieces))
    return verify_track(path, track.sheet, track.shelf)


def only_the_headline(report):
    return not any("<-" in line for line in report_lines(report, every_row=False))


def test_a_part_cut_out_is_told_with_its_length_and_its_cues(tmp_path, track, cues):
    """12 s cut out are missing, with four cues; what follows is early, and found."""
    report = verified(tmp_path, track, cues[:4] + cues[8:])
    assert "every cue is 12.0 s early: 12.0 s are missing between" in report.headline
    assert report.headline.endswith("and 4 cues and tones with them.")
    assert only_the_headline(report), report_lines(report, every_row=False)
    assert not report.passed


def test_a_part_that_comes_twice_is_told_with_its_place(tmp_path, track, cues):
    """Four cues said again are no silence put in: their place in the sheet is told."""
    report = verified(tmp_path, track, cues[:8] + cues[4:])
    assert report.headline == (
        "12.0 s come twice: what belongs at 0:12 to 0:24 sounds again, and from there "
        "on every cue is 12.0 s late."
    )
    assert only_the_headline(report)


def test_parts_that_changed_places_are_told_in_one_sentence(tmp_path, track, cues):
    """Two parts of one class in the wrong order leave nothing else to say."""
    report = verified(tmp_path, track, cues[:2] + cues[6:9] + cues[2:6] + cues[9:])
    assert report.headline == (
        "Two parts have changed places: what belongs from 0:18 to 0:27 comes first, "
        "then what belongs from 0:06 to 0:18."
    )
    assert only_the_headline(report)


@pytest.mark.parametrize("cut", [4, 9])
def test_a_track_whose_start_stands_at_its_end_is_told_so(tmp_path, track, cues, cut):
    """All is there, in the wrong order: nothing is said to be missing."""
    report = verified(tmp_path, track, cues[cut:] + cues[:cut])
    at = f"0:{EVERY_MS // 1000 * cut:02}"
    assert report.headline == (
        f"The track does not start with its start: it starts with what belongs at {at},"
        f" and its beginning, all that belongs before {at}, stands at the end."
    )
    assert only_the_headline(report), report_lines(report, every_row=False)


def test_three_parts_in_another_order_are_told_as_they_play(tmp_path, track, cues):
    """Each part is named by where it belongs, in the order in which it is heard."""
    report = verified(tmp_path, track, cues[9:] + cues[4:9] + cues[:4])
    assert report.headline == (
        "3 parts have changed places: what belongs from 0:27 to the end comes first, "
        "then what belongs from 0:12 to 0:27, then what belongs from 0:00 to 0:12."
    )


def test_a_file_late_from_the_start_and_later_by_more_is_told_both(
    tmp_path, track, cues
):
    """What stands in front of all is told before what was put in later."""
    pause = 0 * cues[0]
    report = verified(tmp_path, track, [pause, *cues[:7], pause, *cues[7:]])
    assert report.headline.startswith(
        "Before 0:21 every cue is 3.0 s late: 3.0 s were put in front of it. "
        "From 0:21 on every cue is 6.0 s late: 3.0 s were put in between"
    )
    head = cues[0][:9600]
    report = verified(tmp_path, track, [cues[0][9600:], *cues[1:7], *cues[7:], head])
    assert report.headline.startswith("Every cue is 200.0 ms early")
    both = [cues[0][9600:], *cues[1:7], head * 0, *cues[7:]]
    report = verified(tmp_path, track, both)
    assert report.headline.startswith(
        "Before 0:21 every cue is 200.0 ms early: 200.0 ms of its head are missing. "
        "From 0:21 on every cue is on time again: 200.0 ms were put in between"
    )


def test_silence_of_many_seconds_is_not_taken_for_a_part(tmp_path, track, cues):
    """What was put in is silence: it was put in, and nothing comes twice."""
    report = verified(tmp_path, track, [*cues[:8], 0 * cues[0], 0 * cues[0], *cues[8:]])
    assert "every cue is 6.0 s late: 6.0 s were put in between" in report.headline
    assert only_the_headline(report)


def detected(target, frame):
    match = Match(frame=frame, score=1.0, gain=1.0, whole=1.0)
    return Detection(target=target, match=None if frame is None else match)


def test_one_cue_that_fits_by_chance_is_not_taken_for_a_part():
    """A change of the shift needs more than a cue; one out of place keeps its place."""
    targets = targets_of(small_class().sheet)[:5]
    here = [detected(one, one.planned) for one in targets]
    here[2] = detected(targets[2], None)
    there = [replace(one, offset_frames=200_000.0) for one in targets]
    again = [
        detected(one, one.sought if n == 2 else None) for n, one in enumerate(there)
    ]
    found, elsewhere = path_through([here, again], [0.0, 200_000.0])
    assert found == tuple(here)
    assert set(elsewhere.shifts) == {0.0}


def test_what_lies_off_the_shift_of_a_part_counts_as_gone():
    """A cue found a second from where its part has gone is another one of its like."""
    targets = targets_of(small_class().sheet)[:5]
    here = [detected(one, None) for one in targets]
    there = [replace(one, offset_frames=200_000.0) for one in targets]
    again = [
        detected(one, one.sought + 48_000 * (n == 2)) for n, one in enumerate(there)
    ]
    found, _ = path_through([here, again], [0.0, 200_000.0])
    assert [one.match is None for one in found] == [n == 2 for n in range(5)]


def test_a_track_in_many_pieces_is_not_explained():
    """More than four changes of the shift are no story anybody could follow."""
    shifts = tuple(float(200_000 * (n % 2)) for n in range(8))
    found = rows(shifts)
    elsewhere = Elsewhere(shifts=shifts, again=(False,) * 8)
    assert steps_between(found, elsewhere) == ()


def test_one_cue_cut_out_is_told_in_the_singular():
    """What went with a part is counted; a cue with an error of its own stays one."""
    shifts = (0.0,) * 3 + (-200_000.0,) * 3
    found = rows([0, 0, None, -200_000, -200_000, -199_000])
    elsewhere = Elsewhere(shifts=shifts, again=(False,) * 6)
    steps = steps_between(found, elsewhere)
    (sentence,) = sentences_of(found, steps, elsewhere)
    assert sentence.endswith(", and one cue or tone with them.")
    marked = mark_elsewhere(found, steps, elsewhere)
    assert [row.with_all for row in marked] == [False, False, True, True, True, False]
    assert marked[-1].verdict == CueVerdict.MOVED
