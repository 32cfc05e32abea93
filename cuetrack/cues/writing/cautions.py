"""What to mind in a movement, said before anyone moves wherever there is room.

The caution of a movement that is new follows its preview at once: in the rest, in
the opening, in the recovery or at the end of the movement before. There is room
where all that people need there still fits in full by its estimated length, but for
the easier way in the preview: that is told again in the movement. Words that only
frame the class give way. Otherwise the caution comes as the movement gets going.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from cuetrack import cuekinds
from cuetrack.cues.estimate import CALIBRATED_WPM, estimate_ms
from cuetrack.cues.model import MOVING, Cue
from cuetrack.cues.timeline import activities
from cuetrack.cues.writing.previews import preview_words
from cuetrack.languages.phrases import inline, sentence
from cuetrack.plan.model import Coaching, Pace

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from cuetrack.cues.model import Segment
    from cuetrack.cues.writing.context import WritingContext

LEAD_MS = 1_500
"""A caution in the movement comes this soon."""

FITS_MS = 15_000
"""In a movement of this length a caution always finds room."""

APART_MS = {Coaching.EVERYTHING: 300, Coaching.CLOCK: 800}
"""Two cues are at least this far apart; what is estimated keeps to it."""

WORDS_PER_MINUTE = {Pace.CALM: 125, Pace.USUAL: CALIBRATED_WPM, Pace.LIVELY: 145}


def with_cautions(context: WritingContext, cues: Iterable[Cue]) -> tuple[Cue, ...]:
    """Return all cues with a caution for each movement that is done first.

    Parameters
    ----------
    context : WritingContext
        What cues are written from.
    cues : iterable of Cue
        Everything else that is said.
    """
    written = list(cues)
    for first in (parts[0] for parts in activities(context.segments)):
        movement = first.movement
        new = first.kind in MOVING and not context.visits.get(first.activity)
        if movement is None or not movement.caution or not new:
            continue
        at = next((n for n, d in enumerate(written) if d.about == first.id), None)
        if at is None or written[at].segment == first.id:
            written.append(_in_time(context, first))
            continue
        preview = written[at]
        others = [d for d in written if d.segment == preview.segment]
        for told in (preview, _without_option(context, preview, first)):
            early = _early(context, told, movement.caution)
            if _fits(context, early, told, others):
                written[at] = told
                written.append(early)
                break
        else:
            written.append(_in_time(context, first))
    return tuple(written)


def _words(context: WritingContext, caution: str) -> tuple[tuple[str, ...], ...]:
    return context.phrases.variants(
        "caution", point=sentence(caution), point_inline=inline(caution)
    )


def _in_time(context: WritingContext, first: Segment) -> Cue:
    """Return the caution said in the movement itself."""
    caution = first.movement.caution if first.movement else None
    from_ms = context.words_from_ms(first)
    return context.cue(
        cuekinds.CAUTION,
        first,
        _words(context, caution or ""),
        window=(from_ms, context.words_until_ms(first)),
        essential=first.length_ms >= FITS_MS,
        wanted_ms=from_ms + LEAD_MS,
    )


def _early(context: WritingContext, preview: Cue, caution: str) -> Cue:
    """Return the caution said right after a preview."""
    return context.cue(
        cuekinds.CAUTION,
        context.segment(preview.segment),
        _words(context, caution),
        window=(
            preview.window_start_ms if preview.anchor_ms is None else preview.anchor_ms,
            preview.window_end_ms,
        ),
        essential=True,
        wanted_ms=min(preview.due_ms + 1, preview.window_end_ms),
    )


def _without_option(context: WritingContext, preview: Cue, first: Segment) -> Cue:
    """Return a preview that leaves the easier way to the movement."""
    if first.movement is None or context.segment(preview.segment).kind in MOVING:
        return preview
    plain = replace(first, movement=replace(first.movement, easier=None))
    words = preview_words(context, plain, passing=False)
    return replace(preview, variants=context.worded(words))


def _fits(
    context: WritingContext, early: Cue, preview: Cue, others: Sequence[Cue]
) -> bool:
    """Return whether preview and caution fit in full with all that matters there."""
    wpm, apart_ms = WORDS_PER_MINUTE[context.plan.pace], APART_MS[context.plan.coaching]

    def needs_ms(cue: Cue) -> int:
        # A caution says all of it in its short wording too.
        shortest = cue is early or cue.priority < cuekinds.CAUTION.priority
        wordings = [each[-1 if shortest else 0] for each in cue.variants if each]
        lengths = [
            estimate_ms(wording.spoken, context.phrases.language, wpm).length_ms
            for wording in wordings
        ]
        return max(lengths, default=0) + apart_ms

    from_ms, end_ms = early.window_start_ms, early.window_end_ms
    needed_ms = needs_ms(preview) + needs_ms(early)
    for cue in others:
        overlaps = cue.window_start_ms < end_ms and cue.window_end_ms > from_ms
        minor = cue.priority < cuekinds.CLOSE.priority
        same = cue.about is not None and cue.about == preview.about
        # These lie before or after the time in which a preview may be said.
        apart = cue.kind.counts or cue.kind is cuekinds.STOP
        if same or minor or not overlaps or apart:
            continue
        if cue.anchor_ms is None:
            needed_ms += needs_ms(cue)
        elif preview.anchor_ms is None:
            # What is pinned parts the time: only that after it is counted on.
            from_ms = max(from_ms, cue.anchor_ms + needs_ms(cue))
        else:
            return False
    return needed_ms <= end_ms - from_ms
