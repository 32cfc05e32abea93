"""The plan review as a person meets it in check and make."""

from __future__ import annotations

import pytest
from pipeline.classes import SHORT_CLASS

from cuetrack.cli.main import main
from cuetrack.speech.speaker import StoredSpeaker

UNSAFE = SHORT_CLASS.replace("  T07: a short class for trying things out\n", "")


@pytest.fixture
def written(tmp_path):
    def write(text):
        path = tmp_path / "class.yaml"
        path.write_text(text, encoding="utf-8")
        return path

    return write


def test_check_shows_review_and_load_and_passes(written, capsys):
    """Findings with reasons, the deferral once, the load as an estimate; status 0."""
    assert main(["check", str(written(SHORT_CLASS)), "--details"]) == 0
    out = " ".join(capsys.readouterr().out.split())
    assert "3 acknowledged" in out
    assert "Your reason: a short class for trying things out" in out
    assert out.count("clinician say comes first") == 1
    assert "MET-minutes" in out


def test_check_falls_short_on_an_error_that_nobody_answered(written, capsys):
    """Status 1, and the finding stands under the errors with its line."""
    assert main(["check", str(written(UNSAFE)), "--details"]) == 1
    out = capsys.readouterr().out
    assert out.index("Errors: mend them") < out.index("T07  From hard work")
    assert "Line 6: " in out


def test_make_stops_an_unsafe_plan_before_it_speaks(written, capsys, monkeypatch):
    """Nothing is spoken, nothing is written, and the message says what to do."""

    def speak(*_, **__):
        raise AssertionError("spoken")

    monkeypatch.setattr(StoredSpeaker, "speak", speak)
    path = written(UNSAFE)
    assert main(["make", str(path), "--quiet"]) == 1
    err = capsys.readouterr().err
    assert err.startswith(f"{path}:6:")
    assert "T07: After the hardest work" in err
    assert "acknowledge" in err
    assert [p.name for p in path.parent.iterdir()] == [path.name]


def test_an_unknown_rule_is_no_acknowledgement(written, capsys):
    """A slip in an id is told with the id that was meant."""
    text = SHORT_CLASS.replace("T07:", "T70:")
    assert main(["check", str(written(text))]) == 1
    assert 'Did you mean "T' in capsys.readouterr().err
