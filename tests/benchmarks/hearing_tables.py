"""Print what solving the ducks is worth: tables of the speech index, and times.

    python tests/benchmarks/hearing_tables.py

Two dozen wordings by the default voice stand over three beds made here, each as
loud as the speech. Nothing is asserted; the figures are for reading.
"""

# ruff: noqa: T201 - printing is what it is for

from __future__ import annotations

import itertools
import time
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from scipy.signal import butter, sosfilt

from cuetrack.plan.model import Group
from cuetrack.sound.duck_solving import Hearing, listeners_at_level, solve_ducks
from cuetrack.sound.hearing.bands import (
    ClipSpectrum,
    TrackPart,
    active_spectrum,
    spectrum,
    stretch_spectra,
)
from cuetrack.sound.hearing_report import hearing_report
from cuetrack.speech.clips import finish
from cuetrack.speech.engines import open_engine
from cuetrack.speech.voices import find_voice

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    import numpy.typing as npt

    from cuetrack.arrays import Samples
    from cuetrack.sound.duck_solving import SolvedDuck

    Mono = npt.NDArray[np.float64]

RATE = 48_000
BEAT = RATE // 2  # 120 beats a minute
FIXED_DB = 20.0
AGES = (60, 75, 85)
LEVELS_DB_SPL = (60.0, 70.0)

WORDINGS = (
    "Welcome to Larkfield Hall. Sit tall, both feet flat on the floor.",
    "Stop at once if your chest hurts, you feel dizzy, or you cannot speak.",
    "Next: heel digs. One heel forward, toes up, then the other.",
    "Watch first, then join in.",
    "Three.",
    "Two.",
    "One.",
    "Begin.",
    "Shoulders down, chin level.",
    "If it is too much, make it smaller.",
    "Breathe out as you push.",
    "Halfway.",
    "Change to the other side.",
    "Fifteen seconds left.",
    "Ten.",
    "Five seconds.",
    "And rest.",
    "That was the third of six.",
    "Last one before the long break.",
    "Pick up your light weights if you use them.",
    "Put the weights down beside you.",
    "Can you still talk? Then you are doing it right.",
    "Lovely. Keep it steady.",
    "Keep your feet moving, and stand up slowly when you are ready.",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """Every wording over one bed."""

    name: str
    speech: list[ClipSpectrum]
    under: list[ClipSpectrum]


def calm(frames: int) -> Mono:
    """Slow chords of soft voices, nothing above 2 kHz."""
    at = np.arange(frames) / RATE
    sound = np.zeros(frames)
    chords = ((220, 261.6, 329.6), (174.6, 220, 261.6), (196, 246.9, 293.7))
    for number, chord in enumerate(itertools.islice(itertools.cycle(chords), 60)):
        start, length = number * 4 * RATE, 5 * RATE
        if start >= frames:
            break
        part = at[start : start + length]
        swell = np.sin(np.pi * np.arange(len(part)) / length) ** 2
        for pitch, harmonic in itertools.product(chord, range(1, 5)):
            voice = np.sin(2 * np.pi * pitch * harmonic * part) / harmonic**2
            sound[start : start + length] += swell * voice
    return sound


def driving(frames: int) -> Mono:
    """Kick on every beat, hat between, bass and short chords."""
    random = np.random.default_rng(1)
    at = np.arange(BEAT) / RATE
    kick = np.sin(2 * np.pi * 55 * at + 8 * np.exp(-at * 40)) * np.exp(-at * 12)
    hiss = butter(4, 6000, "highpass", fs=RATE, output="sos")
    hat = sosfilt(hiss, random.standard_normal(BEAT)) * np.exp(-at * 60)
    sound = np.zeros(frames)
    notes = itertools.cycle((110, 110, 130.8, 98))
    for number, (start, note) in enumerate(
        zip(range(0, frames - BEAT, BEAT), notes, strict=False)
    ):
        beat = 1.2 * kick + 0.5 * np.tanh(3 * np.sin(2 * np.pi * note * at)) * 0.5
        beat = beat + np.roll(0.5 * hat, BEAT // 2)
        if number % 2:
            for pitch in (440, 523.3, 659.3):
                beat = beat + 0.15 * np.tanh(
                    2 * np.sin(2 * np.pi * pitch * at)
                ) * np.exp(-at * 6)
        sound[start : start + BEAT] += beat
    return sound


def dense(frames: int) -> Mono:
    """A wall of sound: the driving bed, held bright chords and noise, squashed."""
    random = np.random.default_rng(2)
    at = np.arange(frames) / RATE
    chord = np.zeros(frames)
    for pitch, harmonic in itertools.product((220, 277.2, 329.6, 440), range(1, 20)):
        chord += np.sin(2 * np.pi * pitch * harmonic * at) / harmonic
    body = butter(1, (300, 5000), "bandpass", fs=RATE, output="sos")
    wash = sosfilt(body, random.standard_normal(frames))
    return np.tanh(0.8 * driving(frames) + 0.3 * chord + 0.8 * wash)


BEDS: dict[str, Callable[[int], Mono]] = {
    "calm": calm,
    "driving": driving,
    "dense": dense,
}


def main() -> None:
    """Speak, build the beds, solve, print."""
    engine = open_engine(find_voice(None, "en"))
    clips = [finish(engine.render(wording)).samples for wording in WORDINGS]
    speech = [active_spectrum(clip) for clip in clips]
    loudness = float(np.mean([clip.loudness_lufs for clip in speech]))
    cases = [
        Case(name=name, speech=speech, under=_under(build, clips, loudness))
        for name, build in BEDS.items()
    ]
    _print_solving(cases)
    _print_against_fixed(cases)
    _print_advice(cases)
    _print_times(clips)


def _under(
    build: Callable[[int], Mono], clips: list[Samples], loudness_lufs: float
) -> list[ClipSpectrum]:
    """Return the bed under each clip, the bed being as loud as the speech."""
    gap = 2 * RATE
    starts = np.cumsum([gap, *(len(clip) + gap for clip in clips)])
    sound = build(int(starts[-1]))
    plain = spectrum(sound.astype(np.float32))
    gain = 10 ** ((loudness_lufs - plain.loudness_lufs) / 20)
    stretches = [
        TrackPart(start_frame=int(start), end_frame=int(start) + len(clip))
        for start, clip in zip(starts, clips, strict=False)
    ]
    return list(stretch_spectra([(gain * sound).astype(np.float32)], stretches))


def _print_solving(cases: list[Case]) -> None:
    print("Index of the listener who hears worst, mean of the cues; loss of whoever")
    print("loses most, worst cue. Bed as loud as the speech before ducking.\n")
    print(
        "| bed | age | speech | quiet | before | after | loss before | after | duck |"
    )
    print("|---|---|---|---|---|---|---|---|---|")
    for case, age, level in itertools.product(cases, AGES, LEVELS_DB_SPL):
        group = Group(age=age, level_db_spl=level)
        solved = solve_ducks(case.speech, case.under, group)
        before = Hearing(
            case.speech, case.under, listeners_at_level(group, case.speech)
        )
        open_mix = before.mix(np.zeros(len(solved)))
        depths = [one.depth_db for one in solved]
        print(
            f"| {case.name} | {age} | {level:g} dB "
            f"| {np.mean(before.quiet.min(axis=1)):.3f} "
            f"| {np.mean(open_mix.min(axis=1)):.3f} "
            f"| {np.mean([min(one.sii_mix) for one in solved]):.3f} "
            f"| {np.max(before.quiet - open_mix):.3f} "
            f"| {_worst(solved):.3f} "
            f"| {np.mean(depths):.1f} ({min(depths):.1f}-{max(depths):.1f}) dB |"
        )
    print("\nThe hearing tables end at 80: the rows of 85 are those of 80.\n")


def _print_against_fixed(cases: list[Case]) -> None:
    print(
        f"Against a fixed duck of {FIXED_DB:g} dB. 'Same loss': solved again with the"
    )
    print("worst loss of the fixed duck as the limit, so that nobody loses more.\n")
    print(
        "| bed | age | speech | fixed: worst loss | solved: duck, worst loss "
        "| same loss: duck, worst loss |"
    )
    print("|---|---|---|---|---|---|")
    ducks, same_ducks = [], []
    for case, age, level in itertools.product(cases, AGES, LEVELS_DB_SPL):
        group = Group(age=age, level_db_spl=level)
        heard = Hearing(case.speech, case.under, listeners_at_level(group, case.speech))
        fixed = float(np.max(heard.losses(np.full(len(case.speech), FIXED_DB))))
        solved = solve_ducks(case.speech, case.under, group)
        same = solve_ducks(case.speech, case.under, group, loss_limit=fixed + 1e-12)
        ducks += [one.depth_db for one in solved]
        same_ducks += [one.depth_db for one in same]
        print(
            f"| {case.name} | {age} | {level:g} dB | {fixed:.4f} "
            f"| {np.mean([one.depth_db for one in solved]):.1f} dB, "
            f"{_worst(solved):.4f} "
            f"| {np.mean([one.depth_db for one in same]):.1f} dB, {_worst(same):.4f} |"
        )
    print(
        f"\nOver all rows the bed is {FIXED_DB - np.mean(ducks):.1f} dB louder under "
        f"speech than with the fixed duck at a limit of 0.02, and "
        f"{FIXED_DB - np.mean(same_ducks):.1f} dB louder at the same worst loss.\n"
    )


def _print_advice(cases: list[Case]) -> None:
    print("What the report says, dense bed, age 85:\n")
    dense_case = cases[-1]
    for level in LEVELS_DB_SPL:
        group = Group(age=85, level_db_spl=level)
        solved = solve_ducks(dense_case.speech, dense_case.under, group)
        ids = [f"cue {number}" for number in range(1, len(solved) + 1)]
        report = hearing_report(ids, dense_case.speech, solved, group)
        print("\n".join(f"  {sentence}" for sentence in report.summary), end="\n\n")


def _print_times(clips: list[Samples]) -> None:
    minutes, cues = 20, 300
    random = np.random.default_rng(3)
    block = (0.1 * random.standard_normal((65_536, 2))).astype(np.float32)

    def blocks() -> Iterator[npt.NDArray[np.float32]]:
        for _ in range(minutes * 60 * RATE // len(block)):
            yield block

    spacing = minutes * 60 * RATE // cues
    stretches = [
        TrackPart(start_frame=cue * spacing, end_frame=cue * spacing + spacing // 2)
        for cue in range(cues)
    ]
    started = time.process_time()
    under = stretch_spectra(blocks(), stretches)
    analysed = time.process_time()
    speech = [active_spectrum(clip) for clip in clips]
    spoken = time.process_time()
    many = list(itertools.islice(itertools.cycle(speech), cues))
    solve_ducks(many, under, Group())
    solved = time.process_time()
    print(
        f"{minutes} minutes of stereo bed, half of it under {cues} cues: "
        f"{analysed - started:.2f} s of the processor; "
        f"{len(clips)} clips: {spoken - analysed:.2f} s; "
        f"solving {cues} cues: {solved - spoken:.3f} s."
    )


def _worst(solved: tuple[SolvedDuck, ...]) -> float:
    return max(one.loss for one in solved)


if __name__ == "__main__":
    main()
