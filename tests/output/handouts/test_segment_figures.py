"""Each segment in which people move has its figure, at its own pace and side."""

from __future__ import annotations

import pytest

from cuetrack.cues.timeline import lay_out
from cuetrack.movements.model import Movement
from cuetrack.movements.positions.reading import motions
from cuetrack.output.handouts.segment_figures import figure_of, figures_of
from tests.cues.builders import whole_class


def test_every_known_movement_of_a_class_has_its_figure():
    """A segment with a movement that is drawn has it; a rest has none."""
    timeline = lay_out(whole_class())
    figures = figures_of(timeline)
    for segment in timeline.segments:
        drawn = segment.movement is not None and segment.movement.name in motions()
        assert (segment.id in figures) == drawn
        if drawn:
            assert figures[segment.id].motion.name == segment.movement.name


def test_the_left_side_is_the_right_one_in_a_mirror():
    """Of a movement done on one side, then the other, the left one is mirrored."""
    timeline = lay_out(whole_class())
    figures = figures_of(timeline)
    sided = [s for s in timeline.segments if s.side and s.id in figures]
    assert {s.side: figures[s.id].mirrored for s in sided} == {
        "right": False,
        "left": True,
    }


@pytest.mark.parametrize(("bpm", "cycle_s"), [(60, 2.0), (120, 1.0)])
def test_a_figure_keeps_the_pace_of_the_plan(bpm, cycle_s):
    """A march takes two beats, right and left."""
    march = Movement(name="easy march", tempo_bpm=bpm)
    figure = figure_of(motions()["easy march"], march)
    assert figure.cadence.cycle_s == cycle_s
