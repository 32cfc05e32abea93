"""How takes become lines: what is cut right, noticed, doubted, and to which edges.

Called by ``own_voice.py takes``. The takes are read by an engine that slips as readers
do, in a simulated room, in two sittings of different level, noise and hum, and are
written as phones write them.
"""

from __future__ import annotations

import random
import tempfile
import time
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path

import av
import numpy as np

from cuetrack.movements.library import library_entries
from cuetrack.pipeline.checking import read_plan
from cuetrack.pipeline.reading_aloud import script_for
from cuetrack.speech.breaths import line_id
from cuetrack.speech.speaker import StoredSpeaker
from cuetrack.speech.store import ClipStore
from cuetrack.speech.voices import voice_named
from cuetrack.takes import recording
from cuetrack.takes.activity import SoundStretch
from cuetrack.takes.cutting import speech_span
from cuetrack.takes.judging import Judgement
from cuetrack.takes.reading_script import ReadingScript
from cuetrack.takes.soundcheck import checked_sound
from cuetrack.takes.take import read_take
from cuetrack.times import SAMPLE_RATE_HZ
from tests.takes.simulated import Surroundings, read_aloud
from tests.takes.slips import slip_over

PLANS = ("hall-twenty-five", "hall-twenty", "gentle-ten", "six-lines")
EXAMPLES = Path(__file__).parents[2] / "examples"
PLACES = (
    Surroundings(noise_db=46, hum_db=55, fading_db=4),
    Surroundings(noise_db=38, hum_db=45, hum_hz=60, level_db=-34, tail=0.15),
)
CODECS = (("one.m4a", "ipod", "aac", 64_000), ("two.opus", "ogg", "libopus", 32_000))
START_MS, END_MS = 60, 150
"""A line is cut right when both its edges are this near to the truth."""


@dataclass
class TakesTally:
    """What is counted over all sittings; times in ms."""

    right: int = 0
    wrong: list[str] = field(default_factory=list)
    alarms: list[str] = field(default_factory=list)
    slips: Counter[str] = field(default_factory=Counter)
    noticed: Counter[str] = field(default_factory=Counter)
    starts: list[float] = field(default_factory=list)
    ends: list[float] = field(default_factory=list)


def script_of_length(lines, seed):
    """Return a script of so many lines: its clock first, then a draw of the others."""
    whole = script_for([read_plan(EXAMPLES / f"{name}.yaml") for name in PLANS])
    first = min(lines // 4, len(whole.lines))
    rest = list(enumerate(whole.lines[first:]))
    drawn = sorted(random.Random(seed).sample(rest, min(lines - first, len(rest))))
    chosen = (*whole.lines[:first], *(line for _, line in drawn))
    return ReadingScript(language=whole.language, lines=chosen)


def written(sound, path, form, codec, bit_rate):
    """Write a sound as a phone's recorder does."""
    with av.open(path, "w", format=form) as file:
        stream = file.add_stream(codec, SAMPLE_RATE_HZ, layout="mono")
        stream.bit_rate = bit_rate
        whole = (np.clip(sound, -1, 1) * 32_767).astype(np.int16)
        frame = av.AudioFrame.from_ndarray(whole[np.newaxis], "s16", "mono")
        frame.sample_rate = SAMPLE_RATE_HZ
        for packet in (*stream.encode(frame), *stream.encode(None)):
            file.mux(packet)


def nearest(reading, spoken):
    """Return what was truly said there."""

    def shared(one):
        return min(one.end, reading.end) - max(one.start, reading.start)

    return max(spoken, key=shared)


def judge(tally, script, takes):
    """Compare what was accepted of all takes with what was said."""
    accepted = {}
    good = set()
    for take, spoken, judged in takes:
        good |= {one.said.line for one in spoken if one.said.good and one.said.line}
        for one in judged:
            if one.judgement is Judgement.GOOD:
                accepted[script.lines[one.reading.line].id] = (take, spoken, one)
    texts = {line.id: line.text for line in script.lines}
    bad_taken = set()
    for line, (take, spoken, one) in accepted.items():
        whole = SoundStretch(start=one.reading.start, end=one.reading.end)
        span = speech_span(take.samples, whole)
        truth = nearest(span, spoken)
        start_ms = (span.start - truth.start) / 48
        end_ms = (span.end - truth.end) / 48
        # A slip that makes another line of the script is a good reading of that one.
        said_right = line_id(truth.said.text.replace("|", " ")) == line
        if said_right and abs(start_ms) <= START_MS and abs(end_ms) <= END_MS:
            tally.right += 1
            tally.starts.append(start_ms)
            tally.ends.append(end_ms)
        else:
            bad_taken.add(id(truth))
            tally.wrong.append(
                f"{texts[line]!r} from {truth.said.text!r} {start_ms:.0f} {end_ms:.0f}"
            )
    for line in good - set(accepted):
        told = [
            f"{one.why} ({' '.join(one.reading.freely)} / {one.reading.larger})"
            for _, _, judged in takes
            for one in judged
            if script.lines[one.reading.line].id == line
        ]
        tally.alarms.append(f"{texts[line]!r}: {told[-1] if told else 'not found'}")
    return bad_taken


def in_takes(reader, lines, seed, *, one_ear):
    """Read, record, hear and cut a script; print what came of it."""
    script = script_of_length(lines, seed)
    names = [entry.name for entry in library_entries()]
    said = slip_over([(line.id, line.text) for line in script.lines], names, seed)
    half = len(said) // 2
    speaker = StoredSpeaker(voice_named(reader), ClipStore())
    tally, takes = TakesTally(), []
    kinds = {id(one): kind for kind, one in said}
    with tempfile.TemporaryDirectory() as name:
        for turn, part in enumerate((said[:half], said[half:])):
            take = read_aloud([one for _, one in part], speaker, PLACES[turn], seed)
            path = Path(name) / CODECS[turn][0]
            written(take.sound, path, *CODECS[turn][1:])
            takes.append((read_take(path, Path(f"{path}.raw")), take.spoken))
        started = time.process_time()
        if one_ear:
            recording.is_installed = lambda: False
        listener = recording.LineListener(script)
        verdicts = [checked_sound(take) for take, _ in takes]
        heard, at_line = [], 0
        for take, spoken in takes:
            judged = listener.readings(take, at_line)
            at_line = judged[-1].reading.line if judged else at_line
            heard.append((take, spoken, judged))
        took_s = time.process_time() - started
        bad_taken = judge(tally, script, heard)
    for _, spoken in takes:
        for one in spoken:
            if one.said.line and not one.said.good:
                tally.slips[kinds[id(one.said)]] += 1
                tally.noticed[kinds[id(one.said)]] += id(one) not in bad_taken
    minutes = sum(take.samples.size for take, _ in takes) / SAMPLE_RATE_HZ / 60
    return script, tally, verdicts, minutes, took_s


def report(reader, lines, seed, *, one_ear, say):
    """Print a row for one reader, and what is behind it."""
    script, tally, verdicts, minutes, took_s = in_takes(
        reader, lines, seed, one_ear=one_ear
    )
    starts, ends = np.abs(tally.starts), np.abs(tally.ends)
    say(
        f"{reader}, {len(script.lines)} lines, {minutes:.1f} min, seed {seed}, "
        f"{'one ear' if one_ear else 'two ears'}: cut right {tally.right}, wrong taken "
        f"{len(tally.wrong)}, false alarms {len(tally.alarms)}, slips noticed "
        f"{tally.noticed.total()} of {tally.slips.total()}"
    )
    kinds = (f"{k} {tally.noticed[k]}/{n}" for k, n in tally.slips.items())
    say(f"  noticed: {', '.join(kinds)}")
    say(
        f"  edges, ms: start median {np.median(tally.starts):.0f}, 95 % within "
        f"{np.percentile(starts, 95):.0f}; end median {np.median(tally.ends):.0f}, "
        f"95 % within {np.percentile(ends, 95):.0f}; {took_s / minutes:.1f} CPU s/min"
    )
    say(f"  sound: {[verdict.faults or 'good' for verdict in verdicts]}")
    for title, found in (("WRONG", tally.wrong), ("alarm", tally.alarms)):
        for one in found:
            say(f"  {title}: {one}")
