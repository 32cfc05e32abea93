"""Who says a text, and under which key its clip is stored.

An engine's voice says everything. A recorded voice says what was read; the rest is
said by the voice that fills in, if there is one, under the key that it always has
there: what it has said elsewhere is not spoken again.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from cuetrack.speech.breaths import breaths_of, line_id
from cuetrack.speech.keys import identity_of, key_from
from cuetrack.speech.recorded_lines import read_lines

if TYPE_CHECKING:
    from cuetrack.speech.model import Voice


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
    read = read_lines(voice.folder or Path()).ids
    return tuple(one for one in breaths_of(spoken) if line_id(one) not in read)
