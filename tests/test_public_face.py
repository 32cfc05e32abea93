"""What other programs may rely on: four verbs and their values, loaded when used."""

from __future__ import annotations

import ast
import inspect
import re
import subprocess
import sys
import typing
from importlib import metadata
from pathlib import Path

import pytest
from pipeline.classes import SHORT_CLASS

import cuetrack

PACKAGE = Path(cuetrack.__file__).parent
VERBS = ("check", "make", "read_plan", "verify")


def test_all_is_what_can_be_imported():
    """``__all__`` is sorted, lists each home once, and a star import gets it all."""
    assert cuetrack.__all__ == sorted(cuetrack.__all__)
    assert {*cuetrack._HOMES, "__version__"} == set(cuetrack.__all__)
    names = {}
    exec("from cuetrack import *", names)
    assert set(cuetrack.__all__) <= set(names)
    assert set(VERBS) < set(names)


def test_type_checkers_see_the_same_names():
    """What is imported for them alone are the names that are loaded when asked for."""
    tree = ast.parse(Path(cuetrack.__file__).read_text("utf-8"))
    homes = {
        alias.asname: node.module.removeprefix("cuetrack.")
        for node in ast.walk(tree)
        if isinstance(node, ast.ImportFrom) and node.module.startswith("cuetrack.")
        for alias in node.names
    }
    assert homes == cuetrack._HOMES


def test_an_unknown_name_is_refused_as_by_any_module():
    """A misspelt name is an ImportError, and an attribute that is not there."""
    with pytest.raises(AttributeError, match="no attribute 'mkae'"):
        _ = cuetrack.mkae


def test_a_name_stays_itself_after_its_parts_are_loaded():
    """No package inside takes the name of a verb when it is imported."""
    code = (
        "import cuetrack, pkgutil, importlib\n"
        "inside = [m.name for m in pkgutil.iter_modules(cuetrack.__path__)]\n"
        "for name in inside:\n"
        "    if name != '__main__': importlib.import_module('cuetrack.' + name)\n"
        "import cuetrack.verification.track\n"
        "print(sorted(set(inside) & set(cuetrack.__all__)), callable(cuetrack.verify))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True
    )
    assert done.stdout.strip() == "[] True"


def test_every_verb_says_what_it_takes_and_gives():
    """Each has a docstring and a type for every parameter and its result."""
    for name in VERBS:
        verb = getattr(cuetrack, name)
        signature = inspect.signature(verb)
        assert verb.__doc__
        assert signature.return_annotation is not inspect.Signature.empty
        assert all(
            parameter.annotation is not inspect.Parameter.empty
            for parameter in signature.parameters.values()
        )
    assert typing.get_type_hints(cuetrack.Problem)["line"] is int


def test_the_version_is_that_of_the_package():
    """It stands in one place, the package's metadata."""
    assert cuetrack.__version__ == metadata.version("cuetrack")


def test_help_loads_no_library_of_sound():
    """``import cuetrack`` and ``cuetrack --help`` stay quick."""
    code = (
        "import sys, cuetrack\n"
        "assert not [m for m in sys.modules if m.startswith('cuetrack.')]\n"
        "from cuetrack.cli.arguments import parser\n"
        "parser().format_help()\n"
        "print({'numpy', 'scipy', 'av', 'soundfile', 'mutagen'} & set(sys.modules))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True
    )
    assert done.stdout.strip() == "set()"


def test_only_the_command_line_prints():
    """Everything else gives values back; a child process writes to its parent."""
    allowed = {PACKAGE / "speech" / "system_child.py"}
    printing = [
        path
        for path in PACKAGE.rglob("*.py")
        if path.parent != PACKAGE / "cli"
        and path not in allowed
        and re.search(
            r"\bprint\(|\bsys\.std(out|err)\b|^\s*(from|import) rich\b",
            path.read_text("utf-8"),
            re.MULTILINE,
        )
    ]
    assert printing == []


def test_the_example_of_the_readme_runs(tmp_path, monkeypatch, capsys):
    """As it stands there: from a plan to a track that is measured to be on time."""
    readme = Path(__file__).parents[1].joinpath("README.md").read_text("utf-8")
    example = re.search(r"```python\n(.*?)```", readme, re.DOTALL)[1]
    tmp_path.joinpath("my-class.yaml").write_text(SHORT_CLASS, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    exec(compile(example, "README.md", "exec"), {})
    *found, lufs, headline = capsys.readouterr().out.splitlines()
    assert all(re.match(r"(note|warning|error) \w", line) for line in found)
    assert float(lufs) == pytest.approx(-16, abs=0.5)
    assert "are on time" in headline
    assert tmp_path.joinpath("tracks", "my-class.flac").exists()


def test_a_broken_plan_is_told_by_the_example_as_values(tmp_path, monkeypatch, capsys):
    """Line, what is wrong and what to do can be shown apart."""
    readme = Path(__file__).parents[1].joinpath("README.md").read_text("utf-8")
    example = re.search(r"```python\n(.*?)```", readme, re.DOTALL)[1]
    tmp_path.joinpath("my-class.yaml").write_text("titel: x\n", encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    with pytest.raises(cuetrack.PlanError):
        exec(compile(example, "README.md", "exec"), {})
    first = capsys.readouterr().out.splitlines()[0]
    assert first == '1 "titel" is not a key of a plan. Did you mean "title"?'


def test_a_track_is_made_beside_its_plan_without_a_request(tmp_path):
    """The plainest call gives an MP3 with the name of the plan."""
    path = tmp_path / "short.yaml"
    path.write_text(SHORT_CLASS, encoding="utf-8")
    made = cuetrack.make(cuetrack.read_plan(path))
    assert isinstance(made, cuetrack.Made)
    assert made.files.track == tmp_path / "short.mp3"
    assert isinstance(cuetrack.verify(str(made.files.track)), cuetrack.Report)
