"""Independent stretches of a class, and the speech each activity may hold."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING

from cuetrack.cues.model import MOVING
from cuetrack.cues.placement.choice import Subproblem

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence

    from cuetrack.cues.model import CueSheet, QuietRule
    from cuetrack.cues.placement.items import MsSpan, PlacementItem
    from cuetrack.cues.placement.labels import Chosen


@dataclass(frozen=True, slots=True, kw_only=True)
class SharedSubproblem:
    """One subproblem under the share of speech, and again for when that asks too much.

    ``loose`` lets essential cues and counts have their fullest wordings even
    beyond the share; it is needed only where their briefest ones collide.
    """

    tight: Subproblem
    loose: Subproblem


class Shares:
    """How much speech the work and move segments of each activity may hold."""

    def __init__(self, items: Sequence[PlacementItem], sheet: CueSheet) -> None:
        self.quiet: QuietRule = sheet.quiet
        length_ms: dict[str, int] = defaultdict(int)
        for segment in sheet.timeline.segments:
            if segment.kind in MOVING:
                length_ms[segment.activity] += segment.length_ms
        least_ms: dict[str, int] = defaultdict(int)
        most_ms: dict[str, int] = defaultdict(int)
        for item in items:
            if item.activity is not None and item.exempt and item.options:
                spoken_ms = [option.spoken_ms for option in item.options]
                least_ms[item.activity] += min(spoken_ms)
                most_ms[item.activity] += max(spoken_ms)
        # A millionth of a ms keeps a share such as 0.29 from losing a whole one.
        share_ms = {
            activity: int(ms * self.quiet.share + 1e-6)
            for activity, ms in length_ms.items()
        }
        self.tight_ms = {
            activity: max(ms, least_ms[activity]) for activity, ms in share_ms.items()
        }
        self.loose_ms = {
            activity: max(ms, most_ms[activity]) for activity, ms in share_ms.items()
        }

    def left_ms(self, said: Iterable[Chosen]) -> dict[str, int]:
        """Return what each activity could still hold beside ``said``, ms."""
        used_ms = _used_ms(said)
        return {
            activity: ms - used_ms[activity] for activity, ms in self.tight_ms.items()
        }


def subproblems(
    items: Sequence[PlacementItem], shares: Shares, settled: Sequence[Chosen]
) -> Iterator[SharedSubproblem]:
    """Yield the stretches into which the items fall apart, in order of time.

    Two items belong together when they could come too close to one another, or
    when they draw on the same share of speech and it may not suffice for all.
    """
    used_ms = _used_ms(settled)
    wanted_ms: dict[str, int] = defaultdict(int)
    for item in items:
        if item.activity is not None:
            wanted_ms[item.activity] += max(each.spoken_ms for each in item.options)
    scarce = {
        activity
        for activity, ms in wanted_ms.items()
        if used_ms[activity] + ms > shares.tight_ms[activity]
    }
    for group in _groups(items, scarce, shares.quiet):
        here = sorted({item.activity for item in group if item.activity} & scarce)
        floating = [item for item in group if not item.fixed]
        fixed = [item for item in group if item.fixed]
        tight, loose = (
            Subproblem(
                fixed=tuple(sorted(fixed, key=_rank)),
                floating=tuple(sorted(floating, key=_rank)),
                quiet=shares.quiet,
                budget_ms={each: budget_ms[each] - used_ms[each] for each in here},
            )
            for budget_ms in (shares.tight_ms, shares.loose_ms)
        )
        yield SharedSubproblem(tight=tight, loose=loose)


def _groups(
    items: Sequence[PlacementItem], scarce: set[str], quiet: QuietRule
) -> Iterator[list[PlacementItem]]:
    apart_ms = max(quiet.gap_ms, quiet.before_count_ms)
    extents: dict[str, MsSpan] = {}
    for item in items:
        if item.activity in scarce:
            start, end = extents.get(item.activity, _extent(item))
            first, last = _extent(item)
            extents[item.activity] = min(start, first), max(end, last)
    group: list[PlacementItem] = []
    reached_ms = 0
    for (start_ms, end_ms), item in sorted(
        ((extents.get(item.activity or "", _extent(item)), item) for item in items),
        key=lambda each: each[0],
    ):
        if group and start_ms >= reached_ms + apart_ms:
            yield group
            group = []
        reached_ms = max(reached_ms, end_ms) if group else end_ms
        group.append(item)
    if group:
        yield group


def _extent(item: PlacementItem) -> MsSpan:
    return item.first_start_ms, item.last_end_ms


def _rank(item: PlacementItem) -> tuple[int, ...]:
    return item.rank


def _used_ms(said: Iterable[Chosen]) -> Mapping[str, int]:
    used_ms: dict[str, int] = defaultdict(int)
    for item, option in said:
        if item.activity is not None:
            used_ms[item.activity] += option.spoken_ms
    return used_ms
