"""Music a user brings, made ready once: stereo, 48 kHz, measured, silence cut off.

What is ready is kept in a folder by the content of the file it came from, so that
a second make, and each pass of one make, only reads plain samples. Nothing is ever
whole in memory.
"""

from __future__ import annotations

import hashlib
import math
import warnings
from dataclasses import asdict, dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
import soundfile

from cuetrack.errors import MusicError, TrackError
from cuetrack.sound.blocks import resampled
from cuetrack.sound.cache import prune, seal_sound, whole_sound, written_beside
from cuetrack.sound.decoding import open_sound
from cuetrack.sound.loudness import SILENCE_LUFS, Meter
from cuetrack.speech.records import default_folder
from cuetrack.times import SAMPLE_RATE_HZ, frames_from_ms

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Iterable, Iterator
    from pathlib import Path

    from cuetrack.arrays import Block
    from cuetrack.sound.decoding import SoundFile

SHORTEST_MS = 3000
"""Shorter music would be a jingle that starts again and again."""

CHANNELS = 2

KEPT_BYTES = 4 * 2**30
"""How much ready music is kept: some three hours of it."""

_VERSION = 1
_BLOCK_FRAMES = 65_536
_EDGE_MS = 20_000  # silence is looked for this far into either end
_SILENCE_UNDER_LU = 45.0  # what is so far below the music is silence to a listener
_FULL_SCALE = 0.999
_CLIPPED_SHARE = 0.001

_SIDE = 2**-0.5  # -3 dB
_DOWNMIX = {
    # Rows are channels, columns left and right. ITU-R BS.775-3, annex 4, table 2:
    # centre and surrounds at -3 dB; the low-frequency effects are left out.
    1: ((1, 1),),
    2: ((1, 0), (0, 1)),
    3: ((1, 0), (0, 1), (_SIDE, _SIDE)),
    4: ((1, 0), (0, 1), (_SIDE, 0), (0, _SIDE)),
    5: ((1, 0), (0, 1), (_SIDE, _SIDE), (_SIDE, 0), (0, _SIDE)),
    6: ((1, 0), (0, 1), (_SIDE, _SIDE), (0, 0), (_SIDE, 0), (0, _SIDE)),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Tune:
    """Music ready to play: ``first_frame``..``end_frame`` of a plain sound file.

    ``path`` holds 48 kHz stereo. ``lufs`` is the integrated loudness of the whole;
    ``clipped`` tells that its maker drove it into distortion.
    """

    path: Path
    first_frame: int
    end_frame: int
    lufs: float
    clipped: bool = False

    @property
    def frames(self) -> int:
        """How long it plays."""
        return self.end_frame - self.first_frame


def music_folder() -> Path:
    """Return where ready music is kept: beside the clip store."""
    return default_folder().parent / "music"


def ready_tune(path: Path, folder: Path | None = None) -> Tune:
    """Return a music file made ready, from the folder where it was made before.

    Parameters
    ----------
    path
        Any sound file of one to six channels, at any rate.
    folder
        Where ready music is kept; ``music_folder()`` by default.

    Raises
    ------
    MusicError
        When it is no sound, damaged, locked, silent, shorter than three seconds or
        of more than six channels, or the folder cannot be written.
    """
    folder = music_folder() if folder is None else folder
    try:
        sound = open_sound(path)
        stem = folder / f"{_digest(path)}-{_VERSION}"
        kept = kept_tune(stem)
        return _made(sound, stem) if kept is None else kept
    except TrackError as error:
        (problem,) = error.problems
        raise MusicError(problem.what, problem.remedy, file=problem.file) from error


def unready(music: Path) -> str:
    """Return how the message about music that cannot be made ready begins."""
    return f"{music}: cannot be made ready"


def prune_music(
    max_bytes: int,
    folder: Path | None = None,
    *,
    needed: Collection[Path] = (),
) -> int:
    """Delete ready music unused for longest until the rest fits; return how many.

    Files that are ``needed`` stay, however large they are.
    """
    folder = music_folder() if folder is None else folder
    return prune(folder, max_bytes, needed=needed)


def tune_blocks(tune: Tune) -> Iterator[Block]:
    """Read a tune from its first frame to its last, in blocks of shape (frames, 2).

    Raises MusicError when its file is gone or was changed.
    """
    left = tune.frames
    try:
        with soundfile.SoundFile(tune.path) as file:
            file.seek(tune.first_frame)
            while left:
                block = file.read(min(left, _BLOCK_FRAMES), "float32", always_2d=True)
                if not len(block):
                    break
                left -= len(block)
                yield block
    except (OSError, soundfile.SoundFileError):
        pass  # told below, as what is missing
    if left:
        raise MusicError(
            "the music made ready for this track is gone or was changed meanwhile.",
            "Make the track again.",
            file=tune.path,
        )


def kept_tune(stem: Path) -> Tune | None:
    """Return what was kept under a name before, None where missing or damaged."""
    path = stem.with_suffix(".wav")
    notes = whole_sound(path)
    try:
        tune = Tune(path=path, **(notes or {}))
        ends = 0 <= tune.first_frame < tune.end_frame <= soundfile.info(path).frames
        return tune if ends and math.isfinite(tune.lufs) else None
    except (OSError, TypeError, OverflowError, soundfile.SoundFileError):
        return None


def keep_tune(
    stem: Path,
    blocks: Iterable[Block],
    music: Path,
    refine: Callable[[Tune], Tune] | None = None,
) -> Tune:
    """Write 48 kHz stereo music under a name, measured, and return it.

    ``refine`` may refuse it, or return it with other ends, before it is kept.
    Raises MusicError, in words about the file ``music``, when it cannot be written.
    """
    meter = Meter(CHANNELS)
    frames, full = 0, 0
    with written_beside(stem.with_suffix(".wav"), unready(music)) as scratch:
        with soundfile.SoundFile(
            scratch, "w", SAMPLE_RATE_HZ, CHANNELS, format="RF64", subtype="FLOAT"
        ) as file:
            for block in blocks:
                file.write(block)
                meter.add(block)
                frames += len(block)
                full += int(np.count_nonzero(np.abs(block) >= _FULL_SCALE))
        tune = Tune(
            path=scratch,
            first_frame=0,
            end_frame=frames,
            lufs=meter.levels().integrated_lufs,
            clipped=full > _CLIPPED_SHARE * frames * CHANNELS,
        )
        tune = refine(tune) if refine else tune
    tune = replace(tune, path=stem.with_suffix(".wav"))
    notes = asdict(tune)
    del notes["path"]
    seal_sound(tune.path, notes, unready(music))
    return tune


def _digest(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def _made(sound: SoundFile, stem: Path) -> Tune:
    _refuse_layout(sound)

    def without_silence(tune: Tune) -> Tune:
        _refuse_useless(sound.path, tune.frames, tune.lufs)
        head, tail = _silent_ends(tune.path, tune.frames, tune.lufs)
        _refuse_useless(sound.path, tune.frames - head - tail, tune.lufs)
        return replace(tune, first_frame=head, end_frame=tune.frames - tail)

    return keep_tune(stem, _stereo_at_48k(sound), sound.path, without_silence)


def _refuse_layout(sound: SoundFile) -> None:
    if sound.channels not in _DOWNMIX:
        raise MusicError(
            f"has {sound.channels} channels, and six at most can be used.",
            "Export it as stereo.",
            file=sound.path,
        )


def _refuse_useless(path: Path, frames: int, lufs: float) -> None:
    if frames < frames_from_ms(SHORTEST_MS):
        raise MusicError(
            f"is shorter than {SHORTEST_MS // 1000} s, without silence at its ends.",
            "Give a whole piece of music.",
            file=path,
        )
    if lufs == SILENCE_LUFS:
        raise MusicError(
            "is silent from beginning to end.",
            "Check how it was recorded, or leave the music out.",
            file=path,
        )


def _stereo_at_48k(sound: SoundFile) -> Iterator[Block]:
    """Return the sound on two channels at 48 kHz."""
    matrix = np.array(_DOWNMIX[sound.channels], np.float32)
    stereo = (block @ matrix for block in sound.blocks(_BLOCK_FRAMES))
    return resampled(stereo, sound.rate_hz, SAMPLE_RATE_HZ)


def _silent_ends(path: Path, frames: int, lufs: float) -> tuple[int, int]:
    """Return how many frames at the start and at the end hold no music."""
    # pydub looks for a decoding program and warns; slicing needs none.
    with warnings.catch_warnings(action="ignore"):
        from pydub import AudioSegment  # noqa: PLC0415
        from pydub.silence import detect_leading_silence  # noqa: PLC0415
    edge = min(frames_from_ms(_EDGE_MS), frames // 2)
    silent = []
    with soundfile.SoundFile(path) as file:
        for start, turn in ((0, 1), (frames - edge, -1)):
            file.seek(start)
            samples = file.read(edge, dtype="float32", always_2d=True)[::turn]
            whole = np.clip(samples * 32_768, -32_768, 32_767).astype("<i2")
            segment = AudioSegment(
                whole.tobytes(),
                sample_width=2,
                frame_rate=SAMPLE_RATE_HZ,
                channels=CHANNELS,
            )
            silent_ms = detect_leading_silence(segment, lufs - _SILENCE_UNDER_LU)
            silent.append(min(frames_from_ms(silent_ms), edge))
    return silent[0], silent[1]
