"""What every printed sheet shares: papers, and texts that a page can break."""

from __future__ import annotations

from types import MappingProxyType
from typing import TYPE_CHECKING, Any, Final, Literal

from cuetrack.output.handouts.sheet_text import breakable

if TYPE_CHECKING:
    from collections.abc import Mapping

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
