"""The table of the Speech Intelligibility Index, ANSI S3.5-1997 (R2017), as data.

Table 3, one-third octaves. The digits are those of the R package ``SII`` 1.0.3.1 and of
the Python package ``speech-intelligibility-index`` 1.0.2, which agree; the standard
itself was not at hand.
"""

from __future__ import annotations

Bands = tuple[float, ...]
"""One value a band, from low to high."""

# fmt: off
CENTRES_HZ: Bands = (
    160, 200, 250, 315, 400, 500, 630, 800, 1000,
    1250, 1600, 2000, 2500, 3150, 4000, 5000, 6300, 8000)

BANDWIDTH_DB: Bands = tuple(15.65 + band for band in range(18))
"""10 lg of the width of each band in Hz."""

IMPORTANCE: Bands = (
    .0083, .0095, .0150, .0289, .0440, .0578, .0653, .0711, .0818,
    .0844, .0882, .0898, .0868, .0844, .0771, .0527, .0364, .0185)
"""How much each band matters to speech of no particular kind."""

NORMAL_SPEECH_DB: Bands = (
    32.41, 34.48, 34.75, 33.98, 34.59, 34.27, 32.06, 28.30, 25.01,
    23.00, 20.15, 17.32, 13.18, 11.55, 9.33, 5.31, 2.59, 1.13)
"""The standard spectrum of speech of normal effort, dB SPL per Hz at 1 m."""

INTERNAL_NOISE_DB: Bands = (
    0.6, -1.7, -3.9, -6.1, -8.2, -9.7, -10.8, -11.9, -12.5,
    -13.5, -15.4, -17.7, -21.2, -24.2, -25.9, -23.6, -15.8, -7.1)
"""The reference internal noise X, dB SPL per Hz."""
# fmt: on
