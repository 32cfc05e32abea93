"""The table of licences in DEVELOPERS.md has every package that an install brings."""

from __future__ import annotations

import re
import tomllib
from importlib import metadata
from pathlib import Path

import pytest
from packaging.requirements import Requirement

TOP = Path(__file__).parents[1]
SYSTEMS = [
    {
        "python_version": f"3.{minor}",
        "python_full_version": f"3.{minor}.0",
        "sys_platform": name,
        "platform_system": system,
        "platform_machine": machine,
        "os_name": "nt" if name == "win32" else "posix",
        "extra": "",
    }
    for minor in (11, 12, 13, 14)
    for name, system, machine in (
        ("linux", "Linux", "x86_64"),
        ("darwin", "Darwin", "arm64"),
        ("win32", "Windows", "AMD64"),
    )
]

STATED = {
    "MIT License": {"MIT"},
    "MPL-2.0 AND MIT": {"MPL-2.0", "MIT"},
    "BSD": {"BSD-2-Clause", "BSD-3-Clause"},
    "BSD License": {"BSD-2-Clause", "BSD-3-Clause"},
    "Apache Software License": {"Apache-2.0"},
    "ISC License (ISCL)": {"ISC"},
    "Mozilla Public License 2.0 (MPL 2.0)": {"MPL-2.0"},
    "GNU Library or Lesser General Public License (LGPL)": {"LGPL-2.1-or-later"},
    "3-Clause BSD License": {"BSD-3-Clause"},
    "Python Software Foundation License": {"PSF-2.0"},
}
"""What packages call their licences, in the identifiers of SPDX."""

UNSTATED = {"espeakng-loader": "its metadata names none"}


def plain(name):
    """Return a package's name as PyPI compares it (packaging.python.org, PEP 503)."""
    return re.sub(r"[-_.]+", "-", name).lower()


def needed_by(requirements, extras=("",)):
    """Yield what is required on any system that is supported."""
    for text in requirements:
        one = Requirement(text)
        wanted = [each | {"extra": extra} for each in SYSTEMS for extra in extras]
        if one.marker is None or any(map(one.marker.evaluate, wanted)):
            yield one


def installed_with_cuetrack():
    """Return the names of all that its install brings, as far as it is here to ask."""
    project = tomllib.loads((TOP / "pyproject.toml").read_text("utf-8"))["project"]
    optional = project["optional-dependencies"]
    extras = [texts for extra, texts in optional.items() if extra != "dev"]
    texts = sum(extras, project["dependencies"])
    waiting, found = [*needed_by(texts)], set()
    while waiting:
        one = waiting.pop()
        name = plain(one.name)
        if name in found:
            continue
        found.add(name)
        try:
            requires = metadata.requires(name) or []
        except metadata.PackageNotFoundError:
            continue  # of another system
        waiting += needed_by(requires, ("", *one.extras))
    return found


def licences():
    """Return the licence of each package in the table."""
    text = (TOP / "DEVELOPERS.md").read_text("utf-8")
    table = text.split("| licence | packages |", 1)[1].split("\n\n", 1)[0]
    rows = [line.strip("|").split("|") for line in table.splitlines()[2:]]
    return {
        name: licence.strip()
        for licence, names in rows
        for name in re.findall(r"`([^`]+)`", names)
    }


def is_here(name):
    """Whether a package is installed."""
    try:
        metadata.distribution(name)
    except metadata.PackageNotFoundError:
        return False
    return True


def parts_of(licence):
    """Return the licences that an expression of SPDX joins."""
    return set(re.split(r" (?:AND|OR|WITH) ", licence))


def stated(name):
    """Return the licences that a package's metadata may mean; none where unsaid."""
    told = metadata.metadata(name)
    if expression := told.get("License-Expression"):
        return parts_of(expression)
    kinds = told.get_all("Classifier") or []
    called = [kind.split(" :: ")[-1] for kind in kinds if kind.startswith("License")]
    called = called or [told.get("License") or ""]
    return {licence for each in called for licence in STATED.get(each, {each})} - {""}


def test_every_package_is_in_the_table():
    """Whoever adds a package looks up its licence, and that of what it brings.

    More may be listed: what packages of other systems bring cannot be asked for here.
    """
    assert installed_with_cuetrack() - set(licences()) == set()


@pytest.mark.parametrize("name", sorted(licences()))
def test_the_licence_is_what_the_package_says(name):
    """The metadata of what is installed here agrees with the table."""
    if not is_here(name):
        pytest.skip('not for this system; or pip install ".[dev]" brings it')
    found = stated(name)
    assert parts_of(licences()[name]) & found or (not found and name in UNSTATED)


def test_all_may_go_together():
    """None forbids what the GPL, version 3 or later, asks of the whole.

    The list of licences compatible with it is the Free Software Foundation's
    (gnu.org/licenses/license-list.html, from memory).
    """
    parts = {part for licence in licences().values() for part in parts_of(licence)}
    compatible = {
        *("MIT", "MIT-0", "MIT-CMU", "BSD-2-Clause", "BSD-3-Clause", "ISC"),
        *("Apache-2.0", "LLVM-exception", "PSF-2.0", "MPL-2.0", "OFL-1.1"),
        *("LGPL-2.1-or-later", "LGPL-3.0-or-later", "GPL-2.0-or-later"),
        "GPL-3.0-or-later",
    }
    assert parts <= compatible
