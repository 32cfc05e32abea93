"""What to look for in a track: every tone and every spoken cue of its cue sheet."""

from __future__ import annotations

from collections import OrderedDict
from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

from cuetrack.cues.tonekinds import ToneKind
from cuetrack.errors import TrackError
from cuetrack.sound.tones import tone
from cuetrack.times import SAMPLE_RATE_HZ, clock
from cuetrack.verify.search import Template, make_template

if TYPE_CHECKING:
    from cuetrack.output.track.cuefile import CueFile
    from cuetrack.speech.model import Clip, Samples, Speaker

MOST_HELD_TEMPLATES = 256


class ClipShelf(Protocol):
    """Where clips lie that were spoken before, found by their key."""

    def holds(self, key: str) -> Clip | None:
        """Return the clip with this key, None when it is not there."""
        ...

    def samples(self, key: str) -> Samples:
        """Return its samples, mono at 48 kHz, shape (frames,)."""
        ...


class Respeak(Protocol):
    """Speaks a text again whose clip is no longer on the shelf."""

    def __call__(self, spoken: str, key: str) -> tuple[Clip, Samples]:
        """Return the clip and its samples; its key differs if the voice has changed."""
        ...


def respeak_with(speaker: Speaker) -> Respeak:
    """Return a ``Respeak`` that asks a speaker of the track's voice."""

    def respeak(spoken: str, key: str) -> tuple[Clip, Samples]:
        del key
        clip = speaker.speak([spoken])[spoken]
        return clip, speaker.samples(clip.key)

    return respeak


@dataclass(frozen=True, slots=True, kw_only=True)
class Target:
    """One sound that should start at ``planned`` (frame at 48 kHz, with fractions).

    Targets with the same ``sound`` cannot be told apart by ear. ``clip`` is the
    key of a spoken cue and None for a tone, ``spoken`` what it says.
    """

    id: str
    kind: str
    sound: str
    text: str
    spoken: str
    clip: str | None
    planned: float
    frames: int

    @property
    def is_speech(self) -> bool:
        """Whether this is a spoken cue and no tone."""
        return self.clip is not None


def targets_of(cue_file: CueFile) -> tuple[Target, ...]:
    """Return all tones and spoken cues of a sheet in order of time."""
    spoken = [
        Target(
            id=row.id,
            kind=row.kind,
            sound=f"clip {row.clip}",
            text=row.text,
            spoken=row.spoken,
            clip=row.clip,
            planned=_frame(row.start_ms),
            frames=round(_frame(row.end_ms - row.start_ms)),
        )
        for row in cue_file.cues
    ]
    tones = [
        Target(
            id=f"{row.kind} tone at {clock(row.start_ms)}",
            kind=row.kind,
            sound=f"tone {row.kind}",
            text=f"{row.kind} tone",
            spoken="",
            clip=None,
            planned=_frame(row.start_ms),
            frames=round(_frame(row.end_ms - row.start_ms)),
        )
        for row in cue_file.tones
    ]
    return tuple(sorted([*spoken, *tones], key=lambda target: target.planned))


def _frame(ms: float) -> float:
    """Return a time of a cue sheet as a frame; four decimals name one exactly."""
    return ms * SAMPLE_RATE_HZ / 1000


class Templates:
    """The templates of targets, made when first wanted; the oldest are let go.

    Attributes
    ----------
    changed : set of str
        The spoken texts whose clip had to be spoken again by a voice that has
        changed since the track was made.
    """

    def __init__(self, clips: ClipShelf, respeak: Respeak | None) -> None:
        self.changed: set[str] = set()
        self._clips = clips
        self._respeak = respeak
        self._made: OrderedDict[str, Template] = OrderedDict()

    def of(self, target: Target) -> Template:
        """Return the template of a target's sound, from its first speech on.

        Raises
        ------
        TrackError
            When its clip is not on the shelf and nobody can speak it again, or
            the cue sheet names a tone that does not exist.
        """
        if target.sound not in self._made:
            self._made[target.sound] = make_template(self._sound(target))
            if len(self._made) > MOST_HELD_TEMPLATES:
                self._made.popitem(last=False)
        self._made.move_to_end(target.sound)
        return self._made[target.sound]

    def _sound(self, target: Target) -> Samples:
        if target.clip is None:
            return _tone_sound(target)
        clip = self._clips.holds(target.clip)
        if clip is not None:
            samples = self._clips.samples(target.clip)
        else:
            clip, samples = self._speak_again(target, target.clip)
        return samples[clip.speech_start : clip.speech_end]

    def _speak_again(self, target: Target, key: str) -> tuple[Clip, Samples]:
        if self._respeak is None:
            raise TrackError(
                f'The clip of "{target.text}" is no longer stored, so the track '
                "cannot be compared with it. Make the track again, or verify it on "
                "the computer that made it."
            )
        clip, samples = self._respeak(target.spoken, key)
        if clip.key != key:
            self.changed.add(target.spoken)
        return clip, samples


def _tone_sound(target: Target) -> Samples:
    try:
        return tone(ToneKind(target.kind))
    except ValueError:
        kinds = ", ".join(ToneKind)
        raise TrackError(
            f'The cue sheet asks for a tone "{target.kind}" that does not exist. '
            f"Known tones: {kinds}."
        ) from None
