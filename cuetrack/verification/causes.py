"""What a cause explains: its consequences are left out, they would mislead.

A side that is silent, a hum, a voice of too few bits: each is found again by every
other way of looking, as a sound that was not there, as a voice that is covered, as a
piece that is missing. Who mends the cause has mended those.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from cuetrack.verification.background_check import NAME as BACKGROUND
from cuetrack.verification.checks import HUM, LOUDNESS, PIECES, SILENCE
from cuetrack.verification.clipping_check import CLIPPING
from cuetrack.verification.late_sound import LATE_SOUND
from cuetrack.verification.limits import ALL_ALONG_STEPS
from cuetrack.verification.print_check import NAME as PRINT
from cuetrack.verification.report import Check, CueVerdict
from cuetrack.verification.sides import NAME as SIDES
from cuetrack.verification.softer import STRETCH_LEVEL
from cuetrack.verification.timbre_check import COLOUR
from cuetrack.verification.wavering import WAVERING

if TYPE_CHECKING:
    from collections.abc import Sequence

    from cuetrack.verification.report import SoundRow

_AFTER = frozenset({BACKGROUND, PIECES})
_PIECES = frozenset({CueVerdict.BROKEN, CueVerdict.CHANGED, CueVerdict.CUT})


@dataclass(frozen=True, slots=True, kw_only=True)
class _Explained:
    """Checks by name and verdicts that a cause explains.

    Of those ``along`` only what holds for most of the file.
    """

    checks: frozenset[str]
    verdicts: frozenset[CueVerdict]
    along: frozenset[str] = frozenset()


_BY_CAUSE = {
    SIDES: _Explained(
        checks=_AFTER | {COLOUR, LATE_SOUND, LOUDNESS, PRINT, STRETCH_LEVEL, WAVERING},
        verdicts=_PIECES
        | {CueVerdict.COVERED, CueVerdict.TOO_LOUD, CueVerdict.TOO_QUIET},
    ),
    LATE_SOUND: _Explained(
        checks=_AFTER | {COLOUR, LOUDNESS, PRINT},
        verdicts=_PIECES | {CueVerdict.COVERED, CueVerdict.MOVED},
    ),
    WAVERING: _Explained(
        checks=_AFTER | {CLIPPING},
        verdicts=_PIECES | {CueVerdict.COVERED, CueVerdict.MOVED},
    ),
    STRETCH_LEVEL: _Explained(checks=frozenset({PRINT}), verdicts=frozenset()),
    HUM: _Explained(
        checks=frozenset({BACKGROUND}),
        verdicts=frozenset({CueVerdict.COVERED}),
        along=frozenset({PRINT, SILENCE}),
    ),
    COLOUR: _Explained(
        checks=_AFTER | {LOUDNESS},
        verdicts=_PIECES | {CueVerdict.COVERED},
        along=frozenset({PRINT}),
    ),
}
_NEAR_MS = 20.0
_REST = Check(
    name="the rest",
    measured=None,
    wanted="nothing else wrong",
    passed=None,
    sentence="What else may be wrong cannot be told beside that. Mend it first, then "
    "verify the file again.",
)


def without_explained(
    rows: Sequence[SoundRow], checks: Sequence[Check], length_ms: float
) -> tuple[tuple[SoundRow, ...], tuple[Check, ...]]:
    """Return rows and checks without what the gravest cause among these explains.

    Parameters
    ----------
    rows
        Those that are explained come back marked so.
    checks
        Those that are explained are left out, and one says so.
    length_ms
        How long the file lasts.
    """
    failed = {check.name for check in checks if check.passed is False}
    cause = next((name for name in _BY_CAUSE if name in failed), None)
    if cause is None:
        return tuple(rows), tuple(checks)
    explained = _BY_CAUSE[cause]
    kept = tuple(
        check
        for check in checks
        if check.passed
        or not (
            check.name in explained.checks
            or (check.name == CLIPPING and check.passed is None)
            or (check.name in explained.along and _is_along(check, length_ms))
        )
    )
    marked = tuple(
        replace(row, with_all=True)
        if row.verdict in explained.verdicts and abs(row.error_ms or 0.0) < _NEAR_MS
        else row
        for row in rows
    )
    if any(row.with_all for row in marked) or len(kept) < len(checks):
        kept = (*kept, _REST)
    return marked, kept


def _is_along(check: Check, length_ms: float) -> bool:
    return sum(end - at for at, end in check.places_ms) >= ALL_ALONG_STEPS * length_ms
