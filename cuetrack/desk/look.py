"""What the page shows of a class, as plain values for its templates."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final

from cuetrack.desk.movement_forms import MOVEMENT_NUMBERS, MOVEMENT_TEXTS
from cuetrack.desk.remedies import OF_A_MOVEMENT, WAY_OF
from cuetrack.desk.templating import desk_words
from cuetrack.movements.sides import NAMED_SIDES
from cuetrack.movements.strains import motion_of
from cuetrack.output.handouts.strip import strip_of
from cuetrack.plan.moments import MomentShape
from cuetrack.plan.round_spans import RoundSpanShape
from cuetrack.plan.words import TALKS
from cuetrack.review.model import Severity
from cuetrack.times import clock, duration

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from cuetrack.cues.model import Segment, Timeline
    from cuetrack.pipeline.checking import Checked
    from cuetrack.plan.model import Movement, Plan, Section
    from cuetrack.plan.parts import RoundChange
    from cuetrack.review.model import Finding

STRIP_WIDTH: Final = 1000
STRIP_HEIGHT: Final = 100
OWN_SIDES: Final = "own"
_OFFERED: Final = frozenset(NAMED_SIDES) - {"alternating"}
"""Alternating sides are done as both are, with no word of their own to show."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StripBar:
    """A block of the strip in its own units, and the piece it belongs to."""

    x: float
    y: float
    width: float
    height: float
    kind: str
    piece: str
    label: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ShownPiece:
    """A movement of a section as a row of the page."""

    id: str
    section: int
    movement: int
    name: str
    figure: bool
    start: str
    length: str
    fields: dict[str, str]
    sides: tuple[tuple[str, str], ...]
    like: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ShownPart:
    """A section as a part of the page.

    ``clocked`` has work and rest, ``talk`` no movements; ``rounds`` is what differs
    in some of its rounds, ``fill`` how it could give the class its stated length.
    """

    id: str
    section: int
    title: str
    kind: str
    start: str
    start_ms: int
    length: str
    length_ms: int
    fields: dict[str, str]
    pieces: tuple[ShownPiece, ...]
    sayings: tuple[tuple[int, str, str], ...]
    clocked: bool
    talk: bool
    earlier: bool
    later: bool
    rounds: tuple[dict[str, str], ...]
    fill: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ShownLine:
    """A line of the script; ``state`` is said, fewer or out; ``count`` a number."""

    time: str
    start_ms: int
    text: str
    state: str
    reason: str
    count: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Remark:
    """A finding of the review; ``piece`` is where it belongs, empty for the class.

    ``mends`` says what one press does about it, empty where none does.
    """

    rule: str
    severity: str
    title: str
    what: str
    why: str
    remedy: str
    source: str
    piece: str
    answered: str
    mends: str


def bars_of(timeline: Timeline) -> tuple[StripBar, ...]:
    """Return the strip of a class."""
    segments = timeline.segments
    blocks = strip_of(segments, [segment.section for segment in segments])
    return tuple(
        StripBar(
            x=round(block.start * STRIP_WIDTH, 2),
            y=round((1 - block.height) * STRIP_HEIGHT, 2),
            width=round((block.end - block.start) * STRIP_WIDTH, 2),
            height=round(block.height * STRIP_HEIGHT, 2),
            kind=str(segment.kind),
            piece=piece_id(segment),
            label=_label(segment),
        )
        for block, segment in zip(blocks, segments, strict=True)
    )


def piece_id(segment: Segment) -> str:
    """Return the id of the row that a segment belongs to."""
    if segment.position is None:
        return f"part-{segment.section}"
    return f"piece-{segment.section}-{segment.position - 1}"


def _label(segment: Segment) -> str:
    movement = segment.movement or segment.next_movement
    what = movement.name if movement else segment.section_title
    side = f", {segment.side}" if segment.side else ""
    length = duration(segment.length_ms)
    return f"{clock(segment.start_ms)} {segment.kind}: {what}{side}, {length}"


def parts_of(plan: Plan, timeline: Timeline) -> tuple[ShownPart, ...]:
    """Return the sections of a class with their rows."""
    return tuple(
        _part(plan, index, own, timeline.end_ms) for index, own in _by_section(timeline)
    )


def _by_section(timeline: Timeline) -> Iterator[tuple[int, list[Segment]]]:
    for index in dict.fromkeys(segment.section for segment in timeline.segments):
        yield index, [s for s in timeline.segments if s.section == index]


def _part(
    plan: Plan, index: int, segments: Sequence[Segment], class_ms: int
) -> ShownPart:
    start_ms, end_ms = segments[0].start_ms, segments[-1].end_ms
    section = plan.sections[index]
    talk = section.kind in TALKS
    plain = not talk and section.intervals is None
    moves = [number for number, s in enumerate(plan.sections) if s.kind not in TALKS]
    return ShownPart(
        id=f"part-{index}",
        section=index,
        title=segments[0].section_title,
        kind=str(section.kind),
        start=clock(start_ms),
        start_ms=start_ms,
        length=duration(end_ms - start_ms),
        length_ms=end_ms - start_ms,
        fields=_part_fields(section),
        pieces=tuple(_pieces(section, index, segments)),
        sayings=tuple(
            (number, cue.text, MomentShape().write(cue.at))
            for number, cue in enumerate(section.free_cues)
        ),
        clocked=section.intervals is not None,
        talk=talk,
        earlier=index - 1 in moves,
        later=index + 1 in moves,
        rounds=tuple(map(_round_fields, _lines(section))),
        fill=_fill_words(plan, class_ms) if plain else "",
    )


def _lines(section: Section) -> Sequence[RoundChange]:
    return section.intervals.in_rounds if section.intervals else ()


def _part_fields(section: Section) -> dict[str, str]:
    fields = {"title": section.title, "says": "\n".join(section.says)}
    fields["opening"] = duration(section.opening_ms)
    own = section.music.own if section.music else None
    fields["music"] = str(own or "")
    times = {movement.duration_ms for movement in section.movements}
    fields["each"] = duration(times.pop() or 0) if len(times) == 1 else ""
    fields["for"] = duration(section.duration_ms or 0)
    clock_of = section.intervals
    if clock_of is None:
        return fields
    fields |= {
        "work": duration(clock_of.work_ms),
        "rest": duration(clock_of.rest_ms),
        "rounds": str(clock_of.rounds),
    }
    pause = clock_of.between_rounds
    if clock_of.rounds > 1 or clock_of.break_after_last:
        fields |= {
            "break": duration(pause.duration_ms) if pause else "none",
            "break with": pause.movement.name if pause else "",
            "break says": "\n".join(pause.says) if pause else "",
            "after last": "yes" if clock_of.break_after_last else "no",
        }
    return fields


def _round_fields(line: RoundChange) -> dict[str, str]:
    return {
        "rounds": RoundSpanShape().write(line.rounds),
        "work": _time_or_usual(line.work_ms),
        "rest": _time_or_usual(line.rest_ms),
        "equipment": line.equipment or "",
        "coaching": str(line.coaching or ""),
    }


def _time_or_usual(time_ms: int | None) -> str:
    return "" if time_ms is None else duration(time_ms)


def _fill_words(plan: Plan, class_ms: int) -> str:
    apart_ms = (plan.lasts_ms or class_ms) - class_ms
    if not apart_ms:
        return ""
    words = desk_words()["fill longer" if apart_ms > 0 else "fill shorter"]
    return words.format(by=duration(abs(apart_ms)), all=duration(class_ms + apart_ms))


def _pieces(
    section: Section, index: int, segments: Sequence[Segment]
) -> Iterator[ShownPiece]:
    for number, movement in enumerate(section.movements):
        own = [
            segment
            for segment in segments
            if segment.position == number + 1 and segment.movement is not None
        ]
        first_round = [segment for segment in own if segment.round == own[0].round]
        length_ms = sum(segment.length_ms for segment in first_round)
        yield ShownPiece(
            id=f"piece-{index}-{number}",
            section=index,
            movement=number,
            name=movement.name,
            figure=motion_of(movement.name) is not None,
            start=clock(own[0].start_ms) if own else "",
            length=duration(length_ms) if own else "",
            fields=_movement_values(movement),
            sides=_side_choices(movement.sides),
            like=movement.regions[0] if movement.regions else "",
        )


def _movement_values(movement: Movement) -> dict[str, str]:
    names = (*MOVEMENT_TEXTS, *MOVEMENT_NUMBERS)
    values = ((name, getattr(movement, name)) for name in names)
    fields = {name: "" if value is None else str(value) for name, value in values}
    return fields | {
        "form": "\n".join(movement.form),
        "for": _time_or_usual(movement.duration_ms),
        "rest": _time_or_usual(movement.rest_ms),
        "hold": "held" if movement.hold else "moved",
        "sides": _sides_word(movement.sides),
    }


def _sides_word(sides: tuple[str, ...]) -> str:
    return next((w for w, known in NAMED_SIDES.items() if known == sides), OWN_SIDES)


def _side_choices(sides: tuple[str, ...]) -> tuple[tuple[str, str], ...]:
    """Return the words for sides; those of the leader's own are one of them."""
    words = desk_words()
    known = [(word, words[f"sides {word}"]) for word in NAMED_SIDES if word in _OFFERED]
    if _sides_word(sides) == OWN_SIDES:
        known.append((OWN_SIDES, ", ".join(sides)))
    return tuple(known)


def script_of(checked: Checked) -> tuple[ShownLine, ...]:
    """Return all that is said, shortened or left out, in order of time."""
    said = [
        ShownLine(
            time=clock(cue.start_ms),
            start_ms=cue.start_ms,
            text=cue.wording.text,
            state="fewer" if cue.reason else "said",
            reason=cue.reason or "",
            count=cue.cue.kind.counts,
        )
        for cue in checked.placed.placed
    ]
    said += [
        ShownLine(
            time=clock(one.cue.window_start_ms),
            start_ms=one.cue.window_start_ms,
            text=one.cue.wordings[0].text,
            state="out",
            reason=one.reason,
        )
        for one in checked.placed.left_out
    ]
    return tuple(_counts_joined(sorted(said, key=lambda one: one.start_ms)))


def _counts_joined(said: Sequence[ShownLine]) -> Iterator[ShownLine]:
    """Yield the lines, the numbers of a count on one of them."""
    held: ShownLine | None = None
    for one in said:
        counts = held is not None and held.count and one.count
        if held is not None and counts:
            held = replace(held, text=f"{held.text}, {one.text.lower()}")
            continue
        if held is not None:
            yield held
        held = one
    if held is not None:
        yield held


def remarks_of(checked: Checked) -> tuple[Remark, ...]:
    """Return what the review found, the heaviest first, the answered ones last.

    What it found of one piece in several rounds is told once.
    """
    pieces = {s.id: piece_id(s) for s in checked.placed.sheet.timeline.segments}
    order = {severity: number for number, severity in enumerate(Severity)}
    found = sorted(
        dict.fromkeys(checked.findings),
        key=lambda f: (f.acknowledged, order[f.severity]),
    )
    return tuple(
        _remark(one, pieces.get(one.segments[0], "") if one.segments else "")
        for one in found
    )


def _remark(one: Finding, piece: str) -> Remark:
    return Remark(
        rule=one.rule.id,
        severity=str(one.severity),
        title=one.rule.title,
        what=one.what,
        why=one.rule.why,
        remedy=one.rule.remedy,
        source=one.rule.source,
        piece=piece,
        answered=one.reason or "",
        mends=_mends(one.rule.id, piece),
    )


def _mends(rule: str, piece: str) -> str:
    """Return the words for what one press does about a rule, if it does anything."""
    way = WAY_OF.get(rule)
    if way is None or (way in OF_A_MOVEMENT and not piece.startswith("piece-")):
        return ""
    return desk_words()[f"mend {way}"]
