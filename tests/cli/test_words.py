"""All words of a plan can be read, with what may stand behind them."""

import pytest

from cuetrack.cli.main import main
from cuetrack.plan.model import PLAN


def test_every_word_and_every_other_word_is_shown(capsys):
    """The page is made from the keys that the plan is read by."""
    assert main(["words"]) == 0
    page = " ".join(capsys.readouterr().out.split())
    for table in PLAN.reachable():
        for key in table.keys:
            assert f" {key.word} {key.meaning}" in page
            assert all(word in page for word in key.also)
            assert " ".join(key.shape.values().split()) in page


@pytest.mark.parametrize(
    ("part", "word"),
    [
        ("intervals", "rounds"),
        ("Warm up", "opening"),
        ("between rounds", "with"),
        ("movement", "breathing"),
        ("in rounds", "coaching"),
        ("plan", "title"),
    ],
)
def test_a_part_is_shown_alone(capsys, part, word):
    """Named as in the plan, in any spelling."""
    assert main(["words", *part.split()]) == 0
    page = capsys.readouterr().out
    assert f"\n  {word} " in page
    assert page.count("Words of") == 1


def test_a_part_that_is_not_there_is_answered(capsys):
    """With the nearest one."""
    assert main(["words", "intervalls"]) == 2
    assert 'Did you mean "intervals"?' in capsys.readouterr().err
