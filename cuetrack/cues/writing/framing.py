"""The first and the last words: welcome, safety, farewell, and how to stand up.

Safety is said whatever else is: the chair, the stop signs, permission to rest
and whose advice comes first in the welcome (in the first segment of a class
without one), and how to stand up at the end (in the last segment of a class
without a close). Somebody alone at home is told of the telephone instead of telling
anyone. Sentences of the leader's own replace the greeting and the farewell, never
the safety. A close that lasts long enough asks people to stay seated for a minute,
and keeps it; a shorter one promises none.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from cuetrack import cuekinds
from cuetrack.cues.model import Cue, Segment, SegmentKind
from cuetrack.cues.writing.clockwork import clockwork
from cuetrack.cues.writing.equipment import all_equipment
from cuetrack.cues.writing.timecalls import midway_tones
from cuetrack.documents.names import movement_key
from cuetrack.languages.phrases import sentence
from cuetrack.movements.positions.motion import Thing
from cuetrack.movements.things import thing_named
from cuetrack.plan.on_foot import is_on_foot

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from cuetrack.cuekinds import CueKind
    from cuetrack.cues.writing.context import WritingContext
    from cuetrack.documents.places import Place
    from cuetrack.languages.phrases import Wordings
    from cuetrack.plan.model import Section

SAFETY_FIRST = (
    "safety chair",
    "safety stop signs",
    "safety rest",
    "safety own advice",
)
SAFETY_ALONE = (
    "safety chair alone",
    "safety seat",
    "safety stop signs alone",
    "safety telephone",
    "safety rest",
    "safety own advice alone",
)
"""What must be heard before anyone moves, in order; where nobody else is there."""

WELCOME_PACE_MS = 9_000
"""The sentences of a welcome start at most this far apart."""

CLOSE_PACE_MS = 20_000
"""Those of a close."""

SEATED_MS = 60_000
"""People are asked to stay seated for this long where the close lasts as long."""

MINUTE_CLOSE_MS = 75_000
"""A shorter close has no whole minute between its farewell and its last words."""

FAREWELL_FROM_MS = 20_000
"""A shorter close has time for its safety only, and for a leader's own words."""

CLOSING_MS = 30_000
"""Without a close, the last words come within this time of the end."""

OWN_PRIORITY = 96
"""The leader's own sentences: only the clock and its counts come before them."""


TOLD_AGAIN_PRIORITY = cuekinds.WELCOME.priority - 5
"""The rounds give way to the rest of the welcome: their opening tells them again."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ScriptLine:
    """Something to say; ``place`` is where the plan says it, None for the pack's."""

    kind: CueKind
    words: tuple[Wordings, ...]
    place: Place | None = None
    priority: int | None = None


def framing_cues(context: WritingContext) -> tuple[Cue, ...]:
    """Return the first and the last words of a class."""
    if not context.segments:
        return ()
    return (*_welcome(context), *_close(context))


def own_lines(says: Sequence[str], kind: CueKind, place: Place) -> list[ScriptLine]:
    """Return sentences of the leader's own; ``place`` is told if one has no room."""
    return [ScriptLine(kind=kind, words=((sentence(t),),), place=place) for t in says]


def in_turn(
    context: WritingContext,
    segment: Segment,
    lines: Sequence[ScriptLine],
    *,
    wanted_from_ms: int,
    until_ms: int,
    most_apart_ms: int,
) -> Iterator[Cue]:
    """Yield lines in their order, spread over the time, none bound to its place."""
    step_ms = min((until_ms - wanted_from_ms) // max(1, len(lines)), most_apart_ms)
    for number, line in enumerate(lines):
        own = line.place is not None
        yield context.cue(
            line.kind,
            segment,
            line.words,
            window=(min(context.words_from_ms(segment), until_ms), until_ms),
            essential=own,
            wanted_ms=wanted_from_ms + number * step_ms,
            priority=OWN_PRIORITY if own else line.priority,
            place=line.place,
        )


def _welcome(context: WritingContext) -> Iterator[Cue]:
    first = next(
        (s for s in context.segments if s.kind is SegmentKind.WELCOME),
        context.segments[0],
    )
    lines: list[ScriptLine] = []
    safety: tuple[str, ...] = SAFETY_ALONE if context.alone else SAFETY_FIRST
    if first.kind is SegmentKind.WELCOME and context.spoken_coaching:
        lines += _greeting(context, context.plan.sections[first.section])
        # The telephone stands among the things to have ready.
        fetched = {"safety telephone": "safety emergency"}
        safety = tuple(fetched.get(key, key) for key in safety)
    # All is fetched, and the chair is set, before there is anything to remember.
    chair = safety.index("safety seat") + 1 if context.alone else 0
    lines += _stock(context, cuekinds.SAFETY, *safety[:chair])
    if first.kind is SegmentKind.WELCOME and context.spoken_coaching:
        lines += _tones_told(context)
    lines += _stock(context, cuekinds.SAFETY, *safety[chair:])
    until_ms = context.words_until_ms(first)
    wanted_from_ms = context.words_from_ms(first)
    if not context.spoken_coaching:
        # A leader welcomes people; the voice adds the safety afterwards.
        wanted_from_ms = (wanted_from_ms + until_ms) // 2
    yield from in_turn(
        context,
        first,
        lines,
        wanted_from_ms=wanted_from_ms,
        until_ms=until_ms,
        most_apart_ms=WELCOME_PACE_MS,
    )


def _stock(
    context: WritingContext, kind: CueKind, *keys: str, **fields: str
) -> list[ScriptLine]:
    """Return phrases of the pack."""
    variants = context.phrases.variants
    return [ScriptLine(kind=kind, words=variants(key, **fields)) for key in keys]


def _greeting(context: WritingContext, section: Section) -> Iterator[ScriptLine]:
    phrases, plan = context.phrases, context.plan
    if section.says:
        place = section.place_of("says")
        yield from own_lines(section.says, cuekinds.WELCOME, place)
    else:
        minutes = max(1, round(context.timeline.end_ms / 60_000))
        length = phrases.counted("minute", minutes)
        fields = {"title": plan.title, "length": length}
        on_foot = any(is_on_foot(each) for each, _ in plan.movements())
        key = "welcome on foot" if on_foot else "welcome"
        yield from _stock(context, cuekinds.WELCOME, key, **fields)
        main = [s for s in plan.sections if s.intervals and s.movements]
        if len(main) == 1:
            fields = clockwork(main[0], phrases)
            words = phrases.variants("welcome intervals", **fields)
            yield ScriptLine(
                kind=cuekinds.WELCOME, words=words, priority=TOLD_AGAIN_PRIORITY
            )
    things = _things_to_bring(context)
    beside = tuple(thing for thing in things if _is_equipment(context, thing))
    others = tuple(thing for thing in things if thing not in beside)
    key, fields = "welcome bring", {"things": phrases.listed(things)}
    if beside and others:
        key = "welcome bring beside"
        fields = {
            "things": phrases.listed(others),
            "equipment": phrases.listed(tuple(_sound(context, t) for t in beside)),
        }
    yield from _stock(context, cuekinds.WELCOME, key, **fields)


def _tones_told(context: WritingContext) -> Iterator[ScriptLine]:
    """Yield what the tones mean, of those that this class has."""
    if not context.has_tones:
        return
    sides = any(segment.side for segment in context.segments)
    said = context.phrases.piece("other side") if sides else ""
    key = "welcome tones" if context.spoken_clock else "welcome ticks"
    yield from _stock(context, cuekinds.WELCOME, key, other_side=said)
    if midway_tones(context):
        yield from _stock(context, cuekinds.WELCOME, "welcome midway")


def _is_equipment(context: WritingContext, thing: str) -> bool:
    """Return whether a thing to bring is picked up during the class."""
    bare = context.phrases.without_article
    keys = (movement_key(bare(each)) for each in all_equipment(context))
    return any(key in movement_key(thing) for key in keys)


def _sound(context: WritingContext, thing: str) -> str:
    """Return a thing to bring; of a band, that it is whole (common practice)."""
    if thing_named(thing, context.plan.language) is Thing.BAND:
        return context.phrases.piece("sound band", band=thing)
    return thing


def _things_to_bring(context: WritingContext) -> tuple[str, ...]:
    """Return what the plan names, and what it does not name but needs."""
    named = tuple(dict.fromkeys(context.plan.bring))
    keys = [movement_key(thing) for thing in named]
    needed = [*all_equipment(context), context.phrases.piece("water")]
    if context.alone:
        needed.append(context.phrases.piece("telephone"))
    missing = (
        thing
        for thing in needed
        if not any(
            movement_key(context.phrases.without_article(thing)) in key for key in keys
        )
    )
    # The chair is named by the plan, and what is said next is where it stands.
    return (*missing, *named)


def _close(context: WritingContext) -> Iterator[Cue]:
    last = context.segments[-1]
    closing = last.kind is SegmentKind.CLOSE
    section = context.plan.sections[last.section]
    farewell: list[ScriptLine] = []
    if closing and context.spoken_coaching and section.says:
        place = section.place_of("says")
        farewell = own_lines(section.says, cuekinds.CLOSE, place)
    elif closing and context.spoken_coaching and last.length_ms >= FAREWELL_FROM_MS:
        farewell = _stock(context, cuekinds.CLOSE, "close", "close thanks")
    until_ms, from_ms = context.words_until_ms(last), context.words_from_ms(last)
    if closing and last.length_ms >= MINUTE_CLOSE_MS:
        yield from _minute_close(context, last, farewell)
        return
    if not closing:
        from_ms = max(from_ms, until_ms - CLOSING_MS)
    safety = _stock(context, cuekinds.SAFETY, "safety feet", "safety stand")
    yield from in_turn(
        context,
        last,
        [*farewell[:1], *safety, *farewell[1:]],
        wanted_from_ms=from_ms,
        until_ms=until_ms,
        most_apart_ms=CLOSE_PACE_MS,
    )


def _minute_close(
    context: WritingContext, last: Segment, farewell: list[ScriptLine]
) -> Iterator[Cue]:
    """Yield a close in which people sit for a whole minute before they stand up."""
    until_ms, from_ms = context.words_until_ms(last), context.words_from_ms(last)
    stand = _stock(context, cuekinds.SAFETY, "safety stand after")
    seated = _stock(context, cuekinds.SAFETY, "safety feet minute")
    waiting = farewell[1:-1] or _stock(context, cuekinds.CLOSE, "close wait")
    stands_ms = until_ms - _needs_ms(context, [*stand, *farewell[-1:]])
    stands_ms = max(stands_ms, from_ms + SEATED_MS)
    sits_by_ms = stands_ms - SEATED_MS
    sits_ms = min(from_ms + _needs_ms(context, farewell[:1]), sits_by_ms)
    for lines, window, wanted_ms in (
        (farewell[:1], (from_ms, until_ms), from_ms),
        (seated, (from_ms, stands_ms), sits_ms),
        (waiting, (sits_by_ms, stands_ms), (sits_by_ms + stands_ms) // 2),
        (stand, (stands_ms, until_ms), stands_ms),
        (farewell[1:][-1:], (stands_ms, until_ms), stands_ms + 1),
    ):
        turns = in_turn(
            context,
            last,
            lines,
            wanted_from_ms=wanted_ms,
            until_ms=window[1],
            most_apart_ms=CLOSE_PACE_MS // 2,
        )
        for cue in turns:
            yield replace(cue, window_start_ms=min(window[0], cue.window_end_ms))


def _needs_ms(context: WritingContext, lines: Sequence[ScriptLine]) -> int:
    return sum(context.longest_ms(line.words) for line in lines)
