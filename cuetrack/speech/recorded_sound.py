"""The sound of a recorded voice, a line at a time."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import soundfile

from cuetrack.errors import SpeechError
from cuetrack.speech.keys import file_digest
from cuetrack.speech.recorded_facts import SOUND_FILE
from cuetrack.stopping import undisturbed
from cuetrack.times import HOUR_MS, SAMPLE_RATE_HZ, SECOND_MS, frames_from_ms

if TYPE_CHECKING:
    from pathlib import Path

    from cuetrack.arrays import Samples
    from cuetrack.speech.recorded_lines import RecordedClip, RecordedLines


LONGEST_MS: Final = 10 * HOUR_MS


def refuse_other_sound(folder: Path, lines: RecordedLines) -> None:
    """Raise SpeechError unless the sound in a folder is that of its lines."""
    path = folder / SOUND_FILE
    try:
        about = soundfile.info(path)
    except (soundfile.SoundFileError, OSError) as error:
        raise SpeechError(f"cannot be read: {error}.", file=path) from error
    if (about.format, about.samplerate, about.channels) != ("FLAC", SAMPLE_RATE_HZ, 1):
        raise SpeechError(
            f"is {about.format} of {about.samplerate} Hz with {about.channels} "
            f"channels, expected FLAC of {SAMPLE_RATE_HZ} Hz with one.",
            file=path,
        )
    end_ms = about.frames * SECOND_MS // SAMPLE_RATE_HZ
    if end_ms > LONGEST_MS:
        raise SpeechError("lasts longer than anybody reads.", file=path)
    too_short = lines.clips and lines.clips[-1].end_ms > end_ms
    if too_short or file_digest(path) != lines.sound_sha256:
        raise SpeechError(
            "is not the sound that its lines were cut from.",
            "Put the files of one voice side by side again, or read it anew.",
            file=path,
        )


def clip_sound(folder: Path, clip: RecordedClip, margin_ms: int) -> Samples:
    """Return the sound of a clip with what is up to ``margin_ms`` around it.

    Raises SpeechError where the sound cannot be read there.
    """
    path = folder / SOUND_FILE
    try:
        with undisturbed():
            samples: Samples = soundfile.read(
                path,
                start=max(frames_from_ms(clip.start_ms - margin_ms), 0),
                stop=frames_from_ms(clip.end_ms + margin_ms),
                dtype="float32",
            )[0]
    except (soundfile.SoundFileError, OSError) as error:
        raise SpeechError(
            f"{clip.text!r} cannot be read: {error}.", file=path
        ) from error
    return samples
