"""The follow page of a class before anything is spoken: it runs, without sound."""

from __future__ import annotations

from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

import numpy as np

from cuetrack.cues.model import AnchorPoint
from cuetrack.output.track.cuefile import cue_file_of
from cuetrack.output.track.encoding import write_track
from cuetrack.output.track.file_set import replacing_set
from cuetrack.output.track.files import safe_name
from cuetrack.output.track.metadata import Tags
from cuetrack.pipeline.checking import placed_unspoken, voice_of
from cuetrack.pipeline.handing_out import (
    ClassMaterial,
    Handout,
    hand_out,
    handout_files,
)
from cuetrack.speech.model import Clip
from cuetrack.times import frames_from_ms

if TYPE_CHECKING:
    from collections.abc import Iterator

    from cuetrack.arrays import Block
    from cuetrack.cues.model import PlacedCue
    from cuetrack.output.track.cuefile import CueFile
    from cuetrack.plan.model import Plan

BLOCK_FRAMES = 480_000


def write_silent_page(
    plan: Plan, name: str, folder: Path, *, overwrite: bool = False
) -> Path:
    """Write the page of a plan and return its file, ``NAME.silent.follow.html``.

    Cues are placed by stored clips and estimates. Raises OutputError when the file is
    there already.
    """
    placed = placed_unspoken(plan)
    clips = {cue.wording.spoken: _as_long_as(cue) for cue in placed.placed}
    cue_file = cue_file_of(placed, clips, voice_of(plan))
    base = f"{safe_name(name)}.silent"
    with TemporaryDirectory() as aside:
        track = Path(aside) / "silence.m4a"
        write_silence(track, cue_file)
        material = ClassMaterial(
            plan=plan, placed=placed, cue_file=cue_file, track=track
        )
        paths = handout_files(folder, base, (Handout.FOLLOW_PAGE,))
        with replacing_set(paths, overwrite=overwrite) as written:
            hand_out(material, (Handout.FOLLOW_PAGE,), written, base)
    return paths[0]


def _as_long_as(cue: PlacedCue) -> Clip:
    """Return what stands for the clip of a cue, its speech as long as was reckoned."""
    frames = frames_from_ms(cue.end_ms - cue.start_ms)
    beat = cue.pin_ms - cue.start_ms if cue.pin_point is AnchorPoint.BEAT else 0
    return Clip(
        key="",
        spoken=cue.wording.spoken,
        frames=frames,
        speech_start=0,
        speech_end=frames,
        beat=frames_from_ms(beat),
    )


def write_silence(track: Path, cue_file: CueFile) -> None:
    """Write a track as long as the class in which nothing sounds."""
    tags = Tags(title=cue_file.title, language=cue_file.language)
    blocks = _silence(frames_from_ms(cue_file.duration_ms))
    write_track(track, blocks, format="m4a", channels=1, tags=tags)


def _silence(frames: int) -> Iterator[Block]:
    for start in range(0, frames, BLOCK_FRAMES):
        yield np.zeros((min(BLOCK_FRAMES, frames - start), 1), np.float32)
