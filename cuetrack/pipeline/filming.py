"""The film of a finished track."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from cuetrack.languages.phrases import load_phrases
from cuetrack.output.film.frames import Reel
from cuetrack.output.film.shots import shots_of
from cuetrack.output.film.writing import write_film
from cuetrack.output.handouts.follow_data import details_of
from cuetrack.output.handouts.segment_figures import figures_of
from cuetrack.output.handouts.strip import strip_of
from cuetrack.output.track.captions import captions
from cuetrack.output.track.chapters import chapters_of
from cuetrack.output.track.metadata import Tags

if TYPE_CHECKING:
    from pathlib import Path

    from cuetrack.cues.model import Timeline
    from cuetrack.output.track.cuefile import CueFile
    from cuetrack.pipeline.watching import Watcher


def film(
    path: Path,
    cue_file: CueFile,
    track: Path,
    timeline: Timeline,
    *,
    captions_drawn: bool,
    watch: Watcher,
) -> None:
    """Write the film of a track into a file that is not there yet.

    Raises
    ------
    OutputError
        When it is there already or cannot be written.
    TrackError
        When the track cannot be read.
    """
    phrases = load_phrases(cue_file.language)
    shown = captions(cue_file, phrases)
    reel = Reel(
        shots=shots_of(cue_file, details_of(timeline), figures_of(timeline), phrases),
        blocks=strip_of(cue_file.segments, [row.section for row in cue_file.segments]),
        captions=shown if captions_drawn else None,
        end_ms=cue_file.duration_ms,
        phrases=phrases,
    )
    write_film(
        path,
        reel,
        track,
        captions=shown,
        chapters=chapters_of(cue_file),
        tags=Tags(title=cue_file.title, language=cue_file.language),
        progress=partial(watch, "making the film"),
    )
