"""A voice a little calmer or livelier, by its engine's own rate.

Clips are never stretched. The change is small on purpose: synthetic speech that is
slowed much is harder to follow, not easier (Sutton and others 1995 found 150 to 200
words a minute comfortable for young and old). The name of a voice tells its pace, so
that a cue sheet names what was heard.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

from cuetrack.plan.model import Pace

if TYPE_CHECKING:
    from cuetrack.speech.model import Voice

LONGER: Final = {Pace.CALM: 1.08, Pace.USUAL: 1.0, Pace.LIVELY: 0.93}
"""How much longer a text takes: about 134, 145 and 156 words a minute."""
_USUAL: Final = {
    "neural": ("length scale", "1.0"),
    "kokoro": ("length scale", "1.0"),
    "espeak": ("rate", "125"),
}
_JOINT: Final = ", "


def paced(voice: Voice, pace: Pace) -> Voice:
    """Return a voice at a pace; that of a system or a person keeps its own."""
    if voice.filling is not None:
        return replace(voice, filling=paced(voice.filling, pace))
    if pace is Pace.USUAL or voice.engine not in _USUAL:
        return voice
    name, usual = _USUAL[voice.engine]
    settings = dict(voice.settings)
    now = float(settings.get(name, usual))
    longer = LONGER[pace]
    if name == "length scale":
        settings[name] = f"{now * longer:.4g}"
    else:
        settings[name] = str(round(now / longer))
    return replace(
        voice,
        name=f"{voice.name}{_JOINT}{pace.value}",
        settings=tuple(sorted(settings.items())),
        beat_offsets_ms=tuple(
            (word, round(offset_ms * longer))
            for word, offset_ms in voice.beat_offsets_ms
        ),
    )


def split_pace(name: str) -> tuple[str, Pace]:
    """Return the name of a voice without its pace, and the pace.

    >>> split_pace("joe, calm")
    ('joe', <Pace.CALM: 'calm'>)
    >>> split_pace("joe")
    ('joe', <Pace.USUAL: 'usual'>)
    """
    plain, joint, word = name.rpartition(_JOINT)
    if joint and word in set(Pace):
        return plain, Pace(word)
    return name, Pace.USUAL
