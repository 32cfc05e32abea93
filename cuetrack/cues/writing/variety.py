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

    from cuetrack.cues.writing.drafts import Draft
    from cuetrack.languages.phrases import Wordings

FRESH_AFTER_MS = 600_000

_NEVER_MS = -FRESH_AFTER_MS


def vary(drafts: Iterable[Draft]) -> tuple[Draft, ...]:
    """Return the drafts in order of time, each with a single variant left."""
    heard_ms: dict[str, int] = {}
    chosen = []
    for draft in sorted(drafts, key=lambda draft: draft.when_ms):
        variant = _choice(draft, heard_ms)
        if not variant:
            continue
        for text in variant:
            heard_ms[text] = max(draft.window_end_ms, heard_ms.get(text, _NEVER_MS))
        chosen.append(replace(draft, candidates=(variant,)))
    return tuple(chosen)


def _choice(draft: Draft, heard_ms: dict[str, int]) -> Wordings:
    """Return the variant to say; empty when all of it was heard too lately."""
    variants = draft.candidates
    if not draft.kind.may_repeat and not draft.essential:
        stale_ms = draft.window_start_ms - FRESH_AFTER_MS
        fresh = [
            tuple(text for text in variant if heard_ms.get(text, _NEVER_MS) <= stale_ms)
            for variant in variants
        ]
        whole = [variant for variant in variants if variant in fresh]
        variants = tuple(whole or [variant for variant in fresh if variant])
    return min(
        variants, key=lambda variant: _last_heard_ms(variant, heard_ms), default=()
    )


def _last_heard_ms(variant: Wordings, heard_ms: dict[str, int]) -> int:
    return heard_ms.get(variant[0], _NEVER_MS)
