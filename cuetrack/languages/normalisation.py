"""Texts as an engine should get them: every mark put into words or made a pause.

Engines read "30 s" as "thirty ess", "4-5" as "four dash five", "L/R" as "L slash
R". What is written is therefore spelled out first, by a table of each language in
``spoken_text/``. A time such as 1:30 is a length here, never an hour of the day.
English numbers are put into words; other languages keep their digits, which
engines read with the right endings, except beside a unit, where the table knows
the form for one and for more.

The rules are applied until nothing changes, so that speaking text that is already
in words leaves it alone.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from functools import cache, lru_cache
from importlib.resources import files
from typing import TYPE_CHECKING, Any

import yaml

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping, Sequence

NUMBER = r"\d+(?:[.,]\d+)*"
PUNCTUATION = ".,!?;:'-¡¿"
TABLES = frozenset({"de", "en", "es", "fr"})
MAX_ROUNDS = 12

_PLAIN = re.compile(
    r"(?:[A-Za-z]?[a-z]+(?:['-][a-z]+)*|[AI])(?:[,.!?;:]? (?=[A-Za-z])"
    r"(?:[A-Za-z]?[a-z]+(?:['-][a-z]+)*|[AI]))*[.!?]?"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class RewriteTable:
    """How one language says what is written; patterns are compiled once."""

    scripts: tuple[str, ...]
    rules: tuple[tuple[re.Pattern[str], Callable[[re.Match[str]], str]], ...]
    capitals: Mapping[str, str]
    shortened: re.Pattern[str]


def say_as(
    text: str,
    language: str = "en",
    pronunciations: Mapping[str, str] | Sequence[tuple[str, str]] = (),
) -> str:
    """Return ``text`` as the engine should get it.

    Parameters
    ----------
    text : str
        What the leader or a phrase pack wrote.
    language : str
        Its language, such as ``en`` or ``pt-br``; a language without a table of
        its own only has its marks made pauses.
    pronunciations : mapping or pairs of str
        Words to be said differently, and how. Whole words, whatever their case;
        of two that fit the longer is taken.

    >>> say_as("3-2-1! Hold for 30 s, RPE 4-5, L/R.")
    'three, two, one! Hold for thirty seconds, R P E four to five, left and right.'
    """
    table = _table(language)
    pronounced = _pronounced(_alike(text), pronunciations)
    if _is_plain(pronounced, table):
        return pronounced
    return _by_rules(pronounced, table)


def _is_plain(text: str, table: RewriteTable) -> bool:
    """Return whether it can be seen at once that no rule changes the text."""
    return bool(_PLAIN.fullmatch(text)) and not table.shortened.search(text)


def _by_rules(text: str, table: RewriteTable) -> str:
    for _ in range(MAX_ROUNDS):
        before = text
        text = _tidy(_only_speakable(_expanded(_alike(text), table), table), table)
        if text == before or _is_plain(text, table):
            break
    return text


def unspeakable(text: str, language: str = "en") -> tuple[str, ...]:
    """Return the characters of ``text`` that would be dropped, each once.

    Pictures, letters of another script, and marks that have no words in the
    language; a prime after a number counts, for it may mean feet or minutes.

    >>> unspeakable("Feet flat 👣")
    ('👣',)
    """
    table = _table(language)
    primes = re.findall("\\d(['\"\u2032\u2033])(?!\\w)", _alike(text))
    expanded = _expanded(_alike(text), table)
    dropped = [
        char
        for char in expanded
        if not _is_speakable(char, table.scripts)
        and unicodedata.category(char) not in {"Mn", "Me", "Cf", "Cc", "Zs"}
        and char not in '"()[]{}*_'
    ]
    return tuple(dict.fromkeys([*primes, *dropped]))


def _alike(text: str) -> str:
    """Return the text with one character for each of many that look alike."""
    text = re.sub(r"(?<=\d)(?=[¼-¾⅐-⅞])", " ", text)
    text = text.translate(_lookalikes())
    return unicodedata.normalize("NFKC", text).translate(_lookalikes())


@cache
def _lookalikes() -> dict[int, str]:
    return str.maketrans(_data("alike.yaml"))


def _data(*name: str) -> dict[str, Any]:
    source = files("cuetrack.languages").joinpath(*name)
    data: dict[str, Any] = yaml.safe_load(source.read_text(encoding="utf-8"))
    return data


def _pronounced(
    text: str, pronunciations: Mapping[str, str] | Sequence[tuple[str, str]]
) -> str:
    pairs = dict(pronunciations)
    if not pairs:
        return text
    said = {written.casefold(): spoken for written, spoken in pairs.items()}
    pattern = _any_of(said, before=r"(?<!\w)", after=r"(?!\w)")
    return pattern.sub(lambda found: said[found[0].casefold()], text)


def _expanded(text: str, table: RewriteTable) -> str:
    for pattern, say in table.rules:
        text = pattern.sub(say, text)
    return text


def _only_speakable(text: str, table: RewriteTable) -> str:
    return "".join(char if _is_speakable(char, table.scripts) else " " for char in text)


@lru_cache(maxsize=4096)
def _is_speakable(char: str, scripts: tuple[str, ...]) -> bool:
    if char in PUNCTUATION or char == " " or char in "0123456789":
        return True
    if unicodedata.category(char)[0] == "M":
        return not scripts and unicodedata.category(char) != "Me"
    if unicodedata.category(char)[0] != "L":
        return False
    name = unicodedata.name(char, "")
    return not scripts or name.startswith(scripts)


def _tidy(text: str, table: RewriteTable) -> str:
    """Return the text with single spaces and one mark where several met."""
    text = re.sub(r"(?<!\w)['-]+|['-]+(?!\w)", " ", text)
    text = re.sub(r"\s+", " ", text)
    text = re.sub(r" (?=[.,!?;:])", "", text)
    text = re.sub(r"[.,!?;:]{2,}", _strongest, text)
    text = re.sub(r"(?<=[^\W\d][.,!?;:])(?=\w)|(?<=\d[!?;])(?=\w)", " ", text)
    text = re.sub(
        r"\b[^\W\d_a-zß-ÿ]{2,}(?:'[^\W\d_a-zß-ÿ]+)?\b", _capitals(table), text
    )
    return text.strip(" ,;:").lstrip(" .!?")


def _strongest(found: re.Match[str]) -> str:
    return next(mark for mark in "!?.:;," if mark in found[0])


def _capitals(table: RewriteTable) -> Callable[[re.Match[str]], str]:
    def say(found: re.Match[str]) -> str:
        word = found[0]
        if word in table.capitals:
            return table.capitals[word]
        if table.capitals and not re.search("[AEIOUYÀ-ÖØ-Ý]", word):
            return " ".join(word)
        return word.lower()

    return say


@cache
def _table(language: str) -> RewriteTable:
    name = re.split("[-_]", language.casefold())[0]
    data = _data(name, "normalisation.yaml") if name in TABLES else _data("other.yaml")
    return RewriteTable(
        scripts=tuple(data["scripts"]),
        rules=tuple(_rules(data)),
        capitals=data["capitals"],
        shortened=_words(data["written"], after=r"(?![^\W\d_])")[0],
    )


Rewrite = tuple[re.Pattern[str], "Callable[[re.Match[str]], str]"]


def _rules(data: Mapping[str, Any]) -> Iterable[Rewrite]:
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
        if data["decades after"]:
            yield _decades(data["decades after"])
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
        yield re.compile(r"\b(\d+) (st|nd|rd|th)\b", re.IGNORECASE), _ordinal
        yield re.compile(NUMBER), _number


def _any_of(marks: Iterable[str], *, before: str, after: str) -> re.Pattern[str]:
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
    folded = {_alike(mark).casefold(): words for mark, words in said.items()}
    pattern = _any_of(folded, before=before, after=after)
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
    units = {_alike(mark).casefold(): forms for mark, forms in data["units"].items()}
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
    folded = {_alike(mark).casefold(): forms for mark, forms in units.items()}
    marks = "|".join(map(re.escape, sorted(folded, key=len, reverse=True)))

    measured = _any_of(things, before=r"\s+", after=r"(?!\w)") if things else None

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


def _decades(words: Sequence[str]) -> Rewrite:
    """Return the rule that someone in their 70s is in their seventies."""

    def say(found: re.Match[str]) -> str:
        return f"{found[1]} {_in_words(int(found[2]))[:-1]}ies"

    return re.compile(rf"\b({'|'.join(words)})[ -]+([2-9]0)'?s\b", re.IGNORECASE), say


def _ordinal(found: re.Match[str]) -> str:
    return _in_words(int(found[1]), to="ordinal")


def _number(found: re.Match[str]) -> str:
    """Return a number in words; a comma before three digits groups thousands."""
    written = found[0]
    if re.fullmatch(r"\d{1,3}(?:,\d{3})+(?:\.\d+)?", written):
        written = written.replace(",", "")
    if re.fullmatch(r"\d{1,12}", written):
        return _in_words(int(written))
    if re.fullmatch(r"\d{1,12}\.\d{1,6}", written):
        whole, decimals = written.split(".")
        spelled = " ".join(_in_words(int(digit)) for digit in decimals)
        return f"{_in_words(int(whole))} point {spelled}"
    if re.search("[.,]", written):
        return re.sub(r"\d+", _number, written.replace(".", ", ").replace(",", ", "))
    return " ".join(_in_words(int(digit)) for digit in written)


@cache
def _in_words(number: int, to: str = "cardinal") -> str:
    # Slow to import, and needed only where there is a number.
    from num2words import num2words  # noqa: PLC0415

    return str(num2words(number, lang="en", to=to)).replace(",", "")
