"""One JSON object on standard output, for other programs; all else goes to stderr."""

from __future__ import annotations

import json
from contextlib import contextmanager
from typing import TYPE_CHECKING

import msgspec

from cuetrack.errors import CuetrackError
from cuetrack.pipeline.check_report import CheckReport, refused

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path


def print_json(report: CheckReport | msgspec.Raw) -> None:
    """Print a report in ASCII, which every screen and pipe takes."""
    plain = msgspec.json.decode(msgspec.json.encode(report))
    print(json.dumps(plain, indent=1))


@contextmanager
def refusals_as_json(report: type[CheckReport], plan: Path) -> Iterator[None]:
    """Print what stops the work as a report of this kind, and let the error go on."""
    try:
        yield
    except CuetrackError as error:
        print_json(refused(report, plan, error))
        raise
