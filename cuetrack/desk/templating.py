"""The desk's templates, filled in: every text is shown as text."""

from __future__ import annotations

from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING, Any

import jinja2
import yaml

from cuetrack.errors import CuetrackError

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
    path = files("cuetrack.languages").joinpath("en", "desk.yaml")
    words: dict[str, str] = yaml.safe_load(path.read_text(encoding="utf-8"))
    return words


def render(name: str, **values: Any) -> str:  # noqa: ANN401 - what a template reads
    """Return a template filled in."""
    return _environment().get_template(name).render(w=desk_words(), **values)


def told_lines(error: Exception) -> Iterator[str]:
    """Yield what is wrong, each by its line; the leader knows the file."""
    if not isinstance(error, CuetrackError):
        yield desk_words()["no text"]
        return
    for one in error.problems:
        line = f"{desk_words()['line']} {one.line}: " if one.line else ""
        yield " ".join(filter(None, (f"{line}{one.what}", one.remedy)))
