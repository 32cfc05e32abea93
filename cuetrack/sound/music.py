"""Music a user brings, made ready once: stereo, 48 kHz, measured, silence cut off.

What is ready is kept in a folder by the content of the file it came from, so that
a second make, and each pass of one make, only reads plain samples. Nothing is ever
whole in memory.
"""

from __future__ import annotations

import hashlib
import json
import os
import tempfile
import warnings
from contextlib import contextmanager
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import soundfile
import soxr

from cuetrack.errors import MusicError, TrackError
from cuetrack.sound.decoding import open_sound
from cuetrack.sound.loudness import SILENCE_LUFS, Meter
from cuetrack.speech.records import default_folder
from cuetrack.times import SAMPLE_RATE_HZ, frames_from_ms

if TYPE_CHECKING:
    from collections.abc import Iterator

    from cuetrack.sound.blocks import Block
    from cuetrack.sound.decoding import Sound

SHORTEST_MS = 3000
"""Shorter music would be a jingle that starts again and again."""

CHANNELS = 2

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
        kept = _kept(stem)
        return _made(sound, stem) if kept is None else kept
    except TrackError as error:
        raise MusicError(str(error)) from error


def prune_music(max_bytes: int, folder: Path | None = None) -> int:
    """Delete ready music unused for longest until the rest fits; return how many."""
    folder = music_folder() if folder is None else folder
    tunes = [(path.stat(), path) for path in folder.glob("*.wav")]
    total, removed = 0, 0
    for status, path in sorted(tunes, key=lambda one: -one[0].st_mtime_ns):
        total += status.st_size
        if total > max_bytes:
            path.unlink(missing_ok=True)
            path.with_suffix(".json").unlink(missing_ok=True)
            removed += 1
    return removed


def _digest(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def _kept(stem: Path) -> Tune | None:
    """Return what was made ready before, None where it is missing or damaged."""
    try:
        fields = json.loads(stem.with_suffix(".json").read_text("utf-8"))
        frames = fields.pop("frames")
        tune = Tune(path=stem.with_suffix(".wav"), **fields)
        if soundfile.info(tune.path).frames != frames:
            return None
        os.utime(tune.path)
    except (OSError, ValueError, KeyError, TypeError, soundfile.SoundFileError):
        return None
    return tune


def _made(sound: Sound, stem: Path) -> Tune:
    _refuse_layout(sound)
    meter = Meter(CHANNELS)
    frames, full = 0, 0
    with _beside(stem.with_suffix(".wav"), sound.path) as scratch:
        with soundfile.SoundFile(
            scratch, "w", SAMPLE_RATE_HZ, CHANNELS, format="RF64", subtype="FLOAT"
        ) as file:
            for block in _stereo_at_48k(sound):
                file.write(block)
                meter.add(block)
                frames += len(block)
                full += int(np.count_nonzero(np.abs(block) >= _FULL_SCALE))
        lufs = meter.levels().integrated_lufs
        _refuse_useless(sound.path, frames, lufs)
        head, tail = _silent_ends(scratch, frames, lufs)
        _refuse_useless(sound.path, frames - head - tail, lufs)
    tune = Tune(
        path=stem.with_suffix(".wav"),
        first_frame=head,
        end_frame=frames - tail,
        lufs=lufs,
        clipped=full > _CLIPPED_SHARE * frames * CHANNELS,
    )
    fields = asdict(tune) | {"frames": frames}
    del fields["path"]
    with _beside(stem.with_suffix(".json"), sound.path) as scratch:
        scratch.write_text(json.dumps(fields), "utf-8")
    return tune


def _refuse_layout(sound: Sound) -> None:
    if sound.channels not in _DOWNMIX:
        raise MusicError(
            f"{sound.path}: has {sound.channels} channels, and six at most can be "
            "used. Export it as stereo."
        )


def _refuse_useless(path: Path, frames: int, lufs: float) -> None:
    if frames < frames_from_ms(SHORTEST_MS):
        raise MusicError(
            f"{path}: plays for {frames / SAMPLE_RATE_HZ:.1f} s, and at least "
            f"{SHORTEST_MS // 1000} s are needed. Give a whole piece of music."
        )
    if lufs == SILENCE_LUFS:
        raise MusicError(
            f"{path}: is silent from beginning to end. Check how it was recorded, or "
            "leave the music out."
        )


def _stereo_at_48k(sound: Sound) -> Iterator[Block]:
    """Yield the sound on two channels at 48 kHz."""
    matrix = np.array(_DOWNMIX[sound.channels], np.float32)
    if sound.rate_hz == SAMPLE_RATE_HZ:
        for block in sound.blocks(_BLOCK_FRAMES):
            yield block @ matrix
        return
    stream = soxr.ResampleStream(sound.rate_hz, SAMPLE_RATE_HZ, CHANNELS, "float32")
    for block in sound.blocks(_BLOCK_FRAMES):
        yield stream.resample_chunk(block @ matrix)
    yield stream.resample_chunk(np.zeros((0, CHANNELS), np.float32), last=True)


def _silent_ends(path: Path, frames: int, lufs: float) -> tuple[int, int]:
    """Return how many frames at the start and at the end hold no music."""
    with warnings.catch_warnings():
        # pydub looks for a decoding program and warns; slicing needs none.
        warnings.simplefilter("ignore")
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


@contextmanager
def _beside(path: Path, music: Path) -> Iterator[Path]:
    """Give a scratch file that takes its place when written, or disappears."""
    scratch = None
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(dir=path.parent, suffix=".part")
        os.close(handle)
        scratch = Path(name)
        yield scratch
        scratch.replace(path)
    except (OSError, soundfile.SoundFileError) as error:
        raise MusicError(
            f"{music}: cannot be made ready in {path.parent} ({error}). Check that the "
            "disk has room and may be written to."
        ) from error
    finally:
        if scratch is not None:
            scratch.unlink(missing_ok=True)
