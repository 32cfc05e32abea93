"""What mixing and mastering cost, against encoding alone and against a plain sum.

Run ``python tests/benchmarks/mixing.py [MINUTES]``. The track has a cue every four
seconds, 60 wordings in all, and a tone after each; once alone and once over music.
Ratios of one run are what counts; seconds depend on the machine. On a busy one the
ratio of clock time means little, that of processor time is the bound of both.
"""

from __future__ import annotations

import resource
import sys
import tempfile
import time
from itertools import islice
from pathlib import Path

import numpy as np
import soundfile

sys.path.insert(0, str(Path(__file__).parents[2]))

from cuetrack.cues.tonekinds import ToneKind
from cuetrack.output.track.encoding import write_track
from cuetrack.output.track.metadata import Tags
from cuetrack.sound.bed import MusicBed, MusicSpan
from cuetrack.sound.ducking import Duck
from cuetrack.sound.mastering import master_blocks, plan_master
from cuetrack.sound.mixing import Event, MixPlan, mix_blocks, tone_event
from cuetrack.sound.music import ready_tune
from cuetrack.speech.peaks import levelled
from tests.sound.sounds import music, syllables

SECOND = 48_000
TAGS = Tags(title="Benchmark", language="en")
FORMATS = ("flac", "ogg", "opus", "m4a", "mp3")


class Clips(dict):
    """Stored speech, as the store gives it."""

    samples = dict.__getitem__


def clips():
    return Clips(
        {f"clip {n}": levelled(syllables(0.4 + 3 * n / 60, n)) for n in range(60)}
    )


def plan(source, minutes, bed=None):
    events, ducks = [], []
    for n in range(minutes * 15):
        key = f"clip {n % 60}"
        start = (4 * n + 0.2) * SECOND
        speech = Event(start_frame=round(start), key=key, frames=len(source[key]))
        ducks.append(
            Duck(
                start_frame=speech.start_frame,
                end_frame=speech.end_frame,
                depth_db=18.0,
            )
        )
        kind = tuple(ToneKind)[n % 4]
        events += [speech, tone_event(kind, speech.end_frame)]
    return MixPlan(
        length_frames=minutes * 60 * SECOND,
        events=tuple(events),
        bed=bed,
        ducks=tuple(ducks) if bed else (),
        cuts=tuple(ducks) if bed else (),
        bed_gain_db=-6.0,
    )


def music_bed(folder, minutes):
    sound = np.stack([music(60, seed=n) for n in (1, 2)], 1)
    soundfile.write(folder / "song.wav", sound, SECOND)
    tune = ready_tune(folder / "song.wav", folder / "ready")
    length = minutes * 60 * SECOND
    span = MusicSpan(start_frame=0, end_frame=length, tunes=(tune,))
    return MusicBed(length_frames=length, spans=(span,))


def seconds(work):
    """Return what work takes by the clock and of the processors."""
    clock, processor = time.perf_counter(), time.process_time()
    work()
    return time.perf_counter() - clock, time.process_time() - processor


def drain(blocks):
    for _ in blocks:
        pass


def plain_sum(mix, source):
    """Return what a mix costs that knows of nothing but adding slices."""
    speech = [event for event in mix.events if not event.is_tone]
    for start in range(0, mix.length_frames, 65_536):
        block = np.zeros(65_536, np.float32)
        for event in speech:
            low = max(event.start_frame, start)
            high = min(event.end_frame, start + 65_536)
            if low < high:
                part = source[event.key][low - event.start_frame :][: high - low]
                block[low - start : high - start] += part


def say(text):
    print(text)  # noqa: T201


def show(title, mix, source, folder):
    def blocks():
        return mix_blocks(mix, source)

    master = plan_master(blocks, mix.channels)
    length_s = mix.length_frames / SECOND
    costs = {
        "plain sum of slices": seconds(lambda: plain_sum(mix, source)),
        "mix": seconds(lambda: drain(blocks())),
        "plan the master": seconds(lambda: plan_master(blocks, mix.channels)),
        "mix and master": seconds(lambda: drain(master_blocks(blocks(), master))),
    }
    say(f"\n{title}: {length_s / 60:.0f} min, {len(mix.events)} sounds")
    say(
        f"  gain {master.gain_db:+.1f} dB, limiter {master.reduction_db:.1f} dB at most"
    )
    for name, (cost, _) in costs.items():
        say(f"  {name:22}{cost:8.2f} s  {length_s / cost:8.0f} x real time")
    ready = list(master_blocks(blocks(), master))
    for extension in FORMATS:

        def write(sound, extension=extension):
            write_track(
                folder / f"track.{extension}",
                sound,
                format=extension,
                channels=mix.channels,
                tags=TAGS,
                overwrite=True,
            )

        def make(write=write):
            write(master_blocks(blocks(), plan_master(blocks, mix.channels)))

        # Alternating, so that a busy machine slows both alike.
        pairs = [(*seconds(lambda w=write: w(ready)), *seconds(make)) for _ in range(2)]
        alone, alone_cpu, whole, whole_cpu = map(min, zip(*pairs, strict=True))
        say(
            f"  {extension:5} encode alone {alone:6.2f} s, measure + mix + master + "
            f"encode {whole:6.2f} s: {whole / alone:5.2f} x by the clock, "
            f"{whole_cpu / alone_cpu:5.2f} x of the processors"
        )


def main():
    minutes = int(next(islice(sys.argv, 1, None), 20))
    source = clips()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        show("Voice and tones, mono", plan(source, minutes), source, folder)
        bed = music_bed(folder, minutes)
        show("The same over music, stereo", plan(source, minutes, bed), source, folder)
    peak_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    say(f"\npeak memory {peak_mb:.0f} MB, the whole track held for encoding alone")


if __name__ == "__main__":
    main()
