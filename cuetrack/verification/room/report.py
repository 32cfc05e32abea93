"""What the room check found: values, their JSON, and plain words."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING, Any

from cuetrack.times import clock
from cuetrack.verification.room.advice import LOUDEST_SPEECH_DB, Remedy
from cuetrack.verification.room.audibility import ENOUGH_SII

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

LIVELY_CLARITY_DB = 0.0
"""Below this more of the sound comes late than early (ISO 3382-1, early to late)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomRow:
    """One cue as it arrived.

    Speech over music, over all else that is not of the track, and over both, in
    dB(A), none of them above 40; None where there is no music. ``sii`` is the
    index of the listener who hears worst, ``sii_with_echo`` the same when what
    arrives late counts as noise.
    """

    id: str
    kind: str
    text: str
    start_ms: float
    over_music_db: float | None
    over_noise_db: float
    over_background_db: float
    sii: float
    sii_with_echo: float

    @property
    def lost(self) -> bool:
        """Whether people there would lose it, echo or not."""
        return self.sii < ENOUGH_SII

    @property
    def blurred(self) -> bool:
        """Whether it is only the echo that takes it from them."""
        return not self.lost and self.sii_with_echo < ENOUGH_SII


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
    def passed(self) -> bool:
        """Whether it can stay as it is."""
        return self.advice.remedy is Remedy.FINE

    @property
    def headline(self) -> str:
        """What was found and what to do, in two sentences."""
        lost = sum(row.lost for row in self.rows)
        blurred = sum(row.blurred for row in self.rows)
        cues = _cues(len(self.rows))
        if not lost and not blurred:
            found = f"At this place all {cues} can be followed."
        elif not blurred:
            found = f"At this place {lost} of {cues} would be lost."
        elif not lost:
            found = f"At this place the echo blurs {blurred} of {cues}."
        else:
            found = (
                f"At this place {lost} of {cues} would be lost, and the echo blurs "
                f"{blurred} more."
            )
        return f"{found} {self.advice.sentence}"


def to_json(report: RoomReport) -> dict[str, Any]:
    """Return the report as plain values, ready for ``json.dumps``."""
    values = asdict(report)
    for row, shown in zip(report.rows, values["rows"], strict=True):
        shown |= {"lost": row.lost, "blurred": row.blurred}
    values["advice"]["sentence"] = report.advice.sentence
    return {**values, "headline": report.headline, "passed": report.passed}


def room_lines(report: RoomReport, *, every_row: bool = True) -> list[str]:
    """Return the report as plain text: the sentence that matters comes first.

    Parameters
    ----------
    every_row
        Whether to list also the cues that can be followed.
    """
    lines = [report.headline, ""]
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
    rows = [row for row in report.rows if every_row or row.lost or row.blurred]
    if rows:
        lines += ["", _TABLE_HEAD, *map(_table_row, rows)]
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
    judged = (
        "too lively for speech from this far: more arrives late than early"
        if decay.clarity_db < LIVELY_CLARITY_DB
        else "lively"
        if decay.clarity_db < LIVELY_CLARITY_DB + 5
        else "good for speech"
    )
    return (
        f"The room echoes for {decay.reverberation_s:.1f} s (60 dB; +-"
        f"{decay.error_s:.1f} s, from the first {decay.fall_db:.0f} dB of the fall of "
        "the response learnt from the track); early over late sound is "
        f"{decay.clarity_db:+.1f} dB: {judged}."
    )


def _basis(report: RoomReport) -> str:
    return (
        f"Reckoned for people of {report.age} and the quarter of them who hear worst, "
        f"with speech at {report.level_db_spl:g} dB where this was recorded."
    )


def _place_sentence(place: RecordingPosition) -> str:
    began = (
        f"The track starts {place.start_ms / 1000:.2f} s into the recording"
        if place.start_ms >= 0
        else f"The recording starts at {clock(int(-place.start_ms))} of the track"
    )
    return (
        f"{began}, follows it from {clock(int(place.from_ms))} to "
        f"{clock(int(place.to_ms))}, and its clock runs {abs(place.drift_ppm):.0f} "
        f"millionths too {'fast' if place.drift_ppm >= 0 else 'slow'}."
    )


def _level_sentence(rows: tuple[RoomRow, ...]) -> str:
    noise = sorted(row.over_noise_db for row in rows)
    music = sorted(row.over_music_db for row in rows if row.over_music_db is not None)
    over = f"Speech stands {_middle(noise):.0f} dB over the noise of the room"
    beside = f" and {_middle(music):.0f} dB over the music" if music else ""
    return f"{over}{beside} (middle of all cues)."


def _cues(count: int) -> str:
    return "1 cue" if count == 1 else f"{count} cues"


def _middle(values: list[float]) -> float:
    half = len(values) // 2
    return (values[half] + values[~half]) / 2


_TABLE_HEAD = (
    f"  {'at':>7}  {'over noise':>10}  {'over music':>10}  {'clarity':>7}  "
    f"{'in echo':>7}  what"
)


def _table_row(row: RoomRow) -> str:
    music = "-" if row.over_music_db is None else f"{row.over_music_db:.0f} dB"
    lost = "  <- lost" if row.lost else "  <- blurred" if row.blurred else ""
    return (
        f"  {clock(int(row.start_ms)):>7}  {row.over_noise_db:>7.0f} dB  {music:>10}  "
        f'{100 * row.sii:>7.0f}  {100 * row.sii_with_echo:>7.0f}  "{row.text}"{lost}'
    )
