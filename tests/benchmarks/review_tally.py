"""Count what the review catches, misses and says in vain, by rule.

Run from the top: ``python tests/benchmarks/review_tally.py``.
"""

from __future__ import annotations

import sys
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from review.people import FLAWED, SOUND, flawed_text, reviewed


def main():
    caught, beside, missed, mended, unsure = Counter(), Counter(), [], [], 0
    for entry in FLAWED:
        found = reviewed(flawed_text(entry), entry["danger"])
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
    for text in SOUND:
        found = reviewed(text, "sound.yaml")
        false.update(f.rule.id for f in found.alarms)
        plans += bool(found.alarms)
        notes.update(f.rule.id for f in found.findings if f not in found.alarms)
    named = len(FLAWED) - len(missed) - len(mended)
    lines = (
        f"{len(FLAWED)} plans with a danger: {named} named, {len(missed)} missed",
        f"  {unsure} named only as not reviewed; {len(mended)} mended by the voice",
        *(f"  missed: {text}" for text in missed),
        f"caught by: {_listed(caught)}",
        f"other warnings and errors in them: {_listed(beside)}",
        f"{len(SOUND)} sound plans: {plans} with a warning or error: {_listed(false)}",
        f"notes in them: {_listed(notes)}",
    )
    print("\n".join(lines))  # noqa: T201


def _listed(counts):
    return ", ".join(f"{rule} {n}" for rule, n in sorted(counts.items())) or "none"


if __name__ == "__main__":
    main()
