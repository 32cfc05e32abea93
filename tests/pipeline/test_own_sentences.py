"""What a leader wants said is said, moved a little, or refused at its line."""

import pytest

from cuetrack.errors import PlacementError
from cuetrack.pipeline.checking import placed_unspoken, plan_from_text
from cuetrack.pipeline.own_sentences import moved_line, moved_sentences

PLAN = """\
title: A
warm-up: [easy march, shoulder roll]
intervals:
  work: 40 s
  rest: 30 s
  movements: [heel dig, straight punch]
  cues:
    - {say: The friends of Tuesday say hello., at: AT}
cool-down: [slow march, ankle pump]
"""


@pytest.fixture
def placed(tmp_path):
    def of(at, text=PLAN):
        plan = plan_from_text(text.replace("AT", at), tmp_path / "p.yaml")
        return plan, placed_unspoken(plan, lambda _: None)

    return of


def test_a_sentence_where_nothing_else_is_said_does_not_move(placed):
    """After half of the first work nothing else is due."""
    plan, sheet = placed("54 s")
    assert moved_sentences(plan, sheet) == ()
    assert moved_line(()) == ""


def test_how_far_a_sentence_moved_is_told_with_its_line(placed):
    """Asked into the final count of the first work, it is said before or after it."""
    plan, sheet = placed("1 min 8 s")
    (moved,) = moved_sentences(plan, sheet)
    assert moved.line == 8
    assert 500 <= abs(moved.moved_ms) <= 5_000
    assert f"{abs(moved.moved_ms) / 1000:.1f} s" in moved_line((moved,))
    assert moved_line((moved, moved)).startswith("2 of your own sentences")


def test_a_sentence_that_cannot_be_said_is_an_error_at_its_line(placed):
    """Nothing may be moved, and it would be spoken into the final count."""
    with pytest.raises(PlacementError) as refused:
        placed("1 min 8 s, within: none")
    (problem,) = refused.value.problems
    assert (problem.line, problem.file.endswith("p.yaml")) == (8, True)
