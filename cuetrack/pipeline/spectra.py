"""The spectra of clips, worked out once and kept beside the clips."""

from __future__ import annotations

from contextlib import suppress
from typing import TYPE_CHECKING

import msgspec

from cuetrack.errors import SpeechError
from cuetrack.sound.hearing.bands import (
    SPECTRUM_VERSION,
    ClipSpectrum,
    active_spectrum,
)

if TYPE_CHECKING:
    from cuetrack.speech.model import ClipSource
    from cuetrack.speech.store import ClipStore


def spectrum_of(key: str, source: ClipSource, store: ClipStore) -> ClipSpectrum:
    """Return the spectrum of a clip while it sounds, to the bit that of its samples.

    It is read from the note on the clip; where there is none, it is worked out from
    the samples and kept.
    """
    name = f"{key}-spectrum-{SPECTRUM_VERSION}"
    content = store.note(name)
    if content is not None:
        with suppress(msgspec.DecodeError):
            return msgspec.json.decode(content, type=ClipSpectrum)
    found = active_spectrum(source.samples(key))
    with suppress(SpeechError):  # a store that is read-only stays usable
        store.put_note(name, msgspec.json.encode(found))
    return found
