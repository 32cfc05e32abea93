"""What a cause explains is left out, and what it does not explain stays."""

from __future__ import annotations

import pytest

from cuetrack.verification.causes import without_explained
from cuetrack.verification.checks import HUM
from cuetrack.verification.print_check import NAME as PRINT
from cuetrack.verification.report import Check


def failed(name, places_ms=()):
    return Check(
        name=name,
        measured=None,
        wanted="",
        passed=False,
        sentence=name,
        places_ms=places_ms,
    )


@pytest.mark.parametrize(
    ("places_ms", "kept"),
    [
        (((0, 30_000), (31_000, 60_000)), [HUM, "the rest"]),
        (((5000, 6000),), [HUM, PRINT]),
    ],
)
def test_a_hum_explains_only_what_sounds_all_along(places_ms, kept):
    """A cough at one place is told beside the hum; a noise everywhere is the hum."""
    checks = (failed(HUM), failed(PRINT, places_ms))
    _, told = without_explained((), checks, 60_000)
    assert [check.name for check in told] == kept


def test_without_a_cause_all_is_told():
    """Nothing is left out where nothing explains it."""
    checks = (failed(PRINT),)
    assert without_explained((), checks, 60_000) == ((), checks)
