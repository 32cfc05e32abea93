"""Placement: which cues are said, in which wording, and when. It is exact.

What is kept
    Every essential cue is said. Speech stays inside its cue's window and off
    every tone. Between two spoken cues lie at least ``gap_ms``, between a count
    (its words are said together or not at all) and its neighbours at least
    ``before_count_ms`` on either side. Floating cues keep the order of the
    times they want, each taken as near as its window, the tones and the settled
    cues leave it; of equal times the one earlier in the sheet comes first. In
    the work and move segments of one activity, taken together, speech fills at
    most ``share`` of the time; a cue counts in full where it belongs. Essential
    cues and counts are never silenced by the share: where they need more at
    their shortest, they get that and nothing else does.

What is best
    Priorities are compared from high to low. At each, first as many cues as
    possible are said, then they are shortened by as few steps as possible (full
    to short is one step, to shortest two). No choice that keeps the rules above
    is better. With this choice and its order settled, the floating cues start
    as near to their wanted times as can be: no other starts have a smaller sum
    of differences.

The class falls apart into stretches that cannot disturb one another, at the
latest at every count-in, so that time grows with its length.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from cuetrack.cues.model import AnchorPoint, LeftOut, PlacedCue, PlacedSheet
from cuetrack.cues.placement.choice import choose
from cuetrack.cues.placement.infeasible import InfeasibleCues
from cuetrack.cues.placement.items import blocked_by, items_of, restricted
from cuetrack.cues.placement.reasons import Explainer
from cuetrack.cues.placement.starts import clear_of, start_times
from cuetrack.cues.placement.subproblems import Shares, subproblems

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from cuetrack.cues.model import CueSheet, SpeechTiming
    from cuetrack.cues.placement.items import PlacementItem
    from cuetrack.cues.placement.labels import Chosen


def place(sheet: CueSheet, timings: Mapping[str, SpeechTiming]) -> PlacedSheet:
    """Return the cue sheet with every wording and time settled, as good as can be.

    Parameters
    ----------
    sheet : CueSheet
        Every cue that is wanted, with its window, priority and wordings.
    timings : mapping of str to SpeechTiming
        The length and beat of every wording of every cue, by spoken text.

    Returns
    -------
    PlacedSheet
        ``placed`` in the order of time, ``left_out`` in that of the sheet, each
        shortened or missing cue with its reason.

    Raises
    ------
    PlacementError
        When essential cues cannot fit; names all of them and what is missing.
    KeyError
        When a wording has no timing.
    """
    items = {item.cues[0].id: item for item in items_of(sheet, timings)}
    shares = Shares(list(items.values()), sheet)
    said = _choose(items, shares, InfeasibleCues(sheet, timings))
    fixed = [each for each in said if each[0].fixed]
    floating = [each for each in said if not each[0].fixed]
    floating.sort(key=lambda each: each[0].rank)
    blocked = blocked_by(fixed, sheet.quiet, count=False)
    floating = [clear_of(each, [blocked]) for each in floating]
    starts_ms = start_times(floating, sheet.quiet.gap_ms)
    why = Explainer(
        sheet,
        timings,
        fixed=fixed,
        floating=floating,
        starts_ms=starts_ms,
        left_ms=shares.left_ms(said),
    )
    fixed_starts_ms = [option.starts[0][0] for _, option in fixed]
    placed = [
        cue
        for each, start_ms in zip(
            [*fixed, *floating], [*fixed_starts_ms, *starts_ms], strict=True
        )
        for cue in _placed(each, start_ms, why)
    ]
    placed.sort(key=lambda each: (each.start_ms, each.end_ms))
    return PlacedSheet(
        sheet=sheet,
        placed=tuple(placed),
        left_out=tuple(_left_out(items, said, sheet, why)),
    )


def _choose(
    items: dict[str, PlacementItem], shares: Shares, infeasible: InfeasibleCues
) -> list[Chosen]:
    """Return what is said, or raise for every essential item that cannot be.

    Each of ``items`` becomes what the settled ones leave of it.
    """
    quiet = shares.quiet
    alone = [item for item in items.values() if item.options]
    infeasible.note_alone(items.values())
    settled = infeasible.without_clashes([item for item in alone if item.is_settled])
    plain = [blocked_by(settled, quiet, count=False)]
    count = [blocked_by(settled, quiet, count=True)]
    open_items = []
    for item in alone:
        if item.is_settled:
            continue
        left = restricted(item, count if item.count else plain)
        if left.options:
            open_items.append(left)
            items[item.cues[0].id] = left
        elif item.essential:
            infeasible.note_beside(item, settled)
    said = list(settled)
    for subproblem in subproblems(open_items, shares, settled):
        chosen = choose(subproblem.tight)
        if chosen is None:
            chosen = choose(subproblem.loose)
        if chosen is None:
            infeasible.note_together(subproblem.loose, settled)
        else:
            said += chosen
    infeasible.raise_if_any()
    return said


def _placed(said: Chosen, start_ms: int, why: Explainer) -> Iterator[PlacedCue]:
    item, option = said
    for cue, (first_ms, last_ms) in zip(item.cues, option.spans, strict=True):
        index = min(option.index, len(cue.wordings) - 1)
        pinned = cue.anchor_ms is not None
        yield PlacedCue(
            cue=cue,
            wording=cue.wordings[index],
            wording_index=index,
            pin_ms=start_ms if cue.anchor_ms is None else cue.anchor_ms,
            pin_point=cue.anchor_point if pinned else AnchorPoint.START,
            start_ms=start_ms + first_ms,
            end_ms=start_ms + last_ms,
            reason=why.shortened(said, cue, index) if index else None,
        )


def _left_out(
    items: Mapping[str, PlacementItem],
    said: Sequence[Chosen],
    sheet: CueSheet,
    why: Explainer,
) -> Iterator[LeftOut]:
    heard = {cue.id for item, _ in said for cue in item.cues}
    owners = {cue.id: item for item in items.values() for cue in item.cues}
    for cue in sheet.cues:
        if cue.id not in heard:
            yield LeftOut(cue=cue, reason=why.silenced(owners[cue.id], cue))
