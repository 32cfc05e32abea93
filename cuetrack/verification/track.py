"""``verify_track``: from a finished file and its cue sheet to a report."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from cuetrack.plan.model import Group
from cuetrack.sound.band_print import from_letters
from cuetrack.sound.decoding import open_sound
from cuetrack.times import clock, ms_from_frames
from cuetrack.verification.background_check import find_background
from cuetrack.verification.checks import (
    HUM,
    extra_checks,
    hum_checks,
    length_check,
    loudness_check,
    offset_checks,
    pieces_check,
    polarity_checks,
    silence_check,
    true_peak_check,
)
from cuetrack.verification.clipping_check import clipping_check
from cuetrack.verification.judging import (
    is_recognised,
    mark_covered,
    rows_of,
    tolerance_frames,
)
from cuetrack.verification.limits import PRINT_KBITS
from cuetrack.verification.print_check import has_music, keeps_level, print_check
from cuetrack.verification.report import (
    Check,
    CueVerdict,
    Report,
    SoundRow,
    needs_a_look,
)
from cuetrack.verification.sides import sides_checks
from cuetrack.verification.targets import Templates, targets_of
from cuetrack.verification.timbre_check import COLOUR, colour_checks
from cuetrack.verification.whole import (
    at_another_speed,
    ends_early,
    find_whole,
    measure_again,
)

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from cuetrack.arrays import Floats
    from cuetrack.output.track.cuefile import CueFile
    from cuetrack.speech.model import Progress
    from cuetrack.verification.background_check import BackgroundFinding
    from cuetrack.verification.measuring import Measured
    from cuetrack.verification.targets import Respeak, StoredClips
    from cuetrack.verification.whole import WholeFinding

DEFAULT_TARGET_LUFS = -16.0

_MOST_NAMED = 2
_PLACE_MS = 20.0
_FEW_PLACED = 4
_PLACED_SHARE = 0.2
"""Another class has a count or a tone in the same place, but not so many."""

_LEAST_SPEED, _MOST_SPEED = 0.002, 0.15


def verify_track(
    track: Path,
    cue_file: CueFile,
    clips: StoredClips,
    *,
    respeak: Respeak | None = None,
    target_lufs: float = DEFAULT_TARGET_LUFS,
    group: Group | None = None,
    progress: Progress | None = None,
) -> Report:
    """Find every cue of a sheet in a finished file and say how far off each is.

    Parameters
    ----------
    track
        The finished sound file, of any kind that can be decoded.
    cue_file
        Its cue sheet.
    clips
        Where the spoken clips lie, by the keys of the cue sheet.
    respeak
        Speaks a clip again that is no longer there; None when nobody can.
    target_lufs
        The integrated loudness that was asked for.
    group
        Whose ears are counted, and how loud the voice reaches them; None takes what
        a plan takes that does not say.
    progress
        Told how many cues have been looked for.

    Raises
    ------
    TrackError
        When the file cannot be read, or a clip cannot be had.
    """
    sound, targets = open_sound(track), targets_of(cue_file)
    templates = Templates(clips, respeak)
    planned_ms = cue_file.duration_ms
    measured = measure_again(sound, targets, templates, planned_ms, progress)
    found, low_rate = measured.detections, measured.low_rate
    background = find_background(found, group or Group(), low_rate=low_rate)
    colour = colour_checks(measured)
    own = _own_rows(measured, background, filtered=bool(colour))
    on_time_frames = tolerance_frames(measured.coding, filtered=bool(colour))
    whole = find_whole(own, measured, planned_ms, on_time_frames)
    recognised = True
    if _needs_another_speed(whole, measured):
        other = at_another_speed(sound, targets, templates, planned_ms)
        recognised = bool(other) or _is_known(whole, measured)
        whole = other or whole
    looked = recognised and not whole.speed
    heads, close = _close_checks(measured, background, colour) if looked else ([], [])
    sides = sides_checks(measured.sides, voiced=recognised)
    causes = (*whole.causes, *sides, *hum_checks(measured.hum), *heads)
    rows, made = whole.rows, _print_of(cue_file)
    checks = (
        *causes,
        *close,
        *_file_checks(measured, cue_file, made, target_lufs),
        *(_sound_checks(measured, cue_file, made, whole) if looked else ()),
        *_voice_checks(len(templates.changed)),
    )
    fine = all(row.verdict == CueVerdict.ON_TIME for row in rows)
    passed = fine and all(check.passed is not False for check in checks)
    said = _headline(rows, causes, checks, cue_file, recognised=recognised)
    return Report(
        track=track.name,
        title=cue_file.title,
        headline=f"{said}{_volume_cure(checks, target_lufs) if fine else ''}",
        passed=passed,
        recognised=recognised,
        rows=rows,
        checks=checks,
        tolerance_frames=on_time_frames,
    )


def _is_known(whole: WholeFinding, measured: Measured) -> bool:
    """Whether the file is the track of its sheet, at least as far as it goes."""
    length_ms = ms_from_frames(measured.frames)
    return is_recognised(whole.rows) or ends_early(whole.rows, length_ms)


def _needs_another_speed(whole: WholeFinding, measured: Measured) -> bool:
    """Whether so little fits that the file may play at another speed."""
    known = _is_known(whole, measured)
    return not known or bool(whole.speed) or _is_mostly_wrong(whole.rows)


def _own_rows(
    measured: Measured, background: BackgroundFinding, *, filtered: bool
) -> tuple[SoundRow, ...]:
    """Return the rows, each judged by itself."""
    rows = rows_of(
        measured.detections,
        background,
        low_rate=measured.low_rate,
        coding=measured.coding,
        filtered=filtered,
    )
    return mark_covered(rows, explained=filtered or measured.hum is not None)


def _is_mostly_wrong(rows: Sequence[SoundRow]) -> bool:
    """Whether more than half of the rows are wrong by themselves."""
    return 2 * sum(map(needs_a_look, rows)) > len(rows)


def _print_of(cue_file: CueFile) -> Floats | None:
    """Return how loud the track was made, None where its sheet does not say."""
    found = cue_file.band_print
    return None if found is None else from_letters(found.levels)


def _file_checks(
    measured: Measured, cue_file: CueFile, made: Floats | None, target_lufs: float
) -> tuple[Check, ...]:
    """Return what holds for the file, whatever it says."""
    one = measured.channels == 1
    folded = None if made is None else one and has_music(made, cue_file)
    kept = made is not None and keeps_level(made, measured.bands_db)
    loudness = loudness_check(measured, target_lufs, folded=folded, kept=kept)
    overshoots = not measured.lossless and bool(loudness.passed)
    return (
        length_check(measured, cue_file.duration_ms),
        loudness,
        true_peak_check(measured.levels, lossy=overshoots),
        *offset_checks(measured.offset),
    )


def _sound_checks(
    measured: Measured, cue_file: CueFile, made: Floats | None, whole: WholeFinding
) -> list[Check]:
    """Return whether anything sounds that should not, or no longer does."""
    if made is None:
        return [silence_check(measured)]
    checks = []
    if measured.channels == 1 and not has_music(made, cue_file):
        checks.append(silence_check(measured))
    if not whole.causes:
        heard, low_rate = measured.bands_db, measured.kbits < PRINT_KBITS
        checks.append(print_check(made, heard, cue_file, low_rate=low_rate))
    return checks


def _close_checks(
    measured: Measured, background: BackgroundFinding, colour: Sequence[Check]
) -> tuple[list[Check], list[Check]]:
    """Return what a closer look at the cues shows: what may cause more, and the rest.

    What colours the voice comes first.
    """
    found = measured.detections
    heads = list(colour)
    if background.check is not None:
        heads.append(background.check)
    return heads, [
        pieces_check(found),
        clipping_check(measured),
        *polarity_checks(found),
        *extra_checks(measured.extras),
    ]


def _voice_checks(changed: int) -> tuple[Check, ...]:
    if not changed:
        return ()
    return (
        Check(
            name="same voice",
            measured=float(changed),
            wanted="0 texts",
            passed=None,
            sentence=f"{changed} texts were no longer stored, and the voice that said "
            "them again has changed: what is missing may only sound different now.",
        ),
    )


def _headline(
    rows: Sequence[SoundRow],
    causes: Sequence[Check],
    checks: Sequence[Check],
    cue_file: CueFile,
    *,
    recognised: bool,
) -> str:
    """Return the one sentence that says how it went."""
    if not recognised:
        return _stranger_sentence(rows, checks, cue_file)
    failed = [check.sentence for check in checks if check.passed is False]
    wrong = [row for row in rows if needs_a_look(row)]
    found = [cause.sentence for cause in causes if cause.passed is False]
    explained = any(cause.name in {COLOUR, HUM} for cause in causes)
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


def _stranger_sentence(
    rows: Sequence[SoundRow], checks: Sequence[Check], cue_file: CueFile
) -> str:
    found = sum(row.measured_ms is not None for row in rows)
    errors = [abs(row.error_ms) for row in rows if row.error_ms is not None]
    placed = sum(error < _PLACE_MS for error in errors)
    if placed > max(_FEW_PLACED, _PLACED_SHARE * len(rows)):
        return (
            f'This may be the track of "{cue_file.title}", but its sound was changed: '
            f"only {found} of {len(rows)} cues and tones can be told, {placed} of them "
            "in their places. Speed that wavers, another pitch or an echo does so."
        )
    stranger = (
        f'This does not look like the track of "{cue_file.title}": only {found} of '
        f"{len(rows)} cues and tones were found in it. Check that track and cue sheet "
        "belong together."
    )
    lengths = [check.measured for check in checks if check.name == "length"]
    too_fast = cue_file.duration_ms / max(lengths[0] or 0.0, 1.0) - 1
    if _LEAST_SPEED < abs(too_fast) < _MOST_SPEED:
        stranger += (
            f" Or it plays {abs(too_fast):.1%} too {'fast' if too_fast > 0 else 'slow'}"
            f": it is that much {'shorter' if too_fast > 0 else 'longer'}."
        )
    heard = [check.sentence for check in checks if check.name == "both sides"]
    return " ".join([stranger, *heard])


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
