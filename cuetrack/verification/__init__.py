"""Measuring a finished track against its cue sheet."""

from cuetrack.verification.report import (
    Check,
    CueVerdict,
    Report,
    SoundRow,
    report_lines,
    to_json,
)
from cuetrack.verification.targets import respeak_with
from cuetrack.verification.track import verify_track

__all__ = [
    "Check",
    "CueVerdict",
    "Report",
    "SoundRow",
    "report_lines",
    "respeak_with",
    "to_json",
    "verify_track",
]
