"""Which Python on which system gets everything as wheels, so without a compiler.

Resolves the dependencies of ``pyproject.toml`` with the extras ``listen`` and
``music`` for every pair, by ``uv``: pip judges markers such as ``python_version`` by
the Python it runs under, not by the one it is asked about. Prints the table of
README.md and fails when README.md promises more than there is.
"""

from __future__ import annotations

import os
import re
import subprocess
import sys
import tomllib
from concurrent.futures import ThreadPoolExecutor
from itertools import product
from pathlib import Path

HOUSE = Path(__file__).parents[1]
SYSTEMS = {
    "Linux, Intel or AMD": "x86_64-manylinux_2_28",
    "Linux, ARM": "aarch64-manylinux_2_28",
    "macOS 14 or newer, Apple": "aarch64-apple-darwin",
    "macOS 14 or newer, Intel": "x86_64-apple-darwin",
    "Windows, Intel or AMD": "x86_64-pc-windows-msvc",
}
PYTHONS = ("3.11", "3.12", "3.13", "3.14")
EXTRAS = ("listen", "music")
SOURCE_ONLY = ("docopt",)
"""One module of plain Python, which was never put into a wheel: needs no compiler."""
NOTHING, EVERYTHING = "no", "yes"
AT_ONCE = 5


def main() -> int:
    """Print the table; 1 when README.md promises more."""
    print(f"| | {' | '.join(PYTHONS)} |\n|---|{'---|' * len(PYTHONS)}")
    pairs = list(product(SYSTEMS, PYTHONS))
    with ThreadPoolExecutor(AT_ONCE) as pool:
        cells = dict(zip(pairs, pool.map(lambda pair: cell(*pair), pairs), strict=True))
    for system in SYSTEMS:
        row = [cells[system, python] for python in PYTHONS]
        print(f"| {system} | {' | '.join(row)} |")
    promised = promises((HOUSE / "README.md").read_text("utf-8"))
    broken = [pair for pair in pairs if not covers(cells[pair], promised[pair])]
    for system, python in broken:
        found, said = cells[system, python], promised[system, python]
        print(f"{system}, Python {python}: README.md says {said!r}, it is {found!r}.")
    return 1 if broken else 0


def cell(system: str, python: str) -> str:
    """Return what there is: everything, what is lacking, or nothing."""
    found = resolved(system, python)
    if found is None:
        return NOTHING
    lacking = [extra for extra in EXTRAS if not packages(extra) <= found]
    return f"without {', '.join(lacking)}" if lacking else EVERYTHING


def resolved(system: str, python: str) -> set[str] | None:
    """Return the names of the packages that pip would install, None if it cannot."""
    words = ["uv", "pip", "compile", "pyproject.toml", "--quiet", "--no-header"]
    words += ["--no-annotate", "--python-version", python]
    words += ["--python-platform", SYSTEMS[system], "--only-binary", ":all:"]
    for name in SOURCE_ONLY:
        words += ["--no-binary", name]
    for extra in EXTRAS:
        words += ["--extra", extra]
    done = subprocess.run(
        words,
        cwd=HOUSE,
        env={**os.environ, "MACOSX_DEPLOYMENT_TARGET": "14.0"},
        capture_output=True,
        text=True,
        check=False,
    )
    if done.returncode:
        print(f"{system}, Python {python}: {done.stderr}", file=sys.stderr)
        return None
    return set(re.findall(r"^([\w.-]+)==", done.stdout, re.MULTILINE))


def packages(extra: str) -> set[str]:
    """Return what an extra asks for, by name."""
    project = tomllib.loads((HOUSE / "pyproject.toml").read_text("utf-8"))["project"]
    asked = project["optional-dependencies"][extra]
    return {re.match(r"[\w.-]+", line)[0] for line in asked}


def promises(readme: str) -> dict[tuple[str, str], str]:
    """Return the cells of the table in README.md."""
    cells = {}
    for system in SYSTEMS:
        row = re.search(rf"^\| {re.escape(system)} \|(.*)\|$", readme, re.MULTILINE)
        if row is None:
            raise SystemExit(f"README.md says nothing of {system}.")
        said = (text.strip() for text in row[1].split("|"))
        cells |= {
            (system, python): text for python, text in zip(PYTHONS, said, strict=True)
        }
    return cells


def covers(found: str, promised: str) -> bool:
    """Tell whether there is at least what is promised."""
    if NOTHING in {found, promised}:
        return promised == NOTHING
    return all(extra in promised for extra in EXTRAS if extra in found)


if __name__ == "__main__":
    sys.exit(main())
