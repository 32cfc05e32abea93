"""How good estimated speech lengths are, against the voices themselves.

Run ``python tests/benchmarks/estimate.py [VOICE]``; it speaks thirty texts.
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1]))

from cues.spoken_lengths import LENGTHS_MS

from cuetrack.cues.estimate import estimate_ms
from cuetrack.speech.speaker import StoredSpeaker
from cuetrack.speech.store import ClipStore
from cuetrack.speech.voices import find_voice


def main():
    voice = find_voice(sys.argv[1] if len(sys.argv) > 1 else None, "en")
    with tempfile.TemporaryDirectory() as folder:
        clips = StoredSpeaker(voice, ClipStore(Path(folder))).speak(LENGTHS_MS)
    lengths_ms = np.array(
        [(clips[each].speech_end - clips[each].speech_start) / 48 for each in clips]
    )
    estimates_ms = np.array([estimate_ms(each, "en").length_ms for each in clips])
    over = estimates_ms - lengths_ms
    words = sum(len(each.split()) for each in clips)
    for each, length_ms in zip(clips, lengths_ms, strict=True):
        print(f"    {each!r}: {length_ms:.0f},")  # noqa: T201
    print(f"voice {voice.name}: {words / lengths_ms.sum() * 60_000:.0f} words a minute")  # noqa: T201
    print(  # noqa: T201
        f"not short {np.mean(over >= 0):.0%}, median {np.median(over):+.0f} ms, 90 % "
        f"within {np.percentile(abs(over) / lengths_ms, 90):.0%}, most short "
        f"{-np.min(over / lengths_ms):.0%}"
    )


if __name__ == "__main__":
    main()
