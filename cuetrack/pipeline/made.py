"""A finished track, and the files that belong to it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pathlib import Path

    from cuetrack.cues.model import PlacedSheet
    from cuetrack.output.track.cuefile import CueFile
    from cuetrack.plan.model import Plan
    from cuetrack.review.model import Finding
    from cuetrack.sound.hearing_report import HearingReport
    from cuetrack.sound.loudness import TrackLevels


@dataclass(frozen=True, slots=True, kw_only=True)
class Files:
    """Where the track and what goes with it are written."""

    track: Path
    cues: Path
    captions: Path
    handouts: tuple[Path, ...] = ()

    def all(self) -> tuple[Path, ...]:
        """Return every file, the track first."""
        return (self.track, self.cues, self.captions, *self.handouts)

    def inside(self, folder: Path) -> Files:
        """Return the files of the same names in another folder."""
        return Files(
            track=folder / self.track.name,
            cues=folder / self.cues.name,
            captions=folder / self.captions.name,
            handouts=tuple(folder / path.name for path in self.handouts),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Made:
    """A finished track: its levels are those of the encoded sound.

    ``spoken_anew`` counts the wordings that were not in the store; ``music_notes``
    are what to tell of the music. ``filled_in`` is what another voice says because the
    voice of the class has not read it.
    """

    plan: Plan
    placed: PlacedSheet
    cue_file: CueFile
    files: Files
    levels: TrackLevels
    hearing: HearingReport
    findings: tuple[Finding, ...]
    voice: str
    spoken_anew: int
    music_notes: tuple[str, ...] = ()
    filled_in: tuple[str, ...] = ()
