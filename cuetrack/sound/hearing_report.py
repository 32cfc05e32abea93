"""What the group can follow of each cue, in rows and in plain sentences.

The index is that of ANSI S3.5-1997 for the listeners of `listeners_of`. It is a
share from 0 to 1 of the speech cues that arrive, not a share of words: by the
curve of Sherbecoe & Studebaker (2003) listeners of normal hearing follow about
nine words in ten of connected speech at 0.45. Speech that reaches less in quiet
is too soft at the ear, and no mix can mend that.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

import numpy as np

from cuetrack.sound.duck_solving import (
    LOSS_LIMIT,
    SILENT_BED,
    Hearing,
    listeners_at_level,
    solve_ducks,
)
from cuetrack.sound.hearing.listeners import age_note
from cuetrack.sound.speech_band import BAND_HZ

if TYPE_CHECKING:
    from collections.abc import Sequence

    from cuetrack.plan.model import Group
    from cuetrack.sound.duck_solving import SolvedDuck
    from cuetrack.sound.hearing.bands import ClipSpectrum

ENOUGH_SII = 0.45
"""Below this in quiet, the level at the ear is too low."""

LOUDEST_SPEECH_DB = 80
"""Speech louder than this is unpleasant to old and young (Sato et al., JASA).

They give dB(A); unweighted speech is up to about 3 dB stronger, a margin.
"""

LIMITS = (
    "These figures leave out the echo of the room and everything of ageing but "
    "hearing thresholds, which are those of people screened for ear disease: a real "
    "group hears worse. How the music makes room was tried on two outside models of "
    "hearing, HASPI v2 and ESTOI, which cannot judge calls under 0.75 s; no listener "
    "took part. The figures help to compare and to set levels; they are not a claim "
    "of conformity with any standard. Listen in your own room before the class."
)
"""Stands wherever the numbers are read."""


class CueAdvice(StrEnum):
    """What to do about a cue."""

    NONE = "fine"
    LOUDSPEAKER_UP = "turn the loudspeaker up"
    MUSIC_DOWN = "turn the music down"
    BOTH = "turn the loudspeaker up and the music down"


@dataclass(frozen=True, slots=True, kw_only=True)
class HearingRow:
    """One cue, ``text`` what is said.

    ``sii_quiet`` and ``sii_mix`` are those of the listener who hears worst,
    ``loss`` the most the music costs any of them, ``depth_db`` how much softer the
    music is under it, ``cut_db`` how far its band of speech went down first, and
    ``separation_lu`` speech over what remains, None where there is no music.
    """

    cue: str
    text: str
    sii_quiet: float
    sii_mix: float
    loss: float
    depth_db: float
    separation_lu: float | None
    advice: CueAdvice
    cut_db: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class HearingReport:
    """Every cue, what to do, and what the figures do not know.

    ``level_db_spl`` is the stated level of speech at the ear on which all of it
    rests. ``louder_by_db`` is how much louder the loudspeaker should be: 0 where
    it is loud enough, None where even ``LOUDEST_SPEECH_DB`` is not enough.
    """

    age: int
    level_db_spl: float
    rows: tuple[HearingRow, ...]
    louder_by_db: int | None
    summary: tuple[str, ...]
    limits: str = LIMITS

    @property
    def separations_lu(self) -> tuple[float, ...]:
        """Speech over the ducked music, one a cue that has music under it."""
        found = (row.separation_lu for row in self.rows)
        return tuple(lu for lu in found if lu is not None)


def hearing_report(
    cue_ids: Sequence[str],
    speech: Sequence[ClipSpectrum],
    solved: Sequence[SolvedDuck] | None,
    group: Group,
    *,
    texts: Sequence[str] = (),
) -> HearingReport:
    """Return what the group hears of each cue.

    Parameters
    ----------
    cue_ids, speech
        The cues, and the spectrum of each one's clip.
    solved
        The ducks of `solve_ducks`, one a cue; None where there is no music.
    texts
        What each cue says, by which people are told of it; not given, its id.
    """
    silent = {0.0: [SILENT_BED] * len(speech)}
    answers = solve_ducks(speech, silent, group) if solved is None else solved
    rows = tuple(
        _row(cue, text, answer, music=solved is not None)
        for cue, text, answer in zip(cue_ids, texts or cue_ids, answers, strict=True)
    )
    louder_by_db = _louder_by(speech, group) if rows else 0
    return HearingReport(
        age=group.age,
        level_db_spl=group.level_db_spl,
        rows=rows,
        louder_by_db=louder_by_db,
        summary=_summary(rows, louder_by_db, group),
    )


def _row(cue: str, text: str, answer: SolvedDuck, *, music: bool) -> HearingRow:
    soft = min(answer.sii_quiet) < ENOUGH_SII
    return HearingRow(
        cue=cue,
        text=text,
        sii_quiet=min(answer.sii_quiet),
        sii_mix=min(answer.sii_mix),
        loss=answer.loss,
        depth_db=answer.lowered_lu,
        cut_db=answer.cut_db,
        separation_lu=answer.separation_lu if music else None,
        advice={
            (False, True): CueAdvice.NONE,
            (True, True): CueAdvice.LOUDSPEAKER_UP,
            (False, False): CueAdvice.MUSIC_DOWN,
            (True, False): CueAdvice.BOTH,
        }[soft, answer.met],
    )


def _louder_by(speech: Sequence[ClipSpectrum], group: Group) -> int | None:
    """Return the whole decibels by which every cue would reach enough in quiet."""
    audience = listeners_at_level(group, speech)
    distinct = tuple(dict.fromkeys(speech))
    silent = [SILENT_BED] * len(distinct)
    for gain_db in range(max(0, int(LOUDEST_SPEECH_DB - group.level_db_spl)) + 1):
        louder = [clip.raised(gain_db) for clip in distinct]
        if np.min(Hearing(louder, silent, audience).quiet) >= ENOUGH_SII:
            return gain_db
    return None


def _summary(
    rows: tuple[HearingRow, ...], louder_by_db: int | None, group: Group
) -> tuple[str, ...]:
    if not rows:
        return ("Nothing is spoken, so there is nothing to hear.",)
    basis = (
        f"Reckoned for people of {group.age} and the quarter of them who hear worst, "
        f"with speech at {group.level_db_spl:g} dB where they sit."
    )
    sentences = [
        basis,
        *_on_the_music(rows),
        _on_the_level(rows, louder_by_db, group),
    ]
    note = age_note(group.age)
    return (*sentences, note) if note else tuple(sentences)


def _on_the_music(rows: tuple[HearingRow, ...]) -> list[str]:
    depths = [row.depth_db for row in rows if row.separation_lu is not None]
    if not depths:
        return []
    mean_db = sum(depths) / len(depths)
    ducked = (
        f"The music is {mean_db:.1f} dB softer on average under speech "
        f"({min(depths):.1f} to {max(depths):.1f} dB)"
    )
    cuts_db = [row.cut_db for row in rows if row.cut_db]
    low, high = BAND_HZ
    ducked += (
        f": where speech lives, at {low:g} to {high:g} Hz, by "
        f"{min(cuts_db):g} dB and more, so that its bass and its beat stay."
        if cuts_db
        else "."
    )
    loud = [
        row.text for row in rows if row.advice in {CueAdvice.MUSIC_DOWN, CueAdvice.BOTH}
    ]
    if loud:
        verdict = (
            f"The music is too loud under {_count(len(loud))} ({_some(loud)}), even "
            "ducked as far as it goes: turn the music down in the plan, or choose "
            "milder music."
        )
    else:
        worst = max(row.loss for row in rows)
        verdict = (
            "No cue is lost to it: it costs nobody more than "
            f"{max(worst, 0.0) * 100:.1f} of 100 points of clarity "
            f"(allowed: {LOSS_LIMIT * 100:g})."
        )
    return [ducked, verdict]


def _on_the_level(
    rows: tuple[HearingRow, ...], louder_by_db: int | None, group: Group
) -> str:
    soft = [row.text for row in rows if row.sii_quiet < ENOUGH_SII]
    lowest = min(row.sii_quiet for row in rows) * 100
    if not soft:
        return (
            f"Loud enough: without music every cue keeps at least {lowest:.0f} of 100 "
            f"points for those who hear worst ({ENOUGH_SII * 100:g} are enough)."
        )
    found = (
        f"Too soft at the ear, music or not: {_count(len(soft))} of {len(rows)} "
        f"({_some(soft)}) reach as little as {lowest:.0f} of 100 points for those who "
        f"hear worst ({ENOUGH_SII * 100:g} are enough)."
    )
    if louder_by_db is None:
        return (
            f"{found} Turn the loudspeaker up, but not beyond "
            f"{LOUDEST_SPEECH_DB} dB at the ear, which will not be enough for all: "
            "let them sit near it, use hearing aids or a hearing loop, and hand out "
            "the run sheet."
        )
    return (
        f"{found} Turn the loudspeaker up by about {louder_by_db} dB, to "
        f"{group.level_db_spl + louder_by_db:g} dB at the ear, or bring it nearer."
    )


def _count(cues: int) -> str:
    return "1 cue" if cues == 1 else f"{cues} cues"


def _some(cues: Sequence[str]) -> str:
    """Return the first few, and how many more there are."""
    shown = ", ".join(f'"{cue}"' for cue in cues[:3])
    return f"{shown} and {len(cues) - 3} more" if len(cues) > 3 else shown
