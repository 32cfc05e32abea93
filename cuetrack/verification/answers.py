"""The answers to a listening test: read as they were typed in, and scored.

The interval of one sheet is that of Clopper and Pearson (Biometrika 1934): of all
shares, those that would give so few or so many right answers in one case of forty or
more. It takes the answers to be independent, which those of one person are not: over
several sheets it is that of Korn and Graubard (Survey Methodology 1998), for so many
answers fewer as the sheets differ. Nothing of a person is asked for or kept.
"""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING

from scipy.stats import beta, t

from cuetrack.errors import AnswerError, Problem

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

FEW_SHEETS = 5
GOOD_SHARE = 0.9
LEVEL = 0.95
MOST_SHOWN = 6

_NEW_SHEET = re.compile(r"\s*(?:sheet|person|next)\b.*", re.IGNORECASE)
_GAP = re.compile(r"[\s,;]*")
_ANSWER = re.compile(
    r"(?P<number>\d+)\s*[.:)=]?\s*(?P<letter>[a-z](?![a-z])|[-\u2013\u2014]+|\?|none\b)"
    r"(?:\s*[,:=]?\s*(?P<easily>yes|y|no|n|easily|easy|hard)\b)?",
    re.IGNORECASE,
)
_YES = ("y", "e")


@dataclass(frozen=True, slots=True, kw_only=True)
class TypedAnswer:
    """One question of one sheet: the letter ticked, and whether it was heard easily.

    None is for what was left open.
    """

    number: int
    letter: str | None
    easily: bool | None


@dataclass(frozen=True, slots=True, kw_only=True)
class KeyRow:
    """What was said under a number: its letter, and the sentences to choose from."""

    number: int
    letter: str
    choices: tuple[str, ...]

    @property
    def said(self) -> str:
        """The sentence that was said."""
        return self.sentence(self.letter)

    def sentence(self, letter: str) -> str:
        """Return the sentence beside a letter."""
        return self.choices[ord(letter) - ord("a")]


@dataclass(frozen=True, slots=True, kw_only=True)
class MissedCall:
    """A call that ``missed`` of the ``asked`` sheets with its number have not right.

    ``taken_for`` is what more than half of these took it for, if so many did.
    """

    number: int
    said: str
    missed: int
    asked: int
    taken_for: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class ListeningScore:
    """What came of all sheets together.

    ``asked`` counts the numbers typed over all sheets, ``left_open`` those without a
    tick, which are not right, and ``no_line`` the numbers that were not typed at all,
    which count nowhere. ``easily`` of ``judged`` calls were heard easily. ``interval``
    is that of the share that is right, 0..1; ``by_sheet`` has right and asked of each
    sheet, lowest first, so that no sheet can be told.
    """

    sheets: int
    asked: int
    right: int
    left_open: int
    no_line: int
    easily: int
    judged: int
    interval: tuple[float, float]
    by_sheet: tuple[tuple[int, int], ...]
    missed: tuple[MissedCall, ...]


def share_interval(
    right: float, asked: float, level: float = LEVEL
) -> tuple[float, float]:
    """Return the interval of Clopper and Pearson for a share.

    >>> tuple(round(edge, 4) for edge in share_interval(5, 10))
    (0.1871, 0.8129)
    """
    rest = (1 - level) / 2
    low = beta.ppf(rest, right, asked - right + 1) if right else 0.0
    high = beta.ppf(1 - rest, right + 1, asked - right) if right < asked else 1.0
    return float(low), float(high)


def class_interval(
    sheets: Sequence[tuple[int, int]], level: float = LEVEL
) -> tuple[float, float]:
    """Return the interval of Korn and Graubard for the share over people like these.

    Each sheet gives how many are right and of how many. The answers count for as many
    independent ones as would scatter like the sheets, never for more than there are,
    and for fewer where few sheets tell the scatter (quantiles of Student's t). One
    sheet alone shows no scatter: it gives the interval of Clopper and Pearson.
    """
    right, asked = (sum(counts) for counts in zip(*sheets, strict=True))
    people = len(sheets)
    if people == 1:
        return share_interval(right, asked, level)
    share = right / asked
    scatter = sum((ticks - share * of) ** 2 for ticks, of in sheets)
    variance = people / (people - 1) * scatter / asked**2
    independent = share * (1 - share) / asked
    design_effect = max(1.0, variance / independent) if variance else 1.0
    upper = (1 + level) / 2
    freedom = float(t.ppf(upper, asked - 1) / t.ppf(upper, people - 1)) ** 2
    effective = asked / design_effect * freedom
    return share_interval(share * effective, effective, level)


def read_answers(
    text: str, key: Mapping[int, KeyRow], file: str = ""
) -> tuple[tuple[TypedAnswer, ...], ...]:
    """Return the answers of each sheet.

    A line has one answer or more: the number, the letter, and yes or no. A dash stands
    for no tick. A line that says sheet, or number one again, begins the next sheet;
    what follows # is a note.

    Raises
    ------
    AnswerError
        With every place that cannot be understood.
    """
    sheets: list[dict[int, TypedAnswer]] = [{}]
    problems: list[Problem] = []
    for line, content in enumerate(text.lstrip("\ufeff").splitlines(), start=1):
        plain = content.partition("#")[0]
        if _NEW_SHEET.fullmatch(plain):
            sheets.append({})
            continue
        for column, one in _on_line(plain):
            if isinstance(one, str):
                told: tuple[str, str] | None = (f"'{one}' is no answer.", _HOW)
            else:
                if one.number == 1 and 1 in sheets[-1]:
                    sheets.append({})
                told = _wrong(one, sheets[-1], key)
                if told is None:
                    sheets[-1][one.number] = one
            if told is not None:
                what, remedy = told
                problems.append(
                    Problem(
                        file=file, line=line, column=column, what=what, remedy=remedy
                    )
                )
    filled = tuple(tuple(sheet.values()) for sheet in sheets if sheet)
    if not filled and not problems:
        problems = [Problem(file=file, what="there is no answer in it.", remedy=_HOW)]
    if problems:
        raise AnswerError(problems)
    return filled


_HOW = (
    "Type a line such as '3 b yes' for each number, '3 -' where none or two are "
    "ticked, and 'sheet' between two sheets."
)


def _on_line(line: str) -> Iterator[tuple[int, TypedAnswer | str]]:
    """Yield the column of each answer and the answer, or the text that is none."""
    at = _end(_GAP, line, 0)
    while at < len(line):
        found = _ANSWER.match(line, at)
        if found is None:
            yield at + 1, line[at:].strip()
            return
        letter, easily = found["letter"].casefold(), found["easily"]
        yield (
            at + 1,
            TypedAnswer(
                number=int(found["number"]),
                letter=letter if len(letter) == 1 and letter.isalpha() else None,
                easily=None if easily is None else easily.casefold().startswith(_YES),
            ),
        )
        at = _end(_GAP, line, found.end())


def _end(pattern: re.Pattern[str], line: str, at: int) -> int:
    found = pattern.match(line, at)
    return found.end() if found else at


def _wrong(
    one: TypedAnswer,
    sheet: Mapping[int, TypedAnswer],
    key: Mapping[int, KeyRow],
) -> tuple[str, str] | None:
    """Return what is wrong with an answer and what to do, None when it is right."""
    if one.number not in key:
        last = max(key)
        return f"there is no number {one.number}.", f"The numbers go from 1 to {last}."
    if one.number in sheet:
        return (
            f"number {one.number} is there twice on this sheet.",
            "Put a line 'sheet' before the next one.",
        )
    last_letter = chr(ord("a") + len(key[one.number].choices) - 1)
    if one.letter is not None and one.letter > last_letter:
        return (
            f"there is no sentence {one.letter}.",
            f"The letters go from a to {last_letter}; a dash is for no tick.",
        )
    return None


def score(
    sheets: Sequence[Sequence[TypedAnswer]], key: Mapping[int, KeyRow]
) -> ListeningScore:
    """Return what came of the test; a number without a line is not counted."""
    answers = [one for sheet in sheets for one in sheet]
    judged = [one.easily for one in answers if one.easily is not None]
    by_sheet = sorted(
        (sum(one.letter == key[one.number].letter for one in sheet), len(sheet))
        for sheet in sheets
    )
    ticked = sum(one.letter is not None for one in answers)
    return ListeningScore(
        sheets=len(sheets),
        asked=len(answers),
        right=sum(right for right, _ in by_sheet),
        left_open=len(answers) - ticked,
        no_line=len(key) * len(sheets) - len(answers),
        easily=sum(judged),
        judged=len(judged),
        interval=class_interval(by_sheet),
        by_sheet=tuple(by_sheet),
        missed=_missed(answers, key),
    )


def _missed(
    answers: Sequence[TypedAnswer], key: Mapping[int, KeyRow]
) -> tuple[MissedCall, ...]:
    """Return the calls that were missed, those missed most first."""
    found = []
    for number, row in key.items():
        letters = Counter(one.letter for one in answers if one.number == number)
        asked = letters.total()
        missed = asked - letters.pop(row.letter, 0)
        letters.pop(None, None)
        taken = [letter for letter, n in letters.items() if letter and 2 * n > missed]
        if missed:
            found.append(
                MissedCall(
                    number=number,
                    said=row.said,
                    missed=missed,
                    asked=asked,
                    taken_for=row.sentence(taken[0]) if taken else None,
                )
            )
    return tuple(sorted(found, key=lambda one: (-one.missed, one.number)))


def score_lines(found: ListeningScore) -> list[str]:
    """Return the score as plain text: the sentence that matters comes first."""
    wrong = found.asked - found.right - found.left_open
    share = found.right / found.asked
    counts = (
        f"{found.right} of {found.asked} calls were understood ({100 * share:.0f} %); "
        f"{wrong} were taken for another, {found.left_open} left open."
    )
    lines = [counts]
    if found.no_line:
        lines.append(
            f"Not typed and not counted: {found.no_line} of the numbers. Where a "
            "person ticked nothing, type a dash: '13 -'."
        )
    lines.append(_interval_sentence(found))
    if found.judged:
        lines.append(f"Heard easily: {found.easily} of {found.judged} calls.")
    lines.append(_sheets_sentence(found))
    lines.append(_verdict(found))
    if found.missed:
        lines += ["", "Missed most:"]
        lines += [_missed_line(one) for one in found.missed[:MOST_SHOWN]]
    return [*lines, "", LIMITS]


def _interval_sentence(found: ListeningScore) -> str:
    low, high = (round(100 * edge) for edge in found.interval)
    who, how = "For this person in this seat", "95 % interval of Clopper and Pearson"
    if found.sheets > 1:
        who = "For a class of people like these"
        how = "95 % interval of Korn and Graubard, by how much the sheets differ"
    return (
        f"{who} the share lies between {low} and {high} % ({how}); guessing alone "
        "gives 25 %."
    )


def _sheets_sentence(found: ListeningScore) -> str:
    if found.sheets == 1:
        return "It is one sheet: it tells of one person in one seat."
    of = {asked for _, asked in found.by_sheet}
    if len(of) == 1:
        lowest, highest = found.by_sheet[0][0], found.by_sheet[-1][0]
        spread = f"{lowest} to {highest} of {of.pop()}"
    else:
        shares = [100 * right / asked for right, asked in found.by_sheet]
        spread = f"{min(shares):.0f} to {max(shares):.0f} %"
    by_sheet = f"On {found.sheets} sheets it was {spread}."
    if found.sheets < FEW_SHEETS:
        return f"{by_sheet} So few people do not speak for a whole class."
    return by_sheet


def _verdict(found: ListeningScore) -> str:
    if found.interval[0] >= GOOD_SHARE:
        return "The calls come across in this hall, from these seats."
    if found.interval[1] < GOOD_SHARE:
        where = "in this seat" if found.sheets == 1 else "here"
        return (
            f"The calls do not come across well enough {where}. `cuetrack verify TRACK "
            "--recording FILE` tells which step helps most; then try again."
        )
    return "Whether nine calls in ten come across, so few answers cannot tell."


def _missed_line(one: MissedCall) -> str:
    mostly = "mostly " if one.missed > 1 else ""
    taken = f', {mostly}taken for "{one.taken_for}"' if one.taken_for else ""
    return f'  {one.number:>2}  "{one.said}"  by {one.missed} of {one.asked}{taken}'


LIMITS = (
    "A closed-set sentence test: it tries the sound in a hall, in quiet or over music, "
    "with sentences people have before them, which is easier than a class. It is no "
    "hearing test, and says nothing of any one person: for that there are doctors and "
    "hearing professionals."
)
"""Stands wherever the figures are read."""
