"""How fast the figure moves."""

from __future__ import annotations

import pytest

from cuetrack.movements.library import library_entries
from cuetrack.movements.positions.cadence import cadence_of
from cuetrack.movements.positions.motion import pose_at
from cuetrack.movements.positions.reading import motions


def test_a_march_has_a_step_on_each_beat():
    """At 100 beats a minute both steps take 1.2 seconds."""
    march = cadence_of(motions()["easy march"], tempo_bpm=100)
    assert march.cycle_s == pytest.approx(1.2)
    assert march.hold == 0


def test_each_position_has_its_beat():
    """Out and in take two beats, a clap pattern of three positions three."""
    assert cadence_of(motions()["seated jack"], tempo_bpm=60).cycle_s == 2
    assert cadence_of(motions()["clap pattern"], tempo_bpm=60).cycle_s == 3


def test_repetitions_are_counted_a_side():
    """Ten turns a minute are five to each side."""
    assert cadence_of(motions()["slow turn"], repetitions=10).cycle_s == 12
    assert cadence_of(motions()["biceps curl"], repetitions=10).cycle_s == 6


def test_a_stretch_is_held_as_long_as_it_says():
    """Of a stretch of 20 seconds nearly the whole cycle is held, and seen so."""
    motion = motions()["calf stretch"]
    cadence = cadence_of(motion, hold_ms=20_000)
    assert cadence.cycle_s * cadence.hold == pytest.approx(20, abs=1)
    still = [pose_at(motion, p, hold=cadence.hold).right_leg.toe for p in (0.2, 0.8)]
    assert still[0] == still[1]


@pytest.mark.parametrize("entry", library_entries(), ids=lambda entry: entry.name)
def test_the_library_moves_at_a_pace_people_can_follow(entry):
    """Every cycle of the library takes between 0.9 and 45 seconds."""
    movement = entry.movement
    cadence = cadence_of(
        motions()[entry.name],
        tempo_bpm=movement.tempo_bpm,
        repetitions=movement.repetitions,
        hold_ms=movement.hold_ms or entry.hold_ms,
    )
    assert 0.9 <= cadence.cycle_s <= 45
    assert 0 <= cadence.hold <= 0.9
