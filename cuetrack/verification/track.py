"""``verify_track``: from a finished file and its cue sheet to a report."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from cuetrack.plan.model import Group
from cuetrack.sound.band_print import from_letters
from cuetrack.sound.decoding import open_sound
from cuetrack.times import ms_from_frames
from cuetrack.verification.background_check import find_background
from cuetrack.verification.causes import without_explained
from cuetrack.verification.checks import (
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
from cuetrack.verification.headline import headline, stranger_headline
from cuetrack.verification.judging import (
    is_recognised,
    mark_covered,
    rows_of,
    shift_sentence,
    tolerance_frames,
    unheard_delay,
)
from cuetrack.verification.late_sound import late_sound_checks
from cuetrack.verification.likeness import is_alike
from cuetrack.verification.limits import PRINT_KBITS
from cuetrack.verification.print_check import (
    free_steps,
    has_music,
    keeps_level,
    print_check,
)
from cuetrack.verification.report import (
    Check,
    CueVerdict,
    Report,
    SoundRow,
    needs_a_look,
)
from cuetrack.verification.sides import sides_checks
from cuetrack.verification.targets import Templates, targets_of
from cuetrack.verification.timbre_check import colour_checks
from cuetrack.verification.wavering import wavering_checks
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
    templates, planned_ms = Templates(clips, respeak), cue_file.duration_ms
    measured = measure_again(sound, targets, templates, planned_ms, progress)
    found, low_rate = measured.detections, measured.low_rate
    background = find_background(found, group or Group(), low_rate=low_rate)
    colour = colour_checks(measured)
    own = _own_rows(measured, background, filtered=bool(colour))
    whole = find_whole(own.rows, measured, planned_ms, own.on_time_frames)
    recognised = True
    if _needs_another_speed(whole, measured):
        other = at_another_speed(sound, targets, templates, planned_ms, measured)
        whole, recognised = other or whole, bool(other) or _is_known(whole, measured)
    looked = recognised and not whole.speed
    heads, close = _close_checks(measured, background, colour) if looked else ([], [])
    sides = sides_checks(measured.sides, _spoken_ms(measured), voiced=recognised)
    causes = (*whole.causes, *sides, *hum_checks(measured.hum), *heads)
    made, length_ms = _print_of(cue_file), ms_from_frames(measured.frames)
    all_checks = (
        *causes,
        *close,
        *own.notes,
        *_file_checks(measured, cue_file, made, target_lufs),
        *(_sound_checks(measured, cue_file, made, whole) if looked else ()),
        *_voice_checks(len(templates.changed)),
    )
    rows, checks = without_explained(whole.rows, all_checks, length_ms)
    said = headline(rows, causes, checks, target_lufs)
    if not recognised:
        alike = _is_alike(made, measured, cue_file)
        said = stranger_headline(rows, checks, cue_file, alike=alike)
    return Report(
        track=track.name,
        title=cue_file.title,
        headline=said,
        passed=_is_passed(rows, checks),
        recognised=recognised,
        rows=rows,
        checks=checks,
        tolerance_frames=own.on_time_frames,
    )


def _is_passed(rows: Sequence[SoundRow], checks: Sequence[Check]) -> bool:
    fine = all(row.verdict == CueVerdict.ON_TIME for row in rows)
    return fine and all(check.passed is not False for check in checks)


def _spoken_ms(measured: Measured) -> list[tuple[float, float]]:
    """Return from when to when each spoken cue that was found sounds."""
    ms = ms_from_frames(1)
    return [
        (ms * one.match.frame, ms * (one.match.frame + one.target.frames))
        for one in measured.detections
        if one.match is not None and one.target.is_speech
    ]


def _is_known(whole: WholeFinding, measured: Measured) -> bool:
    """Whether the file is the track of its sheet, at least as far as it goes."""
    length_ms = ms_from_frames(measured.frames)
    return is_recognised(whole.rows) or ends_early(whole.rows, length_ms)


def _needs_another_speed(whole: WholeFinding, measured: Measured) -> bool:
    """Whether so little fits that the file may play at another speed."""
    known = _is_known(whole, measured)
    return not known or bool(whole.speed) or _is_mostly_wrong(whole.rows)


@dataclass(frozen=True, slots=True, kw_only=True)
class _OwnRows:
    """Rows each judged by itself, how far off is on time, and what is to be noted."""

    rows: tuple[SoundRow, ...]
    on_time_frames: float
    notes: tuple[Check, ...] = ()


def _own_rows(
    measured: Measured, background: BackgroundFinding, *, filtered: bool
) -> _OwnRows:
    """Return the rows, all that lossy coding may delay them by taken as on time."""
    usual = tolerance_frames(measured.coding, filtered=filtered)
    rows = _rows_within(usual, measured, background, filtered=filtered)
    delay = None if measured.lossless else unheard_delay(rows, usual)
    if delay is None:
        return _OwnRows(rows=rows, on_time_frames=usual)
    allowed = abs(delay.frames) + delay.slack_frames
    note = Check(
        name="delay of all cues",
        measured=ms_from_frames(1) * delay.frames,
        wanted="0 ms",
        passed=None,
        sentence=f"{shift_sentence(delay, 0, measured.rate_hz)} Nobody hears that.",
    )
    return _OwnRows(
        rows=_rows_within(allowed, measured, background, filtered=filtered),
        on_time_frames=allowed,
        notes=(note,),
    )


def _rows_within(
    on_time_frames: float,
    measured: Measured,
    background: BackgroundFinding,
    *,
    filtered: bool,
) -> tuple[SoundRow, ...]:
    rows = rows_of(
        measured.detections,
        background,
        low_rate=measured.low_rate,
        on_time_frames=on_time_frames,
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


def _is_alike(
    made: Floats | None, measured: Measured, cue_file: CueFile
) -> bool | None:
    """Whether a file follows the print of its sheet, where there is one."""
    if made is None:
        return None
    return is_alike(made, measured.bands_db, free_steps(cue_file, len(made)))


def _file_checks(
    measured: Measured, cue_file: CueFile, made: Floats | None, target_lufs: float
) -> tuple[Check, ...]:
    """Return what holds for the file, whatever it says."""
    one = measured.channels == 1
    folded = None if made is None else one and has_music(made, cue_file)
    kept = made is not None and keeps_level(made, measured.bands_db)
    loudness = loudness_check(measured, target_lufs, folded=folded, kept=kept)
    overshoot = measured.overshoot if loudness.passed else None
    return (
        length_check(measured, cue_file.duration_ms),
        loudness,
        true_peak_check(measured.levels, overshoot),
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

    What echoes or wavers comes first, then what colours the voice.
    """
    found = measured.detections
    heads = [
        *late_sound_checks(measured.late_sound),
        *wavering_checks(measured.delays),
        *colour,
    ]
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
