"""The loudness meter of another house: FFmpeg's ``ebur128``, asked every 100 ms."""

from __future__ import annotations

from collections import defaultdict

import numpy as np

from cuetrack.times import SAMPLE_RATE_HZ
from tests.output.readers import ffmpeg


def by_ffmpeg(sound, rate_hz=SAMPLE_RATE_HZ):
    """Return what it reads, a row for every 100 ms: M, S, I, LRA, true_peak.

    ``sound`` has shape (frames, channels). Loudness in LUFS and LU, the true peak as
    an amplitude; all with three decimals.
    """
    said = ffmpeg(
        *("-f", "f32le", "-ar", str(rate_hz), "-ac", str(sound.shape[1]), "-i", "-"),
        *("-af", "ebur128=metadata=1:peak=true,ametadata=print:file=-"),
        *("-f", "null", "-"),
        sound=np.ascontiguousarray(sound, "<f4").tobytes(),
    )
    rows = defaultdict(list)
    for line in said.decode("ascii").splitlines():
        key, _, value = line.partition("=")
        if key.startswith("lavfi.r128."):
            rows[key.removeprefix("lavfi.r128.")].append(float(value))
    return rows
