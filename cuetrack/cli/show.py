"""What a person sees of a class on the terminal.

Everything is text first: no state is told by colour alone, and the same lines
come out, without colour, when the output goes to a file.
"""

from __future__ import annotations

import math
from itertools import groupby
from typing import TYPE_CHECKING

from rich.console import Console, RenderHook
from rich.padding import Padding
from rich.segment import Segment as ScreenSegment
from rich.table import Column, Table
from rich.text import Text

from cuetrack.cli.plain import without_controls
from cuetrack.cues.model import Segment, SegmentKind
from cuetrack.times import clock, duration

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from rich.console import ConsoleOptions, ConsoleRenderable, RenderResult

    from cuetrack.cues.model import PlacedSheet, Timeline
    from cuetrack.pipeline.own_sentences import MovedSentence
    from cuetrack.plan.model import Intervals, Plan
    from cuetrack.sound.hearing_report import HearingReport

NARROWEST = 60
BARS = {
    SegmentKind.WORK: "█",
    SegmentKind.MOVE: "▓",
    SegmentKind.RECOVERY: "▒",
    SegmentKind.REST: "░",
}


class _PlainHook(RenderHook):
    """Has everything that is printed shown without control characters."""

    def process_renderables(
        self, renderables: list[ConsoleRenderable]
    ) -> list[ConsoleRenderable]:
        return [_Plain(one) for one in renderables]


class _Plain:
    """Anything shown on a screen, its text without control characters."""

    def __init__(self, shown: ConsoleRenderable) -> None:
        self._shown = shown

    def __rich_console__(
        self, screen: Console, options: ConsoleOptions
    ) -> RenderResult:
        for part in screen.render(self._shown, options):
            if part.control:
                yield part
            else:
                yield ScreenSegment(without_controls(part.text), part.style)


def console(*, stderr: bool = False) -> Console:
    """Return the console everything is shown on; wide enough when piped.

    Text is shown as it was written: no brackets, codes or control characters in it
    mean anything.
    """
    screen = Console(markup=False, emoji=False, highlight=False, stderr=stderr)
    screen.push_render_hook(_PlainHook())
    if not screen.is_terminal:
        screen.width = 100
    return screen


def headed(*headings: str | Column) -> Table:
    """Return a table without lines, and without rows yet, under some headings."""
    return Table(*headings, box=None, pad_edge=False, header_style="bold")


def figures(heading: str) -> Column:
    """Return a column of figures, which stand to the right."""
    return Column(heading, justify="right")


def show_class(screen: Console, plan: Plan, timeline: Timeline) -> None:
    """Show the class at a glance: a strip of its segments, its sections."""
    show_strip(screen, timeline, max(NARROWEST, min(screen.width, 100)) - 2)
    screen.print()
    table = headed(figures("starts"), figures("lasts"), "section", "what happens")
    for section, run in by_section(timeline):
        first, last = run[0], run[-1]
        table.add_row(
            clock(first.start_ms),
            clock(last.end_ms - first.start_ms),
            first.section_title,
            Text(what_happens(plan.sections[section].intervals, run)),
        )
    screen.print(table)


def show_strip(screen: Console, timeline: Timeline, width: int) -> None:
    """Show the class as one line of blocks, and what each kind of block stands for."""
    screen.print(strip(timeline, width))
    screen.print("█ work  ▓ movement  ░ rest  ▒ recovery  · talk", style="dim")


def by_section(timeline: Timeline) -> list[tuple[int, list[Segment]]]:
    """Return the segments of each section, with the section's index."""
    runs = groupby(timeline.segments, key=lambda segment: segment.section)
    return [(section, list(run)) for section, run in runs]


def strip(timeline: Timeline, width: int) -> Text:
    """Return the class as one line of blocks, its width in proportion to time."""
    total_ms = max(timeline.end_ms, 1)
    line = Text()
    segments = iter(timeline.segments)
    segment = next(segments)
    for column in range(width):
        middle_ms = (2 * column + 1) * total_ms // (2 * width)
        while segment.end_ms <= middle_ms:
            segment = next(segments)
        line.append(BARS.get(segment.kind, "·"))
    return line


def _times_differ(intervals: Intervals) -> bool:
    return any(change.work_ms or change.rest_ms for change in intervals.in_rounds)


def what_happens(intervals: Intervals | None, run: Sequence[Segment]) -> str:
    """Return the movements of a section, and its clock when it has one."""
    named = dict.fromkeys(
        segment.movement.name
        for segment in run
        if segment.movement and segment.kind is not SegmentKind.RECOVERY
    )
    names = ", ".join(named)
    if intervals is None:
        return names
    rounds = f"{intervals.rounds} rounds" if intervals.rounds > 1 else "1 round"
    otherwise = " (not in every round)" if _times_differ(intervals) else ""
    return (
        f"{rounds} of {len(named)}, {duration(intervals.work_ms)} work / "
        f"{duration(intervals.rest_ms)} rest{otherwise}: {names}"
    )


def show_losses(screen: Console, placed: PlacedSheet) -> None:
    """Show which cues were shortened and which are not said, and why."""
    screen.print()
    screen.print(losses_line(placed))
    _show_timed(
        screen,
        "Said in fewer words",
        [(p.start_ms, p.wording.text, p.reason) for p in placed.placed if p.reason],
    )
    _show_timed(
        screen,
        "Left out",
        [
            (left.cue.window_start_ms, left.cue.wordings[0].text, left.reason)
            for left in placed.left_out
        ],
    )


def show_moved(screen: Console, moved: Iterable[MovedSentence]) -> None:
    """Show which of the leader's own sentences are said at another time."""
    rows = []
    for each in moved:
        way = "later" if each.moved_ms > 0 else "sooner"
        told = f"line {each.line}: {abs(each.moved_ms) / 1000:.1f} s {way}"
        rows.append((each.said.start_ms, each.said.wording.text, told))
    _show_timed(screen, "Your own sentences, said at another time", rows)


def _show_timed(
    screen: Console, title: str, rows: Sequence[tuple[int, str, str]]
) -> None:
    """Show when, what and why under a heading, unless there is nothing to show."""
    if not rows:
        return
    table = Table(
        Column(justify="right"), "", "", box=None, pad_edge=False, show_header=False
    )
    for at_ms, what, why in rows:
        table.add_row(clock(at_ms), Text(what), Text(why))
    screen.print()
    screen.print(title, style="bold")
    screen.print(table)


def losses_line(placed: PlacedSheet) -> str:
    """Return how much is said, in fewer words, and not at all."""
    shortened = sum(cue.reason is not None for cue in placed.placed)
    return (
        f"{len(placed.placed)} cues are said, {shortened} of them in fewer words; "
        f"{len(placed.left_out)} left out."
    )


def show_lines(screen: Console, lines: Iterable[str]) -> None:
    """Show lines of plain text, what is indented kept so when it is wrapped."""
    screen.print()
    for line in lines:
        indent = len(line) - len(line.lstrip())
        screen.print(Padding(Text(line.strip()), (0, 0, 0, indent)))


def show_titled(screen: Console, title: str, lines: Iterable[str]) -> None:
    """Show lines of plain text under a heading, each set in and kept so."""
    screen.print()
    screen.print(title, style="bold")
    for line in lines:
        screen.print(Padding(Text(line), (0, 0, 0, 2)))


def show_hearing(screen: Console, hearing: HearingReport) -> None:
    """Show a row per cue: clarity in points of 100, and what the music does to it."""
    heads = ("in quiet", "in the mix", "music lowered", "voice over music")
    table = headed("cue", *map(figures, heads), "advice")
    for row in hearing.rows:
        over = row.separation_lu
        table.add_row(
            Text(row.text),
            f"{row.sii_quiet * 100:.0f}",
            f"{row.sii_mix * 100:.0f}",
            "" if over is None else f"{row.depth_db:.1f} dB",
            "" if over is None or math.isinf(over) else f"{over:.1f} LU",
            row.advice,
        )
    screen.print()
    screen.print(table)
