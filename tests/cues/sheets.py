"""Cue sheets of plans, for tests: text as shown stands for text as spoken."""

from __future__ import annotations

from typing import TYPE_CHECKING

from cuetrack.cues.model import Cue, CueSheet, SpeechTiming
from cuetrack.cues.timeline import lay_out
from cuetrack.cues.writing.cuesheet import write_cues
from cuetrack.languages.phrases import load_phrases

if TYPE_CHECKING:
    from cuetrack.cuekinds import CueKind
    from cuetrack.plan.model import Plan


def sheet_of(plan: Plan) -> CueSheet:
    return write_cues(plan, lay_out(plan), load_phrases("en"), str)


def of_kind(sheet: CueSheet, kind: CueKind) -> list[Cue]:
    return [cue for cue in sheet.cues if cue.kind is kind]


def sensible_timings(sheet: CueSheet) -> dict[str, SpeechTiming]:
    """Return lengths as of a voice of about 150 words a minute."""
    return {
        wording.spoken: SpeechTiming(
            length_ms=250 + 330 * len(wording.spoken.split()), beat_ms=120
        )
        for cue in sheet.cues
        for wording in cue.wordings
    }
