"""What came of making a track, as values that other programs read as JSON.

The published schema is ``make.schema.json`` beside this module. Every key is always
there; where no track was made, what belongs to it is null.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from cuetrack.pipeline.check_report import CheckReport, of_class
from cuetrack.sound.hearing_report import HearingReport
from cuetrack.sound.loudness import TrackLevels

if TYPE_CHECKING:
    from cuetrack.pipeline.made import Made


class FileNames(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Where everything was written."""

    track: str
    cues: str
    captions: str
    handouts: tuple[str, ...]


class MakeReport(CheckReport, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What ``cuetrack make --json`` prints; ``ready`` when the track was made.

    Levels are measured after encoding. ``filled_in`` is what another voice says because
    the voice of the class has not read it.
    """

    voice: str | None = None
    spoken_anew: int | None = None
    filled_in: tuple[str, ...] = ()
    music: tuple[str, ...] = ()
    files: FileNames | None = None
    levels: TrackLevels | None = None
    hearing: HearingReport | None = None


def make_report(made: Made) -> MakeReport:
    """Return what was found and written of a finished track."""
    files = made.files
    return MakeReport(
        ready=True,
        lengths_estimated=0,
        voice=made.voice,
        spoken_anew=made.spoken_anew,
        filled_in=made.filled_in,
        music=made.music_notes,
        files=FileNames(
            track=str(files.track),
            cues=str(files.cues),
            captions=str(files.captions),
            handouts=tuple(map(str, files.handouts)),
        ),
        levels=made.levels,
        hearing=made.hearing,
        **of_class(made.plan, made.placed, made.findings),
    )
