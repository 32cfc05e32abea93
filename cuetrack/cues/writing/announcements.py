"""What is said around the movements: openings, rests, recoveries, and free cues.

A free cue is a sentence of the leader's own. It comes before all stock words but the
clock: it is said at its time, or moved by as much as the plan lets it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from cuetrack import cuekinds
from cuetrack.cues.model import MOVING, Cue, Segment, SegmentKind
from cuetrack.cues.writing.clockwork import clockwork
from cuetrack.cues.writing.equipment import changes_hands, word_to_stop
from cuetrack.cues.writing.framing import (
    WELCOME_PACE_MS,
    in_turn,
    own_lines,
)
from cuetrack.cues.writing.introductions import introduction_of
from cuetrack.cues.writing.previews import next_told_ms, recovery_told_ms
from cuetrack.languages.phrases import sentence
from cuetrack.plan.model import CountFrom, Section, SectionKind

if TYPE_CHECKING:
    from collections.abc import Iterator

    from cuetrack.cues.writing.context import WritingContext
    from cuetrack.languages.phrases import Wordings
    from cuetrack.plan.model import FreeCue

FEET_FROM_MS = 20_000
"""In a rest of this length people are told to keep their feet moving."""

SAID_MORE_SLOWLY = 2
"""A sentence that may not be moved has room for a voice that takes so much longer."""

OPENING_NEEDS_MS = 20_000
"""In an opening of this length what comes is always announced."""

FEET_AND_HANDS_MS = 25_000
"""In a shorter one equipment changes hands, and the hands come first."""

FEET_WORDS_MS = 3_500
"""The word to rest and the one to keep the feet moving come before all else."""

FEET_BY_MS = 6_000
"""Later than this after the stop, and after what tells how to get out of a position
or a band, it is not said: they have stopped by then."""

HANDS_FREE_MS = 2_000
"""To be told to put down what is held, in part: the feet are told of after it."""

SIP_MS = 12_000
"""To reach for a glass, drink and put it back (common practice)."""

ROUNDS_LEFT_MS = 2_500
"""A recovery tells how many rounds are left first."""

SIP_EVERY_MS = 900_000
"""Water is offered at every recovery, and in an opening after this long without."""


def announcement_cues(context: WritingContext) -> tuple[Cue, ...]:
    """Return everything that is said around the movements."""
    if not context.segments:
        return ()
    cues = [*_free(context), *_sips(context)]
    for segment in context.segments:
        if segment.kind is SegmentKind.OPENING:
            cues += (*_opening(context, segment), *_feet(context, segment))
        elif segment.kind is SegmentKind.REST:
            cues += _feet(context, segment)
        elif segment.kind is SegmentKind.RECOVERY:
            cues += _break_words(context, segment)
    return tuple(cues)


def _section(context: WritingContext, segment: Segment) -> Section:
    return context.plan.sections[segment.section]


def _opening(context: WritingContext, segment: Segment) -> Iterator[Cue]:
    if not context.spoken_coaching:
        return
    section, phrases = _section(context, segment), context.phrases
    key = f"opening {section.kind.value}"
    if section.intervals is not None:
        key = "opening intervals"
        fields = clockwork(section, phrases)
        if "rest" not in fields:
            key = "opening intervals alike"
    elif section.kind in (SectionKind.WELCOME, SectionKind.CLOSE):
        return
    else:
        total_ms = sum(movement.duration_ms or 0 for movement in section.movements)
        fields = {
            "movements": phrases.counted("movement", len(section.movements)),
            "length": phrases.rounded_length(total_ms),
        }
    if section.kind is SectionKind.COOL_DOWN and _after_intervals(context, segment):
        key = "opening after main"
    fields["meanwhile"] = word_to_stop(context, context.before(segment))
    from_ms = context.words_from_ms(segment)
    yield context.cue(
        cuekinds.OPENING,
        segment,
        _in_turn_of_kind(context, segment, phrases.variants(key, **fields)),
        window=(from_ms, max(from_ms, context.words_until_ms(segment))),
        essential=segment.length_ms >= OPENING_NEEDS_MS,
        wanted_ms=from_ms + (FEET_WORDS_MS if _rests_in(context, segment) else 0),
    )


def _after_intervals(context: WritingContext, segment: Segment) -> bool:
    """Return whether the section before was the main part, or ended it."""
    earlier = context.plan.sections[: segment.section]
    return bool(earlier) and earlier[-1].intervals is not None


def _in_turn_of_kind(
    context: WritingContext, segment: Segment, variants: tuple[Wordings, ...]
) -> tuple[Wordings, ...]:
    """Return the variants, first that of the first, second ... section of a kind."""
    kinds = [section.kind for section in context.plan.sections]
    at = kinds[: segment.section].count(segment.section_kind) % len(variants)
    return variants[at:] + variants[:at]


def _feet(context: WritingContext, segment: Segment) -> Iterator[Cue]:
    """Yield the word to keep the feet moving, right after the one to rest."""
    if not _rests_in(context, segment):
        return
    before, after = context.before(segment), context.after(segment)
    busy = after is not None and changes_hands(segment, before, after)
    if after is not None and _needs_the_rest(context, after):
        return
    if busy and segment.length_ms < FEET_AND_HANDS_MS:
        return
    from_ms, until_ms = context.words_from_ms(segment), context.words_until_ms(segment)
    undone = before.movement.afterwards if before and before.movement else None
    by_ms = from_ms + context.saying_ms(undone or "") + FEET_BY_MS
    # Nobody marches with full hands: what is held is put down first.
    hands_ms = HANDS_FREE_MS if before and _holds(before) and busy else 0
    yield context.cue(
        cuekinds.REST,
        segment,
        context.phrases.variants("rest feet"),
        window=(from_ms, min(by_ms + 2 * hands_ms, until_ms)),
        wanted_ms=min(from_ms + 500 + hands_ms, until_ms),
        priority=cuekinds.OPENING.priority + 1,
    )


def _holds(segment: Segment) -> bool:
    return segment.movement is not None and segment.movement.equipment is not None


def _needs_the_rest(context: WritingContext, after: Segment) -> bool:
    """Return whether a movement needs all of the words before it, or still feet.

    Nobody walks on a band that is being put under the feet.
    """
    if after.movement and after.movement.is_set_up:
        return True
    told = None
    if context.is_new(after):
        told = introduction_of(context, context.transition_to(after))
    return told is not None and not told.roomy


def _rests_in(context: WritingContext, segment: Segment) -> bool:
    """Return whether people come to rest in a segment, for long enough to be told."""
    before = context.before(segment)
    moved = before is not None and before.kind in MOVING
    return moved and segment.length_ms >= FEET_FROM_MS and context.coaches_in(segment)


def _says_in_break(context: WritingContext, segment: Segment) -> tuple[str, ...]:
    """Return the leader's own words for a recovery break."""
    clock = _section(context, segment).intervals
    pause = clock.between_rounds if clock else None
    return pause.says if pause and segment.kind is SegmentKind.RECOVERY else ()


def _break_words(context: WritingContext, segment: Segment) -> Iterator[Cue]:
    until_ms, from_ms = context.words_until_ms(segment), context.words_from_ms(segment)
    says = _says_in_break(context, segment)
    if not says:
        return
    place = _section(context, segment).place_of("intervals")
    yield from in_turn(
        context,
        segment,
        own_lines(says, cuekinds.FREE, place),
        wanted_from_ms=from_ms + (until_ms - from_ms) // 5,
        until_ms=until_ms,
        most_apart_ms=WELCOME_PACE_MS,
    )


def _sips(context: WritingContext) -> Iterator[Cue]:
    """Yield an offer of water in each recovery, else after a long time without.

    It is an offer to drink now only where nothing is told for as long as that takes.
    """
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
        words = context.phrases.variants("rest sip")
        told_ms = from_ms
        if segment.kind is SegmentKind.RECOVERY:
            told_ms = recovery_told_ms(context, segment) + ROUNDS_LEFT_MS
        by_ms = next_told_ms(context, segment) - SIP_MS
        if by_ms - told_ms >= context.longest_ms(words):
            window, wanted_ms = (told_ms, by_ms), told_ms
        else:
            words = context.phrases.variants("rest sip soon")
            window = from_ms, until_ms
            wanted_ms = from_ms + (until_ms - from_ms) * 2 // 5
        yield context.cue(
            cuekinds.REST,
            segment,
            words,
            window=window,
            wanted_ms=wanted_ms,
            priority=60,
        )


def _free(context: WritingContext) -> Iterator[Cue]:
    """Yield the leader's own sentences, each within the time it may be moved."""
    for number, section in enumerate(context.plan.sections):
        inside = [s for s in context.segments if s.section == number]
        if not inside:
            continue
        start_ms, end_ms = inside[0].start_ms, inside[-1].end_ms
        for cue in section.free_cues:
            due_ms = min(max(start_ms, _due_ms(cue, start_ms, end_ms)), end_ms)
            segment = next((s for s in inside if due_ms < s.end_ms), inside[-1])
            words = ((sentence(cue.text),),)
            saying_ms = context.longest_ms(words)
            if not cue.within_ms:
                saying_ms *= SAID_MORE_SLOWLY
            yield context.cue(
                cuekinds.FREE,
                segment,
                words,
                window=(
                    max(start_ms, due_ms - cue.within_ms),
                    min(due_ms + cue.within_ms + saying_ms, end_ms),
                ),
                anchor_ms=None if cue.within_ms else due_ms,
                wanted_ms=due_ms if cue.within_ms else None,
                place=cue.place,
            )


def _due_ms(cue: FreeCue, start_ms: int, end_ms: int) -> int:
    if cue.at.count_from is CountFrom.END:
        return end_ms - cue.at.offset_ms
    if cue.at.count_from is CountFrom.HALFWAY:
        return start_ms + (end_ms - start_ms) // 2 + cue.at.offset_ms
    return start_ms + cue.at.offset_ms
