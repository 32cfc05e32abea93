"""Recordings of a track in simulated rooms, with everything about them known."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt
import soxr
from scipy.signal import butter, fftconvolve, sosfiltfilt

from cuetrack.cues.tonekinds import ToneKind
from cuetrack.speech.speaker import StoredSpeaker
from cuetrack.speech.store import ClipStore
from cuetrack.speech.voices import find_voice
from cuetrack.times import SAMPLE_RATE_HZ
from tests.verification.tracks import Track, build, music

if TYPE_CHECKING:
    from cuetrack.verification.room.advice import Remedy

Sound = npt.NDArray[np.float32]

RESPONSES = Path(__file__).parent / "data" / "room_responses.npz"
DECAY_BAND_HZ = (350.0, 2800.0)
SPOKEN = (
    "Welcome to Larkfield Hall.",
    "Sit tall, with both feet flat on the floor.",
    "Next movement: heel digs.",
    "Straight punch, at the height of your chest.",
    "Shoulders down and elbows soft.",
    "Breathe out as you push.",
    "Halfway there.",
    "Fifteen seconds left.",
    "Third of six, keep it easy.",
    "Well done. Rest now, and shake out your arms.",
    "Toe taps to the side, right foot first.",
    "Have a sip of water if you like.",
    "Now the other side.",
    "If you need a break, take one.",
    "Last one before the recovery.",
    "Squeeze, hold, and let go slowly.",
    "Look over your left shoulder.",
    "Could you still talk while you move?",
    "Ankle pumps, toes up and down.",
    "Thank you all for coming today.",
)


def speaker(folder: Path) -> StoredSpeaker:
    """Return the espeak voice, storing under a folder."""
    return StoredSpeaker(find_voice("espeak-en", "en"), ClipStore(folder))


def spoken_class(voice: StoredSpeaker, seconds: int, seed: int = 0) -> Track:
    """Return a class that says a sentence or sounds a tone every few seconds."""
    draw = np.random.default_rng(seed)
    texts, tones, at_ms = [], [], 500
    while at_ms < 1000 * seconds - 5500:
        if len(texts) % 5 == 4 and (not tones or tones[-1][0] < texts[-1][0]):
            tones.append((at_ms, ToneKind.START))
            at_ms += 1500
        else:
            texts.append((at_ms, str(draw.choice(SPOKEN))))
            at_ms += 3500 + int(draw.integers(0, 2000))
    return build(tuple(texts), tuple(tones), duration_ms=1000 * seconds, speaker=voice)


def ducked_music(track: Track, under_db: float, seed: int = 1) -> Sound:
    """Return music that lies ``under_db`` below the speech while it is ducked.

    It is 8 dB up where nobody speaks.
    """
    frames = track.sound().size
    up = np.ones(frames, np.float32)
    for row in track.sheet.cues:
        first = round((row.start_ms - 100) * SAMPLE_RATE_HZ / 1000)
        last = round((row.end_ms + 120) * SAMPLE_RATE_HZ / 1000)
        up[max(first, 0) : last] = 0
    slope = np.hanning(9600) / np.hanning(9600).sum()
    gain_db = 8 * np.clip(fftconvolve(up, slope, "same"), 0, 1)
    speech = track.sound()
    active = np.abs(speech) > 0.01 * np.abs(speech).max()
    level = np.sqrt(np.mean(speech[active].astype(float) ** 2))
    bed = music(frames, seed, 0.0) * 10 ** (gain_db / 20) * level / 0.1
    return (bed * 10 ** (-under_db / 20)).astype(np.float32)


def babble(voice: StoredSpeaker, seconds: int, seed: int = 2) -> Sound:
    """Return people talking all around: many clips at many pitches, overlapping."""
    draw = np.random.default_rng(seed)
    clips = [voice.samples(clip.key) for clip in voice.speak(SPOKEN).values()]
    sound = np.zeros(seconds * SAMPLE_RATE_HZ)
    for _ in range(seconds * 5):
        clip = clips[draw.integers(len(clips))]
        clip = soxr.resample(
            clip, SAMPLE_RATE_HZ, SAMPLE_RATE_HZ * draw.uniform(0.8, 1.25)
        )
        places = (draw.integers(sound.size) + np.arange(clip.size)) % sound.size
        sound[places] += clip * draw.uniform(0.3, 1.0)
    return sound.astype(np.float32)


@dataclass(frozen=True, kw_only=True)
class Recording:
    """What a phone wrote, and what is true of it.

    ``speech``, ``music`` and ``noise`` are what arrived at the phone, by the
    track's clock from its first frame on, before gain and drift; ``dry`` is the
    speech as it was played.
    """

    sound: Sound
    rate_hz: int
    start_s: float
    drift_ppm: float
    dry: Sound
    speech: Sound
    music: Sound
    noise: Sound
    reverberation_s: float
    clarity_db: float


@dataclass(frozen=True, kw_only=True)
class Place:
    """A room response from a loudspeaker to a phone at 16 kHz, its direct sound first.

    ``distance_s`` is what the sound takes on its way.
    """

    response: Sound
    distance_s: float

    @property
    def reverberation_s(self) -> float:
        """RT60 by backward integration (ISO 3382-2), fitted from -5 to -25 dB."""
        return decay_time(self.response)

    @property
    def clarity_db(self) -> float:
        """Early over late energy, parted at 50 ms (ISO 3382-1)."""
        energy = _decay_band(self.response) ** 2
        early = round(0.05 * 16_000)
        return 10 * np.log10(energy[:early].sum() / energy[early:].sum())


def stored_places() -> dict[str, Place]:
    """Return the responses that ``regenerate_rooms.py`` made, by name."""
    with np.load(RESPONSES) as data:
        return {
            name: Place(
                response=data[name].astype(np.float32) / 32_000,
                distance_s=float(data[f"{name} distance_s"]),
            )
            for name in data.files
            if not name.endswith("distance_s")
        }


def decay_time(response: Sound) -> float:
    energy = _decay_band(response) ** 2
    curve = 10 * np.log10(np.cumsum(energy[::-1])[::-1] / energy.sum() + 1e-12)
    first, last = np.argmax(curve <= -5), np.argmax(curve <= -25)
    seconds = np.arange(first, last) / 16_000
    return float(-60 / np.polyfit(seconds, curve[first:last], 1)[0])


def _decay_band(response: Sound) -> npt.NDArray[np.float64]:
    sos = butter(4, DECAY_BAND_HZ, "bandpass", fs=16_000, output="sos")
    return sosfiltfilt(sos, np.pad(response, 800))[800:]


def in_room(sound: Sound, place: Place) -> Sound:
    """Return a sound at 48 kHz as it arrives, without the way's delay."""
    response = soxr.resample(place.response, 16_000, SAMPLE_RATE_HZ) / 3
    return fftconvolve(sound, response)[: sound.size].astype(np.float32)


def recorded(
    speech: Sound,
    music: Sound | None,
    noise: Sound,
    place: Place,
    *,
    noise_db: float,
    gain_db: float = -12.0,
    drift_ppm: float = 0.0,
    before_s: float = 3.0,
    after_s: float = 2.0,
    first_s: float = 0.0,
    rate_hz: int = SAMPLE_RATE_HZ,
) -> Recording:
    """Return what a phone at this place writes while the track plays.

    Parameters
    ----------
    noise
        Of the room; repeated as often as needed.
    noise_db
        Its level against the speech at the phone, both while they sound.
    before_s, after_s
        How long the recording goes on before and behind the track.
    first_s
        Start only here in the track, where ``before_s`` is 0.
    """
    at_phone = in_room(speech, place)
    bed = np.zeros_like(at_phone) if music is None else in_room(music, place)
    active = at_phone[np.abs(at_phone) > 0.01 * np.abs(at_phone).max()]
    wanted = np.sqrt(np.mean(active.astype(float) ** 2)) * 10 ** (noise_db / 20)
    lead, trail = round(before_s * SAMPLE_RATE_HZ), round(after_s * SAMPLE_RATE_HZ)
    total = lead + speech.size + trail
    room = np.resize(noise, total) * (
        wanted / np.sqrt(np.mean(noise.astype(float) ** 2))
    )
    mixed = room.astype(np.float32)
    mixed[lead : lead + speech.size] += at_phone + bed
    mixed = mixed[round(first_s * SAMPLE_RATE_HZ) :]
    rate = 1 + drift_ppm * 1e-6
    sound = soxr.resample(mixed, SAMPLE_RATE_HZ, rate_hz * rate)
    sound = sound / np.abs(sound).max() * 10 ** (gain_db / 20)
    return Recording(
        sound=sound.astype(np.float32),
        rate_hz=rate_hz,
        # The direct sound is the first sample of the response.
        start_s=(before_s - first_s) * rate,
        drift_ppm=drift_ppm,
        dry=speech,
        speech=at_phone,
        music=bed,
        noise=room[lead : lead + speech.size].astype(np.float32),
        reverberation_s=place.reverberation_s,
        clarity_db=place.clarity_db,
    )


@dataclass(frozen=True, kw_only=True)
class Scene:
    """One recording to make, and the advice it calls for."""

    place: str
    noise_db: float
    advice: Remedy
    music_under_db: float | None = None
    drift_ppm: float = 0.0
    before_s: float = 4.0
    first_s: float = 0.0
    rate_hz: int = SAMPLE_RATE_HZ
    format: str = "wav"
    level_db_spl: float = 65.0


def recorded_in(
    scene: Scene, track: Track, voice: StoredSpeaker, babble_s: int
) -> tuple[Recording, Sound]:
    """Return what a phone hears in a scene, and what was played there.

    What was played is mono without music, and the same on both channels with it.
    """
    speech, bed = track.sound(), None
    if scene.music_under_db is not None:
        bed = ducked_music(track, scene.music_under_db)
    truth = recorded(
        speech,
        bed,
        babble(voice, babble_s),
        stored_places()[scene.place],
        noise_db=scene.noise_db,
        drift_ppm=scene.drift_ppm,
        before_s=scene.before_s,
        first_s=scene.first_s,
        rate_hz=scene.rate_hz,
    )
    played = speech if bed is None else np.stack([speech + bed] * 2, axis=1)
    return truth, played


def levels_apart(truth: Recording, rows, sheet) -> tuple[np.ndarray, np.ndarray]:
    """Return the errors in dB of speech over noise and over music, by cue.

    The truth is A-weighted by another way: one long transform a cue.
    """
    ends_ms = {cue.id: cue.end_ms for cue in sheet.cues}
    noise, bed = [], []
    for row in rows:
        first = round(row.start_ms * SAMPLE_RATE_HZ / 1000)
        part = slice(first, round(ends_ms[row.id] * SAMPLE_RATE_HZ / 1000))
        speech = a_weighted_db(truth.speech[part]) + pauses_db(truth.dry[part])
        noise.append(row.over_noise_db - speech + a_weighted_db(truth.noise[part]))
        if row.over_music_db is not None:
            bed.append(row.over_music_db - speech + a_weighted_db(truth.music[part]))
    return np.array(noise), np.array(bed)


def pauses_db(sound: Sound) -> float:
    """Return how much louder speech is without its pauses than with them."""
    frames = sound[: sound.size // 960 * 960].reshape(-1, 960).astype(float)
    powers = np.mean(frames**2, axis=1)
    active = powers[powers >= 10**-2.5 * powers.max()]
    return float(10 * np.log10(active.mean() / powers.mean()))


def a_weighted_db(sound: Sound) -> float:
    """Return the A-weighted level within 140 Hz to 9 kHz, IEC 61672-1, formula E.6."""
    hz = np.fft.rfftfreq(sound.size, 1 / SAMPLE_RATE_HZ)
    squared = np.maximum(hz, 1) ** 2
    gain = 12194**2 * squared**2
    gain /= (squared + 20.6**2) * (squared + 12194**2)
    gain /= np.sqrt((squared + 107.7**2) * (squared + 737.9**2))
    inside = (hz > 140) & (hz < 9000)
    power = np.abs(np.fft.rfft(sound) * gain)[inside] ** 2
    return float(10 * np.log10(power.sum() / sound.size**2 + 1e-20))
