"""Variety: which variant each cue is said in, so that nothing grows stale.

Variants are used in the order of the phrase pack, the one unheard for longest
next. Whatever is of a kind that may repeat is not said twice within ten minutes, in
none of its wordings; a cue that has nothing fresh left to say is dropped, which
is what a person would do. Nothing is left to chance.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable

    from cuetrack.cues.model import Cue, Wording

FRESH_AFTER_MS = 600_000

_NEVER_MS = -FRESH_AFTER_MS


def choose_variants(cues: Iterable[Cue]) -> tuple[Cue, ...]:
    """Return the cues in order of time, each with a single variant left."""
    heard_ms: dict[str, int] = {}
    chosen = []
    for cue in sorted(cues, key=lambda cue: cue.due_ms):
        variant = _choice(cue, heard_ms)
        if not variant:
            continue
        for wording in variant:
            before_ms = heard_ms.get(wording.text, _NEVER_MS)
            heard_ms[wording.text] = max(cue.window_end_ms, before_ms)
        chosen.append(replace(cue, variants=(variant,)))
    return tuple(chosen)


def _choice(cue: Cue, heard_ms: dict[str, int]) -> tuple[Wording, ...]:
    """Return the variant to say; empty when all of it was heard too lately."""
    variants = cue.variants
    if not cue.kind.may_repeat and not cue.essential:
        stale_ms = cue.window_start_ms - FRESH_AFTER_MS
        fresh = [
            tuple(
                wording
                for wording in variant
                if heard_ms.get(wording.text, _NEVER_MS) <= stale_ms
            )
            for variant in variants
        ]
        whole = [variant for variant in variants if variant in fresh]
        variants = tuple(whole or [variant for variant in fresh if variant])
    return min(
        variants,
        key=lambda variant: heard_ms.get(variant[0].text, _NEVER_MS),
        default=(),
    )
