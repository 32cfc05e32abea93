"""A figure drawn from key frames is the figure that is drawn from its joints."""

from __future__ import annotations

import re
from bisect import bisect_right
from itertools import pairwise

import pytest

from cuetrack.movements.figure.keyframes import UNIT, moving_figure, phases
from cuetrack.movements.figure.looks import IN_COLOUR
from cuetrack.movements.figure.sketch import figure_and_chair, panels_of
from cuetrack.movements.figure.svg import ROLES, row_of
from cuetrack.movements.positions.motion import pose_at
from cuetrack.movements.positions.reading import motions

NAMES = ("brisk march", "biceps curl", "calf stretch", "shoulder roll", "sit to stand")


def numbers_at(figure, phase):
    """Return the numbers between the two frames around a phase, on a straight line."""
    frames = figure.frames
    at = bisect_right([frame.phase for frame in frames], phase) - 1
    frame, after = frames[at], frames[(at + 1) % len(frames)]
    end = after.phase + (at + 1 == len(frames))
    share = (phase - frame.phase) / (end - frame.phase)
    pairs = zip(frame.numbers, after.numbers, strict=True)
    return [before + (later - before) * share for before, later in pairs]


@pytest.mark.parametrize("hold", [0.0, 0.6])
@pytest.mark.parametrize("name", NAMES)
def test_between_frames_the_figure_is_where_its_joints_are(name, hold):
    """At 50 phases no disc is further off than an eightieth of the figure's height."""
    motion = motions()[name]
    figure = moving_figure(motion, hold=hold)
    assert len(figure.make_ups) == 1
    for step in range(50):
        parts = figure_and_chair(
            motion, pose_at(motion, step / 50, hold=hold), IN_COLOUR
        )
        discs = [d for part in parts for hull in part.hulls for d in hull.discs]
        exact = [value for disc in discs for value in disc]
        drawn = numbers_at(figure, step / 50)[len(parts) :]
        worst = max(abs(a - b / UNIT) for a, b in zip(exact, drawn, strict=True))
        assert worst < 1 / 80


@pytest.mark.parametrize("name", sorted(motions()))
def test_frames_go_once_around(name):
    """The first frame is at the start, each later than the one before, none at 1."""
    found = phases(motions()[name], 0.5)
    assert found[0] == 0
    assert all(a < b for a, b in pairwise(found))
    assert found[-1] < 1


def test_a_row_of_drawings_has_all_positions_and_no_colours_of_its_own():
    """Every outline has the class of what its colour is for."""
    panels = panels_of(motions()["heel dig"])
    row = row_of(panels)
    assert row.count("<svg") == 1 + len(panels)
    assert set(re.findall(r'class="(\w+)"', row)) <= set(ROLES.values())
    assert "fill" not in row
