"""Count what the review catches, misses and says in vain, by rule and in own words.

Run from the top: ``python tests/benchmarks/review_tally.py [SENTENCES]``. A file of
sentences has a fact, dangerous or harmless, and a sentence, with tabs between them.
"""

from __future__ import annotations

import sys
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from review.people import FLAWED, FOLDER, SOUND, flawed_text, reviewed
from review.test_fresh import FLAWED as FRESH_FLAWED
from review.test_fresh import SOUND as FRESH_SOUND
from review.test_fresh import rules_telling

OUR_SENTENCES = ("hazard_sentences.tsv", "fresh_sentences.tsv")


def main():
    lines = [
        *_plans("by the rules' writer", [(flawed_text(e), e) for e in FLAWED], SOUND),
        *_plans("by fresh eyes", [(e["plan"], e) for e in FRESH_FLAWED], FRESH_SOUND),
    ]
    files = sys.argv[1:] or [FOLDER / name for name in OUR_SENTENCES]
    for file in files:
        lines += _sentences(Path(file))
    print("\n".join(lines))  # noqa: T201


def _plans(by, flawed, sound):
    caught, beside, missed, mended, unsure = Counter(), Counter(), [], [], 0
    for text, entry in flawed:
        found = reviewed(text, entry["danger"])
        wanted = set(entry["told by"])
        named = found.rules & wanted
        caught.update(named)
        unsure += named == {"G01"}
        if not named and entry.get("mended", "\n") in found.said:
            mended.append(entry["danger"])
        elif not named:
            missed.append(f"{entry['danger']} ({', '.join(sorted(wanted))})")
        beside.update(f.rule.id for f in found.alarms if f.rule.id not in wanted)
    false, notes, plans = Counter(), Counter(), 0
    for text in sound:
        found = reviewed(text, "sound.yaml")
        false.update(f.rule.id for f in found.alarms)
        plans += bool(found.alarms)
        notes.update(f.rule.id for f in found.findings if f not in found.alarms)
    named = len(flawed) - len(missed) - len(mended)
    lost = len(missed)
    yield f"{len(flawed)} plans {by}, with a danger: {named} named, {lost} missed"
    yield f"  {unsure} named only as not reviewed; {len(mended)} mended by the voice"
    yield from (f"  missed: {text}" for text in missed)
    yield f"  caught by: {_listed(caught)}"
    yield f"  other warnings and errors in them: {_listed(beside)}"
    yield f"{len(sound)} sound plans {by}: {plans} with a warning or error: "
    yield f"  {_listed(false)}; notes: {_listed(notes)}"


def _sentences(file):
    """Yield precision and recall of own words, and what is misjudged."""
    told, rules, wrong = Counter(), Counter(), []
    for line in file.read_text("utf-8").splitlines():
        fact, label, sentence = line.split("\t")
        (telling,) = rules_telling(fact, [sentence])
        named = bool(telling - {"G01"})
        how = "named" if named else "not reviewed" if telling else "silent"
        told[label, how] += 1
        rules.update(telling)
        if named is not (label == "dangerous"):
            wrong.append(f"  {label}, {how}: {fact}: {sentence}")
    dangerous = sum(n for (label, _), n in told.items() if label == "dangerous")
    named, blamed = told["dangerous", "named"], told["harmless", "named"]
    silent = told["dangerous", "silent"]
    yield f"{file.name}: {sum(told.values())} sentences, {dangerous} of them dangerous"
    yield f"  recall {named / dangerous:.1%} named, {1 - silent / dangerous:.1%} told"
    yield f"  precision {named / (named + blamed):.1%}: {blamed} harmless are blamed, "
    yield f"  and {told['harmless', 'not reviewed']} said to be not reviewed"
    yield f"  by rule: {_listed(rules)}"
    yield from wrong


def _listed(counts):
    return ", ".join(f"{rule} {n}" for rule, n in sorted(counts.items())) or "none"


if __name__ == "__main__":
    main()
