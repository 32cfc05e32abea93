"""What is to be seen during each segment of a class, as words and a figure."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum, auto
from typing import TYPE_CHECKING

from cuetrack.cues.model import MOVING, SegmentKind
from cuetrack.movements.positions.cadence import cadence_of
from cuetrack.movements.positions.reading import motions
from cuetrack.output.handouts.follow_data import NOTHING_MORE
from cuetrack.output.handouts.follow_figures import SITTING
from cuetrack.output.handouts.segment_figures import SegmentFigure
from cuetrack.output.track.chapters import plain_line

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from cuetrack.languages.phrases import Phrases
    from cuetrack.output.handouts.follow_data import SegmentDetails
    from cuetrack.output.track.cue_rows import SegmentRow
    from cuetrack.output.track.cuefile import CueFile


class Showing(Enum):
    """How a figure is shown: it moves, or its positions stand side by side."""

    MOVING = auto()
    POSITIONS = auto()
    SITTING = auto()


@dataclass(frozen=True, slots=True, kw_only=True)
class Shot:
    """One segment as it is seen. Texts are empty where there is nothing to say.

    ``over`` stands small over ``what``, ``foot`` below the seconds, under its
    ``foot_head``. ``figure`` is None where the movement has no drawing.
    """

    start_ms: int
    end_ms: int
    kind: str
    badge: str
    what: str
    side: str = ""
    over: str = ""
    foot: str = ""
    foot_head: str = ""
    place: tuple[str, ...] = ()
    figure: SegmentFigure | None = None
    showing: Showing = Showing.SITTING

    @property
    def moving(self) -> bool:
        """Whether people do a movement of the plan."""
        return self.kind in MOVING


@dataclass(frozen=True, slots=True, kw_only=True)
class _Teller:
    rows: Sequence[SegmentRow]
    details: Mapping[str, SegmentDetails]
    figures: Mapping[str, SegmentFigure]
    phrases: Phrases


def shots_of(
    cue_file: CueFile,
    details: Mapping[str, SegmentDetails],
    figures: Mapping[str, SegmentFigure],
    phrases: Phrases,
) -> tuple[Shot, ...]:
    """Return the shot of each segment, in order.

    ``details`` and ``figures`` are those of the follow page, by the segment's id.
    """
    teller = _Teller(
        rows=cue_file.segments, details=details, figures=figures, phrases=phrases
    )
    return tuple(_shot(at, teller) for at in range(len(cue_file.segments)))


def _shot(at: int, teller: _Teller) -> Shot:
    row, words = teller.rows[at], teller.phrases.page
    mover = _next_mover(at, teller)
    shows = row.kind in {SegmentKind.REST, SegmentKind.OPENING} and mover is not None
    about = mover if shows and mover is not None else row
    figure = teller.figures.get(about.id)
    if about.movement is None:
        sitting = motions()[SITTING]
        figure = SegmentFigure(motion=sitting, cadence=cadence_of(sitting))
        showing = Showing.SITTING
    else:
        showing = Showing.POSITIONS if shows else Showing.MOVING
    how = teller.details.get(about.id, NOTHING_MORE).how
    return Shot(
        start_ms=row.start_ms,
        end_ms=row.end_ms,
        kind=row.kind,
        badge=words[f"kind {row.kind}"],
        over=words["next"] if shows else "",
        what=_title(about, teller),
        side=_side(about, teller),
        foot=plain_line(how or "") if shows else _coming(at, mover, teller),
        foot_head="" if shows else words["next"],
        place=tuple(_place(row, teller)),
        figure=figure,
        showing=showing,
    )


def _next_mover(at: int, teller: _Teller) -> SegmentRow | None:
    return next((row for row in teller.rows[at + 1 :] if row.movement), None)


def _title(row: SegmentRow, teller: _Teller) -> str:
    if row.movement:
        return plain_line(row.movement)
    if row.kind in {SegmentKind.OPENING, SegmentKind.WELCOME}:
        return plain_line(row.section)
    return teller.phrases.page[f"kind {row.kind}"]


def _side(row: SegmentRow, teller: _Teller) -> str:
    return plain_line(teller.phrases.side(row.side)) if row.side else ""


def _name(row: SegmentRow, teller: _Teller) -> str:
    title, side = _title(row, teller), _side(row, teller)
    if not side:
        return title
    return teller.phrases.page["with side"].format(movement=title, side=side)


def _coming(at: int, mover: SegmentRow | None, teller: _Teller) -> str:
    words = teller.phrases.page
    if at + 1 == len(teller.rows):
        return words["the end"]
    following = teller.rows[at + 1]
    if following.movement or mover is None:
        return _name(following, teller)
    first = _title(following, teller)
    return words["then"].format(first=first, second=_name(mover, teller))


def _place(row: SegmentRow, teller: _Teller) -> Iterator[str]:
    words = teller.phrases.page
    details = teller.details.get(row.id, NOTHING_MORE)
    yield plain_line(row.section)
    if row.round:
        rounds = details.rounds or row.round
        yield words["round"].format(round=row.round, rounds=rounds)
    if row.movement and details.position:
        yield words["position"].format(
            position=details.position, positions=details.positions
        )
