"""What holds for every test: nothing outside its own folders is touched."""

from __future__ import annotations

import os
import signal

import pytest
from hypothesis import HealthCheck, settings
from pipeline.classes import SHORT_CLASS

collect_ignore_glob = ["benchmarks/*", "*/data/*"]

settings.register_profile(
    "ci", derandomize=True, deadline=None, suppress_health_check=[HealthCheck.too_slow]
)
settings.register_profile("dev", deadline=None)
settings.load_profile("ci" if os.environ.get("CI") else "dev")


@pytest.fixture(autouse=True, scope="session")
def own_clip_store(tmp_path_factory: pytest.TempPathFactory):
    """Keep clips and music of the tests away from those of the person testing."""
    patch = pytest.MonkeyPatch()
    patch.setenv("CUETRACK_STORE", str(tmp_path_factory.mktemp("store") / "clips"))
    patch.delenv("CUETRACK_VOICES", raising=False)
    yield
    patch.undo()


@pytest.fixture(autouse=True, scope="session")
def signals_as_in_a_terminal():
    """Let Ctrl-C and a hang-up count also where the tests run in the background."""
    handlers = {"SIGINT": signal.default_int_handler, "SIGHUP": signal.SIG_DFL}
    before = {
        number: signal.signal(number, handler)
        for name, handler in handlers.items()
        if (number := getattr(signal, name, None)) is not None
    }
    yield
    for number, handler in before.items():
        signal.signal(number, handler)


@pytest.fixture
def plan_path(tmp_path):
    """The file of a short class."""
    path = tmp_path / "short.yaml"
    path.write_text(SHORT_CLASS, encoding="utf-8")
    return path
