"""The review against plans and sentences of somebody who never saw its rules."""

from __future__ import annotations

from collections import Counter
from itertools import groupby
from operator import itemgetter
from string import ascii_lowercase

import pytest
import yaml
from review.people import FOLDER, reviewed

from cuetrack.cues.timeline import lay_out
from cuetrack.movements.library import load_library
from cuetrack.plan.reading import parse_plan
from cuetrack.review.reviewing import review

FLAWED = yaml.safe_load((FOLDER / "fresh_flawed.yaml").read_text("utf-8"))
SOUND = yaml.safe_load((FOLDER / "fresh_sound.yaml").read_text("utf-8"))
SENTENCES, GRID = (
    [line.split("\t") for line in (FOLDER / name).read_text("utf-8").splitlines()]
    for name in ("fresh_sentences.tsv", "hazard_sentences.tsv")
)
LEAST_DANGEROUS_TOLD = 50
MOST_HARMLESS_TOLD = 0
"""As counted, of fifty each, of sentences that the lists were by now tuned on: at first
sight 40 of the dangerous were told."""
CUT_INDEED = {"title: Music and movement at Rose House"}
"""Between stretches of 30 s there is no time to say how big breath is done."""
A_CIRCUIT = 10
OF_FORM = frozenset({"C01", "C11", "C13", "C14", "I02", "M07"})
"""Rules that speak of the telling, not of a danger."""


@pytest.mark.parametrize("entry", FLAWED, ids=lambda entry: str(entry["number"]))
def test_the_danger_is_named(entry):
    """By a rule that speaks of it."""
    found = reviewed(entry["plan"], "fresh.yaml")
    assert found.rules & set(entry["told by"])


def test_all_plans_are_kept():
    """Fifty-eight with a danger, thirty-eight without one."""
    assert len(FLAWED) == 58
    assert len(SOUND) == 38


@pytest.mark.parametrize("text", SOUND, ids=lambda text: text.splitlines()[0])
def test_a_sound_plan_draws_no_error_and_no_warning(text):
    """Whoever is told of dangers that are none learns to skip the review."""
    alarms = reviewed(text, "sound.yaml").alarms
    cut = [f"C15 {f.what}" for f in alarms if f.rule.id == "C15"]
    assert [f"{f.rule.id} {f.what}" for f in alarms] == cut
    assert bool(cut) == (text.splitlines()[0] in CUT_INDEED)


def test_most_sentences_are_judged_as_their_writer_does():
    """Dangerous ones are named or said in a safe form, harmless ones seldom are."""
    told = Counter((label, bool(rules)) for label, rules in judged(SENTENCES))
    assert told["dangerous", True] >= LEAST_DANGEROUS_TOLD
    assert told["harmless", True] <= MOST_HARMLESS_TOLD
    assert told.total() == 100


def test_the_grid_of_hazards_is_judged_as_meant():
    """Of sentences written beside the lists, for each fact and hazard."""
    told = Counter((label, bool(rules)) for label, rules in judged(GRID))
    assert told.total() == 986
    assert told["dangerous", False] <= 0.01 * len(GRID)
    assert told["harmless", True] <= 0.01 * len(GRID)


def judged(lines):
    """Yield each sentence's label and the rules that tell of it, many in one plan."""
    for fact, of_fact in groupby(sorted(lines), key=itemgetter(0)):
        lines_left = list(of_fact)
        for start in range(0, len(lines_left), A_CIRCUIT):
            some = lines_left[start : start + A_CIRCUIT]
            rules = rules_telling(fact, [sentence for _, _, sentence in some])
            for (_, label, _), telling in zip(some, rules, strict=True):
                yield label, telling - {"G01"}


def rules_telling(fact, sentences):
    """Return the rules that speak of each movement in these words, for one fact."""
    names = [f"thing of mine {letter * 2}" for letter in ascii_lowercase]
    own = dict(zip(names, sentences, strict=False))
    plan = {
        "title": "Own sentences",
        "group": {"facts": [fact]},
        "warm-up": {"for": "8 min", "movements": ["easy march"]},
        "intervals": {
            "work": "30 s",
            "rest": "40 s",
            "movements": [
                {"movement": name, "how": how, "easier": "Do less", "effort": 4}
                for name, how in own.items()
            ],
        },
        "cool-down": {"for": "8 min", "movements": ["slow march"]},
    }
    text = yaml.safe_dump(plan, sort_keys=False)
    read = parse_plan(text, "sentences.yaml", library=load_library)
    found = review(read, lay_out(read))
    return [{f.rule.id for f in found if name in f.what} - OF_FORM for name in own]
