"""One press does what the review advises, and the review agrees."""

from __future__ import annotations

from pathlib import Path

import pytest

from cuetrack.desk.changes import changed
from cuetrack.desk.look import remarks_of
from cuetrack.desk.remedies import WAY_OF
from cuetrack.errors import UsageError
from cuetrack.pipeline.checking import check, plan_from_text
from cuetrack.planning.editing import plainly, rewritten
from cuetrack.review.rulebook import rulebook

PATH = Path("class.yaml")
WARM_UP = "warm-up: [easy march, shoulder roll, ankle pump, heel dig]\n"
ROUNDS = "intervals: {work: 30 s, rest: 30 s, rounds: 2, movements: [%s]}\n"
USUAL = "leg extension, biceps curl, brisk march, straight punch"
COOL_DOWN = "cool-down: [slow march, chest stretch, calf stretch, ankle pump]\n"
USUAL_ROUNDS = ROUNDS % USUAL

UNSOUND = {
    "T01": "warm-up: {for: 2 min, movements: [easy march, ankle pump]}\n"
    + USUAL_ROUNDS
    + COOL_DOWN,
    "T04": WARM_UP
    + USUAL_ROUNDS
    + "cool-down: {for: 2 min, movements: [slow march, calf stretch]}\n",
    "T07": WARM_UP + USUAL_ROUNDS + "cool-down: [chest stretch, calf stretch]\n",
    "T09": "group: new\n"
    + WARM_UP
    + USUAL_ROUNDS.replace("work: 30 s, rest: 30 s", "work: 40 s, rest: 20 s")
    + COOL_DOWN,
    "T11": WARM_UP
    + USUAL_ROUNDS.replace("work: 30 s, rest: 30 s", "work: 45 s, rest: 15 s")
    + COOL_DOWN,
    "T17": "lasts: 25 min\n" + WARM_UP + USUAL_ROUNDS + COOL_DOWN,
    "H01": "group: new hip\n" + WARM_UP + ROUNDS % f"{USUAL}, cycle legs" + COOL_DOWN,
    "T14": WARM_UP
    + USUAL_ROUNDS.replace("rounds: 2", "rounds: 3, between rounds: none")
    + COOL_DOWN,
    "E04": "group: home alone\ncoaching: clock\n" + WARM_UP + USUAL_ROUNDS + COOL_DOWN,
    "X01": "acknowledge: {T04: They asked for it.}\n"
    + WARM_UP
    + USUAL_ROUNDS
    + COOL_DOWN,
}


def read(text):
    return plan_from_text(text, PATH)


def remarks(plan):
    return {one.rule: one for one in remarks_of(check(plan)) if not one.answered}


@pytest.mark.parametrize("rule", UNSOUND)
def test_what_the_review_found_is_mended_with_one_press(rule):
    """The rule speaks no more, the text is edited, and nothing heavy is new."""
    text = f"title: A  # mine\n{UNSOUND[rule]}"
    plan = read(text)
    before = remarks(plan)
    assert before[rule].mends
    fields = {"rule": rule, "piece": before[rule].piece}
    wanted = changed(plan, "mend", fields)
    new = rewritten(text, plan, wanted, read, note=None)
    assert "title: A  # mine" in new
    mended = read(new)
    assert plainly(mended) == plainly(wanted)
    after = remarks(mended)
    assert rule not in after
    assert {name for name, one in after.items() if one.severity != "note"} <= {*before}


def test_what_no_press_mends_is_told():
    """Nothing is changed then."""
    plan = read(f"title: A\n{WARM_UP}{USUAL_ROUNDS}{COOL_DOWN}")
    with pytest.raises(UsageError):
        changed(plan, "mend", {"rule": "T09", "piece": ""})
    with pytest.raises(UsageError):
        changed(plan, "mend", {"rule": "G01", "piece": ""})


def test_every_rule_with_a_remedy_is_a_rule():
    """And only a finding at a movement is offered another movement."""
    assert set(WAY_OF) <= set(rulebook())
