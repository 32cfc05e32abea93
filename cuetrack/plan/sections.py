"""Sections put together from what was read, with their defaults and checks."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from cuetrack.documents.problems import shown
from cuetrack.plan.blocks import BlockValue
from cuetrack.plan.defaults import (
    DEFAULT_BREAK_MS,
    DEFAULT_CLOSE_MS,
    DEFAULT_TOTAL_MS,
    DEFAULT_WELCOME_MS,
    LAST_WORDS_MS,
    SAFETY_OPENING_MS,
    SECOND,
    SHORTEST_REST_MS,
    SHORTEST_WORK_MS,
)
from cuetrack.plan.fields import INTERVALS, PLAIN, TALK
from cuetrack.plan.lengths import section_length_ms, share_out
from cuetrack.plan.model import (
    CountFrom,
    FreeCue,
    Intervals,
    Movement,
    Music,
    RecoveryBreak,
    Section,
    SectionKind,
)
from cuetrack.plan.movements import (
    Library,
    build_movement,
    check_sides,
    easy_movement,
)
from cuetrack.plan.values import UNREAD
from cuetrack.times import duration

if TYPE_CHECKING:
    from cuetrack.documents.places import Place
    from cuetrack.documents.problems import Problems
    from cuetrack.languages.phrases import Phrases
    from cuetrack.plan.blocks import SectionValue
    from cuetrack.plan.model import Coaching
    from cuetrack.plan.musicfiles import MusicBuilder
    from cuetrack.plan.shapes import Table

_TALKS = frozenset({SectionKind.WELCOME, SectionKind.CLOSE})
_TIME_KEYS = (
    "for",
    "work",
    "rest",
    "rounds",
    "between rounds",
    "opening",
    "movements",
    "break after last",
)
_SHARE_WITHOUT_TOTAL_MS = 30 * SECOND
_SMALLEST_DEFAULT_SHARE_MS = 20 * SECOND


@dataclass(frozen=True, slots=True)
class _Told:
    """A movement with what the plan wrote of it."""

    movement: Movement
    value: BlockValue


class SectionBuilder:
    """Puts sections together; what is missing or wrong goes to the problems."""

    def __init__(
        self,
        problems: Problems,
        library: Library,
        music: MusicBuilder,
        coaching: Coaching,
        words: Phrases,
    ) -> None:
        self._problems = problems
        self._library = library
        self._music = music
        self._coaching = coaching
        self._words = words

    def build(
        self, written: SectionValue, *, opens_class: bool = False
    ) -> Section | None:
        """Return the section, None when it was refused or is not wanted.

        One that opens the class holds the safety words: its opening is longer.
        """
        if written.value is UNREAD:
            return None
        if written.kind in _TALKS:
            return self._talk(written)
        if written.kind is SectionKind.INTERVALS:
            return self._intervals(written, opens_class=opens_class)
        return self._plain(written, opens_class=opens_class)

    def default_talk(self, kind: SectionKind) -> Section:
        """Return the welcome or close of a plan that does not mention it."""
        return Section(
            kind=kind,
            title=self._words.sections[kind],
            duration_ms=self._talk_ms(kind),
        )

    def _talk_ms(self, kind: SectionKind) -> int:
        if kind is SectionKind.WELCOME:
            return DEFAULT_WELCOME_MS[self._coaching]
        return DEFAULT_CLOSE_MS

    def _talk(self, written: SectionValue) -> Section | None:
        if written.value == 0:
            return self._unwanted(written)
        block = _as_block(written, TALK)
        return replace(
            self._frame(written.kind, block, written.place),
            duration_ms=block.get("for") or self._talk_ms(written.kind),
            says=block.get("say") or (),
        )

    def _unwanted(self, written: SectionValue) -> Section | None:
        """Return what a talk that is not wanted leaves: of a close, the last words."""
        if written.kind is SectionKind.WELCOME:
            return None
        return Section(
            kind=written.kind,
            title=self._words.sections[written.kind],
            duration_ms=LAST_WORDS_MS,
            place=written.place,
        )

    def _frame(self, kind: SectionKind, block: BlockValue, place: Place) -> Section:
        music = self._music.build(block.get("music"), block.place_of("music"))
        if music is None and "music" in block.said:
            music = Music(place=block.place_of("music"))
        return Section(
            kind=kind,
            title=block.get("title") or self._words.sections[kind],
            music=music,
            place=place,
        )

    def _plain(self, written: SectionValue, *, opens_class: bool) -> Section | None:
        block = _as_block(written, PLAIN)
        told = self._movements(block)
        if not told and written.kind is SectionKind.RECOVERY:
            if block.wrote("movements"):
                return None
            easy = self._easy()
            total_ms = block.get("for") or DEFAULT_TOTAL_MS[written.kind]
            movements: tuple[Movement, ...] = (replace(easy, duration_ms=total_ms),)
        else:
            self._need_movements(told, block, written.place)
            if not told:
                return None
            movements = self._timed(told, block, DEFAULT_TOTAL_MS[written.kind])
        section = replace(
            self._frame(written.kind, block, written.place),
            opening_ms=_opening_ms(block, opens_class=opens_class),
            movements=movements,
        )
        return self._with_cues(section, block)

    def _intervals(self, written: SectionValue, *, opens_class: bool) -> Section | None:
        block = _as_block(written, INTERVALS)
        told = self._movements(block)
        self._need_movements(told, block, written.place)
        clock = Intervals(
            work_ms=block.get("work"),
            rest_ms=block.get("rest"),
            rounds=block.get("rounds"),
            between_rounds=self._break(block),
            break_after_last=block.get("break after last"),
        )
        for one in told:
            self._check_work(one, block, clock.work_ms)
        section = replace(
            self._frame(written.kind, block, written.place),
            opening_ms=_opening_ms(block, opens_class=opens_class),
            movements=tuple(one.movement for one in told),
            intervals=clock,
        )
        return self._with_cues(section, block)

    def _check_work(self, one: _Told, block: BlockValue, usual_ms: int) -> None:
        own_ms = one.movement.duration_ms
        if own_ms is not None and own_ms < SHORTEST_WORK_MS:
            what = f"{shown(one.movement.name)} is {duration(own_ms)}"
            what += ", which is too short: its countdown must fit."
            remedy = f"Make it at least {duration(SHORTEST_WORK_MS)}."
            self._problems.add(one.value.place_of("for"), what, remedy)
        elif not (one.value.misread(("for",)) or block.misread(("work",))):
            work_ms = usual_ms if own_ms is None else own_ms
            check_sides(one.movement, work_ms, one.value, self._problems)

    def _easy(self) -> Movement:
        return easy_movement(self._words, self._library)

    def _break(self, block: BlockValue) -> RecoveryBreak | None:
        value: Any = block.get("between rounds")
        if value == 0:
            return None
        if value is None:
            wanted = block.get("rounds") > 1 or block.get("break after last")
            length_ms = DEFAULT_BREAK_MS
            return (
                RecoveryBreak(duration_ms=length_ms, movement=self._easy())
                if wanted
                else None
            )
        if not isinstance(value, BlockValue):
            return RecoveryBreak(duration_ms=value, movement=self._easy())
        doing = value.get("with")
        movement = build_movement(doing, self._library) if doing else None
        return RecoveryBreak(
            duration_ms=value.get("for"), movement=movement or self._easy()
        )

    def _movements(self, block: BlockValue) -> tuple[_Told, ...]:
        values = (v for v in block.get("movements") or () if v is not UNREAD)
        built = ((build_movement(value, self._library), value) for value in values)
        return tuple(_Told(movement, value) for movement, value in built if movement)

    def _need_movements(
        self, told: tuple[_Told, ...], block: BlockValue, place: Place
    ) -> None:
        if not told and not block.wrote("movements"):
            what = f"There are no movements in this {block.table.under} section."
            self._problems.add(
                place, what, "Add movements: [NAME, NAME], or take the section out."
            )

    def _timed(
        self, told: tuple[_Told, ...], block: BlockValue, usual_ms: int
    ) -> tuple[Movement, ...]:
        """Return the movements of a plain section, each with its own time."""
        for one in told:
            if one.value.wrote("rest"):
                what = "A rest stands in a section that runs without rests."
                remedy = "Take it out, or add an easy movement in its place."
                self._problems.add(one.value.place_of("rest"), what, remedy)
        silent = sum(not one.value.wrote("for") for one in told)
        stated_ms = sum(one.movement.duration_ms or 0 for one in told)
        total_ms = block.get("for")
        if total_ms is None:
            total_ms = _usual_total(stated_ms, silent, usual_ms)
        elif _times_known(block):
            self._check_total(total_ms, stated_ms, silent, block.place_of("for"))
        left_ms = max(total_ms - stated_ms, silent * SHORTEST_REST_MS)
        shares = iter(share_out(left_ms, silent or 1))
        timed = []
        for one in told:
            own_ms = one.movement.duration_ms
            if not one.value.wrote("for"):
                own_ms = next(shares)
            if own_ms is not None and not block.misread(("for",)):
                check_sides(one.movement, own_ms, one.value, self._problems)
            timed.append(replace(one.movement, duration_ms=own_ms, rest_ms=None))
        return tuple(timed)

    def _check_total(
        self, total_ms: int, stated_ms: int, silent: int, place: Place
    ) -> None:
        left_ms = total_ms - stated_ms
        if not silent and left_ms:
            what = f"The movements add up to {duration(stated_ms)}, "
            what += f"and the section says {duration(total_ms)}."
            self._problems.add(
                place, what, "Make the two agree, or take this time out."
            )
        elif silent and left_ms < silent * SHORTEST_REST_MS:
            left = duration(left_ms) if left_ms > 0 else "no time"
            what = f"Of {duration(total_ms)} the movements with a time of their own "
            what += f"leave {left} for {silent} more."
            remedy = f"Make it longer; each needs {duration(SHORTEST_REST_MS)} or more."
            self._problems.add(place, what, remedy)

    def _with_cues(self, section: Section, block: BlockValue) -> Section:
        """Add the free cues, each checked to lie within the section."""
        length_ms = section_length_ms(section)
        cues = []
        for value in block.get("cues") or ():
            if value is UNREAD or "say" not in value.said or "at" not in value.said:
                continue
            moment = value.get("at")
            cue = FreeCue(
                text=value.get("say"),
                offset_ms=moment.offset_ms,
                count_from=moment.count_from,
                place=value.place,
            )
            if _times_known(block) and not _lies_within(cue, length_ms):
                what = "This cue lies outside its section"
                what += f", which is {duration(length_ms)} long."
                remedy = "Name a moment that lies within it."
                self._problems.add(value.place_of("at"), what, remedy)
            cues.append(cue)
        return replace(section, free_cues=tuple(cues))


def _opening_ms(block: BlockValue, *, opens_class: bool) -> int:
    if opens_class and not block.wrote("opening"):
        return SAFETY_OPENING_MS
    opening_ms: int = block.get("opening")
    return opening_ms


def _times_known(block: BlockValue) -> bool:
    """Return whether every time in a section could be read, to build checks on."""
    items = block.get("movements") or ()
    return not block.misread(_TIME_KEYS) and not any(
        item is UNREAD or item.misread(_TIME_KEYS) for item in items
    )


def _lies_within(cue: FreeCue, length_ms: int) -> bool:
    match cue.count_from:
        case CountFrom.START:
            return cue.offset_ms < length_ms
        case CountFrom.HALFWAY:
            return cue.offset_ms < length_ms - length_ms // 2
        case CountFrom.END:
            return 0 < cue.offset_ms <= length_ms


def _usual_total(stated_ms: int, silent: int, usual_ms: int) -> int:
    """Return the time of a section that names none."""
    if usual_ms - stated_ms >= silent * _SMALLEST_DEFAULT_SHARE_MS:
        return usual_ms
    return stated_ms + silent * _SHARE_WITHOUT_TOTAL_MS


def _as_block(written: SectionValue, table: Table) -> BlockValue:
    """Return a section's value as keys, whichever shorter form was written."""
    value = written.value
    if isinstance(value, BlockValue):
        return value
    key = "for" if isinstance(value, int) else "movements"
    return BlockValue(
        table=table,
        place=written.place,
        said={key: value},
        keys={key: written.place},
        places={key: written.place},
    )
