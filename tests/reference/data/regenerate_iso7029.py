"""Write ``iso7029_vectors.json``: hearing by age as an independent program says.

Run it in an environment of its own, Python 3.13 or later::

    pip install phonometry==3.3.0
    python tests/reference/data/regenerate_iso7029.py

Its tables are the transcription ours came from, so agreement proves the formulae
and the typing, not the standard's print.
"""

from __future__ import annotations

import json
from importlib.metadata import version
from pathlib import Path

import phonometry

AGES = (18, 25, 40, 55, 60, 65, 70, 75, 78, 80)
FRACTILES = (0.1, 0.25, 0.5, 0.75, 0.9, 0.95)
COLUMNS = {"women": "female", "men": "male"}


def main() -> None:
    """Ask for every age, sex and fractile; write the file beside this script."""
    cases = [
        {
            "age": age,
            "sex": sex,
            "percentile": fractile,
            "levels_db_hl": [
                float(level)
                for level in phonometry.age_threshold(age, column, fractile).threshold
            ],
        }
        for age in AGES
        for sex, column in COLUMNS.items()
        for fractile in FRACTILES
    ]
    written = {
        "source": "PyPI phonometry",
        "version": version("phonometry"),
        "script": Path(__file__).name,
        "cases": cases,
    }
    path = Path(__file__).with_name("iso7029_vectors.json")
    path.write_text(json.dumps(written, indent=None) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
