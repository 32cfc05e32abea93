"""Write ``sii_vectors.json``: random cases and what an independent program says.

Run it in an environment of its own, for it pulls large packages::

    pip install speech-intelligibility-index==1.0.2
    python tests/reference/data/regenerate_sii.py

The program is Google's translation of H. Muesch's MATLAB implementation of ANSI
S3.5-1997 (Apache-2.0). Its eighth importance function (CST) carries wrong
weights and is left out.
"""

from __future__ import annotations

import json
from importlib.metadata import version
from pathlib import Path

import numpy as np
from speech_intelligibility_index import sii as reference

CASES = 210
FUNCTIONS = (
    "standard",
    "nonsense syllables",
    "CID-22",
    "NU6",
    "diagnostic rhyme test",
    "short passage",
    "SPIN",
)


def main() -> None:
    """Draw the cases, ask the reference, write the file beside this script."""
    random = np.random.default_rng(35)
    cases = []
    for number in range(CASES):
        speech = np.round(random.uniform(-10, 75) + random.normal(0, 12, 18), 2)
        noise = np.round(random.uniform(-40, 70) + random.normal(0, 12, 18), 2)
        threshold = np.round(np.sort(random.uniform(-10, 80, 18)), 2)
        function = number % len(FUNCTIONS)
        value = reference.sii(
            speech.copy(), noise.copy(), threshold.copy(), function + 1
        )
        cases.append(
            {
                "speech_db": speech.tolist(),
                "noise_db": noise.tolist(),
                "threshold_db_hl": threshold.tolist(),
                "importance": FUNCTIONS[function],
                "sii": float(value),
            }
        )
    path = Path(__file__).with_name("sii_vectors.json")
    written = {
        "source": "PyPI speech-intelligibility-index",
        "version": version("speech-intelligibility-index"),
        "script": Path(__file__).name,
        "importances": json.loads(path.read_text("utf-8"))["importances"],
        "cases": cases,
    }
    path.write_text(json.dumps(written, indent=None) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
