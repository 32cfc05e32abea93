"""What verification found: values, their JSON, and plain words for a person."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from enum import StrEnum
from typing import Any

from cuetrack.times import ms_from_frames

TOLERANCE_FRAMES = 2.0
"""A cue is on time within two frames of 48 kHz, 0.042 ms: measured on finished
files of all formats, with music up to as loud as the speech."""

OPUS_TOLERANCE_FRAMES = 3.0
"""The layer of Opus that codes speech works at 16 kHz (RFC 6716, section 2): one of its
samples is three frames, and what it gives back lies a part of one off its place."""


class CueVerdict(StrEnum):
    """What became of one cue."""

    ON_TIME = "on time"
    MOVED = "moved"
    MISSING = "missing"
    OTHER_WORDS = "other words"
    CUT = "cut short"
    BROKEN = "broken"
    CHANGED = "changed"
    CLICK = "with a click"
    COVERED = "covered"
    TOO_LOUD = "too loud"
    TOO_QUIET = "too quiet"


@dataclass(frozen=True, slots=True, kw_only=True)
class SoundRow:
    """One planned cue or tone, and where the file has it.

    ``part`` is ``cue`` or ``tone``. ``error_*`` are measured minus planned:
    negative is early. ``score`` runs from 0 to 1, ``level_db`` is against the
    middle of all its like; both None, like the times, when it was not found.
    ``loss`` is what else sounds costs it of the Speech Intelligibility Index, None
    for a tone. ``note`` adds what the verdict cannot say, empty when there is nothing.
    """

    part: str
    id: str
    kind: str
    text: str
    planned_ms: float
    measured_ms: float | None
    error_ms: float | None
    error_frames: float | None
    score: float | None
    level_db: float | None
    verdict: CueVerdict
    note: str = ""
    with_all: bool = False
    """Whether what is wrong is wrong with nearly all: no fault of its own."""

    loss: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Check:
    """One thing that holds for the whole track, or does not.

    ``passed`` is None for what could not be checked; ``sentence`` says why.
    ``places_ms`` are where it does not hold, each from when to when in the file, of
    what is looked for half second by half second.
    """

    name: str
    measured: float | None
    wanted: str
    passed: bool | None
    sentence: str
    places_ms: tuple[tuple[int, int], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Report:
    """Everything measured on one finished track.

    ``headline`` says in one sentence how it went. ``recognised`` is false when
    the file is plainly not the track of this cue sheet: then the rows mean
    nothing but that.
    """

    track: str
    title: str
    headline: str
    passed: bool
    recognised: bool
    rows: tuple[SoundRow, ...]
    checks: tuple[Check, ...]
    tolerance_frames: float = TOLERANCE_FRAMES
    format: int = 1

    @property
    def worst(self) -> SoundRow | None:
        """The row that is furthest from its place, of those that were found."""
        found = [row for row in self.rows if row.error_ms is not None]
        return max(found, key=lambda row: abs(row.error_ms or 0.0), default=None)


def to_json(report: Report) -> dict[str, Any]:
    """Return the report as plain values, ready for ``json.dumps``."""
    counts = {verdict.value: 0 for verdict in CueVerdict}
    for row in report.rows:
        counts[row.verdict.value] += 1
    worst = report.worst
    return {
        **asdict(report),
        "counts": counts,
        "worst_error_ms": None if worst is None else worst.error_ms,
        "tolerance_ms": ms_from_frames(1) * report.tolerance_frames,
    }


_CURES = ("Take the track", "Make it again", "Turn ", "Encode it", "Check that")
_REMEDY = (
    "Copy the track again from where it was made, or make it again: cuetrack make PLAN "
    "--again --overwrite."
)


def report_lines(report: Report, *, every_row: bool = True) -> list[str]:
    """Return the report as plain text: the sentence that matters comes first.

    Parameters
    ----------
    every_row
        Whether to list also what is on time, and what is off only by what all
        are off.
    """
    lines = [report.headline, ""]
    lines += [
        f"  {_mark(check.passed)}  {check.sentence}"
        for check in report.checks
        if check.sentence != report.headline
    ]
    if not (report.passed or any(cure in "\n".join(lines) for cure in _CURES)):
        lines += ["", _REMEDY]
    if not report.recognised:
        return lines
    rows = [row for row in report.rows if every_row or needs_a_look(row)]
    if rows:
        lines += ["", _table_head(), *(_table_row(row) for row in rows)]
    return lines


def precise_clock(ms: float, decimals: int = 3) -> str:
    """Return minutes and seconds with so many decimals, down to milliseconds.

    >>> precise_clock(61_234.4), precise_clock(61_234.4, 1)
    ('1:01.234', '1:01.2')
    """
    step_ms: int = 10 ** (3 - decimals)
    whole_ms = round(ms / step_ms) * step_ms
    minutes, rest_ms = divmod(abs(whole_ms), 60_000)
    sign = "-" if whole_ms < 0 else ""
    return f"{sign}{minutes}:{rest_ms / 1000:0{decimals + 3}.{decimals}f}"


def needs_a_look(row: SoundRow) -> bool:
    """Whether a row has a fault of its own."""
    return row.verdict != CueVerdict.ON_TIME and not row.with_all


def _mark(passed: bool | None) -> str:  # noqa: FBT001 - the three states of a check
    return {True: "ok ", False: "NO ", None: " - "}[passed]


def _table_head() -> str:
    return f"  {'planned':>10}  {'measured':>10}  {'error':>10}  {'fit':>4}  what"


def _table_row(row: SoundRow) -> str:
    measured = "-" if row.measured_ms is None else precise_clock(row.measured_ms)
    error = "-" if row.error_ms is None else f"{row.error_ms:+.2f} ms"
    score = "-" if row.score is None else f"{row.score:.2f}"
    said = row.text if row.part == "tone" else f'"{row.text}"'
    wrong = "" if row.verdict == CueVerdict.ON_TIME else f"  <- {row.verdict}"
    note = f": {row.note}" if row.note else ""
    planned = precise_clock(row.planned_ms)
    return (
        f"  {planned:>10}  {measured:>10}  {error:>10}  {score:>4}  {said}{wrong}{note}"
    )
