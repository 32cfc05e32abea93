"""From a plan to a finished track: whole, repeatable, and spoken only once."""

from __future__ import annotations

import json
from pathlib import Path

import jsonschema
import numpy as np
import pytest
import soundfile
from pipeline.classes import SHORT_CLASS

import cuetrack.output.track.cuefile as cuefile_module
from cuetrack.errors import OutputError, PlacementError
from cuetrack.output.track.formats import FORMATS
from cuetrack.pipeline.checking import check, read_plan
from cuetrack.pipeline.making import MakeRequest, make
from cuetrack.pipeline.verifying import verify


def made(plan_path, folder, **wishes):
    return make(read_plan(plan_path), MakeRequest(folder=folder, **wishes))


@pytest.mark.parametrize("name", FORMATS)
def test_every_format_is_on_time_and_as_loud_as_promised(plan_path, tmp_path, name):
    """Verified on the finished file, loudness within 0.5 LU, peak under -1 dBTP."""
    result = made(plan_path, tmp_path / name, format=name)
    report = verify(result.files.track, None)
    assert report.passed, report.headline
    assert result.levels.integrated_lufs == pytest.approx(-16.0, abs=0.5)
    assert result.levels.true_peak_dbtp <= -1.0


def test_making_again_speaks_nothing_and_gives_the_same_samples(plan_path, tmp_path):
    """A second make of the same plan is the same track, from stored clips."""
    first = made(plan_path, tmp_path / "one", format="wav")
    second = made(plan_path, tmp_path / "two", format="wav")
    assert second.spoken_anew == 0
    one, _ = soundfile.read(first.files.track, dtype="int32")
    two, _ = soundfile.read(second.files.track, dtype="int32")
    np.testing.assert_array_equal(one, two)
    assert first.files.cues.read_bytes() == second.files.cues.read_bytes()


def test_a_fresh_store_gives_the_same_samples(plan_path, tmp_path, monkeypatch):
    """Nothing of a track depends on what was spoken before it."""
    first = made(plan_path, tmp_path / "one", format="wav")
    monkeypatch.setenv("CUETRACK_STORE", str(tmp_path / "fresh"))
    second = made(plan_path, tmp_path / "two", format="wav")
    assert second.spoken_anew > 0
    one, _ = soundfile.read(first.files.track, dtype="int32")
    two, _ = soundfile.read(second.files.track, dtype="int32")
    np.testing.assert_array_equal(one, two)


def test_changing_one_wording_speaks_exactly_that_one(plan_path, tmp_path):
    """Of a plan with one sentence changed, one sentence is spoken anew."""
    free = "  cues: [{say: The window is open today., at: 15 s}]\n"
    text = SHORT_CLASS.replace(
        "intervals: {work: 30 s, rest: 30 s, rounds: 1, movements: "
        "[heel dig, straight punch]}\n",
        "intervals:\n  work: 30 s\n  rest: 30 s\n  rounds: 1\n"
        "  movements: [heel dig, straight punch]\n" + free,
    )
    plan_path.write_text(text, encoding="utf-8")
    made(plan_path, tmp_path / "one", format="wav")
    plan_path.write_text(text.replace("window", "door"), encoding="utf-8")
    assert made(plan_path, tmp_path / "two", format="wav").spoken_anew == 1


def test_the_cue_file_keeps_its_published_schema(plan_path, tmp_path):
    """``NAME.cues.json`` of a real track validates against the schema beside it."""
    result = made(plan_path, tmp_path / "out", format="wav")
    schema_path = Path(cuefile_module.__file__).with_suffix(".schema.json")
    schema = json.loads(schema_path.read_text(encoding="utf-8"))
    jsonschema.validate(json.loads(result.files.cues.read_text("utf-8")), schema)


def test_files_that_are_there_are_kept(plan_path, tmp_path):
    """Nothing is overwritten unless asked, and the refusal names every file."""
    folder = tmp_path / "out"
    folder.mkdir()
    for name in ("short.wav", "short.vtt"):
        (folder / name).write_text("precious")
    with pytest.raises(OutputError, match=r"short\.wav.*short\.vtt.*--overwrite"):
        made(plan_path, folder, format="wav")
    assert (folder / "short.wav").read_text() == "precious"
    made(plan_path, folder, format="wav", overwrite=True)
    assert soundfile.info(folder / "short.wav").frames > 0


def test_check_and_make_agree_on_what_is_stored(plan_path, tmp_path):
    """With every clip stored, checking places the cues just as making does."""
    result = made(plan_path, tmp_path / "out", format="wav")
    plan = read_plan(plan_path)
    checked = check(plan)
    assert checked.estimated == 0
    assert checked.placed == result.placed


def test_safety_words_that_cannot_fit_stop_the_make(plan_path, tmp_path):
    """A welcome too short for its safety words is refused, with the time missing."""
    plan_path.write_text(SHORT_CLASS.replace("welcome: 45 s", "welcome: 8 s"), "utf-8")
    with pytest.raises(PlacementError, match=r"short\.yaml:3:\d+: .*\d s are missing"):
        made(plan_path, tmp_path / "out", format="wav")
    assert not (tmp_path / "out").exists()
