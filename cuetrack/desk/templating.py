"""The desk's templates, filled in: every text is shown as text."""

from __future__ import annotations

from functools import cache
from importlib.resources import files
from typing import Any

import jinja2
import yaml


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
