"""What the commands that write plans have in common."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from rich.text import Text

from cuetrack.cli.show import headed, show_lines
from cuetrack.cues.timeline import lay_out
from cuetrack.documents.durations import parse_duration
from cuetrack.documents.textfile import read_text
from cuetrack.errors import UsageError
from cuetrack.pipeline.checking import plan_from_text, reviewed
from cuetrack.review.model import Severity
from cuetrack.review.reviewing import review_step

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable
    from pathlib import Path

    from rich.console import Console

    from cuetrack.plan.model import Plan
    from cuetrack.planning.diff import Difference
    from cuetrack.review.model import Finding


def read_both(path: Path) -> tuple[str, Plan, Callable[[str], Plan]]:
    """Return the text of a plan file, its plan, and what reads a changed text."""
    text = read_text(path)
    read = partial(plan_from_text, path=path)
    return text, read(text), read


def new_findings(before: Plan, after: Plan) -> tuple[Finding, ...]:
    """Return errors and warnings of rules that the plan before did not trip."""
    known = {finding.rule.id for finding in reviewed(before)}
    return tuple(f for f in reviewed(after) if f.rule.id not in known and _is_told(f))


def step_findings(
    before: Plan, after: Plan, *, after_absence: bool = False
) -> tuple[Finding, ...]:
    """Return errors and warnings on the step from one plan to the next.

    ``after_absence`` says that the group was away for two weeks between them.
    """
    found = review_step(
        (before, lay_out(before)), (after, lay_out(after)), after_absence=after_absence
    )
    return tuple(filter(_is_told, found))


def _is_told(finding: Finding) -> bool:
    return finding.severity is not Severity.NOTE and not finding.acknowledged


def show_changes(screen: Console, changes: Iterable[Difference]) -> None:
    """Show a row for each thing that is otherwise."""
    table = headed("what", "before", "now")
    for change in changes:
        table.add_row(Text(change.what), Text(change.before), Text(change.after))
    screen.print(table)


def show_new_findings(screen: Console, findings: Iterable[Finding]) -> None:
    """Show what the review finds only since the change."""
    lines = [f"  {f.rule.id} {f.what} {f.rule.remedy}" for f in findings]
    if lines:
        show_lines(screen, ["New in the plan review:", *lines])


def beside(plan: Plan, path: Path, out: Path) -> Path:
    """Return ``out``, refused where the files a plan names would not be found.

    Raises
    ------
    UsageError
        When the plan names music and would be written to another folder.
    """
    names_files = any(
        music is not None and music.files
        for music in (plan.music, *(section.music for section in plan.sections))
    )
    if names_files and out.parent.resolve() != path.parent.resolve():
        raise UsageError(
            f"{out} is in another folder, and the plan names music files beside it.",
            f"Write it into {path.parent} instead.",
        )
    return out


def asked_time(text: str) -> int:
    """Return a length of time from the command line, in ms.

    Raises
    ------
    UsageError
        When it is none.
    """
    try:
        return parse_duration(text)
    except ValueError as error:
        raise UsageError(
            f'"{text}" {error}.', 'Write a time such as "30 min" or 29:30.'
        ) from error
