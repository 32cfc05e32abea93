"""What to mind in a movement: before it starts, once more later, or in the movement."""

from __future__ import annotations

from typing import TYPE_CHECKING

from cuetrack import cuekinds
from cuetrack.languages.phrases import inline, sentence
from cuetrack.languages.reading_level import sentences_of
from cuetrack.movements.contraindications import facts_named
from cuetrack.plan.on_foot import is_on_foot

if TYPE_CHECKING:
    from cuetrack.cues.model import Cue, Segment
    from cuetrack.cues.writing.context import WritingContext
    from cuetrack.languages.phrases import Wordings

FEET_ROOM_MS = 4_000
"""To be told to keep the feet moving in the most words, and the silence after them."""

SLACK_MS = 1_000
"""What is told before a change may start this much sooner than it need."""

FITS_MS = 15_000
"""In a movement of this length a caution always finds room."""


def caution_first(
    context: WritingContext,
    after: Segment,
    *,
    passing: bool = False,
    named: bool = False,
) -> tuple[Wordings, ...]:
    """Return what to mind in a movement that is new, before it starts.

    ``named`` is whether the movement is named before.
    """
    key = "caution in passing" if passing else "caution first"
    key = "caution" if named else key
    caution = after.movement.caution if after.movement else None
    return _caution_words(context, key, caution)


def caution_again(
    context: WritingContext,
    after: Segment,
    words: tuple[Wordings, ...],
    free_ms: int,
    *,
    named: bool = False,
) -> tuple[Wordings, ...]:
    """Return what to mind in a movement once more.

    All of it where there is all the time; else what this very group has to mind, for
    which the reminder of how to move gives way, but never where a band goes.
    """
    movement = after.movement
    if movement is None or not movement.caution:
        return ()
    free_ms -= SLACK_MS
    reminded_ms = context.longest_ms(words)
    key = "caution" if named else "caution again"
    all_of_it = _caution_words(context, key, movement.caution)
    feet_ms = 0 if movement.is_set_up else FEET_ROOM_MS
    if context.longest_ms(all_of_it) + reminded_ms + feet_ms <= free_ms:
        return all_of_it
    on_foot = is_on_foot(movement)
    ours = _for_the_group(context, movement.caution, on_foot=on_foot)
    own = _caution_words(context, key, ours)
    named_ms = reminded_ms if movement.is_set_up else context.longest_ms(words, -1)
    return own if context.longest_ms(own, -1) + named_ms <= free_ms else ()


def caution_at_start(context: WritingContext, first: Segment, caution: str) -> Cue:
    """Return the caution said in the movement itself."""
    from_ms = context.words_from_ms(first)
    return context.cue(
        cuekinds.CAUTION,
        first,
        _caution_words(context, "caution", caution),
        window=(from_ms, context.words_until_ms(first)),
        essential=first.length_ms >= FITS_MS,
        wanted_ms=min(from_ms + SLACK_MS // 2, context.words_until_ms(first)),
    )


def _caution_words(
    context: WritingContext, key: str, caution: str | None
) -> tuple[Wordings, ...]:
    if not caution:
        return ()
    return context.phrases.variants(
        key, point=sentence(caution), point_inline=inline(caution)
    )


def _for_the_group(context: WritingContext, caution: str, *, on_foot: bool) -> str:
    """Return the sentences of a caution that are about what the group has.

    Of a movement on foot those that are about everybody too: who stands up then has
    heard every time that they need not.
    """
    facts, language = set(context.plan.group.facts), context.plan.language
    about = ((each, set(facts_named(each, language))) for each in sentences_of(caution))
    return ". ".join(
        sentence
        for sentence, named in about
        if facts & named or (on_foot and not named)
    )
