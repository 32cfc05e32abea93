"""What printed sheets share: papers, face and language, texts a page can break."""

from __future__ import annotations

from functools import cache
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, Final, Literal

import jinja2

from cuetrack.languages.folders import is_right_to_left
from cuetrack.output.handouts.figures import drawings
from cuetrack.output.handouts.glance_rows import movements_at_a_glance
from cuetrack.output.handouts.sheet_text import breakable
from cuetrack.output.handouts.sheet_typesetting import FACE, template

if TYPE_CHECKING:
    from collections.abc import Mapping

    from cuetrack.cues.model import Timeline
    from cuetrack.languages.phrases import Phrases

Paper = Literal["a4", "letter"]

TYPST_PAPERS: Final[Mapping[str, str]] = MappingProxyType(
    {"a4": "a4", "letter": "us-letter"}
)


def all_breakable(value: Any) -> Any:  # noqa: ANN401 - any value JSON knows
    """Return a value with very long words in all its texts made breakable."""
    if isinstance(value, str):
        return breakable(value)
    if isinstance(value, dict):
        return {key: all_breakable(one) for key, one in value.items()}
    if isinstance(value, list | tuple):
        return [all_breakable(one) for one in value]
    return value


def drawn_page(timeline: Timeline, phrases: Phrases) -> dict[str, Any]:
    """Return what every page with drawings needs: face, language, figures."""
    return {
        "face": FACE,
        "language_code": phrases.language.partition("-")[0],
        "right_to_left": is_right_to_left(phrases.language),
        "figures": drawings(movements_at_a_glance(timeline)),
    }


@cache
def html_template(name: str) -> jinja2.Template:
    """Return an HTML template; ``filled`` fills the fields of a text in it."""
    environment = jinja2.Environment(
        autoescape=True,
        trim_blocks=True,
        lstrip_blocks=True,
        undefined=jinja2.StrictUndefined,
    )
    environment.filters["filled"] = lambda text, **fields: text.format(**fields)
    return environment.from_string(template(name))
