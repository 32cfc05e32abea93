"""Other programs are told on standard output all that a person is told on screen."""

from __future__ import annotations

import json
from importlib.resources import files
from pathlib import Path

import jsonschema
import pytest
import soundfile
from pipeline.classes import SHORT_CLASS

from cuetrack.cli.main import main
from cuetrack.output.published import schema_of
from cuetrack.pipeline.check_report import CheckReport
from cuetrack.pipeline.make_report import MakeReport

EXAMPLES = sorted((Path(__file__).parents[2] / "examples").glob("*.yaml"))
SCHEMAS = {
    name: json.loads(
        files("cuetrack.pipeline").joinpath(f"{name}.schema.json").read_text("utf-8")
    )
    for name in ("check", "make")
}


@pytest.fixture
def told(capsys):
    """Run a command with --json; return its status, its one object and stderr."""

    def run(command, *words):
        status = main([command, *map(str, words), "--json"])
        out, err = capsys.readouterr()
        document = json.loads(out)
        jsonschema.Draft202012Validator(SCHEMAS[command]).validate(document)
        return status, document, err

    return run


@pytest.mark.outside
@pytest.mark.parametrize(
    ("name", "kind"), [("check", CheckReport), ("make", MakeReport)]
)
def test_the_published_schemas_are_those_of_the_types(name, kind):
    """Whoever changes a type writes the file anew, from `schema_of`; drafts agree."""
    jsonschema.Draft202012Validator.check_schema(SCHEMAS[name])
    assert schema_of(kind) == SCHEMAS[name]
    for part in SCHEMAS[name]["$defs"].values():
        if "properties" in part:
            assert set(part["required"]) == set(part["properties"])


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_every_example_is_ready(told, path):
    """What a person reads of losses and findings is in the object, all of it."""
    status, found, err = told("check", path)
    assert (status, found["ready"], err) == (0, True, "")
    assert found["duration_ms"] % 1000 == 0
    assert all(row["reason"] for row in (*found["left_out"], *found["shortened"]))
    assert all(row["text"] and row["remedy"] for row in found["findings"])


def test_text_and_object_agree(told, plan_path, capsys):
    """The counts on the screen are those of the lists."""
    _, found, _ = told("check", plan_path)
    main(["check", str(plan_path), "--details"])
    screen = " ".join(capsys.readouterr().out.split())
    assert (
        f"{found['cues_said']} cues are said, {len(found['shortened'])} of them in "
        f"fewer words; {len(found['left_out'])} left out."
    ) in screen
    assert all(f"{row['id']} " in screen for row in found["findings"])


def test_mistakes_are_findings_with_their_place(told, tmp_path):
    """Each is an error with line, column and remedy; the lines stay on stderr."""
    path = tmp_path / "bad.yaml"
    path.write_text("titel: x\nwarm-up: [march: -3 s]\nvoice: jo\n", encoding="utf-8")
    status, found, err = told("check", path)
    assert (status, found["ready"], found["duration_ms"]) == (1, False, None)
    places = [(row["line"], row["column"]) for row in found["findings"]]
    assert places == [(1, 1), (2, 18), (3, 8)]
    assert {(row["id"], row["severity"]) for row in found["findings"]} == {
        ("plan", "error")
    }
    assert found["findings"][0]["text"] == '"titel" is not a key of a plan.'
    assert found["findings"][0]["remedy"] == 'Did you mean "title"?'
    assert err.splitlines() == [
        f"{path}:{row['line']}:{row['column']}: {row['text']} {row['remedy']}"
        for row in found["findings"]
    ]


@pytest.mark.parametrize("command", ["check", "make"])
def test_safety_words_without_room_are_a_finding(told, plan_path, command):
    """What cannot fit has the line that gives it its time, and what to do."""
    plan_path.write_text(SHORT_CLASS.replace("welcome: 45 s", "welcome: 8 s"), "utf-8")
    status, found, _ = told(command, plan_path)
    assert (status, found["ready"]) == (1, False)
    assert found["findings"]
    for row in found["findings"]:
        assert (row["id"], row["severity"], row["line"]) == ("placement", "error", 3)
        assert "s are missing." in row["text"]
        assert row["remedy"].startswith("Lengthen ")


def test_words_without_room_hide_no_danger(told, plan_path):
    """What the review finds is told with them, in file order."""
    text = SHORT_CLASS.replace("welcome: 45 s", "welcome: 8 s")
    plan_path.write_text(text.replace("  T07:", "  T03:"), "utf-8")
    status, found, err = told("check", plan_path)
    rows = found["findings"]
    assert (status, found["ready"]) == (1, False)
    assert [row["line"] for row in rows] == sorted(row["line"] for row in rows)
    assert {"placement", "T07"} == {row["id"] for row in rows}
    (danger,) = [row for row in rows if row["id"] == "T07"]
    assert danger["remedy"].endswith("Or give your reason under acknowledge.")
    assert f":{danger['line']}:{danger['column']}: T07: {danger['text']}" in err


def test_a_danger_is_named_by_its_rule(told, plan_path):
    """The same rule stops both commands; an answer is given with the reason."""
    _, answered, _ = told("check", plan_path)
    reasons = {row["id"]: row["acknowledged"] for row in answered["findings"]}
    assert reasons["T01"] == "a short class for trying things out"
    plan_path.write_text(SHORT_CLASS.replace("  T01", "  T03"), "utf-8")
    for command in ("check", "make"):
        status, found, _ = told(command, plan_path)
        errors = [row for row in found["findings"] if row["severity"] == "error"]
        assert (status, found["ready"]) == (1, False)
        assert "T01" in {row["id"] for row in errors}
        assert all(not row["text"].startswith("T01") for row in errors)


def test_a_movement_without_words_is_a_note(told, plan_path):
    """What nobody is told how to do is found by programs too."""
    plan_path.write_text(SHORT_CLASS.replace("slow march", "window wipe"), "utf-8")
    _, found, _ = told("check", plan_path)
    (row,) = [row for row in found["findings"] if row["id"] == "movement"]
    assert (row["severity"], row["line"]) == ("note", 6)
    assert '"window wipe" has no words' in row["text"]


def test_a_made_track_is_told_with_its_files_and_levels(told, plan_path, tmp_path):
    """Every file is there; loudness and hearing are those of the screen."""
    out = tmp_path / "out"
    words = (plan_path, "--format", "wav", "--all", "--out", out)
    status, found, _ = told("make", *words)
    assert (status, found["ready"]) == (0, True)
    written = {found["files"][key] for key in ("track", "cues", "captions")}
    written |= set(found["files"]["handouts"])
    assert written == {str(path) for path in out.iterdir()}
    frames = soundfile.info(found["files"]["track"]).frames
    assert frames == found["duration_ms"] * 48
    assert found["levels"]["integrated_lufs"] == pytest.approx(-16, abs=0.5)
    assert found["levels"]["true_peak_dbtp"] <= -1
    assert len(found["hearing"]["rows"]) == found["cues_said"]
    assert found["voice"] == "espeak-en"


def test_a_file_in_the_way_is_a_finding(told, plan_path):
    """What has nothing to do with the plan has no line, and says what to do."""
    plan_path.with_suffix(".vtt").write_text("precious")
    status, found, _ = told("make", plan_path)
    (row,) = found["findings"]
    assert (status, row["id"], row["line"]) == (1, "output", None)
    assert "--overwrite" in row["remedy"]
