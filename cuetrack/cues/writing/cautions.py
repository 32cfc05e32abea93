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
from cuetrack.cues.writing.drafts import MOVING, Draft, activities
from cuetrack.cues.writing.previews import preview_words
from cuetrack.languages.phrases import inline, sentence
from cuetrack.plan.model import Coaching, Pace

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    from cuetrack.cues.model import Segment
    from cuetrack.cues.writing.drafts import WritingContext

LEAD_MS = 1_500
"""A caution in the movement comes this soon."""

FITS_MS = 15_000
"""In a movement of this length a caution always finds room."""

APART_MS = {Coaching.EVERYTHING: 300, Coaching.CLOCK: 800}
"""Two cues are at least this far apart; what is estimated keeps to it."""

WORDS_PER_MINUTE = {Pace.CALM: 125, Pace.USUAL: CALIBRATED_WPM, Pace.LIVELY: 145}


def with_cautions(
    scene: WritingContext, drafts: Iterable[Draft], say: Callable[[str], str]
) -> tuple[Draft, ...]:
    """Return all drafts with a caution for each movement that is done first.

    Parameters
    ----------
    scene : WritingContext
        What cues are written from.
    drafts : iterable of Draft
        Everything else that is said.
    say : callable
        Turns a text as shown into the text a voice is given.
    """
    written = list(drafts)
    for first in (parts[0] for parts in activities(scene.segments)):
        movement = first.movement
        new = first.kind in MOVING and not scene.visits.get(first.activity)
        if movement is None or not movement.caution or not new:
            continue
        at = next((n for n, d in enumerate(written) if d.about == first.id), None)
        if at is None or written[at].segment.id == first.id:
            written.append(_in_time(scene, first))
            continue
        preview = written[at]
        others = [d for d in written if d.segment.id == preview.segment.id]
        for told in (preview, _without_option(scene, preview, first)):
            early = _early(scene, told, movement.caution)
            if _fits(scene, early, told, others, say):
                written[at] = told
                written.append(early)
                break
        else:
            written.append(_in_time(scene, first))
    return tuple(written)


def _words(scene: WritingContext, caution: str) -> tuple[tuple[str, ...], ...]:
    return scene.phrases.variants(
        "caution", point=sentence(caution), point_inline=inline(caution)
    )


def _in_time(scene: WritingContext, first: Segment) -> Draft:
    """Return the caution said in the movement itself."""
    caution = first.movement.caution if first.movement else None
    from_ms = scene.words_from_ms(first)
    return Draft(
        kind=cuekinds.CAUTION,
        segment=first,
        window_start_ms=from_ms,
        window_end_ms=scene.words_until_ms(first),
        candidates=_words(scene, caution or ""),
        essential=first.length_ms >= FITS_MS,
        wanted_ms=from_ms + LEAD_MS,
    )


def _early(scene: WritingContext, preview: Draft, caution: str) -> Draft:
    """Return the caution said right after a preview."""
    return Draft(
        kind=cuekinds.CAUTION,
        segment=preview.segment,
        window_start_ms=preview.window_start_ms
        if preview.anchor_ms is None
        else preview.anchor_ms,
        window_end_ms=preview.window_end_ms,
        candidates=_words(scene, caution),
        essential=True,
        wanted_ms=min(preview.when_ms + 1, preview.window_end_ms),
    )


def _without_option(scene: WritingContext, preview: Draft, first: Segment) -> Draft:
    """Return a preview that leaves the easier way to the movement."""
    if first.movement is None or preview.segment.kind in MOVING:
        return preview
    plain = replace(first, movement=replace(first.movement, easier=None))
    return replace(preview, candidates=preview_words(scene, plain, passing=False))


def _fits(
    scene: WritingContext,
    early: Draft,
    preview: Draft,
    others: Sequence[Draft],
    say: Callable[[str], str],
) -> bool:
    """Return whether preview and caution fit in full with all that matters there."""
    wpm, apart_ms = WORDS_PER_MINUTE[scene.plan.pace], APART_MS[scene.plan.coaching]

    def needs_ms(draft: Draft) -> int:
        # A caution says all of it in its short wording too.
        shortest = draft is early or draft.priority < cuekinds.CAUTION.priority
        texts = [each[-1 if shortest else 0] for each in draft.candidates if each]
        lengths = [
            estimate_ms(say(text), scene.phrases.language, wpm).length_ms
            for text in texts
        ]
        return max(lengths, default=0) + apart_ms

    from_ms, end_ms = early.window_start_ms, early.window_end_ms
    needed_ms = needs_ms(preview) + needs_ms(early)
    for draft in others:
        overlaps = draft.window_start_ms < end_ms and draft.window_end_ms > from_ms
        minor = draft.priority < cuekinds.CLOSE.priority
        same = draft.about is not None and draft.about == preview.about
        # These lie before or after the time in which a preview may be said.
        apart = draft.kind.counts or draft.kind is cuekinds.STOP
        if same or minor or not overlaps or apart:
            continue
        if draft.anchor_ms is None:
            needed_ms += needs_ms(draft)
        elif preview.anchor_ms is None:
            # What is pinned parts the time: only that after it is counted on.
            from_ms = max(from_ms, draft.anchor_ms + needs_ms(draft))
        else:
            return False
    return needed_ms <= end_ms - from_ms
