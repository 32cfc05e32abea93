"""What the words of the library say of a movement is what its positions do."""

from __future__ import annotations

import re

import pytest

from cuetrack.movements.library import library_entries
from cuetrack.movements.positions.demands import reach_of
from cuetrack.movements.positions.motion import Sharing
from cuetrack.movements.positions.reading import motions
from cuetrack.movements.strains import DERIVED
from tests.movements.against_load import against_load

ENTRIES = {entry.name: entry for entry in library_entries()}


def _said(entry):
    movement = entry.movement
    return " | ".join(filter(None, (movement.how, movement.how_short, *movement.form)))


WORDS = (
    (r"[Ff]eet (stay )?(flat|down)|Both feet stay", lambda end: end.feet_on_floor == 2),
    (r"below the shoulder|at shoulder height|to shoulder height",
     lambda end: not end.above_shoulder),
    (r"no higher than the shoulder", lambda end: end.arm_lift_deg < 95),
    (r"Never cross the legs", lambda end: not end.crosses_middle),
    (r"Knees? in line with the toes|Knees over the toes",
     lambda end: not end.crosses_middle and end.hip_turned_in_deg < 8),
    (r"(Sit|Stay|Body) tall|Sit upright|Stay upright",
     lambda end: end.lean_forward_deg < 30 and end.spine_bend < 0.16),
    (r"[Bb]ack flat|flat back", lambda end: end.spine_bend < 0.05),
    (r"[Dd]o not twist|Do not turn your hips", lambda end: end.spine_turn < 0.05),
    (r"Hold the seat(?! if)", lambda end: end.hands_on_chair == 2),
    (r"[Cc]hin level|Eyes level|Head level",
     lambda end: max(end.neck_bend, end.neck_arch) < 0.1),
    (r"Thigh stays on the seat", lambda end: end.hip_flexion_deg < 90),
    (r"almost straight", lambda end: 3 < end.knee_straight_deg < 25),
    (r"[Hh]eels? (stays? )?down", lambda end: end.feet_on_floor >= 1),
)  # fmt: skip
"""Words of a how or a form, and what then must hold at the whole range."""


def _cases():
    for name, entry in ENTRIES.items():
        for pattern, holds in WORDS:
            if re.search(pattern, _said(entry)):
                yield pytest.param(name, holds, id=f"{name}: {pattern[:20]}")


def test_every_movement_has_words_and_positions():
    """No movement has words alone, and none positions alone."""
    assert set(ENTRIES) == set(motions())


@pytest.mark.parametrize("name", sorted(ENTRIES))
def test_what_is_held_resists(name):
    """Hand weights and bands pull against the movement they are usual for."""
    usual = ENTRIES[name].movement.equipment or ""
    load = against_load(motions()[name])
    if "weights" in usual or ("band" in usual and name != "band knee press out"):
        assert load is not None
        assert load > 0.3


@pytest.mark.parametrize(("name", "holds"), list(_cases()))
def test_what_is_said_is_done(name, holds):
    """What is said of feet, arms, back or head is done at the whole range."""
    assert holds(reach_of(motions()[name], 1.0)), _said(ENTRIES[name])


@pytest.mark.parametrize("name", sorted(ENTRIES))
def test_nothing_that_positions_tell_is_typed_again(name):
    """Overhead, standing, turning and bending are derived, so no tag says them."""
    assert set(ENTRIES[name].movement.tags).isdisjoint(DERIVED)


@pytest.mark.parametrize("name", sorted(ENTRIES))
def test_sides_agree(name):
    """Sides that take turns, each side in its own time, or both at once."""
    entry, motion = ENTRIES[name], motions()[name]
    if motion.rounded and motion.sharing is Sharing.BOTH:
        return
    said = Sharing.ONE_SIDE if entry.movement.sides else Sharing.BOTH
    assert motion.sharing is (Sharing.BY_TURNS if entry.alternating else said)


@pytest.mark.parametrize("name", sorted(ENTRIES))
def test_what_is_drawn_in_the_hand_is_what_the_library_names(name):
    """A movement drawn with a thing is one that may be done with it."""
    motion, entry = motions()[name], ENTRIES[name]
    if motion.held is None or motion.held.thing in {"breath", "squeeze"}:
        assert entry.empty_hands
        return
    assert any(motion.held.thing in thing for thing in entry.equipment)
