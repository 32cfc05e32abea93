"""The mix: every clip and tone on its frame, over the bed, block by block.

The sound is the same to the bit however large the blocks are, and the parts add
up to the whole. Memory holds one block, the clips that sound in it and a few
seconds of clips that may come again.
"""

from __future__ import annotations

from collections import OrderedDict
from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING, Protocol

import numpy as np

from cuetrack.cues.tonekinds import ToneKind
from cuetrack.sound.blocks import fixed_blocks
from cuetrack.sound.ducking import DuckEnvelope
from cuetrack.sound.loudness import ratio
from cuetrack.sound.speech_band import CHUNK_FRAMES, cut_blocks
from cuetrack.sound.tones import tone
from cuetrack.times import SAMPLE_RATE_HZ

if TYPE_CHECKING:
    from collections.abc import Iterator

    from cuetrack.arrays import Block, Samples
    from cuetrack.sound.ducking import Duck
    from cuetrack.speech.model import ClipSource

BLOCK_FRAMES = 65_536
TONE_PREFIX = "tone:"
_KEPT_FRAMES = 60 * SAMPLE_RATE_HZ


class Bed(Protocol):
    """Sound that lies under the whole track: music of the user, or our own."""

    @property
    def length_frames(self) -> int:
        """Length, that of the track."""
        ...

    def blocks(self, block_frames: int) -> Iterator[Block]:
        """Start a pass over the bed: blocks of shape (frames, 2), the last shorter.

        Each pass gives the same samples, whatever ``block_frames``.
        """
        ...


class Stem(StrEnum):
    """Which part of the mix is wanted."""

    EVERYTHING = "everything"
    SPEECH = "speech"
    TONES = "tones"
    BED = "bed"


@dataclass(frozen=True, slots=True, kw_only=True)
class Event:
    """A clip or tone whose first frame sits on ``start_frame`` of the track.

    ``key`` is that of a clip in the store, or ``tone:`` and the kind of a tone;
    ``frames`` is its length.
    """

    start_frame: int
    key: str
    frames: int
    gain_db: float = 0.0

    @property
    def end_frame(self) -> int:
        """The first frame after it."""
        return self.start_frame + self.frames

    @property
    def is_tone(self) -> bool:
        """Whether it is a tone of the clock."""
        return self.key.startswith(TONE_PREFIX)


@dataclass(frozen=True, slots=True, kw_only=True)
class MixPlan:
    """All that sounds in a track, and where.

    ``bed_gain_db`` is the level of the bed where nobody speaks. ``cuts`` say where
    and how far its band of speech goes down from there, ``ducks`` the whole of it.
    """

    length_frames: int
    events: tuple[Event, ...]
    bed: Bed | None = None
    ducks: tuple[Duck, ...] = ()
    cuts: tuple[Duck, ...] = ()
    bed_gain_db: float = 0.0

    def __post_init__(self) -> None:
        starts = [event.start_frame for event in self.events]
        if starts != sorted(starts):
            raise ValueError("events must be in the order of their start")
        for event in self.events:
            if event.start_frame < 0 or event.end_frame > self.length_frames:
                raise ValueError(f"outside the track of {self.length_frames}: {event}")
        if self.bed is not None and self.bed.length_frames != self.length_frames:
            raise ValueError(
                f"the bed has {self.bed.length_frames} frames, "
                f"the track {self.length_frames}"
            )

    @property
    def channels(self) -> int:
        """1 without a bed; 2 with one, the voice in the middle."""
        return 1 if self.bed is None else 2


def tone_event(kind: ToneKind, start_frame: int) -> Event:
    """Return the event of a tone whose first frame sits on ``start_frame``."""
    key = TONE_PREFIX + kind
    return Event(start_frame=start_frame, key=key, frames=len(tone(kind)))


def mix_blocks(
    plan: MixPlan,
    source: ClipSource,
    block_frames: int = BLOCK_FRAMES,
    stem: Stem = Stem.EVERYTHING,
) -> Iterator[Block]:
    """Yield the mix from the first frame to the last.

    Parameters
    ----------
    source
        Gives the samples of a clip by its key; asked when the clip is reached.
    block_frames
        Frames of each block; the last may be shorter.
    stem
        Which part to give. Every stem has the channels of the whole, and they
        add up to it.

    Yields
    ------
    Block
        Shape (frames, channels).

    Raises
    ------
    ValueError
        When the source gives a clip of another length than its event says.
    """
    beds = _bed_blocks(plan, block_frames) if _has_bed(plan, stem) else None
    voices = _Voices(plan, source, stem)
    for start in range(0, plan.length_frames, block_frames):
        frames = min(block_frames, plan.length_frames - start)
        voice = voices.block(start, frames)[:, np.newaxis]
        if beds is None:
            yield voice if plan.channels == 1 else np.repeat(voice, 2, axis=1)
        else:
            yield next(beds) + voice


def _has_bed(plan: MixPlan, stem: Stem) -> bool:
    return plan.bed is not None and stem in {Stem.EVERYTHING, Stem.BED}


def _bed_blocks(plan: MixPlan, block_frames: int) -> Iterator[Block]:
    """Yield the bed, lowered, cut and ducked."""
    if plan.bed is None:
        return
    envelope = DuckEnvelope(plan.ducks)
    level = np.float32(ratio(plan.bed_gain_db))
    start = 0
    cut = cut_blocks(plan.bed.blocks(CHUNK_FRAMES), DuckEnvelope(plan.cuts))
    for block in fixed_blocks(cut, block_frames):
        gains = envelope.gains(start, len(block)) * level
        yield block * gains[:, np.newaxis]
        start += len(block)


class _Voices:
    """Clips and tones summed into one channel, asked for in order."""

    def __init__(self, plan: MixPlan, source: ClipSource, stem: Stem) -> None:
        wanted = {
            Stem.EVERYTHING: (False, True),
            Stem.SPEECH: (False,),
            Stem.TONES: (True,),
            Stem.BED: (),
        }[stem]
        self._coming = [e for e in reversed(plan.events) if e.is_tone in wanted]
        self._sounding: list[tuple[Event, Samples]] = []
        self._clips = _RecentClips(source)

    def block(self, start: int, frames: int) -> Samples:
        """Return the sum of all that sounds in these frames, shape (frames,)."""
        end = start + frames
        block = np.zeros(frames, np.float32)
        while self._coming and self._coming[-1].start_frame < end:
            event = self._coming.pop()
            self._sounding.append((event, self._clips.samples_of(event)))
        for event, samples in self._sounding:
            low, high = max(event.start_frame, start), min(event.end_frame, end)
            part = samples[low - event.start_frame : high - event.start_frame]
            if event.gain_db:
                part = part * np.float32(ratio(event.gain_db))
            block[low - start : high - start] += part
        self._sounding = [one for one in self._sounding if one[0].end_frame > end]
        return block


class _RecentClips:
    """Keeps the clips used last, so that the words of a count are read once."""

    def __init__(self, source: ClipSource) -> None:
        self._source = source
        self._kept: OrderedDict[str, Samples] = OrderedDict()
        self._kept_frames = 0

    def samples_of(self, event: Event) -> Samples:
        samples = self._look_up(event.key)
        if len(samples) != event.frames:
            raise ValueError(f"{len(samples)} frames came for {event}")
        return samples

    def _look_up(self, key: str) -> Samples:
        if key.startswith(TONE_PREFIX):
            return tone(ToneKind(key.removeprefix(TONE_PREFIX)))
        if key in self._kept:
            self._kept.move_to_end(key)
            return self._kept[key]
        samples = self._source.samples(key)
        self._kept[key] = samples
        self._kept_frames += len(samples)
        while self._kept_frames > _KEPT_FRAMES and len(self._kept) > 1:
            self._kept_frames -= len(self._kept.popitem(last=False)[1])
        return samples
