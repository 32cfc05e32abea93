"""The first screen of ``cuetrack check``: ready or not, how long, what to decide.

It fits on 24 lines of 80 columns; what does not is counted, and ``--details`` shows it.
"""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING, Final

from rich.text import Text

from cuetrack.cli.show import by_section, losses_line, show_strip, what_happens
from cuetrack.movements.unknown import unknown_movements
from cuetrack.pipeline.own_sentences import moved_line, moved_sentences
from cuetrack.review.closing import ALWAYS, closing_lines
from cuetrack.review.load import load_of
from cuetrack.review.model import Severity
from cuetrack.review.reviewing import DEFERRAL
from cuetrack.times import clock, duration

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from rich.console import Console

    from cuetrack.cues.model import Timeline
    from cuetrack.pipeline.checking import Checked
    from cuetrack.plan.model import Plan

WIDTH: Final = 79
LINES: Final = 24
MOST_SECTIONS: Final = 8
FEW_SECTIONS: Final = 5
LISTED_SEVERITIES: Final = (Severity.ERROR, Severity.WARNING)


def show_verdict(screen: Console, checked: Checked) -> None:
    """Show whether a plan can be made as it is, and what needs a decision."""
    plan, timeline = checked.plan, checked.placed.sheet.timeline
    width = min(WIDTH, screen.width)
    points = tuple(open_points(checked))
    head = textwrap.wrap(verdict_line(checked), width)
    rows = section_rows(plan, timeline, width, most_lines=1 if points else 2)
    tail = closing(checked, width)
    blank_or_strip = 4
    room = LINES - len(head) - len(rows) - len(tail) - blank_or_strip
    for line in head:
        screen.print(Text(line, style="bold"))
    show_strip(screen, timeline, width)
    for line in (*rows, "", *decisions(points, width, room), "", *tail):
        screen.print(Text(line), soft_wrap=True)


def verdict_line(checked: Checked) -> str:
    """Return ready or not, the title and the length, as one line."""
    plan, length = checked.plan, clock(checked.placed.sheet.timeline.end_ms)
    told = "Ready to make" if checked.ready else "NOT READY to make"
    return f"{told}: {plan.title}, {length}"


def section_rows(
    plan: Plan, timeline: Timeline, width: int, *, most_lines: int
) -> list[str]:
    """Return a row a section: its start, its length, its title, its movements.

    A row has ``most_lines`` at most, one where there are many sections.
    """
    runs = by_section(timeline)
    longest = min(16, max(len(run[0].section_title) for _, run in runs))
    rows = []
    for section, run in runs[:MOST_SECTIONS]:
        start_ms, end_ms = run[0].start_ms, run[-1].end_ms
        head = f"{clock(start_ms):>7} {clock(end_ms - start_ms):>6}  "
        head += f"{run[0].section_title.ljust(longest)}  "
        told = what_happens(plan.sections[section].intervals, run)
        rows += textwrap.wrap(
            head + told,
            width,
            subsequent_indent=" " * (17 + longest),
            max_lines=most_lines if len(runs) <= FEW_SECTIONS else 1,
            placeholder=" ...",
            break_on_hyphens=False,
        )
    if len(runs) > MOST_SECTIONS:
        rows.append(f"        and {len(runs) - MOST_SECTIONS} sections more")
    return rows


def decisions(points: Sequence[str], width: int, room: int) -> list[str]:
    """Return what the leader has to decide, the heaviest first, in ``room`` lines.

    At least one is named; those without room are counted.
    """
    if not points:
        return ["Nothing needs a decision."]
    errors = sum(point.startswith(Severity.ERROR) for point in points)
    head = "One thing needs" if len(points) == 1 else f"{len(points)} things need"
    must = " (mend every error, or answer it in the plan)" if errors else ""
    lines = [f"{head} a decision{must}:"]
    for index, point in enumerate(points):
        wrapped = textwrap.wrap(
            point, width, initial_indent="  ", subsequent_indent="    "
        )
        last = index == len(points) - 1
        if index and len(lines) + len(wrapped) + (not last) > room:
            return [*lines, f"  and {len(points) - index} more: --details"]
        lines += wrapped
    return lines


def open_points(checked: Checked) -> Iterator[str]:
    """Yield every error and warning that nobody answered, and what has no words."""
    for severity in LISTED_SEVERITIES:
        for finding in checked.findings:
            if finding.severity is severity and not finding.acknowledged:
                line = finding.place.line
                where = f"line {line}, " if line else ""
                yield f"{severity}, {where}{finding.rule.id}: {finding.what}"
    for unknown in unknown_movements(checked.plan.movements(), checked.plan.language):
        yield f"line {unknown.place.line}: {unknown}"


def closing(checked: Checked, width: int) -> list[str]:
    """Return what is counted rather than told, what was not said, who comes first."""
    lines = [f"{losses_line(checked.placed)}{_notes(checked)}"]
    if moved := moved_line(moved_sentences(checked.plan, checked.placed)):
        lines.append(moved)
    if count := len(checked.filled_in):
        texts = "one text" if count == 1 else f"{count} texts"
        lines.append(f"Another voice says {texts} that {checked.plan.voice} lacks.")
    if checked.ready:
        lines.append(effort_line(checked))
    unasked = [
        line
        for line in closing_lines(checked.plan, checked.placed.sheet.timeline)
        if line != ALWAYS
    ]
    lines += [line.split(". ")[0].rstrip(".") + "." for line in unasked]
    if checked.estimated:
        lines.append(
            f"{checked.estimated} of {checked.wordings} wordings are not spoken yet; "
            "their length is estimated."
        )
    lines += [DEFERRAL, "More: the same command with --details"]
    return [part for line in lines for part in textwrap.wrap(line, width)]


def effort_line(checked: Checked) -> str:
    """Return how long people move and work, in one sentence."""
    timeline = checked.placed.sheet.timeline
    load = load_of(checked.plan, timeline)
    told = f"{duration(load.moved_ms)} of movement, {duration(load.work_ms)} of it work"
    return f"{told} in intervals."


def _notes(checked: Checked) -> str:
    notes = sum(
        finding.severity is Severity.NOTE and not finding.acknowledged
        for finding in checked.findings
    )
    answered = sum(finding.acknowledged for finding in checked.findings)
    told = [f"{notes} notes" if notes > 1 else "1 note"] if notes else []
    told += [f"{answered} acknowledged"] if answered else []
    return f" Review: {', '.join(told)}." if told else ""
