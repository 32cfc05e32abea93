"""Write ``room_responses.npz``: simulated responses of rooms, loudspeaker to phone.

Run it by hand, ``python tests/verification/data/regenerate_rooms.py``, with the
development packages installed. The responses come from the image-source model
(Allen & Berkley 1979) of pyroomacoustics 0.10.1 with image sources displaced at
random by up to 5 cm, which avoids the regular echoes of a perfect box; the seed
is fixed. They are kept at 16 kHz, 16 bits, from the direct sound on, until they
have fallen by 60 dB.
"""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import pyroomacoustics

RATE_HZ = 16_000
SPEED_M_S = 343.0
HALF_FILTER = 40  # pyroomacoustics centres fractional delays on this tap.

# Size in metres, reverberation time wanted of Sabine's formula, source, phone.
ROOMS = {
    "carpeted room": ((7, 5, 2.6), 0.35, (0.8, 2.4, 1.2), (4.6, 2.9, 1.1)),
    "hall, second row": ((16, 9, 4.2), 0.7, (1.2, 4.5, 1.5), (4.1, 5.0, 1.1)),
    "hall, back row": ((16, 9, 4.2), 0.7, (1.2, 4.5, 1.5), (13.5, 5.6, 1.1)),
    "bare hall, back row": ((20, 11, 6), 1.6, (1.2, 5.2, 1.5), (17.0, 6.6, 1.1)),
}


def response(size, seconds, source, phone):
    """Return the response from the direct sound on, and the direct sound's delay."""
    absorption, order = pyroomacoustics.inverse_sabine(seconds, size)
    pyroomacoustics.random.seed(20)
    room = pyroomacoustics.ShoeBox(
        size,
        fs=RATE_HZ,
        materials=pyroomacoustics.Material(absorption),
        max_order=min(order, 45),
        use_rand_ism=True,
        max_rand_disp=0.05,
    )
    room.add_source(source)
    room.add_microphone(phone)
    room.compute_rir()
    whole = room.rir[0][0]
    distance_s = np.linalg.norm(np.subtract(source, phone)) / SPEED_M_S
    found = whole[round(distance_s * RATE_HZ) + HALF_FILTER :]
    left = np.cumsum(found[::-1] ** 2)[::-1] / np.sum(found**2)
    return found[: int(np.argmax(left < 1e-6)) or None], distance_s


def main() -> None:
    """Write the file beside this script."""
    values = {}
    for name, room in ROOMS.items():
        found, distance_s = response(*room)
        values[name] = np.round(found / np.abs(found).max() * 32_000).astype(np.int16)
        values[f"{name} distance_s"] = np.float64(distance_s)
        sys.stdout.write(f"{name}: {found.size / RATE_HZ:.2f} s\n")
    np.savez_compressed(Path(__file__).parent / "room_responses.npz", **values)


if __name__ == "__main__":
    main()
