"""What a participant hears: the script of classes in figures.

Run from the top of the repository: ``python tests/benchmarks/scripts.py [PLAN...]``.
Without plans: those of ``examples/`` and six written by `cuetrack.planning`.
Lengths of speech are estimated, or those measured before with ``--stored``.

works       activities of work; utterances in one of 40 s or less, the final count
            not counted, of the clock and of coaching: mean, and most of both
late        most time-left calls after halfway in one of them
quiet       longest time without speech in a work of 30 s or more: least, mean
wpm         words a minute over the whole class
rep         utterances of coaching heard before within ten minutes
short drop  shortened and left-out cues, and the share left out
cautions    said before the movement starts, of all
cut         first explanations that are not said in full before other coaching
after       explanations that hold up the start, for want of room before it
"""

from __future__ import annotations

# ruff: noqa: T201
import sys
from pathlib import Path
from statistics import mean

from cuetrack import cuekinds
from cuetrack.cues.model import MOVING, SegmentKind
from cuetrack.cues.timeline import activities
from cuetrack.errors import PlacementError
from cuetrack.languages.pack import load_language
from cuetrack.pipeline.checking import placed_unspoken, plan_from_text, read_plan
from cuetrack.planning.generating import generate
from cuetrack.planning.request import ClassRequest, Level

EXAMPLES = Path(__file__).parents[2] / "examples"
COACHING = {
    "slow count",
    "form",
    "breath",
    "option",
    "encouragement",
    "talk check",
    "where we are",
}
WISHES = (
    ClassRequest(slot_ms=15 * 60_000, level=Level.NEW),
    ClassRequest(slot_ms=20 * 60_000, level=Level.NEW, facts=("home alone",)),
    ClassRequest(slot_ms=30 * 60_000, equipment=("light hand weights",)),
    ClassRequest(slot_ms=30 * 60_000, equipment=("an exercise band",)),
    ClassRequest(slot_ms=30 * 60_000, facts=("hip replacement", "knee pain")),
    ClassRequest(slot_ms=45 * 60_000, level=Level.EXPERIENCED),
    ClassRequest(slot_ms=60 * 60_000, facts=("heart condition",)),
)


def classes():
    """Yield a name and a plan each."""
    if named := [name for name in sys.argv[1:] if not name.startswith("--")]:
        yield from ((Path(name).stem, read_plan(Path(name))) for name in named)
        return
    for path in sorted(EXAMPLES.glob("*.yaml")):
        yield path.stem, read_plan(path)
    for number, wishes in enumerate(WISHES, start=1):
        text = generate(wishes, seed=number)
        plan = plan_from_text(text, Path(f"generated-{number}.yaml"))
        yield f"new {wishes.slot_ms // 60_000} min", plan


def longest_quiet_ms(parts, placed):
    """Return the longest time without speech inside the parts of an activity."""
    first_ms, end_ms = parts[0].start_ms, parts[-1].end_ms
    longest, at_ms = 0, first_ms
    for each in sorted(placed, key=lambda one: one.start_ms):
        if each.end_ms > first_ms and each.start_ms < end_ms:
            longest = max(longest, each.start_ms - at_ms)
            at_ms = max(at_ms, each.end_ms)
    return max(longest, end_ms - at_ms)


def figures(plan, timing):
    """Return what a class sounds like."""
    sheet = placed_unspoken(plan, timing)
    segments = sheet.sheet.timeline.segments
    clock, coached, both, late, quiet = [], [], [], [], []
    for parts in activities(segments):
        ids = {part.id for part in parts}
        if parts[0].kind is not SegmentKind.WORK:
            continue
        length_ms = parts[-1].end_ms - parts[0].start_ms
        inside = [p for p in sheet.placed if p.cue.segment in ids]
        said = [p for p in inside if not p.cue.kind.counts]
        if length_ms >= 30_000:
            quiet.append(longest_quiet_ms(parts, sheet.placed))
        if length_ms <= 40_000:
            ours = [p for p in said if p.cue.kind.name in COACHING]
            coached.append(len(ours))
            clock.append(len(said) - len(ours))
            both.append(len(said))
            half_ms = parts[0].start_ms + length_ms // 2
            late.append(
                sum(
                    p.cue.kind is cuekinds.TIME_LEFT and p.start_ms > half_ms
                    for p in said
                )
            )
    return {
        "works": len(coached),
        "clock": mean(clock),
        "coach": mean(coached),
        "most": max(both),
        "late": max(late),
        "quiet": min(quiet, default=0) / 1000,
        "mean": mean(quiet or [0]) / 1000,
        "wpm": words(sheet) / (sheet.sheet.timeline.end_ms / 60_000),
        "rep": repeats(sheet),
        "short": sum(p.wording_index > 0 for p in sheet.placed),
        "drop": len(sheet.left_out),
        "drop %": 100 * len(sheet.left_out) / (len(sheet.left_out) + len(sheet.placed)),
        "early": cautions(sheet)[0],
        "of": cautions(sheet)[1],
        "cut": explanations_cut(sheet),
        "after": explanations_late(sheet),
    }


def words(sheet):
    return sum(len(p.wording.text.split()) for p in sheet.placed)


def repeats(sheet):
    heard, count = {}, 0
    for each in sheet.placed:
        if each.cue.kind.name in COACHING:
            before = heard.get(each.wording.text, -600_000)
            count += each.start_ms - before < 600_000
            heard[each.wording.text] = each.start_ms
    return count


def movement_starts(sheet):
    """Yield the first part of each movement that is new, with its text."""
    seen = set()
    for parts in activities(sheet.sheet.timeline.segments):
        movement = parts[0].movement
        if parts[0].kind in MOVING and movement and movement.name not in seen:
            seen.add(movement.name)
            yield parts[0], movement


def cautions(sheet):
    """Return how many cautions are over before the movement, and of how many."""
    early = wanted = 0
    for first, movement in movement_starts(sheet):
        if movement.caution:
            wanted += 1
            key = movement.caution.casefold()
            early += any(
                key in p.wording.text.casefold() and p.end_ms <= first.start_ms
                for p in sheet.placed
            )
    return early, wanted


def explanations_cut(sheet):
    """Return how many new movements are coached before they are told in full."""
    cut = 0
    for first, movement in movement_starts(sheet):
        if not movement.how:
            continue
        how = movement.how.rstrip(".")
        if first.side:
            how = load_language("en").phrases.of_side(how, first.side)
        told = [
            p.end_ms
            for p in sheet.placed
            if how.casefold() in p.wording.text.casefold()
        ]
        coached = [
            p.start_ms
            for p in sheet.placed
            if p.cue.segment == first.id and p.cue.kind.name in COACHING
        ]
        if not told or min(told) > min(coached, default=first.end_ms):
            cut += 1
    return cut


def explanations_late(sheet):
    """Return how many new movements are told only where they should start."""
    return sum(p.cue.kind is cuekinds.EXPLANATION for p in sheet.placed)


def main():
    timing = None if "--stored" in sys.argv else lambda _: None
    head = None
    for name, plan in classes():
        try:
            row = figures(plan, timing)
        except PlacementError as error:
            print(f"{name}: {error}")
            continue
        if head is None:
            head = f"{'':22}" + "".join(f"{key:>7}" for key in row)
            print(head)
        cells = "".join(
            f"{value:7.1f}" if isinstance(value, float) else f"{value:7d}"
            for value in row.values()
        )
        print(f"{name:22}{cells}")


main()
