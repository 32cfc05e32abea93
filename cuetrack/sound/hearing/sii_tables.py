"""Tables of the Speech Intelligibility Index, ANSI S3.5-1997 (R2017), as data.

Table 3 (one-third octave) and Table 4 (octave), and the importance functions of
Annex B. The digits are those of the R package ``SII`` 1.0.3.1 and of the Python
package ``speech-intelligibility-index`` 1.0.2, which agree; the standard itself
was not at hand. ``CST`` is not in the standard: Sherbecoe & Studebaker 2003, as
the R package gives it.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

Bands = tuple[float, ...]
"""One value a band, from low to high."""


class Effort(StrEnum):
    """Vocal effort of the standard speech spectra."""

    NORMAL = "normal"
    RAISED = "raised"
    LOUD = "loud"
    SHOUT = "shout"


class Importance(StrEnum):
    """What the listener is to understand; decides which bands matter."""

    STANDARD = "standard"
    NNS = "nonsense syllables"
    CID22 = "CID-22"
    NU6 = "NU6"
    DRT = "diagnostic rhyme test"
    SHORT_PASSAGE = "short passage"
    SPIN = "SPIN"
    CST = "connected speech test"


@dataclass(frozen=True, slots=True, kw_only=True)
class BandTable:
    """One method's table.

    ``bandwidth_db`` is 10 lg of the band's width in Hz; ``speech_db`` the
    standard speech spectrum levels by effort, dB SPL per Hz at 1 m;
    ``internal_noise_db`` the reference internal noise X, dB SPL per Hz.
    ``spreads`` says whether masking spreads upward between bands.
    """

    centres_hz: Bands
    bandwidth_db: Bands
    importance: dict[Importance, Bands]
    speech_db: dict[Effort, Bands]
    internal_noise_db: Bands
    spreads: bool


# fmt: off
THIRD_OCTAVE = BandTable(
    centres_hz=(160, 200, 250, 315, 400, 500, 630, 800, 1000,
                1250, 1600, 2000, 2500, 3150, 4000, 5000, 6300, 8000),
    bandwidth_db=tuple(15.65 + band for band in range(18)),
    importance={
        Importance.STANDARD: (
            .0083, .0095, .0150, .0289, .0440, .0578, .0653, .0711, .0818,
            .0844, .0882, .0898, .0868, .0844, .0771, .0527, .0364, .0185),
        Importance.NNS: (
            0, 0, .0153, .0284, .0363, .0422, .0509, .0584, .0667,
            .0774, .0893, .1104, .1120, .0981, .0867, .0728, .0551, 0),
        Importance.CID22: (
            .0365, .0279, .0405, .0500, .0530, .0518, .0514, .0575, .0717,
            .0873, .0902, .0938, .0928, .0678, .0498, .0312, .0215, .0253),
        Importance.NU6: (
            .0168, .0130, .0211, .0344, .0517, .0737, .0658, .0644, .0664,
            .0802, .0987, .1171, .0932, .0783, .0562, .0337, .0177, .0176),
        Importance.DRT: (
            0, .0240, .0330, .0390, .0571, .0691, .0781, .0751, .0781,
            .0811, .0961, .0901, .0781, .0691, .0480, .0330, .0270, .0240),
        Importance.SHORT_PASSAGE: (
            .0114, .0153, .0179, .0558, .0898, .0944, .0709, .0660, .0628,
            .0672, .0747, .0755, .0820, .0808, .0483, .0453, .0274, .0145),
        # Sums to .9999, as published.
        Importance.SPIN: (
            0, .0255, .0256, .0360, .0362, .0514, .0616, .0770, .0718,
            .0718, .1075, .0921, .1026, .0922, .0719, .0461, .0306, 0),
        # Sums to 1.0001, as published.
        Importance.CST: (
            .0131, .0168, .0255, .0374, .0637, .0694, .0529, .0374, .0441,
            .0784, .1035, .1023, .0926, .0738, .0596, .0454, .0365, .0477),
    },
    speech_db={
        Effort.NORMAL: (
            32.41, 34.48, 34.75, 33.98, 34.59, 34.27, 32.06, 28.30, 25.01,
            23.00, 20.15, 17.32, 13.18, 11.55, 9.33, 5.31, 2.59, 1.13),
        Effort.RAISED: (
            33.81, 33.92, 38.98, 38.57, 39.11, 40.15, 38.78, 36.37, 33.86,
            31.89, 28.58, 25.32, 22.35, 20.15, 16.78, 11.47, 7.67, 5.07),
        Effort.LOUD: (
            35.29, 37.76, 41.55, 43.78, 43.30, 44.85, 45.55, 44.05, 42.16,
            40.53, 37.70, 34.39, 30.98, 28.21, 25.41, 18.35, 13.87, 11.39),
        Effort.SHOUT: (
            30.77, 36.65, 42.50, 46.51, 47.40, 49.24, 51.21, 51.44, 51.31,
            49.63, 47.65, 44.32, 40.80, 38.13, 34.41, 28.24, 23.45, 20.72),
    },
    internal_noise_db=(
        0.6, -1.7, -3.9, -6.1, -8.2, -9.7, -10.8, -11.9, -12.5,
        -13.5, -15.4, -17.7, -21.2, -24.2, -25.9, -23.6, -15.8, -7.1),
    spreads=True,
)

OCTAVE = BandTable(
    centres_hz=(250, 500, 1000, 2000, 4000, 8000),
    bandwidth_db=(22.48, 25.48, 28.48, 31.48, 34.48, 37.48),
    importance={
        Importance.STANDARD: (.0617, .1671, .2373, .2648, .2142, .0549),
        Importance.NNS: (.0437, .1294, .2025, .3117, .2576, .0551),
        Importance.CID22: (.1549, .1562, .2165, .2768, .1466, .0468),
        Importance.NU6: (.0653, .1912, .2110, .3090, .1662, .0353),
        Importance.DRT: (.0960, .2043, .2343, .2643, .1501, .0510),
        Importance.SHORT_PASSAGE: (.1004, .2551, .1960, .2322, .1744, .0419),
        Importance.SPIN: (.0871, .1493, .2206, .3022, .2102, .0306),
        Importance.CST: (.0928, .1860, .1599, .2984, .1788, .0842),
    },
    speech_db={
        Effort.NORMAL: (34.75, 34.27, 25.01, 17.32, 9.33, 1.13),
        Effort.RAISED: (38.98, 40.15, 33.86, 25.32, 16.78, 5.07),
        Effort.LOUD: (41.55, 44.85, 42.16, 34.39, 25.41, 11.39),
        Effort.SHOUT: (42.50, 49.24, 51.31, 44.32, 34.41, 20.72),
    },
    internal_noise_db=(-3.9, -9.7, -12.5, -17.7, -25.9, -7.1),
    spreads=False,
)
# fmt: on
