"""Changes of new classes in figures: fitted to other slots, and built up over weeks.

Run from the top of the repository:
``python tests/benchmarks/changed_classes.py [PLANS]``. Every plan is fitted to five
other slots and made a block of eight weeks, two of them missed; each result is
reviewed by itself and as a step from the class before.
"""

from __future__ import annotations

# ruff: noqa: T201
import argparse
from collections import Counter, defaultdict
from pathlib import Path
from statistics import mean

from new_classes import wishes_of

from cuetrack.cues.timeline import lay_out
from cuetrack.errors import CuetrackError
from cuetrack.pipeline.checking import plan_from_text
from cuetrack.plan.model import SectionKind
from cuetrack.planning.fitting import FittedPlan, fit, length_ms, remarks
from cuetrack.planning.generating import generate
from cuetrack.planning.progression import block
from cuetrack.planning.steps import work_ms
from cuetrack.review.reviewing import review_step

SHARES = (0.7, 0.85, 1.1, 1.25, 1.5)
MISSED = frozenset({4, 5})
FAIR = {"P02"}
"""A note on steps between a tenth and a fifth is no complaint."""


def complaints(start, before, after, *, away=False):
    """Return what the review says of a class that it did not say of the first."""
    steps = ((before, lay_out(before)), (after, lay_out(after)))
    told = {f.rule.id for f in review_step(*steps, after_absence=away)} - FAIR
    return told | (remarks(after) - remarks(start))


def part_ms(plan, kind):
    """Return how long the movements of the sections of a kind take."""
    return sum(
        m.duration_ms or 0 for s in plan.sections if s.kind is kind for m in s.movements
    )


def fitted(plan, rows, found):
    """Fit a plan to other slots, and count."""
    for share in SHARES:
        slot_ms = round(share * length_ms(plan) / 5000) * 5000
        result = fit(plan, slot_ms)
        rows[share, "done"].append(isinstance(result, FittedPlan))
        if not isinstance(result, FittedPlan):
            continue
        after = result.plan
        found.update(f"fit {rule}" for rule in complaints(plan, plan, after))
        rows[share, "to the second"].append(length_ms(after) == slot_ms)
        rows[share, "work"].append(work_ms(after) / work_ms(plan))
        for kind in (SectionKind.WARM_UP, SectionKind.COOL_DOWN):
            rows[share, kind.value].append(part_ms(after, kind) / part_ms(plan, kind))
        rests = [
            s.intervals.rest_ms - was.intervals.rest_ms
            for s, was in zip(after.sections, plan.sections, strict=True)
            if s.intervals and was.intervals
        ]
        rows[share, "rest s"].append(mean(rests) / 1000)


def built_up(plan, rows, found):
    """Build a plan up over weeks, and count."""
    before, amounts = plan, []
    for week in block(plan, 8, missed=MISSED):
        if week.plan is None:
            continue
        away = week.after_gap
        found.update(
            f"weeks {rule}" for rule in complaints(plan, before, week.plan, away=away)
        )
        rows["weeks", "to the second"].append(length_ms(week.plan) == length_ms(plan))
        before = week.plan
        amounts.append(work_ms(before))
    rows["weeks", "grow"].append(max(amounts) > amounts[0])
    rows["weeks", "most work"].append(max(amounts) / amounts[0])


def main():
    """Read the arguments, change the plans and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("plans", type=int, nargs="?", default=100)
    rows, found, plans = defaultdict(list), Counter(), 0
    for number in range(parser.parse_args().plans):
        try:
            text = generate(wishes_of(number), number)
        except CuetrackError:
            continue
        plans += 1
        plan = plan_from_text(text, Path("new.yaml"))
        fitted(plan, rows, found)
        built_up(plan, rows, found)
    print(f"{plans} plans; complaints: {dict(found) or 'none'}")
    for (what, figure), values in rows.items():
        numbers = [float(value) for value in values]
        print(
            f"{what}, {figure}: mean {mean(numbers):.2f}, {min(numbers):.2f} to "
            f"{max(numbers):.2f} of {len(numbers)}"
        )


if __name__ == "__main__":
    main()
