"""Coaching while people move: form, breath, options, encouragement.

The first time a movement is done it gets up to two form points and the
easier way, and before them its breath when it takes effort; the second time
one reminder, encouragement and, in a work, the harder way; from then on mostly
encouragement, which in warm-up, recovery and cool-down never asks for effort.
A movement with equipment, a hold or a breathing text of its own gets a breath cue
every time. The cues are spread evenly over the time that the clock leaves, few
enough to leave it quiet.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from cuetrack import cuekinds
from cuetrack.cues.model import MOVING, Cue, Segment, SegmentKind
from cuetrack.cues.timeline import activities
from cuetrack.languages.phrases import inline, sentence
from cuetrack.plan.model import Options, SectionKind

if TYPE_CHECKING:
    from collections.abc import Iterator

    from cuetrack.cuekinds import CueKind
    from cuetrack.cues.writing.context import CueLine, WritingContext
    from cuetrack.languages.phrases import Wordings
    from cuetrack.plan.model import Movement

APART_MS = {SegmentKind.WORK: 7_000, SegmentKind.MOVE: 10_000}
"""Coaching cues start about this far apart."""

LEAD_MS = 3_500
"""Coaching leaves this time to get going."""

TAIL_MS = {SegmentKind.WORK: 2_700, SegmentKind.MOVE: 4_400}
CHANGE_TAIL_MS = 12_000
SIDE_TAIL_MS = 6_000
"""How long before the end coaching gives way to what ends the segment."""

ENCOURAGED_EVERY_MS = 30_000
"""Longer movements are encouraged once more in each such time."""

EFFORT_TAGS = frozenset({"isometric", "resistance", "loaded"})

FIRST_BREATH_RANK = 75
"""A held breath under effort is a danger: this goes before the calls of the clock."""

TALK_FIRST_BY_MS = 600_000
TALK_AGAIN_MS = (480_000, 900_000)
"""The first talk check comes within ten minutes, others 8 to 15 minutes apart."""


def coaching_cues(context: WritingContext) -> tuple[Cue, ...]:
    """Return the coaching of every movement, and the talk checks."""
    cues: list[Cue] = []
    for parts in activities(context.segments):
        if parts[0].kind not in MOVING:
            continue
        if context.coaches_in(parts[0]):
            cues += _spread(context, parts, list(_lines(context, parts)))
    return (*cues, *_talk_checks(context))


def _lines(context: WritingContext, parts: tuple[Segment, ...]) -> Iterator[CueLine]:
    """Yield what is said during a movement, the most needed first."""
    movement = parts[0].movement
    if movement is None:
        return
    visit = context.visits[parts[0].activity]
    if visit == 0:
        yield from _first_time(context, movement)
    else:
        yield from _known(context, parts[0], movement)
    if not movement.hold:
        yield from _encouragement(context, parts)


def _first_time(context: WritingContext, movement: Movement) -> Iterator[CueLine]:
    breath = list(_breath(context, movement))
    easier = list(_option(context, "option easier", movement.easier))
    if takes_effort(movement):
        yield from breath
        breath = []
    if context.plan.options is Options.EASIER:
        yield from easier
        easier = []
    for number, point in enumerate(movement.form[:2]):
        yield cuekinds.FORM, _form(context, point)
        if number == 0:
            yield from (*breath, *easier)
    if not movement.form:
        yield from (*breath, *easier)


def _known(
    context: WritingContext, first: Segment, movement: Movement
) -> Iterator[CueLine]:
    visit = context.visits[first.activity]
    yield from _breath(context, movement)
    options = context.plan.options
    harder = list(_option(context, "option harder", movement.harder))
    if first.kind is not SegmentKind.WORK:
        harder = []
    if options is Options.EASIER and not movement.hold:
        yield from _option(context, "option easier", movement.easier)
    elif options is Options.HARDER:
        yield from harder
    if movement.form and visit != 2:
        at = 2 if visit == 1 and len(movement.form) > 2 else visit % len(movement.form)
        yield cuekinds.FORM, _form(context, movement.form[at])
    if not movement.hold:
        yield cuekinds.ENCOURAGEMENT, _cheer(context, first)
    if visit == 1 and options is Options.USUAL:
        yield from harder


def _encouragement(
    context: WritingContext, parts: tuple[Segment, ...]
) -> Iterator[CueLine]:
    """Yield encouragement for whatever time is left over; less in plain sections."""
    first = parts[0]
    length_ms = parts[-1].end_ms - first.start_ms - ENCOURAGED_EVERY_MS // 2
    times = max(0, length_ms // ENCOURAGED_EVERY_MS)
    skipped = first.kind is SegmentKind.MOVE and (first.position or 0) % 2
    if context.visits[first.activity] == 0 and not skipped:
        times += 1
    for _ in range(times):
        yield cuekinds.ENCOURAGEMENT, _cheer(context, first)


def _cheer(context: WritingContext, segment: Segment) -> tuple[Wordings, ...]:
    """Return encouragement to work, or to be at ease in an easy section."""
    easy = segment.kind is not SegmentKind.WORK
    return context.phrases.variants("encouragement easy" if easy else "encouragement")


def _point(context: WritingContext, key: str, text: str) -> tuple[Wordings, ...]:
    return context.phrases.variants(
        key, point=sentence(text), point_inline=inline(text)
    )


def _form(context: WritingContext, point: str) -> tuple[Wordings, ...]:
    return _point(context, "form", point) + _point(context, "form reminder", point)


def takes_effort(movement: Movement) -> bool:
    """Return whether people may hold their breath in a movement unless told not to."""
    return bool(EFFORT_TAGS & set(movement.tags)) or movement.equipment is not None


def _breath(context: WritingContext, movement: Movement) -> Iterator[CueLine]:
    own: tuple[Wordings, ...] = ()
    if movement.breathing:
        own = _point(context, "breath", movement.breathing)
        own += _point(context, "breath reminder", movement.breathing)
    elif not (movement.hold or takes_effort(movement)):
        return
    general = context.phrases.variants(
        "breath hold" if movement.hold else "breath effort"
    )
    yield cuekinds.BREATH, own + general


def _option(context: WritingContext, key: str, option: str | None) -> Iterator[CueLine]:
    if option:
        words = context.phrases.variants(
            key, option=sentence(option), option_inline=inline(option)
        )
        yield cuekinds.OPTION, words


def _spread(
    context: WritingContext, parts: tuple[Segment, ...], lines: list[CueLine]
) -> Iterator[Cue]:
    """Yield the lines there is time for, evenly over the parts of a movement."""
    zones = [zone for part in parts if (zone := _zone(context, part))]
    total_ms = sum(end_ms - start_ms for _, start_ms, end_ms in zones)
    if not zones or not lines:
        return
    apart_ms = APART_MS[parts[0].kind]
    said = lines[: max(1, (total_ms + apart_ms // 2) // apart_ms)]
    for number, (kind, words) in enumerate(said):
        into_ms = total_ms * (2 * number + 1) // (2 * len(said))
        for part, start_ms, end_ms in zones:
            if into_ms < end_ms - start_ms:
                yield context.cue(
                    kind,
                    part,
                    words,
                    window=(context.words_from_ms(part), context.words_until_ms(part)),
                    wanted_ms=start_ms + into_ms,
                    priority=_rank(context, part, kind),
                )
                break
            into_ms -= end_ms - start_ms


def _rank(context: WritingContext, part: Segment, kind: CueKind) -> int | None:
    """Return the rank of the first word on breathing under effort, else None."""
    movement = part.movement
    first = context.visits[part.activity] == 0
    if kind is cuekinds.BREATH and movement and first and takes_effort(movement):
        return FIRST_BREATH_RANK
    return None


def _zone(context: WritingContext, part: Segment) -> tuple[Segment, int, int] | None:
    """Return where coaching is wanted in a part, None where it has no room."""
    after = context.after(part)
    tail_ms = TAIL_MS[part.kind]
    if after is not None and after.activity == part.activity:
        tail_ms = SIDE_TAIL_MS
    elif after is not None and after.kind in MOVING:
        tail_ms = CHANGE_TAIL_MS
    start_ms = context.words_from_ms(part) + LEAD_MS
    # A cue wanted here still needs about 2 s to be said.
    end_ms = context.words_until_ms(part) - tail_ms
    return (part, start_ms, end_ms) if end_ms - start_ms >= 1_000 else None


def _talk_checks(context: WritingContext) -> Iterator[Cue]:
    coached = tuple(filter(context.coaches_in, context.segments))
    for segment in talk_check_segments(coached):
        until_ms = context.words_until_ms(segment)
        yield context.cue(
            cuekinds.TALK_CHECK,
            segment,
            context.phrases.variants("talk check"),
            window=(context.words_from_ms(segment), until_ms),
            wanted_ms=segment.start_ms + (until_ms - segment.start_ms) * 11 // 20,
        )


def talk_check_segments(segments: tuple[Segment, ...]) -> tuple[Segment, ...]:
    """Return where the talk is checked: within ten minutes, then every 8 to 15.

    A recovery break is best, then a work, then a plain movement; of the best
    kind the latest, so that people have warmed to the work. The first check
    does not fall into the first two minutes where that can be helped. A cool-down
    needs none once there was one. Sides need their words for the change: only in
    a class with nothing else the talk is checked in one.
    """
    candidates = [segment for segment in segments if _allows_talk(segment)]
    if not candidates:
        candidates = [segment for segment in segments if _allows_brief_talk(segment)]
    chosen: list[Segment] = []
    soonest_ms, latest_ms = 120_000, TALK_FIRST_BY_MS
    while later := [
        s
        for s in candidates
        if s.start_ms >= soonest_ms
        and not (chosen and s.section_kind is SectionKind.COOL_DOWN)
    ]:
        in_time = [s for s in later if s.end_ms <= latest_ms]
        pick = max(in_time, key=_talk_worth) if in_time else later[0]
        chosen.append(pick)
        soonest_ms = pick.start_ms + TALK_AGAIN_MS[0]
        latest_ms = pick.start_ms + TALK_AGAIN_MS[1]
    return tuple(chosen or candidates[-1:])


_TALK_WORTH = {SegmentKind.RECOVERY: 2, SegmentKind.WORK: 1, SegmentKind.MOVE: 0}
_TALK_NEEDS_MS = {
    SegmentKind.RECOVERY: 30_000,
    SegmentKind.WORK: 20_000,
    SegmentKind.MOVE: 40_000,
}


_BRIEF_TALK_NEEDS_MS = 15_000


def _allows_talk(segment: Segment) -> bool:
    needs_ms = _TALK_NEEDS_MS.get(segment.kind)
    if needs_ms is None or segment.side is not None:
        return False
    return _allows_brief_talk(segment) and segment.length_ms >= needs_ms


def _allows_brief_talk(segment: Segment) -> bool:
    held = segment.movement is not None and segment.movement.hold
    # A short recovery is full of what comes next.
    brief = segment.kind in MOVING and segment.length_ms >= _BRIEF_TALK_NEEDS_MS
    long = segment.length_ms >= _TALK_NEEDS_MS.get(segment.kind, segment.end_ms + 1)
    return (brief or long) and not held


def _talk_worth(segment: Segment) -> tuple[int, int]:
    return _TALK_WORTH[segment.kind], segment.start_ms
