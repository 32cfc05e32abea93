"""Cues for a voice that can say only what a person has read."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from cuetrack.cues.writing.variety import choose_variants

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from cuetrack.cues.model import Cue, Wording


def choose_read(
    cues: Iterable[Cue], is_read: Callable[[str], bool], *, filled: bool
) -> tuple[Cue, ...]:
    """Return the cues in the variants and wordings that were read, where any were.

    ``is_read`` tells whether a spoken text was. A cue of which nothing was read stays
    as it is where another voice fills in, or where it must be said; else it is dropped.
    """
    kept = (_as_read(cue, is_read, filled=filled) for cue in cues)
    return choose_variants(cue for cue in kept if cue.variants)


def _as_read(cue: Cue, is_read: Callable[[str], bool], *, filled: bool) -> Cue:
    read = {
        wording
        for variant in cue.variants
        for wording in variant
        if is_read(wording.spoken)
    }
    if not read:
        return cue if filled or cue.essential else replace(cue, variants=())
    whole = tuple(variant for variant in cue.variants if read.issuperset(variant))
    if whole:
        return replace(cue, variants=whole)
    parts = (
        _part_read(variant, read, keep_shorter=filled and cue.essential)
        for variant in cue.variants
        if not read.isdisjoint(variant)
    )
    return replace(cue, variants=tuple(parts))


def _part_read(
    variant: tuple[Wording, ...], read: set[Wording], *, keep_shorter: bool
) -> tuple[Wording, ...]:
    """Return what was read of a variant, and if need be what is shorter than that."""
    if not keep_shorter:
        return tuple(wording for wording in variant if wording in read)
    fullest = next(index for index, one in enumerate(variant) if one in read)
    return variant[fullest:]
