"""Chapters of a track: one for each section, and one for each movement in it."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby
from typing import TYPE_CHECKING

from cuetrack.languages.phrases import load_phrases

if TYPE_CHECKING:
    from collections.abc import Iterable

    from cuetrack.output.track.cue_rows import SegmentRow
    from cuetrack.output.track.cuefile import CueFile


@dataclass(frozen=True, slots=True, kw_only=True)
class Chapter:
    """A named stretch of the track, ``start_ms`` inclusive, ``end_ms`` exclusive."""

    title: str
    start_ms: int
    end_ms: int

    def __post_init__(self) -> None:
        if not 0 <= self.start_ms < self.end_ms:
            raise ValueError(f"no chapter from {self.start_ms} to {self.end_ms} ms")


@dataclass(frozen=True, slots=True, kw_only=True)
class ChapterWords:
    """How chapters are named in one language."""

    in_section: str
    in_round: str
    recovery: str


def chapter_words(language: str) -> ChapterWords:
    """Return how chapters are named in a language."""
    words = load_phrases(language).chapters
    return ChapterWords(
        in_section=words["in section"],
        in_round=words["in round"],
        recovery=words["recovery"],
    )


def chapters_of(
    cue_file: CueFile, words: ChapterWords | None = None
) -> tuple[Chapter, ...]:
    """Return chapters that cover the whole track, in order, each name only once.

    Without ``words`` they are named in the language of the cue file.

    A movement's chapter starts with the rest in which it is shown and counted
    in, so that whoever jumps to it is made ready. What a section says before
    its first movement is a chapter of the section's own name.
    """
    names = words or chapter_words(cue_file.language)
    runs = [
        (key, list(run))
        for key, run in groupby(
            _with_rests_joined(cue_file.segments, names), key=lambda pair: pair[0]
        )
    ]
    titles = _told_apart(title for (_, title), _ in runs)
    return tuple(
        Chapter(title=title, start_ms=run[0][1].start_ms, end_ms=run[-1][1].end_ms)
        for title, (_, run) in zip(titles, runs, strict=True)
        if run[0][1].start_ms < run[-1][1].end_ms
    )


def _with_rests_joined(
    segments: tuple[SegmentRow, ...], names: ChapterWords
) -> list[tuple[tuple[str, str], SegmentRow]]:
    """Pair each segment with its section and chapter name, rests with what follows."""
    pairs: list[tuple[tuple[str, str], SegmentRow]] = []
    following: tuple[str, str] | None = None
    for row in reversed(segments):
        title = _title(row, names)
        if row.kind == "rest" and following and following[0] == row.section:
            title = following[1]
        following = (row.section, title)
        pairs.append((following, row))
    return pairs[::-1]


def _title(row: SegmentRow, names: ChapterWords) -> str:
    if row.movement is None:
        return plain_line(row.section)
    if row.kind == "recovery":
        pattern = names.recovery
    else:
        pattern = names.in_section if row.round is None else names.in_round
    return plain_line(
        pattern.format(section=row.section, movement=row.movement, round=row.round)
    )


def _told_apart(titles: Iterable[str]) -> list[str]:
    """Add a number to names that come again: March, March (2)."""
    apart: list[str] = []
    for title in titles:
        name, count = title, 1
        while name in apart:
            count += 1
            name = f"{title} ({count})"
        apart.append(name)
    return apart


def plain_line(text: str) -> str:
    """Return ``text`` on one line without control characters.

    >>> plain_line("Heel dig," + chr(10) + " right")
    'Heel dig, right'
    """
    visible = "".join(max(letter, " ") for letter in text)
    return " ".join(visible.split())
