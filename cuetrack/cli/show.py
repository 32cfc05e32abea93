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
from rich.table import Table
from rich.text import Text

from cuetrack.cli.plain import without_controls
from cuetrack.cues.model import Segment, SegmentKind
from cuetrack.times import clock, duration

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from rich.console import ConsoleOptions, ConsoleRenderable, RenderResult

    from cuetrack.cues.model import LeftOut, PlacedCue, PlacedSheet, Timeline
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


def show_class(screen: Console, plan: Plan, timeline: Timeline) -> None:
    """Show the class at a glance: a strip of its segments, its sections."""
    show_strip(screen, timeline, max(NARROWEST, min(screen.width, 100)) - 2)
    screen.print()
    table = Table(box=None, pad_edge=False, header_style="bold")
    table.add_column("starts", justify="right")
    table.add_column("lasts", justify="right")
    table.add_column("section")
    table.add_column("what happens")
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
    shortened = [cue for cue in placed.placed if cue.reason]
    screen.print()
    screen.print(losses_line(placed))
    if shortened:
        screen.print()
        screen.print("Said in fewer words", style="bold")
        screen.print(shortened_table(shortened))
    if placed.left_out:
        screen.print()
        screen.print("Left out", style="bold")
        screen.print(left_out_table(placed.left_out))


def show_moved(screen: Console, moved: Sequence[MovedSentence]) -> None:
    """Show which of the leader's own sentences are said at another time."""
    if not moved:
        return
    table = Table(box=None, pad_edge=False, show_header=False)
    table.add_column(justify="right")
    table.add_column()
    table.add_column()
    for each in moved:
        way = "later" if each.moved_ms > 0 else "sooner"
        told = f"line {each.line}: {abs(each.moved_ms) / 1000:.1f} s {way}"
        row = clock(each.said.start_ms), Text(each.said.wording.text), Text(told)
        table.add_row(*row)
    screen.print()
    screen.print("Your own sentences, said at another time", style="bold")
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
    table = Table(box=None, pad_edge=False, header_style="bold")
    table.add_column("cue")
    for head in ("in quiet", "in the mix", "music lowered", "voice over music"):
        table.add_column(head, justify="right")
    table.add_column("advice")
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


def shortened_table(cues: Iterable[PlacedCue]) -> Table:
    """Return a row per shortened cue: when, what is said, why."""
    table = Table(box=None, pad_edge=False, show_header=False)
    table.add_column(justify="right")
    table.add_column()
    table.add_column()
    for cue in cues:
        table.add_row(clock(cue.start_ms), cue.wording.text, Text(cue.reason or ""))
    return table


def left_out_table(cues: Iterable[LeftOut]) -> Table:
    """Return a row per cue that is not said: where, what, why."""
    table = Table(box=None, pad_edge=False, show_header=False)
    table.add_column(justify="right")
    table.add_column()
    table.add_column()
    for item in cues:
        table.add_row(
            clock(item.cue.window_start_ms),
            Text(item.cue.wordings[0].text),
            Text(item.reason),
        )
    return table
