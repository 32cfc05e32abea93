"""From a plan and its timeline to the cue sheet: all that is said and sounded.

Each part of the sheet is written by a module of its own; here they come
together, in the order of time, each cue with the variant it is said in.

========================  ================================================
``clock_cues``            counts, starts, changes, stops, time calls, tones
``preview_cues``          what comes next, other sides, where we are
``equipment_cues``        picked up, put down
``caution_cues``          what to mind, before people move where there is room
``coaching_cues``         form, breath, options, encouragement
``frame_cues``            welcome, safety, openings, rests, close, free cues
``variety``               which variant, so that nothing is said too often
========================  ================================================

With coaching for the clock only, what a leader says live is left to the leader,
and the voice leaves more room.
"""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from cuetrack.cues.model import Cue, CueSheet, QuietRule, Wording
from cuetrack.cues.writing.cautions import with_cautions
from cuetrack.cues.writing.clock import clock_score
from cuetrack.cues.writing.coaching import coaching_drafts
from cuetrack.cues.writing.drafts import set_scene
from cuetrack.cues.writing.equipment import equipment_drafts
from cuetrack.cues.writing.frame import frame_drafts
from cuetrack.cues.writing.previews import preview_drafts
from cuetrack.cues.writing.variety import vary
from cuetrack.plan.model import Coaching

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from cuetrack.cues.model import Timeline
    from cuetrack.cues.writing.drafts import Draft
    from cuetrack.languages.phrases import Phrases
    from cuetrack.plan.model import Plan

QUIET = {
    Coaching.EVERYTHING: QuietRule(),
    Coaching.CLOCK: QuietRule(gap_ms=800, share=0.4),
}
"""How much room the voice leaves; more where a leader talks live."""

LEAST_WINDOW_MS = 700
"""Nothing can be said in less; only what is essential is still tried."""


def write_cues(
    plan: Plan, timeline: Timeline, phrases: Phrases, say: Callable[[str], str]
) -> CueSheet:
    """Return every cue and tone of a class.

    Parameters
    ----------
    plan : Plan
        What the leader wrote.
    timeline : Timeline
        The plan laid out.
    phrases : Phrases
        The words of the plan's language.
    say : callable
        Turns a text as shown into the text a voice is given.
    """
    scene = set_scene(plan, timeline, phrases)
    score = clock_score(scene)
    drafts = (
        # Of cues wanted at the same time the clock's come first.
        *score.drafts,
        *frame_drafts(scene),
        *preview_drafts(scene),
        *equipment_drafts(scene),
        *coaching_drafts(scene),
    )
    told = with_cautions(scene, drafts, say)
    wanted = [draft for draft in told if _is_wanted(draft, plan.coaching)]
    return CueSheet(
        title=plan.title,
        language=phrases.language,
        timeline=timeline,
        cues=_cues(vary(wanted), say),
        tones=tuple(sorted(score.tones, key=lambda tone: tone.start_ms)),
        quiet=QUIET[plan.coaching],
    )


def _is_wanted(draft: Draft, coaching: Coaching) -> bool:
    if coaching is Coaching.CLOCK and not draft.kind.clock:
        return False
    room_ms = draft.window_end_ms - draft.window_start_ms
    return draft.essential or room_ms >= LEAST_WINDOW_MS


def _cues(drafts: Iterable[Draft], say: Callable[[str], str]) -> tuple[Cue, ...]:
    """Return drafts as cues, each with an id that tells where and what it is."""
    used: Counter[str] = Counter()
    cues = []
    for draft in drafts:
        name = f"{draft.segment.id}.{draft.kind.name.replace(' ', '-')}"
        used[name] += 1
        (texts,) = draft.candidates
        cues.append(
            Cue(
                id=name if used[name] == 1 else f"{name}-{used[name]}",
                kind=draft.kind,
                segment=draft.segment.id,
                window_start_ms=draft.window_start_ms,
                window_end_ms=max(draft.window_start_ms, draft.window_end_ms),
                wordings=tuple(Wording(text=text, spoken=say(text)) for text in texts),
                priority=draft.priority,
                essential=draft.essential,
                anchor_ms=draft.anchor_ms,
                anchor_point=draft.anchor_point,
                wanted_ms=draft.wanted_ms,
            )
        )
    return tuple(cues)
