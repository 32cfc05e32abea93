"""Writing a recorded voice: a folder that can be carried, added to, and removed whole.

Its three files are replaced together or not at all. A sitting that is added rewrites
them: a line that was read again takes the place of the earlier one.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import chain
from typing import TYPE_CHECKING, Any, Final

import numpy as np
import soundfile
import yaml

from cuetrack.errors import SpeechError
from cuetrack.output.track.file_set import replacing_set
from cuetrack.output.track.files import write_text
from cuetrack.speech.breaths import line_id
from cuetrack.speech.clips import whole_24_bit
from cuetrack.speech.keys import file_digest
from cuetrack.speech.recorded_facts import (
    FILES,
    LINES_FILE,
    SOUND_FILE,
    VOICE_FILE,
    RecordedFacts,
    facts_as_data,
)
from cuetrack.speech.recorded_lines import (
    RecordedClip,
    RecordedLines,
    lines_text,
    read_lines,
)
from cuetrack.speech.recorded_sound import clip_sound, refuse_other_sound
from cuetrack.speech.voice_files import read_voice
from cuetrack.stopping import undisturbed
from cuetrack.times import (
    MINUTE_MS,
    SAMPLE_RATE_HZ,
    ceil_ms_from_frames,
    frames_from_ms,
    ms_from_frames,
)

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from pathlib import Path

    from cuetrack.arrays import Samples

MARGIN_MS: Final = 60
"""How much of what is around the speech of a line is kept."""

LEAST_WORDS: Final = 100
"""Fewer tell nothing of a pace."""

SILENCE_MS: Final = 240
"""Zeros between two clips."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LineRead:
    """A line cut from a take: 48 kHz mono, positions in frames from its first.

    ``beat`` is None where the rule of the voice is to find it.
    """

    text: str
    sound: Samples
    speech_start: int
    speech_end: int
    beat: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class VoiceFacts:
    """What the voice file of a recorded voice is to say."""

    language: str
    person: RecordedFacts
    about: str = ""


def add_to_voice(folder: Path, facts: VoiceFacts, lines: Sequence[LineRead]) -> int:
    """Add lines to the voice in a folder; return how many it has now.

    A folder without a voice gets one. A line that is there already, or comes twice, is
    the last that was read. The takes of ``facts`` are added to those the voice had.
    Raises SpeechError for a text without words, and for a voice of another person or
    language; OutputError where the folder cannot be written.
    """
    last = {line_id(line.text): line for line in lines}
    if "" in last:
        raise SpeechError(f"{last[''].text!r} has no words to be known by.")
    if not (folder / VOICE_FILE).exists():
        return _write(folder, facts, last.values())
    had = read_voice(folder / VOICE_FILE)
    person = had.recorded
    if person is None or had.language != facts.language:
        raise SpeechError(
            f"holds a voice of the language {had.language!r}, not {facts.language!r}.",
            "Name another folder.",
            file=folder,
        )
    if person.who != facts.person.who:
        raise SpeechError(
            f"holds the voice of {person.who}, not of {facts.person.who}.",
            "Name another folder: a voice is of one person.",
            file=folder,
        )
    takes = tuple(dict.fromkeys((*person.takes, *facts.person.takes)))
    joined = replace(facts, person=replace(facts.person, takes=takes))
    old = read_lines(folder)
    refuse_other_sound(folder, old)
    kept = (_line_of(folder, one) for one in old.clips if one.id not in last)
    said = yaml.safe_load((folder / VOICE_FILE).read_text("utf-8"))
    return _write(folder, joined, chain(kept, last.values()), said)


def _write(
    folder: Path,
    facts: VoiceFacts,
    lines: Iterable[LineRead],
    said: dict[str, Any] | None = None,
) -> int:
    """Write a voice; what its file ``said`` and the facts do not say is kept."""
    paths = [folder / name for name in FILES]
    with replacing_set(paths, overwrite=True) as aside:
        clips = _write_sound(aside / SOUND_FILE, lines)
        sha256 = file_digest(aside / SOUND_FILE)
        lines_read = RecordedLines(sound_sha256=sha256, clips=tuple(clips))
        write_text(aside / LINES_FILE, lines_text(lines_read))
        write_text(aside / VOICE_FILE, _voice_text(facts, clips, said or {}))
        refuse_other_sound(aside, read_lines(aside))
    return len(clips)


def _write_sound(path: Path, lines: Iterable[LineRead]) -> list[RecordedClip]:
    """Write the sound of lines, a silence around each; return where each one is."""
    silence = np.zeros(frames_from_ms(SILENCE_MS), np.float32)
    clips, frames = [], 0
    with (
        undisturbed(),
        soundfile.SoundFile(
            path, "w", SAMPLE_RATE_HZ, 1, subtype="PCM_24", format="FLAC"
        ) as file,
    ):
        for line in lines:
            margin = frames_from_ms(MARGIN_MS)
            first = max(line.speech_start - margin, 0)
            sound = whole_24_bit(line.sound[first : line.speech_end + margin])
            before = silence.size + _to_whole_ms(
                frames + silence.size + line.speech_start - first
            )
            clips.append(_clip_at(frames + before - first, line))
            for part in (np.zeros(before, np.float32), sound):
                file.write(part)
                frames += part.size
        file.write(silence)
    return clips


def _to_whole_ms(frame: int) -> int:
    """Return how many frames there are to the next whole millisecond."""
    return -frame % frames_from_ms(1)


def _clip_at(offset: int, line: LineRead) -> RecordedClip:
    """Return where a line is whose first frame stands at ``offset``."""
    beat_ms = None
    if line.beat is not None:
        beat_ms = round(ms_from_frames(line.beat - line.speech_start))
    return RecordedClip(
        id=line_id(line.text),
        text=line.text,
        start_ms=round(ms_from_frames(offset + line.speech_start)),
        end_ms=ceil_ms_from_frames(offset + line.speech_end),
        beat_ms=beat_ms,
    )


def _line_of(folder: Path, clip: RecordedClip) -> LineRead:
    """Return a line of a voice as it was added."""
    start = frames_from_ms(min(MARGIN_MS, clip.start_ms))
    beat = None if clip.beat_ms is None else start + frames_from_ms(clip.beat_ms)
    return LineRead(
        text=clip.text,
        sound=clip_sound(folder, clip, MARGIN_MS),
        speech_start=start,
        speech_end=start + frames_from_ms(clip.end_ms - clip.start_ms),
        beat=beat,
    )


def _voice_text(
    facts: VoiceFacts, clips: Sequence[RecordedClip], said: dict[str, Any]
) -> str:
    data: dict[str, Any] = {"engine": "recorded", "language": facts.language}
    if facts.about:
        data["about"] = facts.about
    words = sum(len(clip.text.split()) for clip in clips)
    spoken_ms = sum(clip.end_ms - clip.start_ms for clip in clips)
    if words >= LEAST_WORDS:
        data |= {"words a minute": min(max(words * MINUTE_MS // spoken_ms, 40), 400)}
    whole = said | data | facts_as_data(facts.person)
    return yaml.safe_dump(whole, sort_keys=False, allow_unicode=True)
