"""A class fitted to a time, gentler, brisker, or for the weeks to come."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from cuetrack.desk.fields import slot_in, whole_number
from cuetrack.desk.templating import desk_words
from cuetrack.errors import UsageError
from cuetrack.planning.diff import changes
from cuetrack.planning.fitting import FittedPlan, fit
from cuetrack.planning.progression import MOST_WEEKS, block
from cuetrack.planning.variants import Manner, version

if TYPE_CHECKING:
    from cuetrack.plan.model import Plan
    from cuetrack.planning.progression import Week


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanVersion:
    """Another version of a class, and what it is called in a list, if anything."""

    plan: Plan
    called: str = ""


def versions_for(plan: Plan, asked: dict[str, Any]) -> tuple[PlanVersion, ...]:
    """Return the versions of a class that the page asks for, one or several.

    Raises UsageError when there is no such version, or none that fits.
    """
    kind = asked.get("kind")
    if kind in set(Manner):
        return (PlanVersion(plan=version(plan, Manner(kind))),)
    if kind == "weeks":
        return _weeks(plan, asked)
    if kind != "fit":
        raise UsageError("There is no such way to change a class.")
    found = fit(plan, slot_in({"slot": "", **asked}, "slot"))
    if not isinstance(found, FittedPlan):
        raise UsageError(
            "No small change makes the class that long.",
            "Choose a time nearer to what it lasts, or add or take out a movement.",
        )
    return (PlanVersion(plan=replace(found.plan, file=plan.file)),)


def _weeks(plan: Plan, asked: dict[str, Any]) -> tuple[PlanVersion, ...]:
    number = whole_number(str(asked.get("weeks", "")))
    if not 2 <= number <= MOST_WEEKS:
        raise UsageError(f"Weeks are planned for 2 to {MOST_WEEKS} of them.")
    away = bool(asked.get("away"))
    weeks = block(plan, number, after_absence=away)
    return tuple(
        PlanVersion(plan=week.plan, called=_called(week))
        for week in weeks
        if week.plan is not None
    )


def _called(week: Week) -> str:
    words = desk_words()
    called = words["week"].format(number=week.number)
    easier = words["easier week"]
    return f"{called}, {easier}" if week.easier else called


def changes_to(plan: Plan, versions: tuple[PlanVersion, ...]) -> list[list[str]]:
    """Return what each version changes from the one before it, as rows for a table."""
    rows, before = [], plan
    for one in versions:
        after = replace(one.plan, title=before.title) if one.called else one.plan
        found = [[c.what, c.before, c.after] for c in changes(before, after)]
        if one.called:
            same = [[desk_words()["week same"], "", ""]]
            found = [[one.called, "", ""], *(found or same)]
        rows += found
        before = one.plan
    return rows
