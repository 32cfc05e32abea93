"""Recordings of a track in simulated rooms, with everything about them known."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
import numpy.typing as npt
import soxr
from scipy.signal import butter, fftconvolve, sosfiltfilt

from cuetrack.times import SAMPLE_RATE_HZ

Sound = npt.NDArray[np.float32]

RESPONSES = Path(__file__).parent / "data" / "room_responses.npz"
DECAY_BAND_HZ = (350.0, 2800.0)
# IEC 61672-1, table 3 (from memory), at the 18 bands from 160 Hz to 8 kHz.
A_WEIGHTS_DB = np.array(
    [-13.4, -10.9, -8.6, -6.6, -4.8, -3.2, -1.9, -0.8, 0.0, 0.6, 1.0, 1.2, 1.3,
     1.2, 1.0, 0.5, -0.1, -1.1]
)  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class Recording:
    """What a phone wrote, and what is true of it.

    ``speech``, ``music`` and ``noise`` are what arrived at the phone, by the
    track's clock from its first frame on, before gain and drift.
    """

    sound: Sound
    rate_hz: int
    start_s: float
    drift_ppm: float
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
                response=data[name].astype(np.float32),
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
        speech=at_phone,
        music=bed,
        noise=room[lead : lead + speech.size].astype(np.float32),
        reverberation_s=place.reverberation_s,
        clarity_db=place.clarity_db,
    )
