"""What frames the class: welcome, safety, openings, rests, close, and free cues.

Safety is said whatever else is: the chair, the stop signs, permission to rest
and whose advice comes first in the welcome (in the first segment of a class
without one), and how to stand up at the end (in the last segment of a class
without a close). Sentences of the leader's own replace the greeting and the
farewell, never the safety.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from cuetrack import cuekinds
from cuetrack.cues.model import Cue, Segment, SegmentKind
from cuetrack.cues.writing.clockwork import clockwork
from cuetrack.cues.writing.equipment import all_equipment
from cuetrack.documents.names import movement_key
from cuetrack.languages.phrases import sentence
from cuetrack.plan.model import CountFrom, Section, SectionKind

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from cuetrack.cuekinds import CueKind
    from cuetrack.cues.writing.context import CueLine, WritingContext
    from cuetrack.languages.phrases import Wordings
    from cuetrack.plan.model import FreeCue

SAFETY_FIRST = (
    "safety chair",
    "safety stop signs",
    "safety rest",
    "safety own advice",
)
"""What must be heard before anyone moves, in order."""

WELCOME_PACE_MS = 9_000
"""The sentences of a welcome start at most this far apart."""

CLOSE_PACE_MS = 20_000
"""Those of a close: there is a minute to sit before standing up."""

FEET_FROM_MS = 20_000
"""In a rest of this length people are told to keep their feet moving."""

SIP_EVERY_MS = 900_000
"""Water is offered at every recovery, and in an opening after this long without."""

FAREWELL_FROM_MS = 20_000
"""A shorter close has time for its safety only, and for a leader's own words."""

CLOSING_MS = 30_000
"""Without a close, the last words come within this time of the end."""


def announcement_cues(context: WritingContext) -> tuple[Cue, ...]:
    """Return everything that is said around the movements."""
    if not context.segments:
        return ()
    cues = [*_welcome(context), *_close(context), *_free(context), *_sips(context)]
    for segment in context.segments:
        if segment.kind is SegmentKind.OPENING:
            cues += _opening(context, segment)
        elif segment.kind is SegmentKind.REST:
            cues += _rest(context, segment)
        elif segment.kind is SegmentKind.RECOVERY:
            cues += _break_words(context, segment)
    return tuple(cues)


def _section(context: WritingContext, segment: Segment) -> Section:
    return context.plan.sections[segment.section]


def _welcome(context: WritingContext) -> Iterator[Cue]:
    first = next(
        (s for s in context.segments if s.kind is SegmentKind.WELCOME),
        context.segments[0],
    )
    lines: list[CueLine] = []
    if first.kind is SegmentKind.WELCOME and context.spoken_coaching:
        lines += _greeting(context, _section(context, first))
    lines += _safety(context, SAFETY_FIRST)
    until_ms = context.words_until_ms(first)
    wanted_from_ms = context.words_from_ms(first)
    if not context.spoken_coaching:
        # A leader welcomes people; the voice adds the safety afterwards.
        wanted_from_ms = (wanted_from_ms + until_ms) // 2
    yield from _in_turn(
        context,
        first,
        lines,
        wanted_from_ms=wanted_from_ms,
        until_ms=until_ms,
        most_apart_ms=WELCOME_PACE_MS,
    )


def _greeting(context: WritingContext, section: Section) -> Iterator[CueLine]:
    phrases = context.phrases
    if section.says:
        yield from _own_words(section.says, cuekinds.WELCOME)
    else:
        length = phrases.counted(
            "minute", max(1, round(context.timeline.end_ms / 60_000))
        )
        yield (
            cuekinds.WELCOME,
            phrases.variants("welcome", title=context.plan.title, length=length),
        )
        main = [s for s in context.plan.sections if s.intervals and s.movements]
        if len(main) == 1:
            fields = clockwork(main[0], context.phrases)
            yield cuekinds.WELCOME, phrases.variants("welcome intervals", **fields)
    listed = phrases.listed(_things_to_bring(context))
    yield cuekinds.WELCOME, phrases.variants("welcome bring", things=listed)


def _things_to_bring(context: WritingContext) -> tuple[str, ...]:
    """Return what the plan names, and what it does not name but needs."""
    named = tuple(dict.fromkeys(context.plan.bring))
    keys = [movement_key(thing) for thing in named]
    needed = (*all_equipment(context), context.phrases.piece("water"))
    missing = (
        thing
        for thing in needed
        if not any(
            movement_key(context.phrases.without_article(thing)) in key for key in keys
        )
    )
    return (*named, *missing)


def _own_words(says: tuple[str, ...], kind: CueKind) -> Iterator[CueLine]:
    for text in says:
        yield kind, ((sentence(text),),)


def _safety(context: WritingContext, keys: Sequence[str]) -> Iterator[CueLine]:
    for key in keys:
        yield cuekinds.SAFETY, context.phrases.variants(key)


def _in_turn(
    context: WritingContext,
    segment: Segment,
    lines: Sequence[CueLine],
    *,
    wanted_from_ms: int,
    until_ms: int,
    most_apart_ms: int,
) -> Iterator[Cue]:
    """Yield lines in their order, spread over the time, none bound to its place."""
    step_ms = min((until_ms - wanted_from_ms) // max(1, len(lines)), most_apart_ms)
    for number, (kind, words) in enumerate(lines):
        yield context.cue(
            kind,
            segment,
            words,
            window=(min(context.words_from_ms(segment), until_ms), until_ms),
            wanted_ms=wanted_from_ms + number * step_ms,
        )


def _close(context: WritingContext) -> Iterator[Cue]:
    last = context.segments[-1]
    lines: list[CueLine] = []
    closing = last.kind is SegmentKind.CLOSE
    says = _section(context, last).says if closing else ()
    own = list(_own_words(says, cuekinds.CLOSE))
    if not own and last.length_ms >= FAREWELL_FROM_MS:
        keys = ("close", "close thanks")
        own = [(cuekinds.CLOSE, context.phrases.variants(key)) for key in keys]
    farewell = own if closing and context.spoken_coaching else []
    lines += farewell[:1]
    lines += _safety(context, ("safety feet", "safety stand"))
    lines += farewell[1:]
    until_ms = context.words_until_ms(last)
    from_ms = context.words_from_ms(last)
    if not closing:
        from_ms = max(from_ms, until_ms - CLOSING_MS)
    yield from _in_turn(
        context,
        last,
        lines,
        wanted_from_ms=from_ms,
        until_ms=until_ms,
        most_apart_ms=CLOSE_PACE_MS,
    )


def _opening(context: WritingContext, segment: Segment) -> Iterator[Cue]:
    if not context.spoken_coaching:
        return
    section, phrases = _section(context, segment), context.phrases
    key = f"opening {section.kind.value}"
    if section.intervals is not None:
        key = "opening intervals"
        fields = clockwork(section, context.phrases)
        if "rest" not in fields:
            key = "opening intervals alike"
    elif section.kind in (SectionKind.WELCOME, SectionKind.CLOSE):
        return
    else:
        total_ms = sum(movement.duration_ms or 0 for movement in section.movements)
        fields = {
            "movements": phrases.counted("movement", len(section.movements)),
            "length": phrases.length(total_ms),
        }
    from_ms = context.words_from_ms(segment)
    yield context.cue(
        cuekinds.OPENING,
        segment,
        _in_turn_of_kind(context, segment, phrases.variants(key, **fields)),
        window=(from_ms, max(from_ms, context.words_until_ms(segment))),
        wanted_ms=segment.start_ms + 1_500,
    )


def _in_turn_of_kind(
    context: WritingContext, segment: Segment, variants: tuple[Wordings, ...]
) -> tuple[Wordings, ...]:
    """Return the variants, first that of the first, second ... section of a kind."""
    kinds = [section.kind for section in context.plan.sections]
    at = kinds[: segment.section].count(segment.section_kind) % len(variants)
    return variants[at:] + variants[:at]


def _rest(context: WritingContext, segment: Segment) -> Iterator[Cue]:
    if segment.length_ms < FEET_FROM_MS or not context.coaches_in(segment):
        return
    until_ms = context.words_until_ms(segment)
    yield context.cue(
        cuekinds.REST,
        segment,
        context.phrases.variants("rest feet"),
        window=(context.words_from_ms(segment), until_ms),
        wanted_ms=until_ms - 2_500,
    )


def _says_in_break(context: WritingContext, segment: Segment) -> tuple[str, ...]:
    """Return the leader's own words for a recovery break."""
    clock = _section(context, segment).intervals
    pause = clock.between_rounds if clock else None
    return pause.says if pause and segment.kind is SegmentKind.RECOVERY else ()


def _break_words(context: WritingContext, segment: Segment) -> Iterator[Cue]:
    until_ms, from_ms = context.words_until_ms(segment), context.words_from_ms(segment)
    yield from _in_turn(
        context,
        segment,
        list(_own_words(_says_in_break(context, segment), cuekinds.FREE)),
        wanted_from_ms=from_ms + (until_ms - from_ms) // 5,
        until_ms=until_ms,
        most_apart_ms=WELCOME_PACE_MS,
    )


def _sips(context: WritingContext) -> Iterator[Cue]:
    """Yield an offer of water in each recovery, else after a long time without."""
    last_ms = 0
    for segment in context.segments:
        easy = segment.kind is SegmentKind.RECOVERY or (
            segment.section_kind is SectionKind.RECOVERY and segment.position == 1
        )
        overdue = (
            segment.kind is SegmentKind.OPENING
            and segment.start_ms - last_ms >= SIP_EVERY_MS
        )
        until_ms, from_ms = (
            context.words_until_ms(segment),
            context.words_from_ms(segment),
        )
        if not (easy or overdue) or until_ms - from_ms < 5_000:
            continue
        last_ms = segment.start_ms
        if not context.coaches_in(segment) or _says_in_break(context, segment):
            continue
        yield context.cue(
            cuekinds.REST,
            segment,
            context.phrases.variants("rest sip"),
            window=(from_ms, until_ms),
            wanted_ms=from_ms + (until_ms - from_ms) // 5,
            priority=60,
        )


def _free(context: WritingContext) -> Iterator[Cue]:
    for number, section in enumerate(context.plan.sections):
        inside = [s for s in context.segments if s.section == number]
        if not inside:
            continue
        start_ms, end_ms = inside[0].start_ms, inside[-1].end_ms
        for cue in section.free_cues:
            due_ms = min(max(start_ms, _due_ms(cue, start_ms, end_ms)), end_ms)
            segment = next((s for s in inside if due_ms < s.end_ms), inside[-1])
            yield context.cue(
                cuekinds.FREE,
                segment,
                ((sentence(cue.text),),),
                window=(due_ms, end_ms),
                anchor_ms=due_ms,
            )


def _due_ms(cue: FreeCue, start_ms: int, end_ms: int) -> int:
    if cue.at.count_from is CountFrom.END:
        return end_ms - cue.at.offset_ms
    if cue.at.count_from is CountFrom.HALFWAY:
        return start_ms + (end_ms - start_ms) // 2 + cue.at.offset_ms
    return start_ms + cue.at.offset_ms
