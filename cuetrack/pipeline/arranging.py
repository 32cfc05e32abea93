"""From placed cues and their clips to a mix: which sound starts on which frame."""

from __future__ import annotations

from typing import TYPE_CHECKING

from cuetrack.output.track.cue_rows import clip_start_frame
from cuetrack.sound.mixing import Event, MixPlan, tone_event
from cuetrack.times import frames_from_ms

if TYPE_CHECKING:
    from collections.abc import Mapping

    from cuetrack.cues.model import PlacedSheet
    from cuetrack.sound.mixing import Bed
    from cuetrack.speech.model import Clip


def arrange(
    placed: PlacedSheet, clips: Mapping[str, Clip], bed: Bed | None = None
) -> MixPlan:
    """Return everything that sounds, each on its exact frame, the bed not ducked.

    ``clips`` are keyed by spoken text.
    """
    events = [
        Event(
            start_frame=clip_start_frame(cue, clips[cue.wording.spoken]),
            key=clips[cue.wording.spoken].key,
            frames=clips[cue.wording.spoken].frames,
        )
        for cue in placed.placed
    ]
    events += [
        tone_event(tone.kind, frames_from_ms(tone.start_ms))
        for tone in placed.sheet.tones
    ]
    return MixPlan(
        length_frames=frames_from_ms(placed.sheet.timeline.end_ms),
        events=tuple(sorted(events, key=lambda event: event.start_frame)),
        bed=bed,
    )
