"""The sentence that comes first: how it went with a finished file."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from cuetrack.times import clock
from cuetrack.verification.checks import HUM
from cuetrack.verification.late_sound import LATE_SOUND
from cuetrack.verification.report import CueVerdict, needs_a_look
from cuetrack.verification.sides import NAME as SIDES
from cuetrack.verification.sides import TURNED
from cuetrack.verification.timbre_check import COLOUR
from cuetrack.verification.wavering import WAVERING

if TYPE_CHECKING:
    from collections.abc import Sequence

    from cuetrack.output.track.cuefile import CueFile
    from cuetrack.verification.report import Check, SoundRow

_OF_ALL = frozenset({COLOUR, HUM, LATE_SOUND, WAVERING})
_MOST_NAMED = 2
_PLACE_MS = 20.0
_FEW_PLACED = 4
_PLACED_SHARE = 0.2
"""Another class has a count or a tone in the same place, but not so many."""

_LEAST_SPEED, _MOST_SPEED = 0.002, 0.15


def headline(
    rows: Sequence[SoundRow],
    causes: Sequence[Check],
    checks: Sequence[Check],
    target_lufs: float,
) -> str:
    """Return the one sentence that says how it went.

    Parameters
    ----------
    rows
        Each cue and tone.
    causes
        What may cause more than itself; those that are told are among the checks.
    checks
        All that is told of the whole file.
    target_lufs
        The loudness that was asked for.
    """
    causes = [cause for cause in causes if cause in checks]
    fine = all(row.verdict == CueVerdict.ON_TIME for row in rows)
    cure = _volume_cure(checks, target_lufs) if fine else ""
    return f"{_outcome(rows, causes, checks)}{cure}"


def _outcome(
    rows: Sequence[SoundRow], causes: Sequence[Check], checks: Sequence[Check]
) -> str:
    failed = [check.sentence for check in checks if check.passed is False]
    wrong = [row for row in rows if needs_a_look(row)]
    found = [cause.sentence for cause in causes if cause.passed is False]
    explained = any(cause.name in _OF_ALL for cause in causes)
    if found and (any(row.with_all for row in rows) or (wrong and explained)):
        besides = [f"Besides, {_counted(wrong, rows)}"] if wrong else []
        return " ".join([*found, *besides])
    if not wrong:
        on_time = f"{_all_of(rows)} on time; the largest error is {_largest(rows)}."
        return f"{on_time} But: {' '.join(failed)}" if failed else on_time
    if len(wrong) <= _MOST_NAMED:
        return " ".join(_row_sentence(row) for row in wrong)
    return _counted(wrong, rows)


def _volume_cure(checks: Sequence[Check], target_lufs: float) -> str:
    """Return what to do about a file with no fault but its volume, empty else."""
    failed = {check.name: check.measured for check in checks if check.passed is False}
    loudness, peak_dbtp = failed.pop("loudness", None), failed.pop("true peak", None)
    if failed or loudness is None or (peak_dbtp or -1.0) > 0.0:
        return ""
    way = "down" if loudness > target_lufs else "up"
    return f" Turn the loudspeaker {way} by as much; nothing else is wrong."


def _counted(wrong: Sequence[SoundRow], rows: Sequence[SoundRow]) -> str:
    counts = Counter(row.verdict for row in wrong)
    kinds = ", ".join(f"{count} {verdict}" for verdict, count in counts.items())
    return f"{len(wrong)} of {len(rows)} cues and tones are not as planned: {kinds}."


def _row_sentence(row: SoundRow) -> str:
    at = clock(int(row.planned_ms))
    said = f'"{row.text}" at {at}' if row.part == "cue" else f"The {row.text} at {at}"
    if row.verdict == CueVerdict.MOVED and row.error_ms is not None:
        amount = f"{abs(row.error_ms):.{0 if abs(row.error_ms) >= 10 else 2}f} ms"
        return f"{said} is {amount} {row.note}."
    if row.verdict == CueVerdict.CLICK:
        return f"{said} has a click {row.note}."
    if row.verdict == CueVerdict.OTHER_WORDS:
        return f"In place of {said[0].lower() + said[1:]}: {row.note}."
    return f"{said} is {row.verdict}: {row.note}."


def stranger_headline(
    rows: Sequence[SoundRow],
    checks: Sequence[Check],
    cue_file: CueFile,
    *,
    alike: bool | None,
) -> str:
    """Return what is said of a file in which most cues were not found.

    ``alike`` is whether it grows louder and softer where the track does, None where
    that is not known.
    """
    found = sum(row.measured_ms is not None for row in rows)
    heard = [check.sentence for check in checks if check.name in {SIDES, TURNED}]
    lengths = [check.measured for check in checks if check.name == "length"]
    too_fast = cue_file.duration_ms / max(lengths[0] or 0.0, 1.0) - 1
    if not _LEAST_SPEED < abs(too_fast) < _MOST_SPEED:
        too_fast = 0.0
    named = f'the track of "{cue_file.title}"'
    counted = f"only {found} of {len(rows)} cues and tones"
    if alike:
        return _changed_sentence(named, counted, too_fast, heard)
    errors = [abs(row.error_ms) for row in rows if row.error_ms is not None]
    placed = sum(error < _PLACE_MS for error in errors)
    if alike is None and placed > max(_FEW_PLACED, _PLACED_SHARE * len(rows)):
        return (
            f"This may be {named}, but its sound was changed: {counted} can be told, "
            f"{placed} of them in their places. Speed that wavers, another pitch or an "
            "echo does so."
        )
    stranger = (
        f"This does not look like {named}: {counted} were found in it. Check that "
        "track and cue sheet belong together."
    )
    if too_fast:
        stranger += (
            f" Or it plays {abs(too_fast):.1%} too {'fast' if too_fast > 0 else 'slow'}"
            f": it is that much {'shorter' if too_fast > 0 else 'longer'}."
        )
    return " ".join([stranger, *heard])


def _changed_sentence(
    named: str, counted: str, too_fast: float, heard: Sequence[str]
) -> str:
    """Return what is said of a file that follows its track with another voice."""
    length, why = (
        "as long",
        "Another voice or pitch, a hall, an effect or other words do so.",
    )
    if too_fast:
        length = f"{abs(too_fast):.1%} {'shorter' if too_fast > 0 else 'longer'}"
        why = "All was stretched, and the voice with it."
    why = " ".join(heard) or why
    return (
        f"This may be {named}: it is {length}, and loud and quiet where that is. But "
        f"its voice was changed, or is gone: {counted} are recognised. {why}"
    )


def _all_of(rows: Sequence[SoundRow]) -> str:
    parts = Counter(row.part for row in rows)
    named = [
        f"{parts[part]} {name if parts[part] != 1 else name[:-1]}"
        for part, name in (("cue", "spoken cues"), ("tone", "tones"))
        if parts[part]
    ]
    if not named:
        return "There are no cues, so all are"
    both = " and ".join(named)
    return f"All {both} are" if len(rows) > 1 else f"The {both} is"


def _largest(rows: Sequence[SoundRow]) -> str:
    errors = [abs(row.error_ms) for row in rows if row.error_ms is not None]
    return f"{max(errors, default=0.0):.2f} ms"
