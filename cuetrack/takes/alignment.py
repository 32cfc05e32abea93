"""Which line of the script each heard word belongs to, whatever the reader did.

A path of least cost through script and hearing (Viterbi): words are heard rightly,
wrongly, twice or not at all; after a line comes the next, the same once more, one
farther on or farther back; a line may be broken off; and what is said beside the
script belongs to no line. Where the reader paused does not matter, so that a breath
within a line and two lines in one breath are nothing special.
"""

from __future__ import annotations

from dataclasses import dataclass
from difflib import SequenceMatcher
from typing import TYPE_CHECKING, Final

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Sequence

    import numpy.typing as npt

    from cuetrack.arrays import Flags, Floats

    Places = npt.NDArray[np.intp]

MISSED: Final = 0.8
"""The cost of a word of the script that is not heard."""
ADDED: Final = 0.9
"""The cost of a word within a line that is not in the script."""
OTHER: Final = 1.0
"""The cost of a wrong word that is nothing like the right one."""
LIKE: Final = 0.45
BESIDE: Final = 0.75
"""The cost of a word said beside the script, and of beginning to do so."""
BROKEN_OFF: Final = 1.2
"""The most that the missing end of a line costs."""
AGAIN: Final = 0.5
SKIP: Final = 0.9
SKIP_EACH: Final = 0.05
BACK: Final = 1.1
FARTHEST: Final = 2.4
_AHEAD: Final = 5
_NEAR: Final = 30
_ALIKE: Final = 0.66


@dataclass(frozen=True, slots=True, kw_only=True)
class HeardWord:
    """A word as a recogniser heard it; frames of the take at 48 kHz."""

    word: str
    start: int
    end: int


@dataclass(frozen=True, slots=True, kw_only=True)
class LineReading:
    """One reading of a line, or of a part of it.

    ``line`` is the index of the line; ``heard`` are the indices of the words heard from
    its first to its last, ``first`` and ``last`` the places of the line's words that
    these two stand for.
    """

    line: int
    heard: range
    first: int
    last: int


class _Scripted:
    """The words of all lines in a row, and what stands where."""

    def __init__(self, lines: Sequence[Sequence[str]]) -> None:
        lengths = np.array([len(words) for words in lines])
        self.starts = np.concatenate([[0], np.cumsum(lengths)])[:-1].astype(int)
        self.ends = self.starts + lengths - 1
        self.words = [word for words in lines for word in words]
        self.line = np.repeat(np.arange(len(lines)), lengths)
        self.place = np.arange(len(self.words)) - self.starts[self.line]
        self.entry: Floats = MISSED * self.place
        left = self.ends[self.line] - np.arange(len(self.words))
        self.leaving: Floats = np.minimum(MISSED * left, BROKEN_OFF)


def aligned(
    heard: Sequence[str], lines: Sequence[Sequence[str]], at_line: int = 0
) -> list[LineReading]:
    """Return the readings of lines in the order in which they were heard.

    Parameters
    ----------
    heard
        Every word of a take.
    lines
        The words of each line, none without a word.
    at_line
        Where the reading is expected to begin.
    """
    if not heard or not lines:
        return []
    script = _Scripted(lines)
    steps = _Steps(script, at_line)
    costs = {word: _costs(word, script.words) for word in set(heard)}
    for word in heard:
        steps.take(costs[word])
    return _readings(steps.path(), script)


def _costs(word: str, words: Sequence[str]) -> Floats:
    """Return what it costs to have heard this word where each of the script is."""
    known = {other: _cost(word, other) for other in set(words)}
    return np.array([known[other] for other in words])


def _cost(one: str, other: str) -> float:
    if one == other:
        return 0.0
    matcher = SequenceMatcher(None, one, other, autojunk=False)
    if matcher.real_quick_ratio() < _ALIKE or matcher.quick_ratio() < _ALIKE:
        return OTHER
    return LIKE if matcher.ratio() >= _ALIKE else OTHER


class _Steps:
    """The cheapest way to be at each word of the script, or beside each line.

    States 0..W-1 are words, W..W+L-1 are beside a line. ``_from`` keeps for each heard
    word which state was before, ``_fresh`` whether a line was begun with it.
    """

    def __init__(self, script: _Scripted, at_line: int) -> None:
        self._script = script
        self._words, self._lines = script.line.size, script.starts.size
        self._cost = np.full(self._words + self._lines, np.inf)
        self._from: list[npt.NDArray[np.int32]] = []
        self._fresh: list[Flags] = []
        distance = np.abs(np.arange(self._lines) - at_line)
        self._leave = np.minimum(SKIP_EACH * distance, FARTHEST)
        self._leave_from = np.full(self._lines, -1)
        self._first = True

    def take(self, cost: Floats) -> None:
        """Go one heard word on."""
        words, lines, script = self._words, self._lines, self._script
        arrive, arrive_from = (
            (self._leave, self._leave_from) if self._first else self._arrivals()
        )
        enter = arrive[script.line] + script.entry
        best, came = enter, arrive_from[script.line]
        if not self._first:
            best, came = self._within(best, came)
        now = np.concatenate([best + cost, np.full(lines, np.inf)])
        origin = np.concatenate([came, np.full(lines, -1)])
        if self._first:
            now[words:] = self._leave + 2 * BESIDE
        else:
            self._stray(now, origin)
        self._cost, self._first = now, False
        self._from.append(origin.astype(np.int32))
        self._fresh.append(now[:words] == enter + cost)

    def _within(self, best: Floats, came: Places) -> tuple[Floats, Places]:
        """Take in the ways that stay in the line: next, some missed, one added."""
        script, size = self._script, self._words
        for ahead in range(1, min(_AHEAD, size)):
            way = np.full(size, np.inf)
            way[ahead:] = self._cost[: size - ahead] + MISSED * (ahead - 1)
            way[script.place < ahead] = np.inf
            better = way < best
            best = np.where(better, way, best)
            came = np.where(better, np.arange(size) - ahead, came)
        return best, came

    def _stray(self, now: Floats, origin: Places) -> None:
        """Take in what is said beside: added in a line, or behind one."""
        size, script = self._words, self._script
        stay = self._cost[:size] + ADDED
        better = stay < now[:size]
        now[:size] = np.where(better, stay, now[:size])
        origin[:size] = np.where(better, np.arange(size), origin[:size])
        leave, leave_from = _least_by_line(
            self._cost[:size] + script.leaving, script.starts
        )
        beside = self._cost[size:] + BESIDE
        begin = leave + 2 * BESIDE
        now[size:] = np.minimum(beside, begin)
        here = size + np.arange(self._lines)
        origin[size:] = np.where(beside <= begin, here, leave_from)

    def _arrivals(self) -> tuple[Floats, Places]:
        """Return the cheapest way to the first word of each line, and from where."""
        size = self._words
        leave, leave_from = _least_by_line(
            self._cost[:size] + self._script.leaving, self._script.starts
        )
        beside = self._cost[size:]
        here = size + np.arange(self._lines)
        leave_from = np.where(beside < leave, here, leave_from)
        leave = np.minimum(leave, beside)
        far = int(np.argmin(leave))
        arrive = np.full(self._lines, leave[far] + FARTHEST)
        came = np.full(self._lines, leave_from[far])
        near = min(_NEAR, self._lines - 1)
        for step in range(-near, near + 1):
            to = slice(max(step, 0), self._lines + min(step, 0))
            start = slice(max(-step, 0), self._lines + min(-step, 0))
            way = leave[start] + _jump(step)
            better = way < arrive[to]
            arrive[to] = np.where(better, way, arrive[to])
            came[to] = np.where(better, leave_from[start], came[to])
        return arrive, came

    def path(self) -> list[tuple[int, bool]]:
        """Return the state at each heard word, and whether a line begins with it.

        It is the cheapest way of all.
        """
        ending = np.concatenate([self._script.leaving, np.zeros(self._lines)])
        state = int(np.argmin(self._cost + ending))
        states = [state]
        for origin in self._from[:0:-1]:
            state = int(origin[state])
            states.append(state)
        states.reverse()
        size = self._words
        return [
            (state, state < size and bool(fresh[state]))
            for state, fresh in zip(states, self._fresh, strict=True)
        ]


def _jump(step: int) -> float:
    """Return what it costs to go on with the line so many after this one."""
    if step == 1:
        return 0.0
    if step == 0:
        return AGAIN
    fixed = SKIP if step > 0 else BACK
    return min(fixed + SKIP_EACH * abs(step), FARTHEST)


def _least_by_line(costs: Floats, starts: Places) -> tuple[Floats, Places]:
    """Return the least cost in each line, and which word has it."""
    least: Floats = np.minimum.reduceat(costs, starts)
    lines = np.repeat(np.arange(starts.size), np.diff([*starts, costs.size]))
    hits = np.flatnonzero(costs == least[lines])
    first = hits[np.searchsorted(lines[hits], np.arange(starts.size))]
    return least, first


def _readings(path: Sequence[tuple[int, bool]], script: _Scripted) -> list[LineReading]:
    """Return the stretches of a path that stay in one line.

    Words added behind the last one that is the line's are left out.
    """
    size = script.line.size
    visits: list[list[int]] = []
    for at, (state, fresh) in enumerate(path):
        if fresh:
            visits.append([])
        if state < size:
            visits[-1].append(at)
    return [_reading(visit, path, script) for visit in visits]


def _reading(
    visit: Sequence[int], path: Sequence[tuple[int, bool]], script: _Scripted
) -> LineReading:
    first, last = path[visit[0]][0], path[visit[-1]][0]
    reached = next(at for at in visit if path[at][0] == last)
    return LineReading(
        line=int(script.line[first]),
        heard=range(visit[0], reached + 1),
        first=int(script.place[first]),
        last=int(script.place[last]),
    )
