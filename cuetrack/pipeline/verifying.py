"""Measuring a finished track: by its cue sheet and the clips its keys name."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from cuetrack.errors import SpeechError, TrackError
from cuetrack.output.track.cuefile import read_cue_file
from cuetrack.pipeline.watching import unwatched
from cuetrack.speech.speaker import StoredSpeaker
from cuetrack.speech.store import ClipStore
from cuetrack.speech.voices import find_voice
from cuetrack.verification.listening import listen
from cuetrack.verification.room import check_room
from cuetrack.verification.targets import respeak_with
from cuetrack.verification.track import verify_track

if TYPE_CHECKING:
    from cuetrack.output.track.cuefile import CueFile
    from cuetrack.pipeline.watching import Watcher
    from cuetrack.plan.model import Group
    from cuetrack.verification.listening import ListeningReport
    from cuetrack.verification.report import Report
    from cuetrack.verification.room import RoomReport
    from cuetrack.verification.targets import Respeak


def verify(
    track: Path | str, cues: Path | None = None, watch: Watcher = unwatched
) -> Report:
    """Measure a track against ``cues``, by default the cue sheet beside it.

    Raises TrackError when either cannot be read.
    """
    track = Path(track)
    cue_file = read_cue_file(cues or cue_file_beside(track))
    store = ClipStore()
    return verify_track(
        track,
        cue_file,
        store,
        respeak=_respeak(cue_file, store, track.parent),
        progress=partial(watch, "measuring the track"),
    )


def _respeak(cue_file: CueFile, store: ClipStore, beside: Path) -> Respeak | None:
    """Return what says a clip again that is not stored; None where the voice is gone.

    A voice that a person read may have been carried off; its clips may be here still.
    """
    try:
        voice = find_voice(cue_file.voice, cue_file.language, beside)
    except SpeechError:
        return None
    return respeak_with(StoredSpeaker(voice, store))


def listen_to(
    track: Path, cues: Path | None, watch: Watcher = unwatched
) -> ListeningReport:
    """Let a recogniser hear every phrase of a track, without the clips.

    Raises TrackError when track or cue sheet cannot be read.
    """
    return listen(
        track,
        read_cue_file(cues or cue_file_beside(track)),
        progress=partial(watch, "listening"),
    )


def hear_room(
    track: Path,
    recording: Path,
    cues: Path | None,
    group: Group,
    watch: Watcher = unwatched,
) -> RoomReport:
    """Tell from a recording made in the room what people there can follow.

    Raises TrackError when a file cannot be read, or the recording is of something
    else.
    """
    return check_room(
        recording,
        track,
        read_cue_file(cues or cue_file_beside(track)),
        group,
        progress=partial(watch, "hearing the room"),
    )


def cue_file_beside(track: Path) -> Path:
    """Return where the cue sheet of a track lies: ``NAME.cues.json`` beside it.

    Raises TrackError when there is no track or no such file.
    """
    if not track.exists():
        raise TrackError("there is no such file.", "Check the name.", file=track)
    beside = track.with_suffix(".cues.json")
    if not beside.exists():
        raise TrackError(
            f"its cue sheet {beside.name} is not beside it.",
            "Put it there, or name it with --cues.",
            file=track,
        )
    return beside
