"""The voices of the operating system, which are not to be trusted blindly.

On some systems one clip in several comes back empty or cut, now and then in a quiet
place where its end tells nothing. So each text is spoken in a process of its own, what
comes back is measured against what so many letters need, and it counts once it has
come back twice alike.
"""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import soundfile

from cuetrack.errors import SpeechError
from cuetrack.speech import system_child
from cuetrack.speech.keys import setting
from cuetrack.speech.languages import primary
from cuetrack.speech.model import RawSpeech
from cuetrack.systems import SPEECH_ENDING

if TYPE_CHECKING:
    from collections.abc import Callable

    from cuetrack.arrays import Samples
    from cuetrack.speech.model import Voice

ATTEMPTS = 4

LETTER_S = (0.03, 0.4)
"""The least and the most that a letter takes at 150 words a minute, seconds."""

SLACK_S = 2.0
"""Added to the most, for pauses and for figures that are long in words."""

CONTAINERS = {b"RIFF": "WAV", b"FORM": "AIFF"}
"""By their first bytes; some systems ignore the ending of a file's name."""


class UnusableClipError(Exception):
    """Nothing that could be all of its text came back, and why."""


class SystemEngine:
    """Speaks each text in a child process and checks what comes back.

    Parameters
    ----------
    voice
        The voice file; ``timeout s`` bounds one try.
    speak_into
        Speaks a text into a file, or returns why it did not.
    """

    def __init__(
        self, voice: Voice, speak_into: Callable[[str, Path], str | None] | None = None
    ) -> None:
        self._voice = voice
        self._rate = int(setting(voice, "rate", "140"))
        self._speak_into = speak_into or self._child_speaks_into

    def render(self, spoken: str) -> RawSpeech:
        """Speak ``spoken`` until it has come back twice alike.

        Raises
        ------
        SpeechError
            If no two tries agree, with the reasons.
        """
        reasons: list[str] = []
        whole: list[RawSpeech] = []
        for _ in range(ATTEMPTS):
            try:
                speech = self._attempt(spoken)
            except UnusableClipError as error:
                reasons.append(str(error))
                continue
            if any(_alike(speech, earlier) for earlier in whole):
                return speech
            whole.append(speech)
        if whole:
            reasons.append("no two clips are of one length")
        raise SpeechError(
            f"The operating system's voice lost {spoken!r} in {ATTEMPTS} tries: "
            f"{'; '.join(dict.fromkeys(reasons))}.",
            "Try again or choose another voice.",
        )

    def _attempt(self, spoken: str) -> RawSpeech:
        with tempfile.TemporaryDirectory(prefix="cuetrack-") as folder:
            path = Path(folder) / f"speech.{SPEECH_ENDING}"
            failure = self._speak_into(spoken, path)
            if failure is not None:
                raise UnusableClipError(failure)
            speech = read_speech(path)
        if silent(speech):
            raise UnusableClipError("the clip is silent")
        doubt = length_doubt(speech, spoken, self._rate)
        if doubt is not None:
            raise UnusableClipError(doubt)
        return speech

    def _child_speaks_into(self, spoken: str, path: Path) -> str | None:
        task = {
            "text": spoken,
            "language": primary(self._voice.language),
            "voice": setting(self._voice, "voice", ""),
            "rate": self._rate,
            "path": str(path),
        }
        seconds = int(setting(self._voice, "timeout s", "30"))
        try:
            child = subprocess.run(  # noqa: S603 - our own module, text on its input
                [sys.executable, "-m", system_child.__name__],
                input=json.dumps(task).encode(),
                capture_output=True,
                timeout=seconds,
                check=False,
            )
        except subprocess.TimeoutExpired:
            return f"it gave no answer within {seconds} s"
        said = child.stderr.decode("utf-8", "replace").strip()
        if child.returncode == system_child.NO_VOICE:
            raise SpeechError(
                f"The operating system cannot speak: {said}.",
                "Install a voice for it, or choose an embedded voice.",
            )
        if child.returncode != 0:
            last = said.splitlines()[-1] if said else f"status {child.returncode}"
            return f"the speech system failed ({last})"
        return None


def read_speech(path: Path) -> RawSpeech:
    """Return the sound in a WAV or AIFF file, whatever it is called, as mono.

    Raises
    ------
    UnusableClipError
        If there is no such file, or it is neither, or it holds nothing.
    """
    try:
        with path.open("rb") as file:
            container = CONTAINERS.get(file.read(4))
            if container is None:
                raise UnusableClipError("the file is neither WAV nor AIFF")
            file.seek(0)
            sound, rate_hz = soundfile.read(file, dtype="float32", always_2d=True)
    except FileNotFoundError:
        raise UnusableClipError("no file was written") from None
    except (OSError, soundfile.SoundFileError) as error:
        raise UnusableClipError(f"the file cannot be read ({error})") from error
    if not sound.size:
        raise UnusableClipError("the clip is empty")
    samples: Samples = sound.mean(axis=1, dtype=np.float32)
    return RawSpeech(samples=samples, rate_hz=int(rate_hz))


def silent(speech: RawSpeech) -> bool:
    """Tell whether nothing can be heard."""
    return float(np.abs(speech.samples).max()) < 1e-4


def length_doubt(speech: RawSpeech, spoken: str, rate: int) -> str | None:
    """Return why a clip cannot be all of its text, or None if it can."""
    heard = np.flatnonzero(np.abs(speech.samples) >= 1e-4)
    seconds = (heard[-1] - heard[0] + 1) / speech.rate_hz
    letters = sum(map(str.isalnum, spoken))
    least, most = (letters * letter_s * 150 / rate for letter_s in LETTER_S)
    if least <= seconds <= most + SLACK_S:
        return None
    return (
        f"the clip lasts {seconds:.2f} s, but {letters} letters need "
        f"{least:.2f} to {most + SLACK_S:.2f} s"
    )


def _alike(one: RawSpeech, other: RawSpeech) -> bool:
    """Tell whether two clips have nearly the same length; a lost end never repeats."""
    return abs(one.samples.size - other.samples.size) <= 0.01 * other.samples.size
