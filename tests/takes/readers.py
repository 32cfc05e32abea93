"""Readers of lines: voices read into a folder, each line known to the frame."""

from __future__ import annotations

import numpy as np
from fakes import ToneSpeaker

from cuetrack.speech.recorded_facts import Consent, RecordedFacts
from cuetrack.takes.voice_folder import LineRead, VoiceFacts, add_to_voice


def facts(who="Mary Hill", *, language="en", filling="", takes=()):
    consent = Consent(by=who, day="2026-11-26", use="classes at Larkfield Hall")
    return VoiceFacts(
        language=language,
        about="Read at the kitchen table.",
        person=RecordedFacts(who=who, consent=consent, filling=filling, takes=takes),
    )


def read_quickly(folder, texts):
    """Read texts as hums that are told apart by their lengths alone."""
    hum = 0.1 * np.sin(2 * np.pi * 300 * np.arange(480_000) / 48_000)
    lines = []
    for text in texts:
        frames = min(4800 + 2400 * len(text.split()), hum.size)
        sound = hum[:frames].astype(np.float32)
        lines.append(
            LineRead(text=text, sound=sound, speech_start=0, speech_end=frames)
        )
    add_to_voice(folder, facts(), lines)
    return folder


def lines_read(texts, reader=None):
    """Return lines as a speaker says them, its beats with them."""
    reader = reader or ToneSpeaker()
    return [
        LineRead(
            text=text,
            sound=reader.samples(clip.key),
            speech_start=clip.speech_start,
            speech_end=clip.speech_end,
            beat=clip.beat,
        )
        for text, clip in reader.speak(texts).items()
    ]


def read_into(folder, texts, reader=None, **about):
    """Read texts into the voice of a folder, which is returned."""
    add_to_voice(folder, facts(**about), lines_read(texts, reader))
    return folder
