"""Which reading of a line is taken, which is to be heard by a person first, and why.

No reading counts as good on the word of one witness. There are three: the line is
chosen among its rivals, it is heard freely word by word, and so it is by the larger
recogniser, if there is one; two must have it. Where a movement is named, the larger
one must have heard that name: a wrong name is the worst that a class could say.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from itertools import zip_longest
from typing import TYPE_CHECKING, Final

import numpy as np

from cuetrack.takes.rivals import names_in
from cuetrack.times import frames_from_ms

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from cuetrack.takes.rivals import SpokenWords
    from cuetrack.takes.witnesses import ScriptWords, WitnessedReading

SHORTEST: Final = 0.5
LONGEST: Final = 1.9
"""How far a reading's length may be from what this reader takes for so many letters."""
A_WORD: Final = frames_from_ms(150)
"""So much sound beside a line is a word; less is a breath, or a knock."""
_LETTERS_MORE: Final = 4


class Judgement(Enum):
    """What becomes of a reading."""

    GOOD = "good"
    DOUBTFUL = "doubtful"
    BROKEN_OFF = "broken off"


@dataclass(frozen=True, slots=True, kw_only=True)
class JudgedReading:
    """A reading with its judgement and, in a few words, the reason."""

    reading: WitnessedReading
    judgement: Judgement
    why: str


def judged(
    readings: Sequence[WitnessedReading],
    script: ScriptWords,
    sounds_of: Callable[[SpokenWords], SpokenWords],
) -> list[JudgedReading]:
    """Return what becomes of each reading of a take.

    ``sounds_of`` gives words as they are pronounced.
    """
    usual = _usual_length(readings, script)
    found = []
    for reading, following in zip_longest(readings, readings[1:]):
        words = script.lines[reading.line]
        rate = reading.frames / (_weight(words) * usual)
        again = following is not None and following.line == reading.line
        judgement, why = _judge(reading, words, script, sounds_of, again=again)
        if judgement is Judgement.GOOD and not SHORTEST <= rate <= LONGEST:
            much = "longer" if rate > 1 else "shorter"
            judgement, why = Judgement.DOUBTFUL, f"much {much} than expected"
        found.append(JudgedReading(reading=reading, judgement=judgement, why=why))
    return found


def _usual_length(readings: Sequence[WitnessedReading], script: ScriptWords) -> float:
    """Return how many frames this reader takes for a letter."""
    rates = [one.frames / _weight(script.lines[one.line]) for one in readings]
    return float(np.median(rates)) if rates else 1.0


def _weight(words: SpokenWords) -> int:
    return sum(map(len, words)) + _LETTERS_MORE


def _judge(
    reading: WitnessedReading,
    words: SpokenWords,
    script: ScriptWords,
    sounds_of: Callable[[SpokenWords], SpokenWords],
    *,
    again: bool,
) -> tuple[Judgement, str]:
    def same(heard: SpokenWords) -> bool:
        return sounds_of(heard) == sounds_of(words)

    larger = reading.larger
    chosen = reading.chosen == words
    freely = same(reading.freely)
    by_larger = larger is not None and same(larger)
    witnesses = chosen + freely + by_larger
    if witnesses < 2 and not _lone(reading, words, script):
        if not chosen and again and reading.last < len(words) - 1:
            return Judgement.BROKEN_OFF, "begun, broken off and read again"
        told = "not surely heard word by word" if chosen else _difference(reading)
        return Judgement.DOUBTFUL, told
    if reading.beside and (reading.cut_off >= A_WORD or not by_larger):
        more = " ".join(reading.beside)
        return Judgement.DOUBTFUL, f"more was said in the same breath: {more!r}"
    if larger is not None and not by_larger:
        missing = _name_not_in(larger, words, script, sounds_of)
        if missing:
            return Judgement.DOUBTFUL, f"the name {missing!r} was not surely heard"
    return Judgement.GOOD, ""


def _lone(reading: WitnessedReading, words: SpokenWords, script: ScriptWords) -> bool:
    """Whether a line of one word may count on the word of one witness.

    Single words are the weak side of every recogniser: it is enough that one has it,
    with pauses around, and that none heard another word that is a line of the script.
    """
    if len(words) > 1 or not reading.alone:
        return False
    others = {line for line in script.lines if len(line) == 1 and line != words}
    heard = {reading.freely, reading.chosen, reading.larger or ()}
    return words in heard and not heard & others


def _name_not_in(
    heard: SpokenWords,
    words: SpokenWords,
    script: ScriptWords,
    sounds_of: Callable[[SpokenWords], SpokenWords],
) -> str:
    """Return the first name of a line that was not heard, "" if all were."""
    sounding = sounds_of(heard)
    for _, name in names_in(words, script.names):
        wanted = sounds_of(name)
        places = range(len(sounding) - len(wanted) + 1)
        if not any(sounding[at : at + len(wanted)] == wanted for at in places):
            return " ".join(name)
    return ""


def _difference(reading: WitnessedReading) -> str:
    if reading.rival:
        return f"perhaps {reading.rival}: {' '.join(reading.chosen)!r}"
    return "not understood"
