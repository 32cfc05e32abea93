"""What to look for in a track: every tone and every spoken cue of its cue sheet."""

from __future__ import annotations

from collections import OrderedDict
from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

from cuetrack.cues.tonekinds import ToneKind
from cuetrack.errors import TrackError
from cuetrack.output.track.cue_rows import CueRow, ToneRow
from cuetrack.sound.tones import tone
from cuetrack.times import SAMPLE_RATE_HZ, clock
from cuetrack.verification.search import Template, make_template

if TYPE_CHECKING:
    from cuetrack.arrays import Samples
    from cuetrack.output.track.cuefile import CueFile
    from cuetrack.speech.model import Clip, Speaker

MOST_HELD_TEMPLATES = 128


class StoredClips(Protocol):
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


@dataclass(frozen=True, slots=True)
class Target:
    """One row of a cue sheet, as a sound to look for.

    Targets with the same ``sound`` cannot be told apart by ear. It is looked for
    ``offset_frames`` after its place.
    """

    row: CueRow | ToneRow
    offset_frames: float = 0.0

    @property
    def is_speech(self) -> bool:
        """Whether this is a spoken cue and no tone."""
        return isinstance(self.row, CueRow)

    @property
    def id(self) -> str:
        """What it is called: a tone by its kind and time."""
        if isinstance(self.row, CueRow):
            return self.row.id
        return f"{self.text} at {clock(self.row.start_ms)}"

    @property
    def sound(self) -> str:
        """What makes its sound: a clip, or a kind of tone."""
        return f"clip {self.row.clip}" if isinstance(self.row, CueRow) else self.text

    @property
    def text(self) -> str:
        """What is said, or which tone it is."""
        row = self.row
        return row.text if isinstance(row, CueRow) else f"{row.kind} tone"

    @property
    def planned(self) -> float:
        """The frame at 48 kHz on which it should start; four decimals are exact."""
        return self.row.start_ms * SAMPLE_RATE_HZ / 1000

    @property
    def sought(self) -> float:
        """The frame about which it is looked for."""
        return self.planned + self.offset_frames

    @property
    def frames(self) -> int:
        """How long it lasts at 48 kHz."""
        return round((self.row.end_ms - self.row.start_ms) * SAMPLE_RATE_HZ / 1000)


def targets_of(cue_file: CueFile) -> tuple[Target, ...]:
    """Return all tones and spoken cues of a sheet in order of time."""
    rows: list[CueRow | ToneRow] = [*cue_file.cues, *cue_file.tones]
    return tuple(Target(row) for row in sorted(rows, key=lambda row: row.start_ms))


class Templates:
    """The templates of targets, made when first wanted; the oldest are let go.

    Attributes
    ----------
    changed : set of str
        The spoken texts whose clip had to be spoken again by a voice that has
        changed since the track was made.
    """

    def __init__(self, clips: StoredClips, respeak: Respeak | None) -> None:
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
            self._made[target.sound] = make_template(self._sound(target.row))
            if len(self._made) > MOST_HELD_TEMPLATES:
                self._made.popitem(last=False)
        self._made.move_to_end(target.sound)
        return self._made[target.sound]

    def _sound(self, row: CueRow | ToneRow) -> Samples:
        if isinstance(row, ToneRow):
            return _tone_sound(row)
        clip = self._clips.holds(row.clip)
        if clip is not None:
            samples = self._clips.samples(row.clip)
        else:
            clip, samples = self._speak_again(row)
        return samples[clip.speech_start : clip.speech_end]

    def _speak_again(self, row: CueRow) -> tuple[Clip, Samples]:
        if self._respeak is None:
            raise TrackError(
                f'The clip of "{row.text}" is no longer stored, so the track cannot '
                "be compared with it.",
                "Make the track again, or verify it on the computer that made it.",
            )
        clip, samples = self._respeak(row.spoken, row.clip)
        if clip.key != row.clip:
            self.changed.add(row.spoken)
        return clip, samples


class Beginnings:
    """The templates of the first ``frames`` of targets."""

    def __init__(self, templates: Templates, frames: int) -> None:
        self._templates = templates
        self._frames = frames

    def of(self, target: Target) -> Template:
        """Return the template of the beginning of a target's sound."""
        return self._templates.of(target).beginning(self._frames)


def _tone_sound(row: ToneRow) -> Samples:
    try:
        return tone(ToneKind(row.kind))
    except ValueError:
        kinds = ", ".join(ToneKind)
        raise TrackError(
            f'The cue sheet asks for a tone "{row.kind}" that does not exist.',
            f"Known tones: {kinds}.",
        ) from None
