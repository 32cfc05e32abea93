"""Where something stands in what a person wrote."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True, order=True)
class Place:
    """A spot in the plan file; line and column from 1, 0 for no spot at all."""

    line: int = 0
    column: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """A stretch of a text: the indexes of its first character and behind its last."""

    start: int = 0
    end: int = 0
