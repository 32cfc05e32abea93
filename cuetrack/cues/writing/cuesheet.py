"""From a plan and its timeline to the cue sheet: all that is said and sounded.

Each part of the sheet is written by a module of its own; here they come
together, in the order of time, each cue with the variant it is said in.

========================  ================================================
``clock_cues``            counts, starts, changes, stops, tones
``time_call_cues``        halfway, the seconds that are left
``framing_cues``          welcome, safety, close
``announcement_cues``     openings, rests, free cues
``introduction_cues``     what comes next, what to mind in it, and how it is done
``preview_cues``          the recovery's movement, other sides
``equipment_cues``        picked up, put down
``whereabouts_cues``      where we are
``coaching_cues``         form, breath, options, encouragement
``choose_variants``                  which variant, so that nothing is said too often
========================  ================================================

With coaching for the clock only, what a leader says live is left to the leader,
and the voice leaves more room.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from typing import TYPE_CHECKING, TypeAlias

from cuetrack.cues.model import CueSheet, QuietRule
from cuetrack.cues.writing.announcements import announcement_cues
from cuetrack.cues.writing.clock import clock_cues
from cuetrack.cues.writing.coaching import coaching_cues
from cuetrack.cues.writing.context import context_of
from cuetrack.cues.writing.equipment import equipment_cues
from cuetrack.cues.writing.framing import framing_cues
from cuetrack.cues.writing.introductions import introduction_cues
from cuetrack.cues.writing.previews import preview_cues
from cuetrack.cues.writing.quiet import LEAST_WINDOW_MS
from cuetrack.cues.writing.timecalls import midway_tones, time_call_cues
from cuetrack.cues.writing.variety import choose_variants
from cuetrack.cues.writing.whereabouts import whereabouts_cues
from cuetrack.plan.model import Coaching

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Sequence

    from cuetrack.cues.model import Cue, Timeline
    from cuetrack.cues.writing.context import WritingContext
    from cuetrack.languages.phrases import Phrases
    from cuetrack.plan.model import Plan

QUIET = {
    Coaching.EVERYTHING: QuietRule(),
    Coaching.CLOCK: QuietRule(gap_ms=800, share=0.4),
}
"""How much room the voice leaves; more where a leader talks live."""


Writer: TypeAlias = "Callable[[WritingContext], Iterable[Cue]]"
"""Says when the cues of some kinds are due, and in which words."""

WRITERS: tuple[Writer, ...] = (
    framing_cues,
    announcement_cues,
    equipment_cues,
    introduction_cues,
    preview_cues,
    whereabouts_cues,
    coaching_cues,
)
"""Those of a class; of cues wanted at the same time the earlier writer's come first."""


def write_cues(
    plan: Plan,
    timeline: Timeline,
    phrases: Phrases,
    say: Callable[[str], str],
    writers: Sequence[Writer] = WRITERS,
    *,
    choose: Callable[[Iterable[Cue]], Iterable[Cue]] = choose_variants,
) -> CueSheet:
    """Return every cue and tone of a class.

    Parameters
    ----------
    say : callable
        Turns a text as shown into the text a voice is given.
    writers : sequence of Writer
        Who write what is said, besides the clock.
    choose : callable
        Says in which variants the cues may be said.
    """
    context = context_of(plan, timeline, phrases, say)
    clock, calls = clock_cues(context), time_call_cues(context)
    tones = (*clock.tones, *midway_tones(context))
    cues = (
        # Of cues wanted at the same time the clock's come first.
        *(*clock.cues, *calls),
        *(cue for write in writers for cue in write(context)),
    )
    wanted = [cue for cue in cues if _is_wanted(cue, context)]
    return CueSheet(
        title=plan.title,
        language=phrases.language,
        timeline=timeline,
        cues=tuple(_numbered(choose(wanted))),
        tones=tuple(sorted(tones, key=lambda tone: tone.start_ms)),
        quiet=QUIET[plan.coaching],
    )


def _is_wanted(cue: Cue, context: WritingContext) -> bool:
    if not cue.kind.clock and not context.coaches_in(context.segment(cue.segment)):
        return False
    room_ms = cue.window_end_ms - cue.window_start_ms
    return cue.essential or room_ms >= LEAST_WINDOW_MS


def _numbered(cues: Iterable[Cue]) -> Iterator[Cue]:
    """Yield the cues with ids that name one cue each, and no window inside out."""
    used: Counter[str] = Counter()
    for cue in cues:
        used[cue.id] += 1
        yield replace(
            cue,
            id=cue.id if used[cue.id] == 1 else f"{cue.id}-{used[cue.id]}",
            window_end_ms=max(cue.window_start_ms, cue.window_end_ms),
        )
