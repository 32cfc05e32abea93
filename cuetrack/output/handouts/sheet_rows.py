"""The rows of a run sheet: when, what, how, with what, and what the voice says.

A movement is a row; its sides stand in it with the times at which they change. A
rest, recovery break or introduction is a row. What the voice says there is what
placement chose, so that the sheet and the track agree word for word.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

from cuetrack.cuekinds import Printed
from cuetrack.cues.model import MOVING, SegmentKind
from cuetrack.cues.timeline import activities
from cuetrack.documents.names import movement_key
from cuetrack.languages.phrases import sentence
from cuetrack.output.handouts.sheet_text import apart, capital, short_length, shown
from cuetrack.plan.model import Coaching
from cuetrack.times import clock

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from cuetrack.cues.model import PlacedCue, PlacedSheet, Segment
    from cuetrack.languages.phrases import Phrases
    from cuetrack.plan.model import Movement, Plan

MOST_LETTERS_TOGETHER = 700
"""A row with more letters than this may be parted between two pages."""


class Weight(StrEnum):
    """How a row stands out, in print without colour."""

    MOVE = "move"
    """A movement is done: a large name and a thick bar."""
    EASY = "easy"
    """A recovery break: a large name and a thin bar."""
    STILL = "still"
    """A rest, or something is said: neither."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RowNote:
    """A line of a row: a bold label, a text, and whether it is set in a frame."""

    text: str
    label: str | None = None
    framed: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetRow:
    """What happens from ``start`` until ``end``."""

    section: int
    round_title: str | None
    weight: Weight
    start: str
    end: str
    length: str
    name: str
    notes: tuple[RowNote, ...]

    @property
    def is_long(self) -> bool:
        """Whether the row may be parted between two pages."""
        letters = sum(len(note.text) for note in self.notes)
        return letters + len(self.name) > MOST_LETTERS_TOGETHER


def things_used(
    bring: tuple[str, ...], segments: Sequence[Segment], phrases: Phrases
) -> tuple[str, ...]:
    """Return what the plan says to bring, then equipment it uses but does not name."""
    keys = [movement_key(thing) for thing in bring]
    used = (s.movement.equipment for s in segments if s.movement)
    missing = (
        thing
        for thing in used
        if thing
        and not any(movement_key(phrases.without_article(thing)) in key for key in keys)
    )
    return tuple(dict.fromkeys([*bring, *missing]))


def rows_of(plan: Plan, placed: PlacedSheet, phrases: Phrases) -> tuple[SheetRow, ...]:
    """Return the rows of a class in order."""
    runs = activities(placed.sheet.timeline.segments)
    writer = _RowWriter(plan, placed, phrases, runs)
    return tuple(writer.row(index) for index in range(len(runs)))


Run = tuple["Segment", ...]
"""The segments of one row: all sides of a movement, else a single one."""


class _RowWriter:
    """Writes one row after the other, with what they share looked up once."""

    def __init__(
        self, plan: Plan, placed: PlacedSheet, phrases: Phrases, runs: Sequence[Run]
    ) -> None:
        self._plan = plan
        self._phrases = phrases
        self._runs = runs
        self._said = _said_by_segment(placed)
        self._equipment = _equipment_by_run(runs)
        self._first_runs = _first_runs(runs)

    def row(self, index: int) -> SheetRow:
        run = self._runs[index]
        first = run[0]
        length_ms = run[-1].end_ms - first.start_ms
        return SheetRow(
            section=first.section,
            round_title=self._round_title(first),
            weight=_weight(first.kind),
            start=clock(first.start_ms),
            end=clock(run[-1].end_ms),
            length=short_length(length_ms, self._phrases),
            name=self._name(first),
            notes=tuple(self._notes(index)),
        )

    def _round_title(self, segment: Segment) -> str | None:
        if segment.round is None or segment.round_count in {None, 1}:
            return None
        return self._phrases.on_sheet(
            "round", round=str(segment.round), rounds=str(segment.round_count)
        )

    def _name(self, segment: Segment) -> str:
        sheet = self._phrases.sheet
        if segment.kind is SegmentKind.REST:
            return sheet["rest"]
        if segment.kind is SegmentKind.OPENING:
            return sheet["get ready"]
        if segment.movement is None:
            return apart(capital(shown(segment.section_title)))
        name = shown(segment.movement.name)
        if segment.kind is SegmentKind.RECOVERY:
            return self._phrases.on_sheet("recovery", movement=apart(name))
        return apart(capital(name))

    def _notes(self, index: int) -> Iterator[RowNote]:
        run = self._runs[index]
        yield from self._equipment_notes(index)
        if len(run) > 1:
            yield self._sides(run)
        movement = run[0].movement
        if movement is not None:
            again = self._first_runs[_likeness(movement)] != index
            yield from self._movement_notes(movement, again=again)
        if run[0].kind in {SegmentKind.WELCOME, SegmentKind.CLOSE}:
            yield from self._leader_notes(run[0])
        yield from self._voice_notes(run)

    def _equipment_notes(self, index: int) -> Iterator[RowNote]:
        for label, thing in self._equipment.get(index, ()):
            yield RowNote(
                label=self._phrases.sheet[label],
                text=apart(shown(self._phrases.without_article(thing))),
                framed=True,
            )

    def _sides(self, run: Run) -> RowNote:
        parts = tuple(
            self._phrases.on_sheet(
                "side at",
                side=apart(shown(segment.side or "")),
                time=clock(segment.start_ms),
            )
            for segment in run
        )
        text = capital(self._joined(parts))
        return RowNote(label=self._phrases.sheet["sides"], text=text)

    def _joined(self, parts: tuple[str, ...]) -> str:
        text = parts[0]
        for part in parts[1:]:
            text = self._phrases.piece("comma", first=text, second=part)
        return text

    def _movement_notes(self, movement: Movement, *, again: bool) -> Iterator[RowNote]:
        """Explain a movement fully the first time, then in brief."""
        how = movement.told_short if again else movement.told
        if how:
            yield RowNote(text=_sentence(how))
        if movement.caution:
            yield self._labelled("take care", movement.caution)
        if movement.easier:
            yield self._labelled("easier", movement.easier)
        if movement.harder and not again:
            yield self._labelled("harder", movement.harder)

    def _labelled(self, label: str, text: str) -> RowNote:
        return RowNote(label=self._phrases.sheet[label], text=_sentence(text))

    def _leader_notes(self, segment: Segment) -> Iterator[RowNote]:
        """Say what is the leader's to say where the voice gives only the clock."""
        if self._plan.coaching is not Coaching.CLOCK:
            return
        says = self._plan.sections[segment.section].says
        own = "own close" if segment.kind is SegmentKind.CLOSE else "own welcome"
        words = " ".join(map(sentence, says))
        text = self._quoted(words) if words else self._phrases.sheet[own]
        yield RowNote(label=self._phrases.sheet["you"], text=text)

    def _voice_notes(self, run: Run) -> Iterator[RowNote]:
        said = [cue for segment in run for cue in self._said.get(segment.id, ())]
        changes = [cue for cue in said if cue.cue.kind.printed is Printed.IN_TURN]
        texts = [cue.wording.text for cue in changes]
        if run[0].kind not in {SegmentKind.WELCOME, SegmentKind.CLOSE}:
            texts = [" ".join(texts)] if texts else []
        for number, text in enumerate(texts):
            label = None if number else self._phrases.sheet["voice"]
            yield RowNote(label=label, text=self._quoted(text))
        for cue in said:
            if cue.cue.kind.printed is Printed.WITH_TIME:
                label = self._phrases.on_sheet("voice at", time=clock(cue.start_ms))
                yield RowNote(label=label, text=self._quoted(cue.wording.text))

    def _quoted(self, text: str) -> str:
        return self._phrases.on_sheet("quote", text=apart(shown(text)))


def _sentence(text: str) -> str:
    return apart(sentence(shown(text)))


def _weight(kind: SegmentKind) -> Weight:
    if kind in MOVING:
        return Weight.MOVE
    return Weight.EASY if kind is SegmentKind.RECOVERY else Weight.STILL


def _likeness(movement: Movement) -> tuple[str, str | None]:
    return movement.name, movement.told


def _first_runs(runs: Sequence[Run]) -> Mapping[tuple[str, str | None], int]:
    """Return where each movement is done for the first time."""
    first: dict[tuple[str, str | None], int] = {}
    for index, run in enumerate(runs):
        if run[0].movement is not None:
            first.setdefault(_likeness(run[0].movement), index)
    return first


def _said_by_segment(placed: PlacedSheet) -> Mapping[str, list[PlacedCue]]:
    said: dict[str, list[PlacedCue]] = {}
    for cue in sorted(placed.placed, key=lambda cue: cue.start_ms):
        said.setdefault(cue.cue.segment, []).append(cue)
    return said


def _equipment_by_run(
    runs: Sequence[Run],
) -> Mapping[int, list[tuple[str, str]]]:
    """Return what is picked up and put down in each row.

    Things are picked up in the pause before the movement that needs them, where
    there is one, and put down as soon as they are not needed.
    """
    changes: dict[int, list[tuple[str, str]]] = {}
    held: str | None = None
    for index, run in enumerate(runs):
        needed = _in_hands(run[0], held)
        paused = index > 0 and runs[index - 1][0].kind not in MOVING
        if held is not None and needed != held:
            changes.setdefault(index, []).append(("put down", held))
        if needed is not None and needed != held:
            changes.setdefault(index - paused, []).append(("pick up", needed))
        if needed is not None and run[0].kind in MOVING:
            changes.setdefault(index, []).append(("in hands", needed))
        held = needed
    return {index: _told_once(found) for index, found in changes.items()}


def _told_once(changes: list[tuple[str, str]]) -> list[tuple[str, str]]:
    """Leave out what is in the hands where the same row says to pick it up."""
    picked_up = {thing for label, thing in changes if label == "pick up"}
    return [
        (label, thing)
        for label, thing in changes
        if label != "in hands" or thing not in picked_up
    ]


def _in_hands(segment: Segment, held: str | None) -> str | None:
    if segment.kind in MOVING and segment.movement is not None:
        return segment.movement.equipment
    following = segment.next_movement
    stays = following is not None and following.equipment == held
    return held if segment.kind is SegmentKind.REST and stays else None
