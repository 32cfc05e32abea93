"""Who says a text, and under which key its clip is stored.

An engine's voice says everything. A recorded voice says what was read; the rest is
said by the voice that fills in, if there is one, under the key that it always has
there: what it has said elsewhere is not spoken again.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Final

from cuetrack.cues.estimate import BEAT_MS
from cuetrack.cues.model import SpeechTiming
from cuetrack.speech.breaths import breaths_of, line_id
from cuetrack.speech.keys import identity_of, key_from, setting
from cuetrack.speech.recorded_lines import read_lines

if TYPE_CHECKING:
    from cuetrack.speech.model import Voice


FADED_MS: Final = 10
"""What is kept around a sentence, faded, so that the noise of a room does not click."""


class TextKeys:
    """The keys of texts in a voice and in the one that fills in."""

    def __init__(self, voice: Voice) -> None:
        self._voice = voice
        self._identities = {
            one.name: identity_of(one) for one in (voice, voice.filling) if one
        }

    def key(self, spoken: str) -> str:
        """Return the key under which the clip of a text is stored."""
        voice = speaking(self._voice, spoken)
        return key_from(self._identities[voice.name], voice, spoken)


def speaking(voice: Voice, spoken: str) -> Voice:
    """Return who says a text: a voice itself, or the one that fills in for it."""
    if voice.filling is None or not unread(voice, spoken):
        return voice
    return voice.filling


def unread(voice: Voice, spoken: str) -> tuple[str, ...]:
    """Return the sentences of a text that a recorded voice lacks, none of an engine's.

    Raises SpeechError where what was read cannot be known.
    """
    if voice.recorded is None:
        return ()
    read = read_lines(voice.folder or Path()).by_id
    return tuple(one for one in breaths_of(spoken) if line_id(one) not in read)


def read_timing(voice: Voice, spoken: str) -> SpeechTiming | None:
    """Return how long a text takes that was read, a hair too long; None for others."""
    breaths = breaths_of(spoken)
    if voice.recorded is None or not breaths or unread(voice, spoken):
        return None
    read = read_lines(voice.folder or Path()).by_id
    clips = [read[line_id(one)] for one in breaths]
    around_ms = 2 * FADED_MS * len(clips) + pause_ms(voice) * (len(clips) - 1)
    beat_ms = BEAT_MS if clips[0].beat_ms is None else clips[0].beat_ms
    return SpeechTiming(
        length_ms=around_ms + sum(clip.end_ms - clip.start_ms for clip in clips),
        beat_ms=FADED_MS + beat_ms,
    )


def pause_ms(voice: Voice) -> int:
    """Return the pause between two sentences of a recorded voice."""
    return int(setting(voice, "sentence pause ms", "350"))
