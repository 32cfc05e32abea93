"""What the page shows of a class, as plain values for its templates."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final

from cuetrack.movements.strains import motion_of
from cuetrack.output.handouts.strip import strip_of
from cuetrack.review.model import Severity
from cuetrack.times import clock, duration

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from cuetrack.cues.model import Segment, Timeline
    from cuetrack.pipeline.checking import Checked
    from cuetrack.plan.model import Plan, Section

STRIP_WIDTH: Final = 1000
STRIP_HEIGHT: Final = 100


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


@dataclass(frozen=True, slots=True, kw_only=True)
class ShownPart:
    """A section as a part of the page."""

    id: str
    section: int
    title: str
    kind: str
    start: str
    length: str
    fields: dict[str, str]
    pieces: tuple[ShownPiece, ...]
    sayings: tuple[tuple[int, str], ...]


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
    """A finding of the review; ``piece`` is where it belongs, empty for the class."""

    rule: str
    severity: str
    title: str
    what: str
    why: str
    remedy: str
    source: str
    piece: str
    answered: str


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
        _part(plan.sections[index], index, own) for index, own in _by_section(timeline)
    )


def _by_section(timeline: Timeline) -> Iterator[tuple[int, list[Segment]]]:
    for index in dict.fromkeys(segment.section for segment in timeline.segments):
        yield index, [s for s in timeline.segments if s.section == index]


def _part(section: Section, index: int, segments: Sequence[Segment]) -> ShownPart:
    start_ms, end_ms = segments[0].start_ms, segments[-1].end_ms
    fields = {"title": section.title, "says": "\n".join(section.says)}
    if section.duration_ms is not None:
        fields["for"] = duration(section.duration_ms)
    if section.intervals is not None:
        fields["work"] = duration(section.intervals.work_ms)
        fields["rest"] = duration(section.intervals.rest_ms)
        fields["rounds"] = str(section.intervals.rounds)
        if section.intervals.between_rounds is not None:
            fields["break"] = duration(section.intervals.between_rounds.duration_ms)
    return ShownPart(
        id=f"part-{index}",
        section=index,
        title=segments[0].section_title,
        kind=str(section.kind),
        start=clock(start_ms),
        length=duration(end_ms - start_ms),
        fields=fields,
        pieces=tuple(_pieces(section, index, segments)),
        sayings=tuple((n, cue.text) for n, cue in enumerate(section.free_cues)),
    )


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
            fields={
                "how": movement.how or "",
                "easier": movement.easier or "",
                "harder": movement.harder or "",
                "caution": movement.caution or "",
                "equipment": movement.equipment or "",
                "form": "\n".join(movement.form),
            },
        )


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
    """Return what the review found, the heaviest first, the answered ones last."""
    pieces = {s.id: piece_id(s) for s in checked.placed.sheet.timeline.segments}
    order = {severity: number for number, severity in enumerate(Severity)}
    found = sorted(checked.findings, key=lambda f: (f.acknowledged, order[f.severity]))
    return tuple(
        Remark(
            rule=one.rule.id,
            severity=str(one.severity),
            title=one.rule.title,
            what=one.what,
            why=one.rule.why,
            remedy=one.rule.remedy,
            source=one.rule.source,
            piece=pieces.get(one.segments[0], "") if one.segments else "",
            answered=one.reason or "",
        )
        for one in found
    )
