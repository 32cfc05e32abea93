"""Looks at the bed of our own with meters, and draws it, beside a plain metronome.

Run ``python tests/benchmarks/bed_look.py PLAN FOLDER [STYLE ...]``. For each style it
prints what rendering costs, the loudness of each scene, the shape of the spectrum,
what a mono loudspeaker loses, and how much the music changes; with matplotlib it
also draws level, spectrogram and self-similarity into FOLDER.

Likeness: each bar is described by how loud each of its sixteen steps is in six bands
and by the level of each tone of the scale; two bars are compared by the cosine
between their descriptions, 1 for the same. A metronome is 1 throughout.
"""

from __future__ import annotations

import sys
import tempfile
import time
from itertools import pairwise
from pathlib import Path

import numpy as np
from scipy.fft import rfft, rfftfreq
from scipy.signal import butter, sosfiltfilt

sys.path.insert(0, str(Path(__file__).parents[2]))

from cuetrack.cues.timeline import lay_out
from cuetrack.pipeline.checking import read_plan
from cuetrack.sound.composing.bed import OwnMusic, bed_under
from cuetrack.sound.composing.scenes import Scene
from cuetrack.sound.composing.styles import STYLES
from cuetrack.sound.loudness import measure
from tests.sound.composed import downbeats_of

RATE = 48_000
THIRDS = [25 * 2 ** (n / 3) for n in range(28)]
BANDS = [(20, 150), (150, 400), (400, 1000), (1000, 3000), (3000, 7000), (7000, 16_000)]


def tell(text):
    print(text)  # noqa: T201


def heard(bed):
    return np.concatenate(list(bed.blocks(1 << 16)))


def metronome(bed):
    """A click on each beat of the same bed, higher on each downbeat."""
    sound = np.zeros((bed.length_frames, 2), np.float32)
    clock = np.arange(2400) / RATE
    for one in passages(bed):
        for beat in range(one.beats):
            start = one.start_frame + beat * one.frames // one.beats
            click = np.sin(2 * np.pi * (1500 if beat % 4 == 0 else 1000) * clock)
            click *= 0.4 * np.exp(-clock / 0.01)
            room = sound[start : start + len(click)]
            room += click[: len(room), None].astype(np.float32)
    return sound


def passages(bed):
    return [one for kept in bed.kept for one in kept.piece.passages]


def spectrum(sound):
    """Level in each third of an octave, dB, of the mean of both sides."""
    size = 1 << 15
    mono = sound.mean(1)
    power = np.zeros(size // 2 + 1)
    for start in range(0, len(mono) - size, size):
        power += np.abs(rfft(mono[start : start + size] * np.hanning(size))) ** 2
    hz = rfftfreq(size, 1 / RATE)
    levels = []
    for centre in THIRDS:
        inside = (hz >= centre * 2 ** (-1 / 6)) & (hz < centre * 2 ** (1 / 6))
        levels.append(10 * np.log10(power[inside].sum() + 1e-12))
    return np.array(levels)


def bar_features(sound, bed, scene):
    rows = []
    for one in passages(bed):
        if one.scene is not scene:
            continue
        edges = [*downbeats_of(one), one.start_frame + one.frames]
        for start, end in pairwise(edges):
            if (end - start) / RATE > 60 / one.bpm * 3.9:
                rows.append(features(sound[start:end].mean(1)))
    return np.array(rows)


def features(bar):
    steps = np.array_split(bar, 16)
    rhythm = []
    for step in steps:
        hz = rfftfreq(len(step), 1 / RATE)
        power = np.abs(rfft(step * np.hanning(len(step)))) ** 2
        rhythm += [np.sqrt(power[(hz >= a) & (hz < b)].sum()) for a, b in BANDS]
    hz = rfftfreq(len(bar), 1 / RATE)
    power = np.abs(rfft(bar * np.hanning(len(bar)))) ** 2
    inside = (hz > 60) & (hz < 2000)
    names = np.round(12 * np.log2(hz[inside] / 440)).astype(int) % 12
    tones = np.sqrt(np.bincount(names, power[inside], minlength=12))
    rhythm = np.array(rhythm)
    return np.concatenate(
        [rhythm / (norm(rhythm) + 1e-9), tones / (norm(tones) + 1e-9)]
    )


def norm(vector):
    return np.sqrt((vector**2).sum())


def similarity(rows):
    units = rows / (np.sqrt((rows**2).sum(1, keepdims=True)) + 1e-9)
    return units @ units.T


def report(name, sound, bed, seconds):
    levels = measure([sound], 2)
    tell(
        f"\n== {name}: made in {seconds:.1f} s of processor time, track "
        f"{bed.length_frames / RATE:.0f} s"
    )
    tell(
        f"loudness {levels.integrated_lufs:.1f} LUFS, range {levels.range_lu:.1f} LU, "
        f"true peak {levels.true_peak_dbtp:.1f} dBTP; mean {sound.mean(0)}"
    )
    for scene in Scene:
        cuts = [
            sound[one.start_frame : one.start_frame + one.frames]
            for one in passages(bed)
            if one.scene is scene
        ]
        if not cuts:
            continue
        each = [measure([cut], 2).integrated_lufs for cut in cuts]
        whole = np.concatenate(cuts)
        sides = (whole.astype(float) ** 2).mean(0).mean()
        mono = (whole.astype(float).mean(1) ** 2).mean()
        third = spectrum(whole)
        power = 10 ** (third / 10)
        speech = power[[500 <= c <= 3200 for c in THIRDS]].sum() / power.sum()
        tempi = sorted({round(o.bpm, 1) for o in passages(bed) if o.scene is scene})
        tell(
            f"{scene:6} {min(each):6.1f}..{max(each):6.1f} LUFS  mono "
            f"{10 * np.log10(mono / sides):5.2f} dB  500-3150 Hz {100 * speech:4.1f} %"
            f"  bpm {tempi[0]}..{tempi[-1]}"
        )
    work = bar_features(sound, bed, Scene.WORK)
    if len(work) > 9:
        like = similarity(work)
        upper = like[np.triu_indices(len(like), 1)]
        phrase = np.array([like[i, i + 8] for i in range(len(like) - 8)])
        nearest = np.sort(like - 2 * np.eye(len(like)), 1)[:, -1]
        tell(
            f"work, {len(work)} bars: likeness of any two {np.median(upper):.3f}, "
            f"of bars 8 apart {np.median(phrase):.3f}, of each to its nearest "
            f"{np.median(nearest):.3f}; copies {100 * np.mean(nearest > 0.9999):.0f} %"
        )
        return like
    return None


def draw(path, sound, bed, like, third):
    import matplotlib as mpl  # noqa: PLC0415 - only for pictures

    mpl.use("Agg")
    import matplotlib.pyplot as plt  # noqa: PLC0415 - only for pictures

    figure, axes = plt.subplots(4, 1, figsize=(16, 20))
    step = RATE // 10
    mono = sound.mean(1)
    rms = np.sqrt((mono[: len(mono) // step * step].reshape(-1, step) ** 2).mean(1))
    axes[0].plot(np.arange(len(rms)) / 10, 20 * np.log10(rms + 1e-6), lw=0.4)
    axes[0].set(ylim=(-80, 0), title="level, dB per 100 ms", xlim=(0, len(rms) / 10))
    for one in passages(bed):
        axes[0].axvline(one.start_frame / RATE, color="k", lw=0.3)
    work = next(o for o in passages(bed) if o.scene is Scene.WORK)
    start = work.start_frame - 4 * RATE
    cut = mono[start : start + 50 * RATE]
    axes[1].specgram(cut, NFFT=4096, Fs=RATE, noverlap=3072, vmin=-140, vmax=-40)
    axes[1].set(ylim=(20, 12_000), yscale="symlog", title="from 4 s before a work")
    axes[2].semilogx(THIRDS, third - third.max(), "o-")
    axes[2].set(title="work, thirds of an octave, dB", ylim=(-60, 3))
    axes[2].grid(visible=True)
    if like is not None:
        axes[3].imshow(like, vmin=0.3, vmax=1)
        axes[3].set_title("likeness of the bars of the work")
    figure.tight_layout()
    figure.savefig(path, dpi=60)
    plt.close(figure)


def clicks(sound):
    """The highest level above 14 kHz, where clicks show, and the usual one."""
    sections = butter(4, 14_000, "highpass", output="sos", fs=RATE)
    high = np.abs(sosfiltfilt(sections, sound.mean(1)))
    peaks = high[: len(high) // 480 * 480].reshape(-1, 480).max(1)
    return peaks.max(), np.median(peaks)


def main():
    plan, folder, *styles = sys.argv[1:]
    timeline = lay_out(read_plan(Path(plan)))
    for style in styles or STYLES:
        with tempfile.TemporaryDirectory() as store:
            before = time.process_time()
            own = {s.section: OwnMusic(style=style) for s in timeline.segments}
            bed = bed_under(timeline, own, 1, folder=Path(store))
            seconds = time.process_time() - before
            sound = heard(bed)
        like = report(style, sound, bed, seconds)
        high, usual = clicks(sound)
        tell(f"above 14 kHz: highest {high:.4f}, usual {usual:.5f}")
        work = [o for o in passages(bed) if o.scene is Scene.WORK]
        third = spectrum(
            np.concatenate([sound[o.start_frame :][: o.frames] for o in work])
        )
        tell(
            " ".join(
                f"{c:.0f}:{v:.0f}"
                for c, v in zip(THIRDS, third - third.max(), strict=True)
            )
        )
        draw(Path(folder) / f"{style}.png", sound, bed, like, third)
    report("metronome", metronome(bed), bed, 0.0)


if __name__ == "__main__":
    main()
