"""The rules by which a language puts its written marks into words."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from cuetrack.languages.folders import (
    KeyRule,
    read_table,
    refuse_if_any,
    table_in,
)
from cuetrack.languages.numbers import number_in_words

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence

NUMBER: Final = r"\d+(?:[.,]\d+)*"

Rewrite = tuple[re.Pattern[str], "Callable[[re.Match[str]], str]"]


@dataclass(frozen=True, slots=True, kw_only=True)
class RewriteTable:
    """How one language says what is written; patterns are compiled once."""

    scripts: tuple[str, ...]
    rules: tuple[tuple[re.Pattern[str], Callable[[re.Match[str]], str]], ...]
    capitals: Mapping[str, str]
    shortened: re.Pattern[str]
    numbers_in_words: bool


def alike(text: str) -> str:
    """Return the text with one character for each of many that look alike."""
    text = re.sub(r"(?<=\d)(?=[¼-¾⅐-⅞])", " ", text)
    text = text.translate(_lookalikes())
    return unicodedata.normalize("NFKC", text).translate(_lookalikes())


@cache
def _lookalikes() -> dict[int, str]:
    source = Path(__file__).with_name("alike.yaml")
    return str.maketrans(table_in(source.read_text(encoding="utf-8"), str(source)))


@cache
def rewrite_table(file: Path, language: str) -> RewriteTable:
    """Return what a file says of the marks of a language.

    Raises
    ------
    LanguageError
        The file has mistakes.
    """
    data = read_table(file, _KEYS)
    refuse_if_any(str(file), _mistakes(data))
    return RewriteTable(
        scripts=tuple(data["scripts"]),
        rules=tuple(_rules(data, language)),
        capitals=data["capitals"],
        shortened=_words(data["written"], after=r"(?![^\W\d_])")[0],
        numbers_in_words=data["numbers"] == "words",
    )


_KEYS: Final[Mapping[str, KeyRule]] = {
    "numbers": KeyRule(kind=str),
    "scripts": KeyRule(kind=list),
    "units": KeyRule(kind=dict),
    "things with a unit": KeyRule(kind=list, optional=True),
    "fractions": KeyRule(kind=dict),
    "written": KeyRule(kind=dict),
    "before a number": KeyRule(kind=dict),
    "after a number": KeyRule(kind=dict),
    "capitals": KeyRule(kind=dict),
    "signs": KeyRule(kind=dict),
    "between": KeyRule(kind=dict),
    "decades": KeyRule(kind=dict, optional=True),
    "decades after": KeyRule(kind=list, optional=True),
    "ordinal endings": KeyRule(kind=list, optional=True),
    "decimal mark": KeyRule(kind=str, optional=True),
}
_BETWEEN: Final = ("range", "slash", "times", "over", "of", "and", "minus")


def _mistakes(data: Mapping[str, Any]) -> Iterator[str]:
    """Yield what is wrong within the keys, in words for who writes it."""
    in_words = data["numbers"] == "words"
    if not in_words and data["numbers"] != "digits":
        yield f"numbers: expected words or digits, found {data['numbers']!r}."
    for key in (*_BETWEEN, *(("decimals",) if in_words else ())):
        if not isinstance(data["between"].get(key), str):
            yield f"between: '{key}' is missing or is no text."
    for unit, forms in data["units"].items():
        if not isinstance(forms, list) or len(forms) != 2:
            yield f"units: '{unit}' needs [with the number one, after any other]."
    for decade in range(20, 100, 10):
        if data.get("decades after") and decade not in data.get("decades", {}):
            yield f"decades: {decade} is missing."


def _rules(data: Mapping[str, Any], language: str) -> Iterable[Rewrite]:
    """Yield what to replace by what, in the order it has to be done."""
    between = data["between"]
    yield _words(data["written"], after=r"(?![^\W\d_])")
    yield _words(data["before a number"], after=r"(?=\s*[\d½])", around=" ")
    yield (
        re.compile(r"(?<=:[0-5]\d)\s*[-\u2013\u2014]\s*(?=\d{1,2}:[0-5]\d)"),
        _always(f" {between['range']} "),
    )
    yield re.compile(r"\b(?:(\d{1,2}):)?(\d{1,3}):([0-5]\d)\b"), _length
    yield _re(r"\b\d+(?:\s*[-\u2013]\s*\d+){2,}\b", r"\s*[-\u2013]\s*", ", ")
    yield (
        re.compile(r"(?<=\d)\s*[-\u2013\u2014]\s*(?=\d)"),
        lambda _: f" {between['range']} ",
    )
    yield re.compile(r"(?<![\w.,])-(?=\d)"), lambda _: f" {between['minus']} "
    yield _fraction(data)
    if data["units"]:
        yield (
            re.compile(r"(?<=\d)\s*x\s*(?=\d)", re.IGNORECASE),
            _always(f" {between['times']} "),
        )
        yield (
            re.compile(r"(?<![\w])x\s*(?=\d)", re.IGNORECASE),
            _always(f"{between['times']} "),
        )
        if data.get("decades after"):
            yield _decades(data["decades after"], data["decades"])
        yield _units(data["units"], data.get("things with a unit", ()))
    yield _words(data["after a number"], before=r"(?<=\d)", after="", around=" ")
    yield _words(data["signs"], before="", after="", around=" ")
    yield re.compile(r"/"), lambda _: f" {between['slash']} "
    yield re.compile(r"\.{2,}(?=\s*\S)"), lambda _: ", "
    yield re.compile(r"\s*[()\[\]{}]\s*"), lambda _: ", "
    yield re.compile(r"\s*\n\s*"), lambda _: ", "
    yield re.compile(r"(?<=[^\W\d])\u2013(?=[^\W\d])"), lambda _: "-"
    yield re.compile(r"\s*[\u2013\u2014]\s*|\s+-+\s+|--+"), lambda _: ", "
    yield re.compile(r"(?<=\d)[- ]?(?=[^\W\d])|(?<=[^\W\d])(?=\d)"), lambda _: " "
    if data["numbers"] == "words":
        if data.get("ordinal endings"):
            yield _ordinals(data["ordinal endings"], language)
        yield _numbers(data, language)


def any_of(marks: Iterable[str], *, before: str, after: str) -> re.Pattern[str]:
    """Return a pattern of any of some marks, the longest first, whatever the case."""
    ordered = sorted(marks, key=len, reverse=True)
    return re.compile(
        before + "(?:" + "|".join(map(re.escape, ordered)) + ")" + after, re.IGNORECASE
    )


def _words(
    said: Mapping[str, str],
    *,
    before: str = r"(?<![\w/])",
    after: str,
    around: str = "",
) -> Rewrite:
    if not said:
        return re.compile("(?!)"), _always("")
    folded = {alike(mark).casefold(): words for mark, words in said.items()}
    pattern = any_of(folded, before=before, after=after)
    return pattern, lambda found: f"{around}{folded[found[0].casefold()]}{around}"


def _always(words: str) -> Callable[[re.Match[str]], str]:
    return lambda _: words


def _re(pattern: str, inner: str, by: str) -> Rewrite:
    return re.compile(pattern), lambda found: re.sub(inner, by, found[0])


def _length(found: re.Match[str]) -> str:
    """Return 1:30 as 1 min 30 s, leaving out what is nought."""
    hours, minutes, seconds = (int(part or 0) for part in found.groups())
    parts = [(hours, "h"), (minutes, "min"), (seconds, "s")]
    told = [f"{count} {unit}" for count, unit in parts if count]
    return " ".join(told) or "0 s"


def _fraction(data: Mapping[str, Any]) -> Rewrite:
    between = data["between"]
    units = {alike(mark).casefold(): forms for mark, forms in data["units"].items()}
    marks = "|".join(map(re.escape, sorted(units, key=len, reverse=True))) or "(?!)"

    def say(found: re.Match[str]) -> str:
        whole, above, below, unit = found.groups()
        words = data["fractions"].get(f"{above}/{below}")
        if words is None:
            word = between["over" if int(above) > int(below) else "of"]
            words = f"{above} {word} {below}"
        elif whole:
            words = f"{between['and']} {words}"
        said = f"{whole} {words}" if whole else words
        if unit is None:
            return said
        one, more = units[unit.casefold()]
        return f"{said} {more if whole else one.partition(' ')[2]}"

    pattern = rf"(?:\b(\d+)\s+)?\b(\d+)/(\d+)(?![/\d])(?:\s*({marks})(?!\w))?"
    return re.compile(pattern, re.IGNORECASE), say


def _units(units: Mapping[str, Sequence[str]], things: Sequence[str]) -> Rewrite:
    folded = {alike(mark).casefold(): forms for mark, forms in units.items()}
    marks = "|".join(map(re.escape, sorted(folded, key=len, reverse=True)))

    measured = any_of(things, before=r"\s+", after=r"(?!\w)") if things else None

    def say(found: re.Match[str]) -> str:
        one, more = folded[found[2].casefold()]
        if measured and measured.match(found.string, found.end()):
            more = one.partition(" ")[2]
        return one if found[1] == "1" else f"{found[1]} {more}"

    return (
        re.compile(
            rf"(?<![\w.,])({NUMBER})[ -]?({marks})(?!\w)(?:\.(?=\s+[a-zß-ÿ]))?",
            re.IGNORECASE,
        ),
        say,
    )


def _decades(words: Sequence[str], decades: Mapping[int, str]) -> Rewrite:
    """Return the rule that someone in their 70s is in their seventies."""
    pattern = rf"\b({'|'.join(words)})[ -]+([2-9]0)'?s\b"

    def say(found: re.Match[str]) -> str:
        return f"{found[1]} {decades[int(found[2])]}"

    return re.compile(pattern, re.IGNORECASE), say


def _ordinals(endings: Sequence[str], language: str) -> Rewrite:
    """Return the rule that 3rd is third."""
    pattern = rf"\b(\d+) ({'|'.join(map(re.escape, endings))})\b"

    def say(found: re.Match[str]) -> str:
        return number_in_words(int(found[1]), language, ordinal=True)

    return re.compile(pattern, re.IGNORECASE), say


def _numbers(data: Mapping[str, Any], language: str) -> Rewrite:
    point, mark = data["between"]["decimals"], data.get("decimal mark", ".")
    return re.compile(NUMBER), _Numbers(language, point, mark).say


@dataclass(frozen=True, slots=True)
class _Numbers:
    """Numbers in the words of a language; ``point`` stands before the decimals."""

    language: str
    point: str
    mark: str

    def say(self, found: re.Match[str]) -> str:
        """Return a number in words; the other mark before three digits groups them."""
        written = found[0]
        group, mark = "." if self.mark == "," else ",", re.escape(self.mark)
        if re.fullmatch(rf"\d{{1,3}}(?:[{group}]\d{{3}})+(?:{mark}\d+)?", written):
            written = written.replace(group, "")
        if re.fullmatch(r"\d{1,12}", written):
            return self._words(written)
        if re.fullmatch(rf"\d{{1,12}}{mark}\d{{1,6}}", written):
            whole, decimals = written.split(self.mark)
            spelled = " ".join(map(self._words, decimals))
            return f"{self._words(whole)} {self.point} {spelled}"
        if re.search("[.,]", written):
            parted = written.replace(".", ", ").replace(",", ", ")
            return re.sub(r"\d+", self.say, parted)
        return " ".join(map(self._words, written))

    def _words(self, digits: str) -> str:
        return number_in_words(int(digits), self.language)
