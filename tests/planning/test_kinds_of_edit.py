"""Every kind of edit of the examples and of plans that are aligned by hand."""

from dataclasses import replace
from difflib import SequenceMatcher
from pathlib import Path

import pytest
from planning.hand_aligned import PLANS

from cuetrack.documents.places import Place
from cuetrack.documents.tree import read_tree, spans_of
from cuetrack.movements.known import Library
from cuetrack.movements.library import load_library
from cuetrack.plan.model import (
    Coaching,
    CountFrom,
    FreeCue,
    Moment,
    Music,
    MusicStyle,
    Pace,
    RecoveryBreak,
    Section,
    SectionKind,
)
from cuetrack.plan.reading import parse_plan
from cuetrack.planning.editing import plainly, rewritten

EXAMPLES = Path(__file__).parents[2] / "examples"
TEXTS = {
    **{path.stem: path.read_bytes().decode() for path in EXAMPLES.glob("*.yaml")},
    **PLANS,
}
NEW = Library.of(load_library("en"))
TALKS = {SectionKind.WELCOME, SectionKind.CLOSE}


def read(text):
    return parse_plan(text, "class.yaml", library=load_library)


def first(plan, *, clocked):
    """The number of the first section with intervals, or of the first without."""
    return next(
        i
        for i, section in enumerate(plan.sections)
        if section.kind not in TALKS and (section.intervals is not None) is clocked
    )


def last(plan):
    kinds = [section.kind for section in plan.sections]
    return kinds.index(SectionKind.COOL_DOWN)


def section_with(plan, index, **values):
    sections = list(plan.sections)
    sections[index] = replace(sections[index], **values)
    return replace(plan, sections=tuple(sections))


def clock_with(plan, **values):
    index = first(plan, clocked=True)
    clock = replace(plan.sections[index].intervals, **values)
    return section_with(plan, index, intervals=clock)


def movements_with(plan, index, change):
    """The plan with another list of movements in a section."""
    movements = list(plan.sections[index].movements)
    change(movements)
    return section_with(plan, index, movements=tuple(movements))


def movement_with(plan, number, **values):
    """The plan with a movement of its intervals otherwise."""
    index = first(plan, clocked=True)

    def change(movements):
        movements[number] = replace(movements[number], **values)

    return movements_with(plan, index, change)


def fresh(name, **values):
    return replace(NEW.plain(name), place=Place(), **values)


def longer(plan):
    """The first plain section a minute longer, all of it in its first movement."""
    index = first(plan, clocked=False)

    def change(movements):
        movements[0] = replace(
            movements[0], duration_ms=movements[0].duration_ms + 60_000
        )

    return movements_with(plan, index, change)


def without_rests(movement, plan):
    clock = plan.sections[first(plan, clocked=True)].intervals
    own_ms = movement.duration_ms or clock.work_ms
    return replace(movement, duration_ms=own_ms, rest_ms=None)


def moved_across(plan):
    """The first movement of the intervals as the second of the cool-down."""
    index, end = first(plan, clocked=True), last(plan)
    movement = plan.sections[index].movements[0]
    new = movements_with(plan, index, lambda movements: movements.pop(0))
    moved = without_rests(movement, plan)
    return movements_with(new, end, lambda movements: movements.insert(1, moved))


def sections_moved(plan):
    """The first section without intervals after the one that follows it."""
    index = first(plan, clocked=False)
    sections = list(plan.sections)
    sections.insert(index + 1, sections.pop(index))
    return replace(plan, sections=tuple(sections))


def section_added(plan):
    """An easy part before the cool-down."""
    easy = Section(
        kind=SectionKind.RECOVERY,
        title="Recovery",
        opening_ms=10_000,
        movements=(fresh("slow march", duration_ms=90_000),),
    )
    end = last(plan)
    return replace(plan, sections=(*plan.sections[:end], easy, *plan.sections[end:]))


def section_removed(plan):
    index = first(plan, clocked=False)
    return replace(plan, sections=plan.sections[:index] + plan.sections[index + 1 :])


def talk(kind, **values):
    def change(plan):
        index = [section.kind for section in plan.sections].index(kind)
        return section_with(plan, index, **values)

    return change


def in_intervals(change):
    return lambda plan: movements_with(plan, first(plan, clocked=True), change)


def cued(plan):
    cue = FreeCue(
        text="Maud has the jug: ask her.",
        at=Moment(offset_ms=20_000, count_from=CountFrom.START),
    )
    index = first(plan, clocked=True)
    return section_with(plan, index, free_cues=(*plan.sections[index].free_cues, cue))


def pause(plan):
    movement = fresh("slow march")
    new = RecoveryBreak(duration_ms=80_000, movement=movement)
    return clock_with(plan, rounds=3, between_rounds=new)


KINDS = {
    "title": lambda plan: replace(plan, title="Autumn: the new class"),
    "length added": lambda plan: replace(plan, lasts_ms=1_500_000),
    "coaching": lambda plan: replace(
        plan,
        coaching=next(c for c in Coaching if c is not plan.coaching),
        sections=plan.sections,
    ),
    "pace": lambda plan: replace(plan, pace=Pace.LIVELY),
    "something to bring": lambda plan: replace(plan, bring=(*plan.bring, "a scarf")),
    "nothing to bring": lambda plan: replace(plan, bring=()),
    "age": lambda plan: replace(plan, group=replace(plan.group, age=81)),
    "music": lambda plan: replace(plan, music=Music(own=MusicStyle.CALM)),
    "a word said": lambda plan: replace(
        plan, pronunciations=(*plan.pronunciations, ("Ng", "ing"))
    ),
    "work": lambda plan: clock_with(plan, work_ms=65_000),
    "rest": lambda plan: clock_with(plan, rest_ms=35_000),
    "rounds": lambda plan: clock_with(plan, rounds=4),
    "break": pause,
    "no break": lambda plan: clock_with(plan, rounds=2, between_rounds=None),
    "break after last": lambda plan: clock_with(plan, break_after_last=True),
    "cue added": cued,
    "section's title": lambda plan: section_with(
        plan, first(plan, clocked=True), title="Work: and rest"
    ),
    "opening": lambda plan: section_with(
        plan, first(plan, clocked=True), opening_ms=45_000
    ),
    "movement renamed": lambda plan: movement_with(plan, 0, name="heel push"),
    "movement retimed": lambda plan: movement_with(plan, 0, duration_ms=55_000),
    "its rest": lambda plan: movement_with(plan, 1, rest_ms=40_000),
    "its words": lambda plan: movement_with(plan, 1, how="Slowly, then back: rest."),
    "its form": lambda plan: movement_with(plan, 1, form=("Sit tall", "Go on, go")),
    "its easier way": lambda plan: movement_with(plan, -1, easier="do less"),
    "its importance": lambda plan: movement_with(plan, -1, importance=5),
    "movement added first": in_intervals(lambda m: m.insert(0, fresh("slow punch"))),
    "movement added": in_intervals(
        lambda m: m.insert(1, fresh("slow punch", duration_ms=60_000))
    ),
    "movement added last": in_intervals(lambda m: m.append(fresh("slow punch"))),
    "movement taken out first": in_intervals(lambda m: m.pop(0)),
    "movement taken out": in_intervals(lambda m: m.pop(1)),
    "movement taken out last": in_intervals(lambda m: m.pop()),
    "movement moved down": in_intervals(lambda m: m.append(m.pop(0))),
    "movement moved up": in_intervals(lambda m: m.insert(0, m.pop())),
    "movement in another section": moved_across,
    "warm-up longer": longer,
    "section moved": sections_moved,
    "section added": section_added,
    "section removed": section_removed,
    "welcome": talk(SectionKind.WELCOME, duration_ms=70_000),
    "welcome's words": talk(SectionKind.WELCOME, says=("Hello: sit down.", "Ready?")),
    "close": talk(SectionKind.CLOSE, duration_ms=70_000),
}


def lines_of_parts(text, plan, wanted):
    """The numbers of the lines of every part that is wanted otherwise."""
    spans, parts = spans_of(read_tree(text, "p")), set()
    for key in ("title", "coaching", "pace", "bring", "group", "pronunciations"):
        if getattr(plan, key) != getattr(wanted, key) and plan.wrote(key):
            parts.add(plan.said.keys[key])
    parts |= set(_of_sections(text, plan, wanted))
    allowed, lines = set(), text.split("\n")
    for place in parts:
        top = end = place.line - 1  # of a part that is no more than a length
        if place in spans:
            top = text.count("\n", 0, spans[place].start)
            end = text.count("\n", 0, spans[place].end)
        allowed.update(range(top, end + 1))
        while top and lines[top - 1].lstrip()[:1] in {"#", "\r", ""}:
            top -= 1
            allowed.add(top)
    return allowed


def _of_sections(text, plan, wanted):
    """The places of what differs: whole sections that moved, keys, or movements."""
    after = {section.place: section for section in wanted.sections}
    order = [
        s.place for s in wanted.sections if s.place in {p.place for p in plan.sections}
    ]
    for was in plan.sections:
        now = after.get(was.place)
        here = [s.place for s in plan.sections].index(was.place)
        if now is None or order[here : here + 1] != [was.place]:
            yield was.place
            continue
        for each, other in ((was, now), (was.intervals, now.intervals)):
            keys = each.said.keys if each else {}
            yield from (
                place
                for key, place in keys.items()
                if key != "movements" and getattr(each, key) != getattr(other, key)
            )
        if was.movements != now.movements and "stated_ms" in was.said.keys:
            yield was.said.keys["stated_ms"]
        inside = {k for k, place in was.said.keys.items() if place != was.place}
        if was != now and not inside - {"movements"}:
            yield was.place
        yield from _of_movements(text.splitlines(), was, now)


def _of_movements(lines, was, now):
    """The places of movements that differ; in brackets, of their neighbours too."""
    wanted = {movement.place: movement for movement in now.movements}
    yield from (m.place for m in was.movements if wanted.get(m.place) != m)
    places = [[m.place for m in section.movements] for section in (was, now)]
    matcher = SequenceMatcher(None, *places, autojunk=False)
    for kind, i, j, _, _ in matcher.get_opcodes():
        if kind != "equal":
            yield from places[0][i:j]
            for place in places[0][max(i - 1, 0) : j + 1]:
                if not lines[place.line - 1].lstrip().startswith("-"):
                    yield place


def lines_changed(before, after):
    """The numbers of the lines of a text that are not in another one."""
    matcher = SequenceMatcher(None, before, after, autojunk=False)
    for kind, i, j, _, _ in matcher.get_opcodes():
        if kind != "equal":
            yield from range(i, j)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("name", TEXTS)
def test_an_edit_changes_no_character_of_anything_else(name, kind):
    """The text reads as the plan that was wanted, and every other line is as it was."""
    text = TEXTS[name]
    plan = read(text)
    wanted = KINDS[kind](plan)
    new = rewritten(text, plan, wanted, read, note=None)
    assert plainly(read(new)) == plainly(wanted)
    if "\r\n" in text:
        assert "\n" not in new.replace("\r\n", "")
    old_lines = text.splitlines()
    allowed = lines_of_parts(text, plan, wanted)
    alike = {old_lines[number] for number in allowed if number < len(old_lines)}
    outside = [  # of two lines alike, either may be taken for the one that moved
        old_lines[number]
        for number in lines_changed(old_lines, new.splitlines())
        if number not in allowed
        and old_lines[number].strip()
        and old_lines[number] not in alike
    ]
    assert outside == []
