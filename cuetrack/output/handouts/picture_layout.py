"""Where everything stands in the timeline picture, in units of about half a point.

Time runs from left to right and is broken like lines of text, so that its scale
stays one that can be read. Each such stretch, a system, has the sections on top,
then the segments (the more effort, the taller), the minutes, and a lane for each kind
of cue.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import groupby
from typing import TYPE_CHECKING

from cuetrack import cuekinds
from cuetrack.cuekinds import CUE_KINDS, Lane
from cuetrack.output.handouts.picture_shapes import (
    TEXT_SIZE,
    Box,
    Drawing,
    DrawnShape,
    Glyph,
    Polyline,
    TextLine,
)
from cuetrack.output.handouts.picture_text import LINE_HEIGHT, cut_to, fitted, width_of
from cuetrack.output.handouts.sheet_text import capital, short_length, shown
from cuetrack.times import clock

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from cuetrack.cuekinds import CueKinds
    from cuetrack.languages.phrases import Phrases
    from cuetrack.output.handouts.picture_text import FittedLines
    from cuetrack.output.track.cue_rows import SegmentRow
    from cuetrack.output.track.cuefile import CueFile

WIDTH = 1600.0
LEFT = 220.0
RIGHT = 30.0
LINE_MS = 660_000
"""A system holds no more than this."""

TITLE_SIZE, SMALL_SIZE = 34.0, 19.0
HEAD = 84.0
SECTION_HEIGHT = 36.0
BAND_HEIGHT = 150.0
AXIS_HEIGHT = 40.0
LANE_HEIGHT = 30.0
GAP = 34.0
LEGEND_HEIGHT = 34.0

HEIGHTS = {"work": 150.0, "move": 118.0, "recovery": 92.0, "rest": 34.0}
"""How tall a segment stands; one that is only talked in, ``TALK_HEIGHT``."""

TALK_HEIGHT = 60.0
FOOT_HEIGHT = 16.0
"""The strip at the foot of a segment that tells its kind."""

SIDE_HEIGHT = 34.0
"""How far up the line between two sides goes."""

LANES = ("tones", *Lane)
SYSTEM_HEIGHT = (
    SECTION_HEIGHT + BAND_HEIGHT + AXIS_HEIGHT + LANE_HEIGHT * len(LANES) + GAP
)


@dataclass(frozen=True, slots=True, kw_only=True)
class System:
    """One stretch of time across the picture; ``top`` is its upper edge."""

    start_ms: int
    end_ms: int
    span_ms: int
    top: float

    def x(self, ms: float) -> float:
        """Return where an instant lies, kept within the system."""
        part = (min(max(ms, self.start_ms), self.end_ms) - self.start_ms) / self.span_ms
        return LEFT + part * (WIDTH - LEFT - RIGHT)

    def holds(self, start_ms: float, end_ms: float) -> bool:
        """Return whether some of a stretch lies within the system."""
        return start_ms < self.end_ms and end_ms > self.start_ms

    @property
    def floor(self) -> float:
        """Where the segments stand."""
        return self.top + SECTION_HEIGHT + BAND_HEIGHT

    @property
    def lanes_top(self) -> float:
        """The upper edge of the first lane."""
        return self.floor + AXIS_HEIGHT


def drawing_of(
    cue_file: CueFile, phrases: Phrases, kinds: CueKinds = CUE_KINDS
) -> Drawing:
    """Return the picture of a track, laid out."""
    systems = _systems(cue_file)
    legend, legend_bottom = _legend(systems[-1].top + SYSTEM_HEIGHT, phrases)
    title = shown(cue_file.title)
    shapes: list[DrawnShape] = [
        TextLine(
            x=30,
            y=52,
            text=cut_to(title, WIDTH - 330, TITLE_SIZE),
            size=TITLE_SIZE,
        ),
        TextLine(
            x=WIDTH - RIGHT,
            y=52,
            text=short_length(cue_file.duration_ms, phrases),
            size=TEXT_SIZE,
            anchor="end",
        ),
        *legend,
    ]
    for system in systems:
        shapes += _sections(system, cue_file.segments)
        shapes += _segments(system, cue_file.segments)
        shapes += _minutes(system)
        shapes += _lanes(system, cue_file, phrases, kinds)
    return Drawing(
        width=WIDTH,
        height=math.ceil(legend_bottom + 20),
        title=phrases.on_sheet("picture", title=title),
        told=_told(cue_file, phrases),
        language=cue_file.language,
        boxes=tuple(shape for shape in shapes if isinstance(shape, Box)),
        strokes=tuple(shape for shape in shapes if isinstance(shape, Polyline)),
        marks=tuple(shape for shape in shapes if isinstance(shape, Glyph)),
        labels=tuple(shape for shape in shapes if isinstance(shape, TextLine)),
    )


def _told(cue_file: CueFile, phrases: Phrases) -> str:
    names = tuple(
        dict.fromkeys(shown(s.movement) for s in cue_file.segments if s.movement)
    )
    return phrases.on_sheet(
        "picture told",
        length=short_length(cue_file.duration_ms, phrases),
        movements=capital(phrases.listed(names)) if names else "",
    )


def _systems(cue_file: CueFile) -> tuple[System, ...]:
    """Share the track out over systems of one scale.

    They are as few as hold it, or up to two more where all names then fit.
    """
    fewest = max(1, math.ceil(cue_file.duration_ms / LINE_MS))
    spans = [_span_ms(cue_file.duration_ms, fewest + more) for more in range(3)]
    roomy = (span for span in spans if _all_names_fit(cue_file.segments, span))
    span_ms = next(roomy, spans[0])
    return tuple(
        System(
            start_ms=start_ms,
            end_ms=min(cue_file.duration_ms, start_ms + span_ms),
            span_ms=span_ms,
            top=HEAD + index * SYSTEM_HEIGHT,
        )
        for index, start_ms in enumerate(
            range(0, max(1, cue_file.duration_ms), span_ms)
        )
    )


def _span_ms(length_ms: int, count: int) -> int:
    """Return the length of each of ``count`` systems, in whole half minutes."""
    return max(1, math.ceil(length_ms / count / 30_000)) * 30_000


def _all_names_fit(segments: Iterable[SegmentRow], span_ms: int) -> bool:
    for _, run in groupby(segments, key=_sameness):
        rows = list(run)
        if rows[0].movement is None:
            continue
        part = (rows[-1].end_ms - rows[0].start_ms) / span_ms
        width = part * (WIDTH - LEFT - RIGHT)
        fit = _fitted_name(rows[0].kind, capital(shown(rows[0].movement)), width)
        if fit is None or fit.is_cut:
            return False
    return True


def _fitted_name(kind: str, text: str, width: float) -> FittedLines | None:
    room = HEIGHTS.get(kind, TALK_HEIGHT) - FOOT_HEIGHT - 10
    return fitted(text, width - 8, room, SMALL_SIZE)


def _sections(system: System, segments: Iterable[SegmentRow]) -> Iterator[DrawnShape]:
    for title, run in groupby(segments, key=lambda row: row.section):
        rows = list(run)
        if not system.holds(rows[0].start_ms, rows[-1].end_ms):
            continue
        x, end = system.x(rows[0].start_ms), system.x(rows[-1].end_ms)
        yield Box(
            x=x,
            y=system.top,
            width=end - x,
            height=SECTION_HEIGHT - 6,
            kind="section",
            told=shown(title),
        )
        text = cut_to(shown(title), end - x - 14, TEXT_SIZE)
        yield TextLine(x=x + 8, y=system.top + 22, text=text)


def _segments(system: System, segments: Iterable[SegmentRow]) -> Iterator[DrawnShape]:
    """Draw each segment; the sides of one movement share a box and a name."""
    for _, run in groupby(segments, key=_sameness):
        rows = list(run)
        if not system.holds(rows[0].start_ms, rows[-1].end_ms):
            continue
        box = _segment_box(system, rows)
        yield box
        for row in rows[1:]:
            if system.start_ms < row.start_ms < system.end_ms:
                x = system.x(row.start_ms)
                points = ((x, system.floor), (x, system.floor - SIDE_HEIGHT))
                yield Polyline(points=points, kind="side")
        whole = (rows[-1].end_ms - rows[0].start_ms) / system.span_ms
        if rows[0].movement and box.width >= whole * (WIDTH - LEFT - RIGHT) / 2:
            yield from _name(box, capital(shown(rows[0].movement)))


def _sameness(row: SegmentRow) -> tuple[str, ...]:
    """Return what the sides of one movement have in common, and nothing else has."""
    if row.side is None or row.movement is None:
        return (row.id,)
    return ("sides", row.section, row.movement, str(row.round))


def _segment_box(system: System, rows: Sequence[SegmentRow]) -> Box:
    first = rows[0]
    x, end = system.x(first.start_ms), system.x(rows[-1].end_ms)
    height = HEIGHTS.get(first.kind, TALK_HEIGHT)
    words = (first.movement or first.section, *(row.side for row in rows))
    named = ", ".join(word for word in words if word)
    return Box(
        x=x,
        y=system.floor - height,
        width=end - x,
        height=height,
        kind=first.kind if first.kind in HEIGHTS else "talk",
        told=shown(f"{clock(first.start_ms)} {named}"),
    )


def _name(box: Box, text: str) -> Iterator[TextLine]:
    """Write a movement into its box, over the strip at its foot."""
    room = box.height - FOOT_HEIGHT - 10
    fit = _fitted_name(box.kind, text, box.width)
    if fit is None:
        return
    step = SMALL_SIZE * LINE_HEIGHT
    middle = box.x + box.width / 2
    for number, line in enumerate(fit.lines):
        if fit.turned:
            # Turned lines stand side by side, their base lines to the right.
            offset = (number - (len(fit.lines) - 1) / 2) * step
            x, y = middle + offset + SMALL_SIZE * 0.35, box.y + 5 + room
        else:
            x, y = middle, box.y + 3 + SMALL_SIZE + number * step
        yield TextLine(
            x=x,
            y=y,
            text=line,
            size=SMALL_SIZE,
            anchor="start" if fit.turned else "middle",
            turned=fit.turned,
        )


def _minutes(system: System) -> Iterator[DrawnShape]:
    y = system.floor
    yield Polyline(
        points=((LEFT, y), (system.x(system.end_ms), y)),
        kind="axis",
    )
    first = -(-system.start_ms // 60_000) * 60_000
    for at_ms in range(first, system.end_ms + 1, 60_000):
        x = system.x(at_ms)
        yield Polyline(points=((x, y), (x, y + 10)), kind="axis")
        label = clock(at_ms)
        yield TextLine(x=x, y=y + 30, text=label, size=SMALL_SIZE, anchor="middle")


def _lanes(
    system: System, cue_file: CueFile, phrases: Phrases, kinds: CueKinds
) -> Iterator[DrawnShape]:
    middles = {
        lane: system.lanes_top + (index + 0.5) * LANE_HEIGHT
        for index, lane in enumerate(LANES)
    }
    for lane, y in middles.items():
        yield Polyline(points=((LEFT, y), (system.x(system.end_ms), y)), kind="lane")
        text = cut_to(phrases.sheet[f"picture {lane}"], LEFT - 40, SMALL_SIZE)
        yield TextLine(x=LEFT - 14, y=y + 7, text=text, size=SMALL_SIZE, anchor="end")
    for tone in cue_file.tones:
        if system.start_ms <= tone.start_ms < system.end_ms:
            yield Glyph(x=system.x(tone.start_ms), y=middles["tones"], kind="tones")
    for cue in cue_file.cues:
        if not system.start_ms <= cue.start_ms < system.end_ms:
            continue
        lane = kinds.get(cue.kind, cuekinds.OTHER).lane
        x, y = system.x(cue.start_ms), middles[lane]
        yield Polyline(points=((x, y), (system.x(cue.end_ms), y)), kind="speech")
        yield Glyph(x=x, y=y, kind=lane)


def _legend(top: float, phrases: Phrases) -> tuple[list[DrawnShape], float]:
    """Return the legend, broken into lines that fit, and where it ends."""
    shapes: list[DrawnShape] = []
    x, y = 30.0, top
    for kind in ("work", "move", "recovery", "rest", "talk"):
        text = phrases.sheet[f"picture {kind}"]
        width = 58 + width_of(text, TEXT_SIZE) + 30
        if x + width > WIDTH - RIGHT and x > 30:
            x, y = 30.0, y + LEGEND_HEIGHT
        shapes.append(Box(x=x, y=y, width=46, height=24, kind=kind))
        fitting = cut_to(text, WIDTH - RIGHT - x - 58, TEXT_SIZE)
        shapes.append(TextLine(x=x + 58, y=y + 20, text=fitting))
        x += width
    return shapes, y + LEGEND_HEIGHT
