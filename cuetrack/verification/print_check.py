"""Whether a file still sounds as when it was made, by the band print of its sheet.

What has come to it is judged as an ear does: in each band against what should sound
there, and against what louder bands and moments beside it hide.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from scipy.signal import convolve2d

from cuetrack.sound.band_print import BANDS, EDGES_HZ, LOWEST_DB, STEP_MS
from cuetrack.verification.limits import (
    ADDED_DB,
    ALL_ALONG_SHARE,
    ALL_ALONG_STEPS,
    LEVEL_AGAINST_VOICE_DB,
    LONE_ADDED_DB,
    LONE_LOST_DB,
    LOST_DB,
    LOW_RATE_ADDED_DB,
    UNHEARD_DBFS,
)
from cuetrack.verification.missing_music import missing_music
from cuetrack.verification.places import in_words, places_of
from cuetrack.verification.report import Check

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from cuetrack.arrays import Flags, Floats
    from cuetrack.output.track.cue_rows import CueRow, ToneRow
    from cuetrack.output.track.cuefile import CueFile

NAME = "as it was made"
_FLOOR_DBFS = np.array([-36.0, -42.0, -47.0, -51.0, -55.0, -58.0])
_FLOOR_DBFS = np.concatenate([_FLOOR_DBFS, [UNHEARD_DBFS] * (BANDS - 8), [-55.0, 0.0]])
"""What nobody hears where such a class is: in the lowest bands what the noise of a very
quiet room hides (NR 20 of ISO/R 1996, in half octaves, coefficients from memory), with
the voice at 65 dB SPL; in the second highest what people of 65 and more do not hear
(ISO 7029). Over 11.3 kHz encoders put noise in place of what they drop (Opus: band
folding, RFC 6716, section 4.3.4), and people of 65 hear none of it: not judged."""

_UP_DB, _DOWN_DB, _LATER_DB = 10.0, 16.0, 20.0
"""How much a band hides of those above and below it, each band and step further."""

_HISSING = 13
"""From 5.7 kHz on, where of a voice there is little but hissing."""

_COUPLED_SHARE = 2 * (1 + 2 / np.pi)
_MADE_SHARE = np.repeat([1.0, _COUPLED_SHARE], [_HISSING, BANDS - _HISSING])
"""How far the power of a band may come over that of the print before it is more than
was made. From 5.7 kHz on, encoders of few bits give both sides one sound, as loud as
the louder of them (Vorbis: square polar mapping, lossy coupling). Neither side gets
louder, but their mean does: two noises by (1 + 2 / pi) / (1 / 2), 5.1 dB."""

_LOUD_DBFS = -55.0
_BESIDE_DB = 30.0
_SPOKEN = slice(2, _HISSING)
"""125 Hz to 5.7 kHz: what any encoder keeps."""

_HIGHS, _LOWS = 9, 4
_CLEARLY_HEARD_DB = 2.0
_FEWEST_HEARD = 8
_SAME_SWING_DB = 0.5
_MUCH_SHARE = 0.3
_EVENED_DB = 2.0
_AROUND_MS = (100, 250)
_FEWEST_STEPS = 3
_SAME_SHAPE_DB = 1.5
_STEADY_DB = 1.5
_MUSIC_QUANTILE = 0.9
_SAME_LEVEL_DB, _SAME_ALL_IN_ALL_DB = 0.5, 1.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PrintChange:
    """How a file differs from its print, dB, each of shape (steps, bands).

    ``made`` is the print, ``change`` how much louder the file is. ``added`` is what
    has come, against what hides it, ``hidden`` up to which level that hides;
    ``lost`` what went of that which is heard.
    """

    made: Floats
    change: Floats
    added: Floats
    hidden: Floats
    lost: Floats


def change_of(made: Floats, heard: Floats) -> PrintChange:
    """Return how one print differs from another, apart from the level of the whole.

    Parameters
    ----------
    made, heard
        Levels in dBFS, shape (steps, bands); the longer is cut.
    """
    steps = min(len(made), len(heard))
    made, heard = made[:steps], heard[:steps]
    loud = made > _LOUD_DBFS
    change = heard - made
    if loud.any():
        change = change - np.median(change[loud])
    power = 10 ** (made / 10)
    hidden = np.maximum(_hidden_by(power), 10 ** (_FLOOR_DBFS / 10))
    more = power * (10 ** (change / 10) - _MADE_SHARE)
    added = 10 * np.log10(np.maximum(more, 10 ** (LOWEST_DB / 10)) / hidden)
    clear = loud & (power >= hidden)
    clear &= made > made.max(axis=1, keepdims=True) - _BESIDE_DB
    lost = np.where(clear, -change, 0.0)
    lost[:, : _SPOKEN.start] = lost[:, _SPOKEN.stop :] = 0.0
    return PrintChange(
        made=made,
        change=change,
        added=added,
        hidden=10 * np.log10(hidden),
        lost=lost,
    )


def _hidden_by(power: Floats) -> Floats:
    """Return up to which power each cell is hidden by itself and those beside it."""
    hidden = power.copy()
    for step in range(1, BANDS):
        above, below = 10 ** (-_UP_DB * step / 10), 10 ** (-_DOWN_DB * step / 10)
        np.maximum(hidden[:, step:], above * power[:, :-step], out=hidden[:, step:])
        np.maximum(hidden[:, :-step], below * power[:, step:], out=hidden[:, :-step])
    around, weaker = hidden.copy(), 10 ** (-_LATER_DB / 10)
    np.maximum(hidden[1:], weaker * around[:-1], out=hidden[1:])
    np.maximum(hidden[:-1], weaker * around[1:], out=hidden[:-1])
    return hidden


def has_music(made: Floats, cue_file: CueFile) -> bool:
    """Whether the print of a track has sound between its cues and tones.

    One with nothing but voice and tones is silent there; music may pause.
    """
    free = free_steps(cue_file, len(made))
    return bool(
        free.any() and np.quantile(made[free].max(axis=1), _MUSIC_QUANTILE) > _LOUD_DBFS
    )


def keeps_level(made: Floats, heard: Floats) -> bool:
    """Whether what lies where speech does is as loud as made, all in all and mostly.

    An encoder of few bits drops what lies above.
    """
    steps = min(len(made), len(heard))
    before, after = made[:steps, _SPOKEN], heard[:steps, _SPOKEN]
    loud = before > _LOUD_DBFS
    if not loud.any():
        return False
    powers = [10 ** (levels[loud] / 10) for levels in (before, after)]
    whole_db = 10 * np.log10(powers[1].sum() / powers[0].sum())
    usual_db = np.median((after - before)[loud])
    same = abs(usual_db) < _SAME_LEVEL_DB
    return bool(same and abs(whole_db) < _SAME_ALL_IN_ALL_DB)


def print_check(
    made: Floats, heard: Floats, cue_file: CueFile, *, low_rate: bool
) -> Check:
    """Check that nothing has come to a track or gone from it since it was made.

    Parameters
    ----------
    made, heard
        The print of the cue sheet and that of the file, dBFS, shape (steps, bands).
    cue_file
        Says what is said and sounded when.
    low_rate
        Whether the encoder had so few bits that it adds and drops much by itself.
    """
    found = change_of(made, heard)
    least_db = LOW_RATE_ADDED_DB if low_rate else ADDED_DB
    added = _apart_from_lone(found.added, least_db, LONE_ADDED_DB)
    if low_rate and added.any(axis=1).mean() < ALL_ALONG_STEPS:
        added = np.zeros_like(added)
    lost = _apart_from_lone(found.lost, LOST_DB, LONE_LOST_DB) & (not low_rate)
    spoken, free = _steps(cue_file.cues, len(made)), free_steps(cue_file, len(made))
    sentence = missing_music(made, heard, spoken, free) or _level_sentence(
        found, cue_file
    )
    if not sentence:
        come = _added_sentence(found, added, cue_file)
        parts = (come, _lost_sentence(found, lost))
        sentence = " ".join(part for part in parts if part)
    changed: Flags = np.any(added | lost, axis=1)
    return Check(
        name=NAME,
        measured=float(changed.sum()),
        wanted="0 half seconds that sound otherwise",
        passed=not sentence,
        sentence=sentence
        or "All sounds as when the track was made: nothing has come to it, and "
        "nothing gone.",
        places_ms=places_of(changed, STEP_MS) if sentence else (),
    )


def _apart_from_lone(amounts: Floats, least_db: float, lone_db: float) -> Flags:
    """Return which cells have what came or went, shape (steps, bands).

    A sound touches more than half a second of half an octave, or is clear in it.
    """
    touched = amounts > least_db
    near = convolve2d(touched.astype(np.int64), np.ones((3, 3), np.int64), "same")
    found: Flags = touched & ((near > 1) | (amounts > lone_db))
    return found


def _level_sentence(found: PrintChange, cue_file: CueFile) -> str:
    """Return whether voice, tones and music have kept their levels, empty if so."""
    steps = len(found.made)
    spoken, sounded = _steps(cue_file.cues, steps), _steps(cue_file.tones, steps)
    voice = _level_change(found, spoken & ~sounded)
    music = _level_change(found, free_steps(cue_file, steps))
    tones = _level_change(found, sounded & ~spoken)
    if voice is None:
        return ""
    others = {"music": music, "tones": tones}
    more = {
        name: change - voice
        for name, change in others.items()
        if change is not None and abs(change - voice) > LEVEL_AGAINST_VOICE_DB
    }
    if not more:
        return ""
    if len(more) > 1 and abs(more["music"] - more["tones"]) < _SAME_SHAPE_DB:
        return f"The voice is {_louder(-more['music'])} against all else {_THAN}."
    told = " and ".join(
        f"the {name} {'is' if name == 'music' else 'are'} {_louder(change)}"
        for name, change in more.items()
    )
    return f"{told[0].upper()}{told[1:]} against the voice {_THAN}."


_THAN = "than when the track was made"


def _louder(change_db: float) -> str:
    return f"{abs(change_db):.0f} dB {'louder' if change_db > 0 else 'quieter'}"


def _level_change(found: PrintChange, steps: Flags) -> float | None:
    """Return by how much some steps are louder, None where they sound otherwise."""
    loud = found.made > _LOUD_DBFS
    loud[:, : _SPOKEN.start] = loud[:, _SPOKEN.stop :] = False
    chosen = steps & (loud.sum(axis=1) >= _FEWEST_STEPS)
    if chosen.sum() < _FEWEST_STEPS:
        return None
    cells = np.where(loud, found.change, np.nan)[chosen]
    if float(np.median(np.nanstd(cells, axis=1))) > _SAME_SHAPE_DB:
        return None
    return float(np.median(np.nanmean(cells, axis=1)))


def _added_sentence(found: PrintChange, added: Flags, cue_file: CueFile) -> str:
    if not added.any():
        return ""
    if _is_evened(found, cue_file):
        return (
            "What is loud and what is quiet in the voice lie nearer together than when "
            "the track was made: something on its way has evened out the loudness."
        )
    steps: Flags = np.any(added, axis=1)
    along = steps.mean() >= ALL_ALONG_STEPS
    most = found.added if along else np.where(added, found.added, 0.0)
    band = int(np.argmax(np.median(most, axis=0) if along else most.sum(axis=0)))
    if _is_noise(found, added, band, along=along):
        return (
            "A steady noise sounds all along that the track did not have when it was "
            f"made, most near {_hz(found.added[:, [band]], band)}."
        )
    if along:
        return (
            "Something sounds all along that the track did not have when it was made: "
            "other music, more of it, or noise."
        )
    if _comes_with_voice(steps, cue_file) and band >= _HISSING:
        return (
            "A rustle sounds with the voice that the track did not have when it was "
            "made: it is coarse, of too few bits or overdriven."
        )
    return (
        f"Something sounds {in_words(places_of(steps, STEP_MS))} that the track did "
        f"not have when it was made, near {_hz(found.added)}."
    )


def _is_noise(found: PrintChange, added: Flags, band: int, *, along: bool) -> bool:
    """Whether what has come is as loud everywhere, and there wherever it is heard.

    Of what is hardly heard anywhere, whether it is exactly as loud all over the file.
    """
    cells = added[:, band]
    if along:
        levels = (found.made + found.change)[cells, band]
        return float(np.std(levels)) < _STEADY_DB
    levels = (found.hidden + found.added)[:, band]
    level = float(np.median(levels[cells]))
    swing_db = float(np.std(levels[cells]))
    heard = found.hidden[:, band] < level - _CLEARLY_HEARD_DB
    if heard.sum() < _FEWEST_HEARD:
        return swing_db < _SAME_SWING_DB and _is_all_over(cells)
    return swing_db < _STEADY_DB and float(cells[heard].mean()) >= ALL_ALONG_SHARE


def _is_all_over(cells: Flags) -> bool:
    """Whether there are many steps, at both ends of the file and between."""
    halves = (cells[: len(cells) // 2], cells[len(cells) // 2 :])
    return min(int(half.sum()) for half in halves) >= _FEWEST_HEARD


def _comes_with_voice(steps: Flags, cue_file: CueFile) -> bool:
    """Whether what has come is there in much of what is spoken and nowhere else."""
    spoken = _steps(cue_file.cues, len(steps), _AROUND_MS)
    sounded = _steps(cue_file.tones, len(steps), _AROUND_MS)
    return bool(
        not (steps & ~spoken & ~sounded).any()
        and steps[spoken].sum() >= _MUCH_SHARE * spoken.sum()
    )


def _is_evened(found: PrintChange, cue_file: CueFile) -> bool:
    """Whether the strongest bands of loud speech have lost against those of quiet."""
    spoken = np.flatnonzero(_steps(cue_file.cues, len(found.made)))
    made = found.made[spoken, _SPOKEN]
    strongest = np.argmax(made, axis=1)[:, None]
    loudness = np.take_along_axis(made, strongest, axis=1)[:, 0]
    change = np.take_along_axis(found.change[spoken, _SPOKEN], strongest, axis=1)[:, 0]
    order = np.argsort(loudness)
    by_loudness = change[order][loudness[order] > _LOUD_DBFS]
    third = by_loudness.size // 3
    if third < _FEWEST_STEPS:
        return False
    quiet, loud = np.median(by_loudness[:third]), np.median(by_loudness[-third:])
    return bool(quiet - loud > _EVENED_DB)


def _lost_sentence(found: PrintChange, lost: Flags) -> str:
    if not lost.any():
        return ""
    steps: Flags = np.any(lost, axis=1)
    bands = np.flatnonzero(lost.any(axis=0))
    long = steps.sum() >= _FEWEST_STEPS
    sounding = (found.made > _LOUD_DBFS).any(axis=1)
    along = steps.sum() >= ALL_ALONG_STEPS * sounding.sum()
    where = "all along" if along else in_words(places_of(steps, STEP_MS))
    if long and bands.min() >= _HIGHS:
        return f"The sound is dull {where}: its highs are missing."
    if long and bands.max() <= _LOWS:
        return f"The sound is thin {where}: its lows are missing."
    return (
        f"What the track had when it was made is missing {where}, or much weaker, most "
        f"near {_hz(found.lost)}."
    )


def _hz(amounts: Floats, first: int = 0) -> str:
    """Return the middle of the band in which most has changed."""
    band = first + int(np.argmax(amounts.max(axis=0)))
    middle = (EDGES_HZ[band] * EDGES_HZ[band + 1]) ** 0.5
    return f"{round(middle, -1 if middle < 1000 else -2):.0f} Hz"


def free_steps(cue_file: CueFile, steps: int) -> Flags:
    """Return the steps in which nothing is said or sounded."""
    return ~_steps([*cue_file.cues, *cue_file.tones], steps, _AROUND_MS)


def _steps(
    rows: Iterable[CueRow | ToneRow], count: int, around_ms: Sequence[int] = (0, 0)
) -> Flags:
    """Return the steps that rows touch, shape (count,)."""
    touched = np.zeros(count, np.bool_)
    before, after = around_ms
    for row in rows:
        first = max(0, int(row.start_ms - before) // STEP_MS)
        touched[first : int(row.end_ms + after) // STEP_MS + 1] = True
    return touched
