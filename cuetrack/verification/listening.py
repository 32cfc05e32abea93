"""Hearing the words of a finished track, with no access to what was put into it.

A speech recogniser that brings its own model listens where each cue should be
and says which of all phrases of the plan, or which decoy, it hears there. That
proves what matched filters cannot: that the words are the right ones and can
be understood over the music by somebody who knows what might be said. It does
not prove that a listener who does not know will understand, and it times a cue
only to about half a second. Single short words are its weak side: counts are
heard as one phrase, "three two one".
"""

from __future__ import annotations

from dataclasses import asdict, dataclass, replace
from itertools import pairwise
from typing import TYPE_CHECKING, Any

import numpy as np

from cuetrack import cuekinds
from cuetrack.cuekinds import CUE_KINDS, VITAL_PRIORITY
from cuetrack.sound.decoding import open_sound
from cuetrack.times import clock, frames_from_ms
from cuetrack.verification.recogniser import LANGUAGE, Recogniser, require_recogniser
from cuetrack.verification.report import precise_clock
from cuetrack.verification.stream import TrackSpan, mono, stretches

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from cuetrack.arrays import Samples
    from cuetrack.cuekinds import CueKind, CueKinds
    from cuetrack.output.track.cue_rows import CueRow
    from cuetrack.output.track.cuefile import CueFile
    from cuetrack.speech.model import Progress

UNDERSTOOD_SHARE = 0.75
"""Below this the words are not there, or are covered. Measured on finished files
with music 12 dB below speech, among 41 phrases and 28 decoys: 99 % with the neural
voice (95 % at 6 dB), 88 % with espeak. The recogniser itself makes the rest of the
mistakes, so single ones are listed and do not fail a track."""

_BEFORE_MS = 500
_BEHIND_MS = 400
_APART_MS = 20
_COUNT_GAP_MS = 1500
_COUNT_MARGINS = (frames_from_ms(60), frames_from_ms(120))
"""Between the words of a count music is as loud as they are, and is heard as words."""
_FADE = frames_from_ms(10)
_MARGIN_SHARES = (0.2, 0.5, 1.0)
"""Little around the cue first, because music is at its full level there; a phrase
that is not heard to its end is listened to again with more around it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _ListeningWindow:
    """Where to listen, and how much of that lies before and behind the cue, frames.

    ``spans`` are the words of a count, as frames of the track.
    """

    span: TrackSpan
    before: int
    behind: int
    spans: tuple[TrackSpan, ...]

    @property
    def margins(self) -> tuple[int, ...]:
        """How much around each word of a count to listen to, least first."""
        return _COUNT_MARGINS if len(self.spans) > 1 else ()

    def words(self, samples: Samples, margin: int) -> Samples:
        """Return the words of a count one upon the other, the gaps cut out."""
        first = self.span.start
        pieces = [
            _faded(
                samples[max(0, word.start - first - margin) : word.end - first + margin]
            )
            for word in self.spans
        ]
        return np.concatenate(pieces)

    def cut(self, samples: Samples, share: float) -> Samples:
        """Return the sound with only a share of what lies around the cue."""
        first = round(self.before * (1 - share))
        return samples[first : samples.size - round(self.behind * (1 - share))]


@dataclass(frozen=True, slots=True, kw_only=True)
class HeardCue:
    """What was heard where one cue, or the words of one count, should be.

    ``heard`` is a phrase, empty when none. ``right`` is None when the cue could
    not be judged; ``note`` says why. ``vital`` is a cue without which the class is
    not safe or not in time: there another phrase fails the track by itself.
    """

    ids: tuple[str, ...]
    planned_ms: float
    spoken: str
    heard: str
    right: bool | None
    note: str = ""
    vital: bool = False

    @property
    def falsified(self) -> bool:
        """Whether a vital phrase was not heard, another one or nothing in its place."""
        return self.vital and self.right is False


@dataclass(frozen=True, slots=True, kw_only=True)
class ListeningReport:
    """Everything heard in one track.

    ``phrases`` and ``decoys`` say between how many the recogniser had to choose;
    ``share`` is right ones of those judged, None when none could be.
    """

    track: str
    headline: str
    rows: tuple[HeardCue, ...]
    phrases: int
    decoys: int

    @property
    def judged(self) -> int:
        """How many rows could be judged."""
        return sum(row.right is not None for row in self.rows)

    @property
    def right(self) -> int:
        """How many rows were heard as planned."""
        return sum(row.right is True for row in self.rows)

    @property
    def share(self) -> float | None:
        """Right ones of those judged."""
        return self.right / self.judged if self.judged else None

    @property
    def passed(self) -> bool | None:
        """Whether enough was understood, and no vital cue says something else.

        None when nothing could be judged.
        """
        if self.share is None:
            return None
        false = any(row.falsified for row in self.rows)
        return self.share >= UNDERSTOOD_SHARE and not false


def listen(
    track: Path,
    cue_file: CueFile,
    *,
    progress: Progress | None = None,
    kinds: CueKinds = CUE_KINDS,
) -> ListeningReport:
    """Listen for every spoken cue of a sheet in a finished file.

    Parameters
    ----------
    track
        The finished sound file.
    cue_file
        Its cue sheet.
    progress
        Told how many places have been listened to.

    kinds
        What is known of each kind of cue.

    Raises
    ------
    TrackError
        When the file cannot be read.
    UsageError
        When no recogniser is installed.
    """
    require_recogniser()
    sound = open_sound(track)
    groups = _groups(cue_file.cues, kinds)
    if cue_file.language.split("-")[0].lower() != LANGUAGE:
        return _unjudged(track, groups, "the recogniser only knows English")
    recogniser = Recogniser({_spoken(group): _written(group) for group in groups})
    windows = [_window(group, cue_file) for group in groups]
    spans = [window.span for window in windows]
    rows: dict[int, HeardCue] = {}
    blocks = mono(sound.blocks(), sound.rate_hz)
    for done, (index, samples) in enumerate(stretches(blocks, spans), 1):
        window = windows[index]
        pieces = [window.words(samples, margin) for margin in window.margins]
        pieces += [window.cut(samples, share) for share in _MARGIN_SHARES]
        vital = _is_vital(groups[index][0], kinds)
        row = _row(groups[index], recogniser, pieces, vital=vital)
        rows[index] = _unless_unheard(row, kinds.get(groups[index][0].kind))
        if progress is not None:
            progress(done, len(groups))
    judged = tuple(rows[index] for index in range(len(groups)))
    return _report(track, judged, recogniser)


def listening_lines(report: ListeningReport, *, every_row: bool = False) -> list[str]:
    """Return the report as plain text: the sentence that matters comes first.

    Parameters
    ----------
    every_row
        Whether to list also what was heard as planned.
    """
    lines = [report.headline]
    for row in report.rows:
        at = precise_clock(row.planned_ms)
        if row.right is None:
            lines.append(f'  {at:>10}  not judged: "{row.spoken}" ({row.note})')
        elif not row.right:
            heard = f'"{row.heard}"' if row.heard else "nothing"
            lines.append(f'  {at:>10}  heard {heard} instead of "{row.spoken}"')
        elif every_row:
            lines.append(f'  {at:>10}  heard "{row.spoken}"')
    return lines


def listening_to_json(report: ListeningReport) -> dict[str, Any]:
    """Return the report as plain values, ready for ``json.dumps``."""
    totals = {"judged": report.judged, "right": report.right, "share": report.share}
    return {**asdict(report), **totals, "passed": report.passed}


def _faded(samples: Samples) -> Samples:
    """Return the sound without a click where it is cut."""
    frames = min(_FADE, samples.size // 2)
    ramp = np.linspace(0, 1, frames, dtype=np.float32)
    faded = samples.copy()
    faded[:frames] *= ramp
    faded[faded.size - frames :] *= ramp[::-1]
    return faded


def _groups(cues: Sequence[CueRow], kinds: CueKinds) -> tuple[tuple[CueRow, ...], ...]:
    """Return the cues in order of time, the words of one count together."""
    ordered = sorted(cues, key=lambda cue: cue.start_ms)
    groups: list[list[CueRow]] = [[cue] for cue in ordered[:1]]
    for before, cue in pairwise(ordered):
        counts = kinds.get(cue.kind, cuekinds.OTHER).counts
        counting = counts and before.kind == cue.kind
        if counting and cue.start_ms - before.start_ms <= _COUNT_GAP_MS:
            groups[-1].append(cue)
        else:
            groups.append([cue])
    return tuple(tuple(group) for group in groups)


def _spoken(group: Sequence[CueRow]) -> str:
    return " ".join(cue.spoken for cue in group)


def _written(group: Sequence[CueRow]) -> str:
    return " ".join(cue.text for cue in group)


def _window(group: Sequence[CueRow], cue_file: CueFile) -> _ListeningWindow:
    """Return where to listen: around the cue, but not into what comes next to it."""
    start_ms, end_ms = group[0].start_ms, group[-1].end_ms
    others = [(cue.start_ms, cue.end_ms) for cue in cue_file.cues if cue not in group]
    others += [(tone.start_ms, tone.end_ms) for tone in cue_file.tones]
    before = [end for _, end in others if end <= start_ms]
    behind = [start for start, _ in others if start >= end_ms]
    first = max(start_ms - _BEFORE_MS, max(before, default=-1e9) + _APART_MS)
    last = min(end_ms + _BEHIND_MS, min(behind, default=1e12) - _APART_MS)
    margin_before = frames_from_ms(int(max(0.0, start_ms - first)))
    margin_behind = frames_from_ms(int(max(0.0, last - end_ms)))
    return _ListeningWindow(
        span=TrackSpan(
            start=frames_from_ms(int(start_ms)) - margin_before,
            end=frames_from_ms(int(end_ms) + 1) + margin_behind,
        ),
        before=margin_before,
        behind=margin_behind,
        spans=tuple(
            TrackSpan(
                start=frames_from_ms(int(cue.start_ms)),
                end=frames_from_ms(int(cue.end_ms) + 1),
            )
            for cue in group
        ),
    )


def _is_vital(cue: CueRow, kinds: CueKinds) -> bool:
    """Whether it is of the clock, or of the safety that ranks next to it."""
    kind = kinds.get(cue.kind, cuekinds.OTHER)
    return kind.clock and kind.may_repeat and kind.priority >= VITAL_PRIORITY


def _unless_unheard(row: HeardCue, kind: CueKind | None) -> HeardCue:
    """Return the row, no longer vital if a name in the plan's words may be why."""
    if row.heard or kind is None or not kind.in_words_of_plan:
        return row
    return replace(row, vital=False)


def _row(
    group: Sequence[CueRow],
    recogniser: Recogniser,
    pieces: Sequence[Samples],
    *,
    vital: bool,
) -> HeardCue:
    spoken = _spoken(group)
    phrase = recogniser.vocabulary.phrases.get(spoken)
    heard: str | None = ""
    if phrase is None:
        right, note = None, f"cannot pronounce: {recogniser.vocabulary.unknown[spoken]}"
    else:
        heard = recogniser.hear(pieces)
        right = None if heard is None else heard == phrase
        note = "the recogniser failed here" if heard is None else ""
        if vital and right is False and phrase in _heard_in_each(recogniser, pieces):
            right, note = None, f'also heard as "{heard}"'
    return HeardCue(
        ids=tuple(cue.id for cue in group),
        planned_ms=group[0].start_ms,
        spoken=spoken,
        heard=heard or "",
        right=right,
        note=note,
        vital=vital,
    )


def _heard_in_each(
    recogniser: Recogniser, pieces: Sequence[Samples]
) -> tuple[str | None, ...]:
    """Return what is heard with each amount of sound around a cue."""
    return tuple(recogniser.hear([piece]) for piece in pieces)


def _report(
    track: Path, rows: tuple[HeardCue, ...], recogniser: Recogniser
) -> ListeningReport:
    judged = [row for row in rows if row.right is not None]
    right = sum(row.right is True for row in judged)
    phrases = len(set(recogniser.vocabulary.phrases.values()))
    decoys = len(recogniser.decoys.phrases)
    if judged:
        headline = (
            f"A speech recogniser understood {right} of {len(judged)} cues "
            f"({right / len(judged):.0%}) among {phrases} phrases of the class and "
            f"{decoys} that it does not have."
        )
    else:
        headline = "A speech recogniser could not judge any cue."
    if false := [row for row in rows if row.falsified]:
        headline += (
            f' At {clock(int(false[0].planned_ms))} it heard "{false[0].heard}" in '
            f'place of "{false[0].spoken}", which keeps the class safe and in time.'
        )
    if len(judged) < len(rows):
        headline += f" {len(rows) - len(judged)} could not be judged."
    return ListeningReport(
        track=track.name, headline=headline, rows=rows, phrases=phrases, decoys=decoys
    )


def _unjudged(
    track: Path, groups: Sequence[Sequence[CueRow]], why: str
) -> ListeningReport:
    rows = tuple(
        HeardCue(
            ids=tuple(cue.id for cue in group),
            planned_ms=group[0].start_ms,
            spoken=_spoken(group),
            heard="",
            right=None,
            note=why,
        )
        for group in groups
    )
    return ListeningReport(
        track=track.name,
        headline=f"No cue could be judged: {why}.",
        rows=rows,
        phrases=0,
        decoys=0,
    )
