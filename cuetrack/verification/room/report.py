"""What the room check found: values, their JSON, and plain words."""

from __future__ import annotations

import math
from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING, Any

from cuetrack.times import clock
from cuetrack.verification.room.advice import LOUDEST_SPEECH_DB, Remedy
from cuetrack.verification.room.grades import (
    CallGrade,
    PlaceGrade,
    call_grade,
    people_of,
)

if TYPE_CHECKING:
    from cuetrack.verification.room.advice import RoomAdvice
    from cuetrack.verification.room.response import Decay

LIMITS = (
    "A phone does not know how loud anything was, only what was louder than what; the "
    "level at the ear is the one stated. The figures count hearing thresholds of "
    "people screened for ear disease and, of the echo, what comes later than 50 ms; a "
    "real group hears worse. No conformity with any standard is claimed. Never turn a "
    f"loudspeaker up beyond {LOUDEST_SPEECH_DB:.0f} dB at anyone's ear, and ask the "
    "people themselves."
)
"""Stands wherever the numbers are read."""

KNOWN_SECONDS = 45.0
"""Less of the track does not tell an echo, nor shares of all calls."""

_TRUE_PPM = 2.0
_LEAST_SHOWN_S = 0.1

_CLARITY = (
    (7.0, "excellent for speech"),
    (2.0, "good for speech"),
    (-2.0, "fair for speech"),
    (-7.0, "poor for speech from this far"),
    (-math.inf, "bad for speech from this far"),
)
"""Classes of the early-to-late ratio, in dB (after Marshall 1996; from memory)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomRow:
    """One cue as it arrived.

    Speech over music, over all else that is not of the track, and over both, in
    dB(A), none of them above 40; None where there is no music. ``sii`` is the index
    of each of the people, those who hear best first, ``sii_with_echo`` the same when
    what arrives late counts as noise.
    """

    id: str
    kind: str
    text: str
    start_ms: float
    over_music_db: float | None
    over_noise_db: float
    over_background_db: float
    sii: tuple[float, ...]
    sii_with_echo: tuple[float, ...]

    @property
    def grades(self) -> tuple[CallGrade, ...]:
        """How well each of the people follows it, echo and all."""
        return tuple(map(call_grade, self.sii_with_echo))

    @property
    def blurred(self) -> bool:
        """Whether it is the echo alone that makes it less than clear for somebody."""
        plain = map(call_grade, self.sii)
        return any(
            before is CallGrade.CLEAR and after is not CallGrade.CLEAR
            for before, after in zip(plain, self.grades, strict=True)
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordingPosition:
    """Where the recording lies on the track.

    The track's first frame is heard ``start_ms`` into the recording, negative
    when it had begun before. ``drift_ppm`` is how much faster the recorder's
    clock ran; delays lie ``spread_ms`` (standard deviation) around that line, in
    ``agreement`` of the places that were looked at, 0..1.
    """

    start_ms: float
    drift_ppm: float
    spread_ms: float
    agreement: float
    from_ms: float
    to_ms: float

    @property
    def followed_s(self) -> float:
        """How much of the track was heard, s."""
        return (self.to_ms - self.from_ms) / 1000


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomReport:
    """Everything a recording tells of a track in a room.

    ``decay`` is None where noise hides how sound dies away, and where it was
    ``dry``: over at once. ``notes`` say what limits this recording.
    """

    recording: str
    track: str
    title: str
    age: int
    level_db_spl: float
    place: RecordingPosition
    decay: Decay | None
    dry: bool
    rows: tuple[RoomRow, ...]
    advice: RoomAdvice
    notes: tuple[str, ...]
    limits: str = LIMITS
    format: int = 1

    @property
    def echo_known(self) -> bool:
        """Whether how sound dies away was seen, or that it is over at once."""
        return self.dry or self.decay is not None

    @property
    def passed(self) -> bool:
        """Whether at least half of the people of that age follow nearly all calls.

        Where the echo could not be told, nobody knows.
        """
        good = self.advice.grade in {PlaceGrade.GOOD, PlaceGrade.FAIR}
        return good and self.echo_known

    @property
    def grade_sentence(self) -> str:
        """How good the place is, as far as that is known."""
        grade = f"{self.advice.grade} at this place"
        if not self.echo_known:
            return f"Without its echo, which could not be told: {grade}."
        if self.place.followed_s < KNOWN_SECONDS:
            return f"As far as {self.place.followed_s:.0f} s can tell: {grade}."
        return f"{grade[0].upper()}{grade[1:]}."

    @property
    def people_sentences(self) -> tuple[str, ...]:
        """What each of the people follow, those who hear best first."""
        best = "" if self.echo_known else "at best "
        return tuple(
            f"{one.people[0].upper()}{one.people[1:]}: {best}{one.words}."
            for one in self.advice.now
        )

    @property
    def advice_sentence(self) -> str:
        """What to do, as far as that is known."""
        fine = self.advice.remedy is Remedy.FINE
        if fine and not self.echo_known:
            again = "record again in a quieter moment"
            return f"Whether it is fine cannot be told: {again}."
        if fine and self.place.followed_s < KNOWN_SECONDS:
            return "Nothing is amiss in what was heard: record for longer to be sure."
        echo = "" if self.echo_known else " The echo may take some of that."
        return f"{self.advice.sentence}{echo}"

    @property
    def headline(self) -> str:
        """How good the place is for whom, and what to do."""
        told = (self.grade_sentence, *self.people_sentences, self.advice_sentence)
        return " ".join(told)


def to_json(report: RoomReport) -> dict[str, Any]:
    """Return the report as plain values, ready for ``json.dumps``."""
    values = asdict(report)
    for row, shown in zip(report.rows, values["rows"], strict=True):
        shown |= {"grades": row.grades, "blurred": row.blurred}
    values["advice"] |= {
        "grade": report.advice.grade,
        "sentence": report.advice_sentence,
    }
    return {**values, "headline": report.headline, "passed": report.passed}


def room_lines(report: RoomReport, *, every_row: bool = True) -> list[str]:
    """Return the report as plain text: the sentence that matters comes first.

    Parameters
    ----------
    every_row
        Whether to list also the cues that are clear for everybody.
    """
    lines = [report.grade_sentence]
    lines += [f"  {sentence}" for sentence in report.people_sentences]
    lines += [report.advice_sentence, ""]
    lines += [
        f"  {sentence}"
        for sentence in (
            _basis(report),
            _place_sentence(report.place),
            _level_sentence(report.rows),
            echo_sentence(report.decay, dry=report.dry),
            *report.notes,
        )
    ]
    clear = {CallGrade.CLEAR}
    rows = [row for row in report.rows if every_row or {*row.grades} != clear]
    if rows:
        lines += ["", *_table_head(report), *map(_table_row, rows)]
    return [*lines, "", report.limits]


def echo_sentence(decay: Decay | None, *, dry: bool = False) -> str:
    """Say how lively the room is, how that was found, and how far off it may be."""
    if dry:
        return (
            "There is no echo to speak of: phone and loudspeaker were close together, "
            "or this is a copy of the track. Record where the last row sits."
        )
    if decay is None:
        return (
            "How lively the room is could not be told: the noise hides how sound dies "
            "away. The figures count no echo. Record longer, or nearer."
        )
    judged = next(words for least, words in _CLARITY if decay.clarity_db >= least)
    return (
        f"The room echoes for {decay.reverberation_s:.1f} s (60 dB; +-"
        f"{max(decay.error_s, _LEAST_SHOWN_S):.1f} s, from the first "
        f"{decay.fall_db:.0f} dB of the fall of "
        "the response learnt from the track); early over late sound is "
        f"{decay.clarity_db:+.1f} dB: {judged}."
    )


def _basis(report: RoomReport) -> str:
    return (
        f"Reckoned with speech at {report.level_db_spl:g} dB where this was recorded, "
        f"for the middle of the people of {report.age} and for where the quarter who "
        "hear worst begins: the rest of that quarter follow less."
    )


def _place_sentence(place: RecordingPosition) -> str:
    began = (
        f"The track starts {place.start_ms / 1000:.2f} s into the recording"
        if place.start_ms >= 0
        else f"The recording starts at {clock(int(-place.start_ms))} of the track"
    )
    return (
        f"{began}, follows it from {clock(int(place.from_ms))} to "
        f"{clock(int(place.to_ms))}, and its clock {_drift(place.drift_ppm)}."
    )


def _drift(drift_ppm: float) -> str:
    """Return how a clock runs; no phone is right to a millionth or two."""
    if abs(drift_ppm) < _TRUE_PPM:
        return "runs true"
    fast_or_slow = "fast" if drift_ppm > 0 else "slow"
    return f"runs {abs(drift_ppm):.0f} millionths too {fast_or_slow}"


def _level_sentence(rows: tuple[RoomRow, ...]) -> str:
    noise = sorted(row.over_noise_db for row in rows)
    music = sorted(row.over_music_db for row in rows if row.over_music_db is not None)
    over = f"Speech stands {_whole(_middle(noise))} over the noise of the room"
    if not music:
        return f"{over} (middle of all cues)."
    beside = f"{_whole(_middle(music))} over the music, its bass not counted"
    return f"{over} and {beside} (middle of all cues)."


def _whole(level_db: float) -> str:
    """Return whole decibels, nought without a sign."""
    return f"{round(level_db)} dB"


def _middle(values: list[float]) -> float:
    half = len(values) // 2
    return (values[half] + values[~half]) / 2


def _table_head(report: RoomReport) -> tuple[str, str]:
    """Return the two lines over the table; its last columns go by people."""
    whose = " / ".join(one.clear_for for one in people_of(report.age))
    columns = f"{'at':>7}  {'over noise':>10}  {'over music':>10}  {'followed':<22}"
    echo = "" if report.echo_known else " if there were no echo"
    return f"  Followed{echo} by {whose}:", f"  {columns}  what"


def _table_row(row: RoomRow) -> str:
    music = "-" if row.over_music_db is None else _whole(row.over_music_db)
    grades = " / ".join(row.grades)
    echo = "  (echo)" if row.blurred else ""
    noise = _whole(row.over_noise_db)
    return (
        f"  {clock(int(row.start_ms)):>7}  {noise:>10}  {music:>10}  "
        f'{grades:<22}  "{row.text}"{echo}'
    )
