"""Which cues are said, in which wording: an exact choice.

The best choice is found by dynamic programming over how many fixed and how
many floating items are decided. Fixed items come in the order of their pins,
floating ones in the order of the time they want; the two orders are merged in
every way that can be. A choice so far is a label: the earliest instants at
which the next cue and the next count word may start, the speech used in each
activity, and what it is worth. Saying everything as early as possible never
hurts what comes later, so labels that are worse in every respect are dropped
and the rest hold the optimum.

No label can become worth more than its value and all that is undecided. What
the essential cues and those of the highest priority reach alone is found first,
then with the next priority, and so on: what is reached is a bound below which
labels are dropped, so that few are left when the last priority comes in.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import accumulate
from typing import TYPE_CHECKING, Any

from cuetrack.cues.placement.items import distance_ms
from cuetrack.cues.placement.labels import PathLabel, undominated

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping, Sequence

    from cuetrack.cues.model import QuietRule
    from cuetrack.cues.placement.items import Option, PlacementItem
    from cuetrack.cues.placement.labels import Chosen, Cost

NEVER_MS = 1 << 60


@dataclass(frozen=True, slots=True, kw_only=True)
class Subproblem:
    """One independent stretch of the class: its items and their limits.

    ``budget_ms`` is the speech each activity may still hold. With ``must`` the
    essential items are never skipped; without, as few as possible are.
    """

    fixed: tuple[PlacementItem, ...]
    floating: tuple[PlacementItem, ...]
    quiet: QuietRule
    budget_ms: Mapping[str, int]
    must: bool = True


Worth = tuple[int, int]
"""What saying a cue is worth, and what each step of shortening it costs."""

ITEMS_A_STEP = 4
"""How many items come in together while the bound is raised; a matter of speed."""

State = tuple[int, int]
"""How many floating and how many fixed items are decided."""


def weights(items: Sequence[PlacementItem]) -> dict[int, Worth]:
    """Return for each priority what saying a cue is worth, and what a step costs.

    A cue said is worth more than every shortening of its level together, and a
    step of a level more than all lower levels together, so that comparing sums
    compares the levels one after the other.
    """
    cues = [cue for item in items for cue in item.cues]
    worth: dict[int, Worth] = {}
    step = 1
    for priority in sorted({cue.priority for cue in cues}):
        level = [cue for cue in cues if cue.priority == priority]
        said = 1 + sum(len(cue.wordings) - 1 for cue in level)
        worth[priority] = (said * step, step)
        step *= said * len(level) + 1
    return worth


@dataclass(frozen=True, slots=True, kw_only=True)
class _DecisionRow:
    """What deciding one item takes, worked out once.

    ``share`` is the position of its activity among those of the subproblem,
    ``limit_ms`` the speech that one may hold; ``values`` are what its options add.
    """

    item: PlacementItem
    values: tuple[int, ...]
    share: int | None
    limit_ms: int
    to_plain_ms: int
    to_count_ms: int
    must: bool

    def extend(self, into: list[PathLabel], label: PathLabel, least: int) -> None:
        """Add to ``into`` the label after each thing that can be done here.

        Those worth less than ``least`` are not added.
        """
        ready_ms = label.count_ms if self.item.count else label.plain_ms
        for option, value in zip(self.item.options, self.values, strict=True):
            if label.value + value < least:
                continue
            start_ms = option.earliest_start(ready_ms)
            if start_ms is None:
                continue
            used_ms = label.used_ms
            if self.share is not None:
                spoken_ms = used_ms[self.share] + option.spoken_ms
                if spoken_ms > self.limit_ms:
                    continue
                used_ms = (
                    *used_ms[: self.share],
                    spoken_ms,
                    *used_ms[self.share + 1 :],
                )
            end_ms = start_ms + option.length_ms
            into.append(
                PathLabel(
                    label.value + value,
                    max(label.plain_ms, end_ms + self.to_plain_ms),
                    max(label.count_ms, end_ms + self.to_count_ms),
                    used_ms,
                    label,
                    (self.item, option),
                )
            )
        if not self.must and label.value >= least:
            into.append(label)


class _Rows:
    """Items in their order, and what may still come from each position on."""

    def __init__(
        self,
        items: Sequence[PlacementItem],
        subproblem: Subproblem,
        worth: Mapping[int, Worth],
        top: int,
    ) -> None:
        self.rows = [_row(item, subproblem, worth, top) for item in items]
        self.first_start_ms = _from_here(
            [item.first_start_ms for item in items], min, NEVER_MS
        )
        self.first_end_ms = _from_here(
            [item.first_end_ms for item in items], min, NEVER_MS
        )
        self.last_start_ms = [item.last_start_ms for item in items]
        self.must = _from_here([row.must for row in self.rows], max, 0)
        self.count = _from_here([item.count for item in items], max, 0)
        self.plain = _from_here([not item.count for item in items], max, 0)
        self.value = _from_here([max(row.values) for row in self.rows], _sum, 0)
        self.spoken_ms = [
            _from_here([_most_spoken(item, activity) for item in items], _sum, 0)
            for activity in sorted(subproblem.budget_ms)
        ]


class _Search:
    """The walk over all states of one subproblem; some choice is worth ``least``."""

    def __init__(
        self, subproblem: Subproblem, worth: Mapping[int, Worth], least: int
    ) -> None:
        top = 1 + sum(
            worth[cue.priority][0]
            for item in (*subproblem.fixed, *subproblem.floating)
            for cue in item.cues
        )
        self.least = least
        self.limits_ms = [
            subproblem.budget_ms[each] for each in sorted(subproblem.budget_ms)
        ]
        self.fixed = _Rows(
            subproblem.fixed, subproblem, worth, top * (1 + len(subproblem.floating))
        )
        self.floating = _Rows(subproblem.floating, subproblem, worth, top)

    def steps(self, state: State) -> Iterator[tuple[State, _DecisionRow]]:
        """Yield the rows that may be decided next, and the state after each."""
        i, j = state
        floating, fixed = self.floating, self.fixed
        if j == len(fixed.rows):
            yield (i + 1, j), floating.rows[i]
            return
        if i == len(floating.rows):
            yield (i, j + 1), fixed.rows[j]
            return
        fixed_may_lead = fixed.first_end_ms[j] <= floating.last_start_ms[i]
        if not fixed_may_lead or floating.first_end_ms[i] <= fixed.last_start_ms[j]:
            yield (i + 1, j), floating.rows[i]
        if fixed_may_lead:
            yield (i, j + 1), fixed.rows[j]

    def pruned(self, state: State, labels: list[PathLabel]) -> list[PathLabel]:
        """Return the labels of a state that may still become the best."""
        i, j = state
        floor_ms = min(self.floating.first_start_ms[i], self.fixed.first_start_ms[j])
        least = self.least_at(state)
        if not (self.floating.must[i] or self.fixed.must[j]):
            best_yet = max(label.value for label in labels)
            least = max(least, best_yet - self.ahead(state))
        slack_ms = [
            limit_ms - floating_ms[i] - fixed_ms[j]
            for limit_ms, floating_ms, fixed_ms in zip(
                self.limits_ms,
                self.floating.spoken_ms,
                self.fixed.spoken_ms,
                strict=True,
            )
        ]
        plain_left = self.floating.plain[i] or self.fixed.plain[j]
        counts_left = self.floating.count[i] or self.fixed.count[j]
        best: dict[Cost, PathLabel] = {}
        for label in labels:
            if label.value < least:
                continue
            cost = (
                max(label.plain_ms, floor_ms) if plain_left else 0,
                max(label.count_ms, floor_ms) if counts_left else 0,
                *map(max, label.used_ms, slack_ms),
            )
            if cost not in best or best[cost].value < label.value:
                best[cost] = label
        return undominated(best)

    def ahead(self, state: State) -> int:
        """Return what all that is undecided would add at most."""
        return self.floating.value[state[0]] + self.fixed.value[state[1]]

    def least_at(self, state: State) -> int:
        """Return what a label of this state must be worth to have a chance."""
        return self.least - self.ahead(state)

    def best(self) -> PathLabel | None:
        """Return the best label once everything is decided, None without one."""
        end = (len(self.floating.rows), len(self.fixed.rows))
        nothing_yet = (0,) * len(self.limits_ms)
        start = PathLabel(0, -NEVER_MS, -NEVER_MS, nothing_yet, None, None)
        front: dict[State, list[PathLabel]] = {(0, 0): [start]}
        for _ in range(sum(end)):
            following: dict[State, list[PathLabel]] = {}
            for state, labels in front.items():
                kept = self.pruned(state, labels)
                for after, row in self.steps(state):
                    into = following.setdefault(after, [])
                    least = self.least_at(after)
                    for label in kept:
                        row.extend(into, label, least)
            front = {state: labels for state, labels in following.items() if labels}
        return max(front.get(end, ()), key=_worth_of, default=None)


def choose(subproblem: Subproblem) -> list[Chosen] | None:
    """Return what is best said of a subproblem, None when an essential item cannot fit.

    Its cues, counted by priority from high to low, are as many as can be, and
    at each priority shortened by as few steps as can be. Of equal choices the
    first found is taken, the same every time.

    Parameters
    ----------
    subproblem : Subproblem
        Items with at least one option each, in the order of their ranks.
    """
    worth = weights((*subproblem.fixed, *subproblem.floating))
    label = None
    for part in _ever_larger(subproblem):
        label = _Search(part, worth, label.value if label else 0).best()
        if label is None:
            return None
    said = []
    while label is not None:
        if label.said is not None:
            said.append(label.said)
        label = label.before
    return said[::-1]


def _ever_larger(subproblem: Subproblem) -> Iterator[Subproblem]:
    """Yield parts of the subproblem, from its highest priorities to all of it."""
    items = (*subproblem.fixed, *subproblem.floating)
    so_far = -1
    for priority in sorted({_priority(item) for item in items}, reverse=True):
        part = _from_priority(subproblem, priority)
        count = len(part.fixed) + len(part.floating)
        if count >= so_far + ITEMS_A_STEP or count == len(items) > so_far:
            so_far = count
            yield part


def _row(
    item: PlacementItem, subproblem: Subproblem, worth: Mapping[int, Worth], top: int
) -> _DecisionRow:
    extra = top if item.essential and not subproblem.must else 0
    activities = sorted(subproblem.budget_ms)
    share, limit_ms = None, 0
    if item.activity is not None and item.activity in subproblem.budget_ms:
        share = activities.index(item.activity)
        limit_ms = subproblem.budget_ms[item.activity]
    return _DecisionRow(
        item=item,
        values=tuple(_value(item, option, worth) + extra for option in item.options),
        share=share,
        limit_ms=limit_ms,
        to_plain_ms=distance_ms(
            subproblem.quiet, one_is_count=item.count, other_is_count=False
        ),
        to_count_ms=distance_ms(
            subproblem.quiet, one_is_count=item.count, other_is_count=True
        ),
        must=item.essential and subproblem.must,
    )


def _value(item: PlacementItem, option: Option, worth: Mapping[int, Worth]) -> int:
    return sum(
        worth[cue.priority][0]
        - worth[cue.priority][1] * min(option.index, len(cue.wordings) - 1)
        for cue in item.cues
    )


def _worth_of(label: PathLabel) -> int:
    return label.value


def _priority(item: PlacementItem) -> int:
    return max(cue.priority for cue in item.cues)


def _from_priority(subproblem: Subproblem, priority: int) -> Subproblem:
    """Return what is essential in a subproblem, and what has at least a priority."""

    def kept(items: Sequence[PlacementItem]) -> tuple[PlacementItem, ...]:
        return tuple(
            item for item in items if item.essential or _priority(item) >= priority
        )

    return replace(
        subproblem, fixed=kept(subproblem.fixed), floating=kept(subproblem.floating)
    )


def _from_here(
    values: Sequence[int], combine: Callable[[Any, Any], int], empty: int
) -> list[int]:
    return list(accumulate(reversed(values), combine, initial=empty))[::-1]


def _sum(one: int, other: int) -> int:
    return one + other


def _most_spoken(item: PlacementItem, activity: str) -> int:
    if item.activity != activity:
        return 0
    return max(option.spoken_ms for option in item.options)
