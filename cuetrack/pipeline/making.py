"""Making a track: speak, place, mix, master, encode, and write what goes with it."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from cuetrack.errors import OutputError
from cuetrack.output.track.captions import captions, to_webvtt
from cuetrack.output.track.chapters import chapters_of
from cuetrack.output.track.cuefile import cue_file_of, to_json, with_print
from cuetrack.output.track.encoding import write_track
from cuetrack.output.track.file_set import replacing_set
from cuetrack.output.track.files import (
    refuse_taken,
    refuse_unwritable,
    safe_name,
    write_text,
)
from cuetrack.output.track.formats import DEFAULT_FORMAT, track_format
from cuetrack.output.track.metadata import Tags
from cuetrack.pipeline.arranging import arrange
from cuetrack.pipeline.checking import (
    cue_sheet,
    placed_or_told,
    voice_of,
)
from cuetrack.pipeline.handing_out import (
    ClassMaterial,
    Handout,
    hand_out,
    handout_files,
)
from cuetrack.pipeline.made import Files, Made
from cuetrack.pipeline.make_report import make_report
from cuetrack.pipeline.music import asked_well_under_voice, music_for
from cuetrack.pipeline.music_files import refuse_unusable
from cuetrack.pipeline.read_voice import filled_in
from cuetrack.pipeline.receipts import keep_receipt, receipt_of, work_of
from cuetrack.pipeline.spectra import spectrum_of
from cuetrack.pipeline.watching import unwatched
from cuetrack.review.reviewing import refuse_unsafe, review
from cuetrack.sound.band_print import BandMeter
from cuetrack.sound.blocks import tapped
from cuetrack.sound.hearing_mix import fit_to_hearing
from cuetrack.sound.loudness import Meter
from cuetrack.sound.mastering import (
    CEILING_DBTP,
    TARGET_LUFS,
    master_blocks,
    plan_master,
)
from cuetrack.sound.mixing import mix_blocks
from cuetrack.speech.records import timing_of
from cuetrack.speech.speaker import StoredSpeaker
from cuetrack.speech.store import ClipStore
from cuetrack.systems import return_freed_memory

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from cuetrack.arrays import Block, Floats
    from cuetrack.cues.model import PlacedSheet, SpeechTiming
    from cuetrack.output.track.cuefile import CueFile
    from cuetrack.pipeline.watching import Watcher
    from cuetrack.plan.model import Plan
    from cuetrack.sound.hearing_mix import HeardMix
    from cuetrack.sound.loudness import TrackLevels
    from cuetrack.sound.mixing import MixPlan
    from cuetrack.speech.model import Clip, Progress, Speaker

LOSSY_MARGIN_DB = 0.5
"""How far under the ceiling a mix stays that an encoder will change a little."""

LOUDNESS_SLACK_LU = 0.3
"""Less than this an encoder may change the loudness; 0.5 LU are promised."""

MOST_REWRITES = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class MakeRequest:
    """What to make: files in ``folder``, their names starting with ``name``.

    Without a name they start with that of the plan's file. ``overwrite`` lets them
    replace any others, ``renew`` only what an earlier make wrote and nobody changed.
    """

    folder: Path
    name: str = ""
    format: str = DEFAULT_FORMAT
    overwrite: bool = False
    renew: bool = False
    handouts: tuple[Handout, ...] = ()
    watch: Watcher = unwatched

    @property
    def may_replace(self) -> bool:
        """Whether any files that are there may give way."""
        return self.overwrite or self.renew


def files_for(base: str, request: MakeRequest) -> Files:
    """Return the files of a track called ``base``; refuse to replace any unasked.

    Raises OutputError naming every file that is already there, or when the folder
    cannot be written.
    """
    files = Files(
        track=request.folder / f"{base}.{track_format(request.format).extension}",
        cues=request.folder / f"{base}.cues.json",
        captions=request.folder / f"{base}.vtt",
        handouts=tuple(handout_files(request.folder, base, request.handouts)),
    )
    if request.folder.exists() and not request.folder.is_dir():
        raise OutputError(
            "is a file, not a folder.",
            "Choose another with --out.",
            file=request.folder,
        )
    if not request.overwrite:
        last = receipt_of(files.track) if request.renew else None
        refuse_taken(one for one in files.all() if not (last and last.wrote(one)))
    refuse_unwritable(request.folder)
    return files


def make(plan: Plan, request: MakeRequest | None = None) -> Made:
    """Make a track of a plan and write it beside its captions and cue file.

    Without a request, an MP3 beside the plan.

    Raises CuetrackError when the plan review finds a danger that nobody
    acknowledged, or when something that must be said cannot fit, cannot be spoken or
    cannot be written; then no file is left half written.
    """
    request = request or MakeRequest(folder=Path(plan.file).parent)
    watch = request.watch
    files = files_for(safe_name(request.name or Path(plan.file).stem), request)
    refuse_unusable(plan, partial(watch, "reading the music"))
    work = work_of(plan, extension=request.format, handouts=request.handouts)
    voice = voice_of(plan)
    speaker = StoredSpeaker(voice, ClipStore())
    sheet = cue_sheet(plan)
    refuse_unsafe(plan, review(plan, sheet.timeline))
    spoken = _SpokenOnDemand(speaker, partial(watch, "speaking"))
    placed, _ = placed_or_told(plan, sheet, spoken.ask)
    speaker.rest()
    clips = spoken.clips
    if speaker.rendered:
        speaker.store.prune()
    refuse_unsafe(plan, review(plan, sheet.timeline, placed))
    cue_file = cue_file_of(placed, clips, voice)
    music = music_for(plan, sheet.timeline, partial(watch, "readying the music"))
    heard = mix_for_group(
        plan, placed, arrange(placed, clips, music.bed), speaker, watch
    )
    material = ClassMaterial(plan=plan, placed=placed, cue_file=cue_file)
    separations_lu = heard.hearing.separations_lu
    findings = review(plan, sheet.timeline, placed, separations_lu=separations_lu)
    return_freed_memory()
    with replacing_set(files.all(), overwrite=request.may_replace) as aside:
        written = files.inside(aside)
        levels, bands_db = write_mix(
            heard.plan, speaker, cue_file, written.track, request
        )
        cue_file = with_print(cue_file, bands_db)
        write_beside(material, cue_file, written, request)
        made = Made(
            plan=plan,
            placed=placed,
            cue_file=cue_file,
            files=files,
            levels=levels,
            hearing=heard.hearing,
            findings=findings,
            voice=voice.name,
            spoken_anew=speaker.rendered,
            music_notes=music.notes,
            filled_in=filled_in(placed, voice),
        )
        _keep_receipt(made, written, work)
    return made


class _SpokenOnDemand:
    """Speaks what placement asks for, and keeps the clips by what is spoken."""

    def __init__(self, speaker: StoredSpeaker, progress: Progress) -> None:
        self.clips: dict[str, Clip] = {}
        self._speaker = speaker
        self._progress = progress

    def ask(self, texts: list[str]) -> dict[str, SpeechTiming]:
        """Speak texts, and return their lengths; progress counts those before too."""
        before = len(self.clips)
        spoken = self._speaker.speak(
            texts, lambda done, total: self._progress(before + done, before + total)
        )
        self.clips |= spoken
        return {text: timing_of(clip) for text, clip in spoken.items()}


def mix_for_group(
    plan: Plan,
    placed: PlacedSheet,
    mix: MixPlan,
    speaker: StoredSpeaker,
    watch: Watcher,
) -> HeardMix:
    """Return the mix with the ducks and tones the group of the plan needs."""
    segments = [said.cue.segment for said in placed.placed]
    return fit_to_hearing(
        mix,
        speaker,
        plan.group,
        cue_ids=[said.cue.id for said in placed.placed],
        texts=[said.wording.text for said in placed.placed],
        well_under=asked_well_under_voice(plan, placed.sheet.timeline, segments),
        spectrum_of=partial(spectrum_of, source=speaker, store=speaker.store),
        progress=partial(watch, "hearing the mix"),
    )


def _keep_receipt(made: Made, written: Files, work: str) -> None:
    keep_receipt(
        made.files.track,
        work=work,
        written={path.name: path for path in written.all()},
        report=make_report(made),
    )


def write_beside(
    material: ClassMaterial, cue_file: CueFile, files: Files, request: MakeRequest
) -> None:
    """Write the cue file, the captions and the handouts of a finished track."""
    write_text(files.cues, to_json(cue_file))
    write_text(files.captions, to_webvtt(captions(cue_file), cue_file))
    request.watch("making the handouts", 0, 1)
    finished = replace(material, track=files.track)
    folder, base = files.track.parent, files.track.stem
    hand_out(finished, request.handouts, folder, base, request.watch)
    request.watch("making the handouts", 1, 1)


def write_mix(
    mix: MixPlan, speaker: Speaker, cue_file: CueFile, track: Path, request: MakeRequest
) -> tuple[TrackLevels, Floats]:
    """Master and encode a mix; return the levels of what a decoder gives back.

    Beside them comes the band print of the master, dBFS, shape (steps, bands).

    Should the encoder have changed the loudness by more than a little, or raised a
    peak above the ceiling, the track is written again with as much put right.
    """
    aim = Aim(target_lufs=TARGET_LUFS, ceiling_dbtp=CEILING_DBTP)
    if not track_format(request.format).lossless:
        aim = replace(aim, ceiling_dbtp=CEILING_DBTP - LOSSY_MARGIN_DB)
    for _ in range(MOST_REWRITES):
        levels, bands_db, reached_lufs = _encode(
            mix, speaker, cue_file, track, request, aim=aim
        )
        better = corrected(aim, levels, reached_lufs)
        if better == aim:
            return levels, bands_db
        aim, request = better, replace(request, overwrite=True)
    return _encode(mix, speaker, cue_file, track, request, aim=aim)[:2]


@dataclass(frozen=True, slots=True, kw_only=True)
class Aim:
    """What the master of a mix aims at before the encoder has its say."""

    target_lufs: float
    ceiling_dbtp: float


def corrected(aim: Aim, levels: TrackLevels, reached_lufs: float) -> Aim:
    """Return the aim that makes up for what an encoder did, or the same again.

    ``levels`` are those after encoding, ``reached_lufs`` the loudness before it. A
    mix that cannot be made louder is left as it is.
    """
    was_reached = abs(reached_lufs - aim.target_lufs) < LOUDNESS_SLACK_LU
    miss_lu = levels.integrated_lufs - TARGET_LUFS
    if was_reached and LOUDNESS_SLACK_LU < abs(miss_lu) < math.inf:
        aim = replace(aim, target_lufs=aim.target_lufs - miss_lu)
    excess_db = levels.true_peak_dbtp - CEILING_DBTP
    if excess_db > 0:
        aim = replace(aim, ceiling_dbtp=aim.ceiling_dbtp - excess_db - 0.1)
    return aim


def _counted(
    blocks: Iterable[Block], total_frames: int, watch: Watcher
) -> Iterator[Block]:
    done = 0
    for block in blocks:
        yield block
        done += len(block)
        watch("measuring the mix", done, total_frames)


def _encode(
    mix: MixPlan,
    speaker: Speaker,
    cue_file: CueFile,
    track: Path,
    request: MakeRequest,
    *,
    aim: Aim,
) -> tuple[TrackLevels, Floats, float]:
    watch = request.watch
    master = plan_master(
        lambda: _counted(mix_blocks(mix, speaker), mix.length_frames, watch),
        mix.channels,
        target_lufs=aim.target_lufs,
        ceiling_dbtp=aim.ceiling_dbtp,
    )
    meter, bands = Meter(mix.channels), BandMeter()
    write_track(
        track,
        tapped(
            master_blocks(mix_blocks(mix, speaker), master),
            lambda block: bands.add(block.mean(axis=1, dtype=np.float32)),
        ),
        format=request.format,
        channels=mix.channels,
        tags=Tags(title=cue_file.title, language=cue_file.language),
        chapters=chapters_of(cue_file),
        overwrite=request.overwrite,
        total_frames=mix.length_frames,
        progress=partial(watch, "writing the track"),
        listener=meter.add,
    )
    return meter.levels(), bands.levels_db(), master.output_lufs
