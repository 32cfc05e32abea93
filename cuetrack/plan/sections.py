"""Sections as read made whole: words of the library, defaults, times, and checks."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from cuetrack.documents.problems import shown
from cuetrack.movements.known import easy_movement
from cuetrack.movements.model import SHORTEST_REST_MS
from cuetrack.plan.defaults import (
    DEFAULT_CLOSE_MS,
    DEFAULT_TOTAL_MS,
    DEFAULT_WELCOME_MS,
    INTERVALS_OPENING_MS,
    LAST_WORDS_MS,
    OPENING_MS,
    SAFETY_OPENING_MS,
)
from cuetrack.plan.lengths import section_length_ms, share_out
from cuetrack.plan.moments import CountFrom
from cuetrack.plan.musicfiles import found_music
from cuetrack.plan.parts import SHORTEST_WORK_MS, Intervals, RecoveryBreak, Section
from cuetrack.plan.refusals import PlanRefusal
from cuetrack.plan.rounds import rounds_of
from cuetrack.plan.words import TALKS, Coaching, SectionKind
from cuetrack.times import SECOND_MS, duration

if TYPE_CHECKING:
    from pathlib import Path

    from cuetrack.documents.problems import Problems
    from cuetrack.languages.phrases import Phrases
    from cuetrack.movements.known import Library
    from cuetrack.movements.model import Movement
    from cuetrack.plan.parts import FreeCue

_MOVEMENT_TIMES = ("duration_ms", "rest_ms", "hold_ms")
_SECTION_TIMES = ("stated_ms", "opening_ms", "movements")
_CLOCK_TIMES = (
    "work_ms",
    "rest_ms",
    "rounds",
    "between_rounds",
    "break_after_last",
    "in_rounds",
)
_SHARE_WITHOUT_TOTAL_MS = 30 * SECOND_MS
_SMALLEST_DEFAULT_SHARE_MS = 20 * SECOND_MS


@dataclass(frozen=True, slots=True, kw_only=True)
class SectionPasses:
    """What makes sections whole; what is missing or wrong goes to the problems."""

    problems: Problems
    library: Library
    folder: Path | None
    coaching: Coaching
    words: Phrases

    def whole(self, said: Section, *, opens_class: bool = False) -> Section | None:
        """Return the section, None when it was refused or is not wanted.

        One that opens the class holds the safety words: its opening is longer.
        """
        told = replace(
            said,
            title=said.title or self.words.sections[said.kind],
            music=found_music(said.music, self.folder, self.problems),
            movements=tuple(map(self._filled, said.movements)),
        )
        if said.kind in TALKS:
            return self._talk(told)
        if not said.wrote("opening_ms"):
            usual_ms = INTERVALS_OPENING_MS if said.intervals else OPENING_MS
            told = replace(
                told, opening_ms=SAFETY_OPENING_MS if opens_class else usual_ms
            )
        whole = self._timed(told) if said.intervals is None else self._clocked(told)
        if whole:
            self._check_cues(whole)
        return whole

    def talk_ms(self, kind: SectionKind) -> int:
        """Return how long a welcome or close is that does not say."""
        if kind is SectionKind.WELCOME:
            return DEFAULT_WELCOME_MS[self.coaching]
        return DEFAULT_CLOSE_MS

    def default_talk(self, kind: SectionKind) -> Section:
        """Return the welcome or close of a plan that does not mention it."""
        title = self.words.sections[kind]
        return Section(kind=kind, title=title, duration_ms=self.talk_ms(kind))

    def _talk(self, told: Section) -> Section | None:
        if told.duration_ms != 0:
            length_ms = told.duration_ms or self.talk_ms(told.kind)
            return replace(told, duration_ms=length_ms)
        if told.kind is SectionKind.WELCOME:
            return None
        # Of a close that is not wanted the last words stay.
        return replace(told, duration_ms=LAST_WORDS_MS)

    def _filled(self, said: Movement) -> Movement:
        """Return a movement in the words of library and language, a hold as time."""
        known = self.library.filled(said)
        names = self.words.side_names
        sides = tuple(names.get(side, side) for side in known.sides)
        known = replace(known, sides=sides)
        if not said.wrote("hold_ms") or not said.hold_ms or said.wrote("duration_ms"):
            return known
        return replace(known, duration_ms=said.hold_ms * max(1, len(known.sides)))

    def _easy(self) -> Movement:
        return easy_movement(self.words.easy_movement, self.library)

    # --- sections without intervals -------------------------------------------------

    def _timed(self, told: Section) -> Section | None:
        """Return a plain section whose movements have their times."""
        if not told.movements and told.kind is SectionKind.RECOVERY:
            if told.wrote("movements"):
                return None
            total_ms = told.stated_ms or DEFAULT_TOTAL_MS[told.kind]
            return replace(
                told, movements=(replace(self._easy(), duration_ms=total_ms),)
            )
        self._need_movements(told)
        if not told.movements:
            return None
        for one in told.movements:
            if one.wrote("rest_ms"):
                what = "A rest stands in a section that runs without rests."
                remedy = "Take it out, or add an easy movement in its place."
                rule = PlanRefusal.REST_WITHOUT_ROUNDS
                self.problems.add(one.place_of("rest_ms"), what, remedy, rule)
        silent = [one for one in told.movements if not _states_time(one)]
        left_ms = max(
            self._total_ms(told, len(silent)) - _stated_ms(told),
            len(silent) * SHORTEST_REST_MS,
        )
        shares = iter(share_out(left_ms, len(silent) or 1))
        timed = []
        for one in told.movements:
            own_ms = one.duration_ms if _states_time(one) else next(shares)
            if own_ms is not None and not told.misread("stated_ms"):
                self._check_sides(one, own_ms)
            timed.append(replace(one, duration_ms=own_ms, rest_ms=None))
        return replace(told, movements=tuple(timed))

    def _total_ms(self, told: Section, silent: int) -> int:
        """Return the time of all movements, checked against their own times."""
        stated_ms, total_ms = _stated_ms(told), told.stated_ms
        if total_ms is None:
            return usual_total_ms(told.kind, stated_ms, silent)
        left_ms = total_ms - stated_ms
        what = remedy = ""
        if not silent and left_ms:
            what = f"The movements add up to {duration(stated_ms)}, "
            what += f"and the section says {duration(total_ms)}."
            remedy = "Make the two agree, or take this time out"
            filling = "; a movement without a time of its own fills what is left."
            remedy += filling if left_ms > 0 else "."
        elif silent and left_ms < silent * SHORTEST_REST_MS:
            left = duration(left_ms) if left_ms > 0 else "no time"
            what = f"Of {duration(total_ms)} the movements with a time of their own "
            what += f"leave {left} for {silent} more."
            remedy = f"Make it longer; each needs {duration(SHORTEST_REST_MS)} or more."
        if what and _times_known(told):
            place = told.place_of("stated_ms")
            self.problems.add(place, what, remedy, PlanRefusal.TIMES_DISAGREE)
        return total_ms

    # --- intervals ------------------------------------------------------------------

    def _clocked(self, told: Section) -> Section:
        """Return an intervals section with its break, each work checked."""
        clock = told.intervals or Intervals()
        self._need_movements(told)
        for one in told.movements:
            own_ms = one.duration_ms
            if own_ms is not None and own_ms < SHORTEST_WORK_MS:
                what = f"{shown(one.name)} is {duration(own_ms)}"
                what += ", which is too short: its countdown must fit."
                remedy = f"Make it at least {duration(SHORTEST_WORK_MS)}."
                place = one.place_of("duration_ms")
                self.problems.add(place, what, remedy, PlanRefusal.WORK_TOO_SHORT)
            elif not (one.misread("duration_ms") or clock.misread("work_ms")):
                shortest_ms = min(each.work_ms for each in rounds_of(clock))
                self._check_sides(one, shortest_ms if own_ms is None else own_ms)
        self._check_rounds(clock)
        clock = replace(clock, between_rounds=self._break(clock))
        return replace(told, intervals=clock)

    def _break(self, clock: Intervals) -> RecoveryBreak | None:
        said = clock.between_rounds
        if said is None:
            wanted = clock.rounds > 1 or clock.break_after_last
            return RecoveryBreak(movement=self._easy()) if wanted else None
        if said.duration_ms == 0:
            return None
        doing = self._filled(said.movement) if said.movement.name else self._easy()
        return replace(said, movement=doing)

    # --- checks ---------------------------------------------------------------------

    def _need_movements(self, told: Section) -> None:
        if not told.movements and not told.wrote("movements"):
            part = "intervals" if told.intervals else "warm-up"
            what = f"There are no movements in this {part} section."
            remedy = "Add movements: [NAME, NAME], or take the section out."
            self.problems.add(told.place, what, remedy, PlanRefusal.NO_MOVEMENTS)

    def _check_rounds(self, clock: Intervals) -> None:
        for change in clock.in_rounds:
            if change.rounds.highest > clock.rounds and not clock.misread("rounds"):
                what = f"There is no round {change.rounds.highest}: "
                what += f"the section has {clock.rounds}."
                remedy = "Name rounds that there are, or write rounds: NUMBER."
                place = change.place_of("rounds")
                self.problems.add(place, what, remedy, PlanRefusal.ROUNDS)

    def _check_sides(self, movement: Movement, length_ms: int) -> None:
        """Tell when a side of a movement is too short for its own countdown."""
        sides = len(movement.sides)
        if sides and length_ms < sides * SHORTEST_WORK_MS:
            what = f"{shown(movement.name)} has {duration(length_ms)} for two sides"
            what += ": each side needs its own countdown."
            remedy = f"Give it at least {duration(sides * SHORTEST_WORK_MS)}"
            remedy += ", or write sides: both."
            place = movement.place_of("duration_ms")
            self.problems.add(place, what, remedy, PlanRefusal.WORK_TOO_SHORT)

    def _check_cues(self, whole: Section) -> None:
        length_ms = section_length_ms(whole)
        for cue in whole.free_cues:
            if _times_known(whole) and not _lies_within(cue, length_ms):
                what = "This cue lies outside its section"
                what += f", which is {duration(length_ms)} long."
                remedy = "Name a moment that lies within it."
                place = cue.place_of("at")
                self.problems.add(place, what, remedy, PlanRefusal.CUE_OUTSIDE)


def usual_total_ms(kind: SectionKind, stated_ms: int, silent: int) -> int:
    """Return the time of all movements of a section that says none.

    ``silent`` of them say no time of their own, the others ``stated_ms`` together.
    """
    usual_ms = DEFAULT_TOTAL_MS[kind]
    if usual_ms - stated_ms >= silent * _SMALLEST_DEFAULT_SHARE_MS:
        return usual_ms
    return stated_ms + silent * _SHARE_WITHOUT_TOTAL_MS


def _states_time(movement: Movement) -> bool:
    """Return whether a movement says how long it is done, even if misread."""
    return movement.wrote("duration_ms") or movement.duration_ms is not None


def _stated_ms(section: Section) -> int:
    return sum(movement.duration_ms or 0 for movement in section.movements)


def _times_known(section: Section) -> bool:
    """Return whether every time in a section could be read, to build checks on."""
    clock = section.intervals or Intervals()
    pause = clock.between_rounds or RecoveryBreak()
    return not (
        section.misread(*_SECTION_TIMES)
        or clock.misread(*_CLOCK_TIMES)
        or pause.misread("duration_ms")
        or any(change.misread("work_ms", "rest_ms") for change in clock.in_rounds)
        or any(movement.misread(*_MOVEMENT_TIMES) for movement in section.movements)
    )


def _lies_within(cue: FreeCue, length_ms: int) -> bool:
    match cue.at.count_from:
        case CountFrom.START:
            return cue.at.offset_ms < length_ms
        case CountFrom.HALFWAY:
            return cue.at.offset_ms < length_ms - length_ms // 2
        case CountFrom.END:
            return 0 < cue.at.offset_ms <= length_ms
