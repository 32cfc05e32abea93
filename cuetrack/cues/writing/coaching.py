"""Coaching while people move: form, breath, options, encouragement.

The first time a movement is done it gets up to two form points and the easier way;
where it takes effort its breath and the easier way come first. The second time it
gets one reminder, encouragement and, in a work, the harder way, or the easier one
where that had no room before; from then on mostly encouragement, which in warm-up,
recovery and cool-down never asks for effort.
A movement with equipment, a hold or a breathing text of its own gets a breath cue
every time. The cues are spread evenly over the time that the clock leaves, few
enough to leave it quiet.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from cuetrack import cuekinds
from cuetrack.cues.model import MOVING, Cue, Segment, SegmentKind
from cuetrack.cues.timeline import activities
from cuetrack.cues.writing.introductions import is_told_late
from cuetrack.cues.writing.quiet import (
    LEAST_WINDOW_MS,
    CoachingSpan,
    allows_talk,
    most_coaching,
    stretches_of,
    talk_until_ms,
)
from cuetrack.cues.writing.tellings import tellings_of
from cuetrack.languages.phrases import inline, sentence
from cuetrack.plan.model import Options, SectionKind, SlowMoves

if TYPE_CHECKING:
    from collections.abc import Iterator

    from cuetrack.cuekinds import CueKind
    from cuetrack.cues.writing.context import CueLine, WritingContext
    from cuetrack.cues.writing.tellings import Tellings
    from cuetrack.languages.phrases import Wordings
    from cuetrack.plan.model import Movement

APART_MS = {SegmentKind.WORK: 4_500, SegmentKind.MOVE: 10_000}
"""Coaching cues start about this far apart."""

LEAD_MS = 3_500
"""Coaching leaves this time to get going."""

SAYING_MS = 2_000
"""A cue that is wanted at the end of a stretch still needs about this to be said."""

ENCOURAGED_EVERY_MS = 30_000
"""Longer movements are encouraged once more in each such time."""

EFFORT_TAGS = frozenset({"isometric", "resistance", "loaded"})

COUNTED_TAGS = frozenset({"resistance", "loaded"})

FIRST_BREATH_RANK = 75
"""A held breath under effort is a danger: this goes before the calls of the clock."""

ROOMY_WORK_MS = 30_000
"""A shorter work is full with its start, its breath and its count."""

TALK_FIRST_BY_MS = 600_000
TALK_AGAIN_MS = (480_000, 900_000)
"""The first talk check comes within ten minutes, others 8 to 15 minutes apart."""


def coaching_cues(context: WritingContext) -> tuple[Cue, ...]:
    """Return the coaching of every movement, and the talk checks."""
    cues: list[Cue] = []
    offered: set[str] = set()
    tellings = tellings_of(context)
    checked = {segment.id for segment in talk_check_segments(context, tellings)}
    for parts in activities(context.segments):
        if parts[0].kind not in MOVING or not context.coaches_in(parts[0]):
            continue
        movement = parts[0].movement
        name = movement.name if movement and movement.easier else ""
        lines = list(_lines(context, parts, easier_told=name in offered))
        most = most_coaching(context, parts, tellings)
        stretches = stretches_of(context, parts, tellings)
        if parts[-1].id in checked:
            check, before = _talk_check(context, parts[-1], tellings)
            cues.append(check)
            most -= 1
            first = [each for each in stretches if each.part is not parts[-1]]
            later = [each for each in stretches if each.from_ms >= check.window_end_ms]
            stretches = (*first, before, *later)
        if parts[0].movement and takes_effort(parts[0].movement):
            most = max(1, most)
        said = tuple(_spread(context, stretches, lines[:most]))
        if any(map(_is_option_said, said)):
            offered.add(name)
        cues += said
    return tuple(cues)


def _is_option_said(cue: Cue) -> bool:
    roomy = cue.window_end_ms - cue.window_start_ms >= LEAST_WINDOW_MS
    return roomy and cue.kind is cuekinds.OPTION


def _lines(
    context: WritingContext, parts: tuple[Segment, ...], *, easier_told: bool
) -> Iterator[CueLine]:
    """Yield what is said during a movement, the most needed first."""
    movement = parts[0].movement
    if movement is None:
        return
    known = context.visits[parts[0].activity] > 0
    lines = list(
        _known(context, parts[0], movement) if known else _first_time(context, movement)
    )
    if known and not easier_told:
        lines = _easier_first(context, movement, lines)
    first = 1 if lines and lines[0][0] is cuekinds.BREATH else 0
    yield from lines[:first]
    yield from _slow_count(context, parts[0], movement)
    yield from lines[first:]
    if not movement.hold:
        yield from _encouragement(context, parts)


def _easier_first(
    context: WritingContext, movement: Movement, lines: list[CueLine]
) -> list[CueLine]:
    """Return the lines with the easier way before all others, and no harder one.

    Nobody is asked for more who was never told how to do less. A hold is left in peace.
    """
    easier = list(_option(context, "option easier", movement.easier))
    if not easier:
        return lines
    others = [line for line in lines if line[0] is not cuekinds.OPTION]
    return others if movement.hold else [*easier, *others]


def _slow_count(
    context: WritingContext, first: Segment, movement: Movement
) -> Iterator[CueLine]:
    """Yield one movement counted there and back, in work against a resistance."""
    wanted = context.plan.slow_moves is SlowMoves.COUNTED
    if not wanted or first.kind is not SegmentKind.WORK or movement.hold:
        return
    if COUNTED_TAGS & set(movement.tags) and "isometric" not in movement.tags:
        yield cuekinds.SLOW_COUNT, context.phrases.variants("slow count")


def _first_time(context: WritingContext, movement: Movement) -> Iterator[CueLine]:
    breath = list(_breath(context, movement))
    easier = list(_option(context, "option easier", movement.easier))
    if takes_effort(movement):
        yield from breath
        breath = []
    if takes_effort(movement) or context.plan.options is Options.EASIER:
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
    if visit == 1 and options is Options.USUAL and harder:
        # To ask for more and to leave the pace to people are two messages.
        yield from harder
    elif not movement.hold:
        yield cuekinds.ENCOURAGEMENT, _cheer(context, first)


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
    context: WritingContext,
    stretches: tuple[CoachingSpan, ...],
    lines: list[CueLine],
) -> Iterator[Cue]:
    """Yield the lines, evenly over the stretches in which they may be said."""
    zones = [(each, *_zone(each)) for each in stretches]
    zones = [zone for zone in zones if zone[2] > zone[1]]
    if not zones and lines and lines[0][0] is cuekinds.BREATH:
        zones = [(each, each.from_ms, each.from_ms + 1) for each in stretches[:1]]
    total_ms = sum(end_ms - start_ms for _, start_ms, end_ms in zones)
    if not zones:
        return
    apart_ms = APART_MS[zones[0][0].part.kind]
    said = lines[: max(1, (total_ms + apart_ms // 2) // apart_ms)]
    if zones[0][0].part is zones[-1][0].part:
        said = _option_not_last(said)
    for number, (kind, words) in enumerate(said):
        into_ms = total_ms * (2 * number + 1) // (2 * len(said))
        for stretch, start_ms, end_ms in zones:
            if into_ms < end_ms - start_ms:
                rank = _rank(context, stretch.part, kind)
                explained = rank is not None and _is_explained_in(context, stretch.part)
                until_ms = stretch.until_ms
                if explained:
                    until_ms = context.words_until_ms(stretch.part)
                yield context.cue(
                    kind,
                    stretch.part,
                    _of_side(context, words, stretch.part.side),
                    window=(stretch.from_ms, until_ms),
                    wanted_ms=start_ms + into_ms,
                    essential=explained,
                    priority=rank,
                )
                break
            into_ms -= end_ms - start_ms


def _option_not_last(lines: list[CueLine]) -> list[CueLine]:
    """Return the lines with no option at the end, where nobody can use it any more."""
    if len(lines) > 1 and lines[-1][0] is cuekinds.OPTION:
        return [*lines[:-2], lines[-1], lines[-2]]
    return lines


def _of_side(
    context: WritingContext, words: tuple[Wordings, ...], side: str | None
) -> tuple[Wordings, ...]:
    """Return words that name the side which is at work."""
    if side is None:
        return words
    return tuple(
        tuple(context.phrases.of_side(text, side) for text in variant)
        for variant in words
    )


def _zone(stretch: CoachingSpan) -> tuple[int, int]:
    """Return from when to when coaching is wanted to start in a stretch."""
    opens = stretch.from_ms - stretch.part.start_ms < LEAD_MS
    return stretch.from_ms + (LEAD_MS if opens else 0), stretch.until_ms - SAYING_MS


def _rank(context: WritingContext, part: Segment, kind: CueKind) -> int | None:
    """Return the rank of the first word on breathing under effort, else None."""
    movement = part.movement
    if (
        kind is cuekinds.BREATH
        and movement
        and context.is_new(part)
        and takes_effort(movement)
    ):
        return FIRST_BREATH_RANK
    return None


def _is_explained_in(context: WritingContext, part: Segment) -> bool:
    """Return whether a movement is told in itself, with room for its breath, too.

    The explanation alone may be all of the speech that leaves it calm.
    """
    roomy = part.length_ms >= ROOMY_WORK_MS
    return roomy and is_told_late(context, context.transition_to(part))


def _talk_check(
    context: WritingContext, segment: Segment, tellings: Tellings
) -> tuple[Cue, CoachingSpan]:
    """Return a talk check, and the stretch before it that coaching may use."""
    words = context.phrases.variants("talk check")
    until_ms = talk_until_ms(context, segment, tellings)
    from_ms = context.words_from_ms(segment)
    wanted_ms = max(from_ms, until_ms - context.longest_ms(words))
    cue = context.cue(
        cuekinds.TALK_CHECK,
        segment,
        words,
        window=(from_ms, until_ms),
        wanted_ms=wanted_ms,
    )
    return cue, CoachingSpan(part=segment, from_ms=from_ms, until_ms=wanted_ms)


def talk_check_segments(
    context: WritingContext, tellings: Tellings
) -> tuple[Segment, ...]:
    """Return where the talk is checked: within ten minutes, then every 8 to 15.

    Only while people move, and where five seconds of quiet can follow. A work of
    half a minute is best, then a plain movement; of the best kind the latest, so that
    people have warmed to the work. The first check does not fall into the first two
    minutes where that can be helped. A cool-down needs none once there was one. Only
    in a class with nothing else the talk is checked in a side, after its change.
    """
    coached = [
        each
        for each in context.segments
        if context.coaches_in(each) and not tellings.told_late(context, each)
    ]
    candidates = [
        each
        for each in coached
        if each.side is None and allows_talk(context, each, tellings)
    ]
    if not candidates:
        candidates = [each for each in coached if allows_talk(context, each, tellings)]
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


def _talk_worth(segment: Segment) -> tuple[int, int]:
    roomy = 2 if segment.length_ms >= ROOMY_WORK_MS else 0
    worth = roomy if segment.kind is SegmentKind.WORK else 1
    return worth, segment.start_ms
