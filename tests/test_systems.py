"""What differs between systems stands in one module, and each of its branches loads."""

from __future__ import annotations

import ast
import importlib.util
import sys
from pathlib import Path
from types import ModuleType

import pytest

from cuetrack import systems

PACKAGE = Path(systems.__file__).parent
ASKING = {
    "sys.platform",
    "os.name",
    "platform.system",
    "os.uname",
    "sys.getwindowsversion",
}


def questions(path):
    """Return how a module asks which system it runs on."""
    tree = ast.parse(path.read_text("utf-8"))
    said = {
        ast.unparse(node) for node in ast.walk(tree) if isinstance(node, ast.Attribute)
    }
    asked = (
        ast.unparse(node)
        for node in ast.walk(tree)
        if isinstance(node, ast.Call) and ast.unparse(node.func) == "hasattr"
    )
    return said & ASKING | {call for call in asked if call.startswith("hasattr(signal")}


def test_one_module_asks_which_system_it_is():
    """Whoever moves to another system looks there, and nowhere else."""
    asking = {path.name for path in PACKAGE.rglob("*.py") if questions(path)}
    assert asking == {"systems.py"}


class Refusing:
    """Stands for what locks files on a system that is not this one."""

    LK_NBLCK = 2
    LOCK_EX, LOCK_NB = 2, 4
    error: OSError | None = None

    def locking(self, *_):
        if self.error:
            raise self.error

    flock = locking


@pytest.fixture
def loaded_as(monkeypatch):
    """Load the module as on another system, with stand-ins for what only that has."""

    def load(name):
        locks, library = Refusing(), ModuleType("_ctypes")
        library.FreeLibrary = library.dlclose = [].append
        monkeypatch.setattr(sys, "platform", name)
        monkeypatch.setitem(sys.modules, "_ctypes", library)
        for module in ("msvcrt", "fcntl"):
            monkeypatch.setitem(sys.modules, module, locks)
        spec = importlib.util.spec_from_file_location("elsewhere", systems.__file__)
        module = importlib.util.module_from_spec(spec)
        spec.loader.exec_module(module)
        return module, locks

    return load


@pytest.mark.parametrize(
    ("name", "brings_voices", "ending", "player"),
    [
        ("linux", False, "wav", "pw-play"),
        ("darwin", True, "aiff", "afplay"),
        ("win32", True, "wav", "powershell"),
        ("freebsd14", False, "wav", "pw-play"),
    ],
)
def test_each_system_gets_its_own(loaded_as, name, brings_voices, ending, player):
    """Every branch loads, and says what its system has."""
    module, _ = loaded_as(name)
    assert module.BRINGS_VOICES is brings_voices
    assert ending == module.SPEECH_ENDING
    assert module.PLAYERS[0][0] == player
    assert module.core_count() >= 1


@pytest.mark.parametrize(
    ("name", "error", "ours"),
    [
        ("linux", None, True),
        ("linux", BlockingIOError(), False),
        ("linux", OSError("no locks here"), True),
        ("win32", None, True),
        ("win32", PermissionError(), False),
    ],
)
def test_a_lock_is_ours_or_somebody_elses(loaded_as, name, error, ours):
    """A disk without locks stops nobody; a file that another holds is not ours."""
    module, locks = loaded_as(name)
    locks.error = error
    assert module.lock_if_free(0) is ours
