"""The desk's templates, filled in: every text is shown as text."""

from __future__ import annotations

from functools import cache
from pathlib import PurePath
from typing import TYPE_CHECKING, Any

import jinja2

from cuetrack.errors import CuetrackError
from cuetrack.languages.folders import own_table

if TYPE_CHECKING:
    from collections.abc import Iterator


@cache
def _environment() -> jinja2.Environment:
    return jinja2.Environment(
        loader=jinja2.PackageLoader("cuetrack.desk"),
        autoescape=True,
        trim_blocks=True,
        lstrip_blocks=True,
        undefined=jinja2.StrictUndefined,
    )


@cache
def desk_words() -> dict[str, str]:
    """Return the words of the desk, by their keys."""
    return own_table("cuetrack.languages", "en", "desk.yaml")


def render(name: str, **values: Any) -> str:  # noqa: ANN401 - what a template reads
    """Return a template filled in."""
    return _environment().get_template(name).render(w=desk_words(), **values)


def named(file: str) -> str:
    """Return the name of a file as text, without the folder that the leader knows."""
    return PurePath(file).name.encode("utf-8", "replace").decode()


def told_lines(error: Exception) -> Iterator[str]:
    """Yield what is wrong, each by its line, or by the name of another file."""
    if not isinstance(error, CuetrackError):
        yield desk_words()["no text"]
        return
    for one in error.problems:
        place = f"{desk_words()['line']} {one.line}" if one.line else named(one.file)
        told = f"{place}: {one.what}" if place else one.what
        yield " ".join(filter(None, (told, one.remedy)))
