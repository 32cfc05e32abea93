"""New classes in figures: a thousand plans of many kinds, drawn by number.

Run from the top of the repository:
``python tests/benchmarks/new_classes.py [PLANS] [--placed EVERY] [--print COUNT]``.
Every plan is laid out and reviewed; every EVERYth (default: 20th) also with what is
said when, by estimated lengths of speech. ``--print`` writes plans as text instead.
"""

from __future__ import annotations

# ruff: noqa: T201
import argparse
import random
from collections import Counter
from itertools import combinations, pairwise
from pathlib import Path
from statistics import mean

from cuetrack.cues.model import SegmentKind
from cuetrack.cues.timeline import lay_out
from cuetrack.errors import CuetrackError, PlacementError
from cuetrack.movements.contraindications import contraindications, left_out
from cuetrack.movements.group_facts import Fact
from cuetrack.movements.library import find
from cuetrack.movements.strains import strains_of
from cuetrack.pipeline.checking import placed_unspoken, plan_from_text
from cuetrack.plan.model import Coaching, Role, SectionKind
from cuetrack.planning import answers
from cuetrack.planning.generating import HEARTS_IN_SHORT_SLOTS, generate
from cuetrack.planning.request import ClassRequest, Level
from cuetrack.planning.unmet_wishes import why_unused
from cuetrack.review.case import ARMS, LEGS, main_region
from cuetrack.review.model import Severity
from cuetrack.review.reviewing import review

MINUTES = (10, 12, 15, 20, 25, 30, 35, 40, 45, 50, 60)
REGIONS = ("legs", "arms", "shoulders", "chest", "back", "trunk", "hips", "thighs")
THINGS = ("light hand weights", "an exercise band", "a soft ball", "a towel")
FACTS = tuple(
    str(fact) for fact in contraindications() if fact not in {Fact.NEW, "home alone"}
)
SEATS = {"seat_forward", "seat_edge", "chair_arms"}


def wishes_of(number):
    """Return what is wanted of the plan of a number: any mixture of answers."""
    draw = random.Random(number)
    facts = tuple(draw.sample(FACTS, draw.choice([0, 0, 1, 1, 1, 2, 3])))
    alone = draw.random() < 0.15
    coaching = draw.choice([Coaching.EVERYTHING] * 3 + [Coaching.CLOCK])
    asked = draw.sample(REGIONS, draw.choice([0, 0, 1, 2]))
    return ClassRequest(
        slot_ms=draw.choice(MINUTES) * 60_000,
        level=draw.choice(list(Level)),
        facts=(*facts, "home alone") if alone else facts,
        age=draw.choice([65, 75, 85]),
        equipment=tuple(draw.sample(THINGS, draw.choice([0, 0, 1, 2]))),
        regions=frozenset().union(*map(answers.regions, asked)),
        coaching=Coaching.EVERYTHING if alone else coaching,
    )


def works_of(plan):
    """Return the works of a class in order, the sides of one together."""
    done = {}
    for segment in lay_out(plan).segments:
        if segment.kind is SegmentKind.WORK:
            done.setdefault(segment.activity, []).append(segment)
    return list(done.values())


def strength(movement, *regions):
    """Return whether a movement strengthens one of some regions most."""
    return movement.role is Role.STRENGTH and main_region(movement) in regions


def figures_of(plan, wishes):
    """Return what is counted of one plan."""
    works = works_of(plan)
    movements = [parts[0].movement for parts in works]
    own = {m.name: m for m in movements}.values()
    efforts = [m.effort or 0 for m in movements]
    peak_at = max(i for i, e in enumerate(efforts) if e == max(efforts))
    end_ms = lay_out(plan).end_ms
    every = [m for s in plan.sections for m in s.movements]
    warm = [
        m for s in plan.sections if s.kind is SectionKind.WARM_UP for m in s.movements
    ]
    used = {m.equipment for m in every} - {None}
    usable = {
        thing
        for thing in wishes.equipment
        if thing in used or "name it alone" in why_unused(wishes, thing)
    }
    work_ms = Counter()
    for parts in works:
        work_ms[main_region(parts[0].movement)] += sum(p.length_ms for p in parts)
    total = sum(work_ms.values())
    asked = sum(
        sum(p.length_ms for p in parts)
        for parts in works
        if wishes.regions & set(parts[0].movement.regions)
    )
    return {
        "legs": sum(work_ms[r] for r in LEGS) / total,
        "arms": sum(work_ms[r] for r in ARMS) / total,
        "trunk": work_ms["trunk"] / total,
        "leg strength": any(strength(m, "thighs", "hips") for m in own),
        "thigh strength": any(strength(m, "thighs") for m in own),
        "hip strength": any(strength(m, "hips") for m in own),
        "back strength": any(strength(m, "upper back") for m in own),
        "quadriceps": any(
            strength(m, "thighs") and "knee_load" in strains_of(m) for m in own
        ),
        "gentle start": efforts[0] <= 5,
        "falls": len(set(efforts)) == 1 or efforts[-1] < max(efforts),
        "late peak": works[peak_at][0].start_ms > 0.45 * end_ms,
        "rises": mean(efforts[: max(1, len(efforts) // 3)])
        <= mean(efforts[len(efforts) // 3 :]) + 0.01,
        "one round": all(s.intervals.rounds == 1 for s in plan.sections if s.intervals),
        "most of one": max(Counter(m.name for m in movements).values()),
        "different": len(own),
        "warm-up movements": len(warm),
        "work share": total / end_ms,
        "kit all": usable <= used if usable else None,
        "kit any": bool(usable & used) if usable else None,
        "asked": asked / total if wishes.regions else None,
        "same twice": any(
            main_region(a) == main_region(b) for a, b in pairwise(movements)
        ),
        "seat": tuple(seat_changes(plan)),
        "works": movements,
    }


def faults(plan, wishes, counted):
    """Yield what keeps somebody from teaching a plan as it stands.

    Common practice, each a rule of its own; short classes for weak hearts are told
    that they are too short, and are no fault of the plan.
    """
    every = [m for s in plan.sections for m in s.movements]
    warm = [
        m for s in plan.sections if s.kind is SectionKind.WARM_UP for m in s.movements
    ]
    told = {f.rule.id for f in heavy(plan)} - HEARTS_IN_SHORT_SLOTS
    held = [m for m in every if m.hold]
    lively = any(m.role is Role.ENERGISER for m in counted["works"])
    roomy = wishes.slot_ms >= 20 * 60_000
    checks = {
        "not on its slot": lay_out(plan).end_ms == wishes.slot_ms,
        f"review {' '.join(sorted(told))}": not told,
        "contraindicated": not any(left_out(m, wishes.facts) for m in every),
        "no strength of legs": counted["leg strength"],
        "no strength of the back": counted["back strength"],
        "nothing lively": lively or not roomy,
        "hard from the start": counted["gentle start"],
        "hardest at the start": counted["late peak"],
        "same muscles twice running": not counted["same twice"],
        "a row of single works": not (counted["one round"] and roomy),
        "one circuit again and again": counted["most of one"] <= 4,
        "a parade to warm up": len(warm) <= 11,
        "too long for one easy movement": all(
            (m.duration_ms or 0) <= (60 if main_region(m) == "neck" else 120) * 1000
            for m in warm
        ),
        "nothing at hand used": counted["kit any"] is not False,
        "nothing asked is worked": counted["asked"] != 0,
        "seat changed in no time": all(counted["seat"]),
        "forward and back between stretches": sum(
            bool(SEATS & strains_of(m).keys()) for m in held
        )
        <= 1,
        "little work": counted["work share"] >= 0.09 or wishes.heart,
    }
    yield from (fault for fault, sound in checks.items() if not sound)


def seat_changes(plan):
    """Yield the time before and in each movement that changes the seat, ms."""
    segments = lay_out(plan).segments
    before = set()
    for index, segment in enumerate(segments):
        movement = segment.movement
        if movement is None or segment.activity == segments[index - 1].activity:
            continue
        seat = SEATS & strains_of(movement).keys()
        if seat and seat != before:
            if segments[index - 1].kind is SegmentKind.REST:
                yield segments[index - 1].length_ms >= 35_000
            else:
                yield segment.length_ms >= (35_000 if movement.sides else 40_000)
        before = seat


def names(text, *, works=True):
    """Return the names of the movements of a plan."""
    plan = plan_from_text(text, Path("new.yaml"))
    kinds = {SectionKind.INTERVALS} if works else set(SectionKind)
    return {m.name for s in plan.sections if s.kind in kinds for m in s.movements}


def jaccard(sets):
    """Return the mean likeness of sets, 1 where all are the same."""
    pairs = list(combinations(sets, 2))
    return mean(len(a & b) / len(a | b) for a, b in pairs)


def heavy(plan, placed=None):
    """Return the rules that find more than a note, and whether one is an error."""
    timeline = placed.sheet.timeline if placed else lay_out(plan)
    found = review(plan, timeline, placed)
    return [f for f in found if f.severity is not Severity.NOTE]


def share(values):
    """Return which share of the values that are known is true."""
    known = [v for v in values if v is not None]
    return f"{mean(map(bool, known)):.1%} of {len(known)}" if known else "-"


def spread(values):
    """Return the mean, the least and the most of values."""
    known = [v for v in values if v is not None]
    return f"mean {mean(known):.2f}, {min(known):.2f} to {max(known):.2f}"


def variety():
    """Print how alike the classes of eight seeds are, for some wishes."""
    for wishes in (
        ClassRequest(level=Level.NEW),
        ClassRequest(slot_ms=20 * 60_000),
        ClassRequest(slot_ms=45 * 60_000, equipment=THINGS[:2]),
        ClassRequest(facts=("hip replacement", "knee pain")),
        ClassRequest(slot_ms=60 * 60_000, facts=("heart condition",)),
    ):
        texts = [generate(wishes, seed) for seed in range(8)]
        works = jaccard([names(t) for t in texts])
        whole = jaccard([names(t, works=False) for t in texts])
        print(
            f"  {wishes.slot_ms // 60_000} min {wishes.level} {wishes.facts}: works "
            f"{works:.2f}, whole class {whole:.2f}"
        )


def tally(plans, every):
    """Draw the plans and print what they are like."""
    rows, refused, rules, placed_rules = [], Counter(), Counter(), Counter()
    wrong, teachable = Counter(), 0
    against, inexact, placed_count, failed = [], [], 0, []
    efforts = [[] for _ in range(10)]
    for number in range(plans):
        wishes = wishes_of(number)
        try:
            text = generate(wishes, number)
        except CuetrackError as error:
            refused[str(error)[:60]] += 1
            continue
        plan = plan_from_text(text, Path("new.yaml"))
        timeline = lay_out(plan)
        inexact += [number] * (timeline.end_ms != wishes.slot_ms)
        against += [
            (number, m.name)
            for s in plan.sections
            for m in s.movements
            if left_out(m, wishes.facts) or find(m.name) is None
        ]
        rows.append((wishes, figures_of(plan, wishes)))
        found = list(faults(plan, wishes, rows[-1][1]))
        wrong.update(found)
        teachable += not found
        for segment in timeline.segments:
            if segment.movement is not None and segment.kind is not SegmentKind.REST:
                tenth = min(9, 10 * segment.start_ms // timeline.end_ms)
                efforts[tenth].append(segment.movement.effort or 0)
        rules.update({f.rule.id for f in heavy(plan)})
        if every and number % every == 0:
            placed_count += 1
            try:
                found = heavy(plan, placed_unspoken(plan))
            except PlacementError as error:
                failed.append((number, str(error)[:90]))
                continue
            placed_rules.update({f"{f.rule.id} {f.severity.value}" for f in found})
    told(rows, plans)
    print(f"teachable as they stand: {teachable / len(rows):.1%} of {len(rows)}")
    print("what keeps the others from it:", dict(wrong.most_common()) or "nothing")
    print("lengths off the slot:", inexact or "none")
    print("contraindicated movements:", against or "none")
    print("effort by tenths:", " ".join(f"{mean(e):.1f}" for e in efforts if e))
    print("refused:", dict(refused) or "none")
    print("review, laid out:", dict(rules.most_common()) or "nothing")
    print(
        f"review, {placed_count} placed:", dict(placed_rules.most_common()) or "nothing"
    )
    print("no placement:", failed or "none")


def told(rows, plans):
    """Print what was counted."""
    values = [f for _, f in rows]
    print(f"{len(rows)} of {plans} plans")
    for key in ("legs", "arms", "trunk"):
        print(f"share of work, {key}: {spread([v[key] for v in values])}")
    for key in ("leg strength", "thigh strength", "hip strength", "back strength"):
        print(f"{key}: {share([v[key] for v in values])}")
    knees = [v["quadriceps"] for w, v in rows if "knee pain" in w.facts]
    print(f"quadriceps with sore knees: {share(knees)}")
    for key in ("gentle start", "rises", "late peak", "falls", "same twice"):
        print(f"{key}: {share([v[key] for v in values])}")
    for least, most in ((10, 18), (18, 30), (30, 45), (45, 61)):
        some = [v for w, v in rows if least <= w.slot_ms / 60_000 < most]
        if some:
            print(
                f"{least} to {most} min: different works "
                f"{spread([v['different'] for v in some])}; of one "
                f"{spread([v['most of one'] for v in some])}; one round "
                f"{share([v['one round'] for v in some])}"
            )
    for heart in (False, True):
        some = [v for w, v in rows if w.heart is heart]
        print(
            f"{'heart' if heart else 'other'}: warm-up movements "
            f"{spread([v['warm-up movements'] for v in some])}; work share "
            f"{spread([v['work share'] for v in some])}"
        )
    print(f"named equipment, all used: {share([v['kit all'] for v in values])}")
    print(f"named equipment, any used: {share([v['kit any'] for v in values])}")
    print(f"work in asked regions: {spread([v['asked'] for v in values])}")
    seats = [timed for v in values for timed in v["seat"]]
    print(f"changes of seat with time: {share(seats)}")


def main():
    """Read the arguments and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("plans", type=int, nargs="?", default=1000)
    parser.add_argument("--placed", type=int, default=20)
    parser.add_argument("--print", type=int, default=0, dest="printed")
    arguments = parser.parse_args()
    if arguments.printed:
        for number in range(arguments.printed):
            print(wishes_of(number), generate(wishes_of(number), number), sep="\n\n")
        return
    tally(arguments.plans, arguments.placed)
    print("likeness of eight seeds (Jaccard):")
    variety()


if __name__ == "__main__":
    main()
