"""A script has every line a class may need, once, what matters most first."""

from __future__ import annotations

from dataclasses import replace

import pdfplumber
import pytest
import soundfile

from cuetrack import cuekinds
from cuetrack.cli.main import main
from cuetrack.cues.tonekinds import ToneKind
from cuetrack.documents.names import movement_key
from cuetrack.errors import SpeechError, UsageError
from cuetrack.movements.library import load_library
from cuetrack.pipeline import reading_aloud
from cuetrack.pipeline.checking import check, cue_sheet, placed_unspoken, read_plan
from cuetrack.pipeline.reading_aloud import (
    script_for,
    script_of_missing,
    script_of_pack,
)
from cuetrack.sound.tones import tone
from cuetrack.speech.breaths import breaths_of, line_id
from cuetrack.speech.text_keys import unread
from cuetrack.speech.voices import find_voice
from cuetrack.takes.click import click_track
from cuetrack.takes.reading_script import LineKind, ReadingPart, read_script
from tests.takes.readers import read_quickly

PLAN = """\
title: Monday at Larkfield Hall
{more}
warm-up: [shoulder roll, easy march]
intervals: {{work: 30 s, rest: 30 s, rounds: 2, movements: [heel dig, straight punch]}}
cool-down: [easy march, chest stretch]
"""


def plan_file(folder, more="bring: water", name="monday"):
    path = folder / f"{name}.yaml"
    path.write_text(PLAN.format(more=more), "utf-8")
    return path


@pytest.fixture(scope="module")
def plan(tmp_path_factory):
    return read_plan(plan_file(tmp_path_factory.mktemp("plans")))


@pytest.fixture(scope="module")
def script(plan):
    return script_for([plan])


def test_every_wording_can_be_put_together(plan, script):
    """All that placement may choose consists of lines of the script, each once."""
    ids = [line.id for line in script.lines]
    wordings = {one.spoken for cue in cue_sheet(plan).cues for one in cue.variants[0]}
    needed = {line_id(text) for spoken in wordings for text in breaths_of(spoken)}
    assert set(ids) == needed
    assert len(ids) == len(set(ids))


def test_what_matters_comes_first(script):
    """Counts, then starts, stops and time calls, all that is enough in ten minutes."""
    order = list(ReadingPart)
    parts = [order.index(line.part) for line in script.lines]
    assert parts == sorted(parts)
    assert [line.text for line in script.lines[:3]] == ["Three", "Two", "One"]
    enough = [line for line in script.lines if line.part is ReadingPart.ENOUGH]
    clock = [LineKind.START, LineKind.STOP, LineKind.TIME_CALL]
    kinds = [line.kind for line in enough]
    led = [kind for kind in kinds if kind in clock]
    assert kinds[: len(led)] == sorted(led, key=clock.index)
    assert set(led) == set(clock)
    assert enough[-1].end_ms < 10 * 60_000


def test_the_first_part_is_enough_for_a_class(plan, script, tmp_path):
    """Read alone, with no voice to fill in, it lets the whole class be laid out."""
    enough = [
        line.text
        for line in script.lines
        if line.part in {ReadingPart.COUNTS, ReadingPart.ENOUGH}
    ]
    folder = read_quickly(tmp_path / "mary", enough)
    placed = placed_unspoken(replace(plan, voice=str(folder)))
    said = [one.wording.spoken for one in placed.placed]
    voice = find_voice(str(folder), "en")
    assert not [spoken for spoken in said if unread(voice, spoken)]
    kinds = {one.cue.kind for one in placed.placed}
    assert {
        cuekinds.COUNT_IN,
        cuekinds.PREVIEW,
        cuekinds.STOP,
        cuekinds.SAFETY,
    } <= kinds


def test_plans_share_their_lines(plan, script):
    """What two classes need is read once."""
    assert script_for([plan, plan]) == script


def test_plans_of_two_languages_are_refused(plan):
    """A voice is read in one language."""
    with pytest.raises(UsageError, match="in several languages: en, fr"):
        script_for([plan, replace(plan, language="fr")])


def test_only_what_a_changed_plan_lacks_is_asked_for(plan, script, tmp_path):
    """A new movement's lines, and nothing that can be said in words that were read."""
    folder = read_quickly(tmp_path / "mary", [line.text for line in script.lines])
    assert script_of_missing([plan], str(folder)).lines == ()
    path = plan_file(tmp_path)
    path.write_text(path.read_text("utf-8").replace("heel dig", "toe tap"), "utf-8")
    missing = script_of_missing([read_plan(path)], str(folder))
    texts = [line.text for line in missing.lines]
    assert "Next: toe tap." in texts
    assert 3 <= len(texts) <= 20
    assert all("heel dig" not in text for text in texts)


def test_a_whole_pack_is_enough_for_any_class_of_its_movements(tmp_path, monkeypatch):
    """Read for three movements, it speaks what must be said in a plan it never saw."""
    few = {
        name: load_library("en")[movement_key(name)]
        for name in ("shoulder roll", "easy march", "heel dig")
    }
    monkeypatch.setattr(reading_aloud, "load_library", lambda _: few)
    script = script_of_pack("en")
    folder = read_quickly(tmp_path / "mary", [line.text for line in script.lines])
    plan = read_plan(plan_file(tmp_path, "counting: voice"))
    without = replace(plan, voice=str(folder))
    with pytest.raises(SpeechError, match="straight punch"):
        check(without)
    path = plan_file(tmp_path, "counting: voice\nlasts: 24 min")
    path.write_text(
        path.read_text("utf-8")
        .replace("straight punch", "shoulder roll")
        .replace("chest stretch", "heel dig"),
        "utf-8",
    )
    checked = check(replace(read_plan(path), voice=str(folder)))
    assert len(checked.placed.placed) > 50


def test_names_are_read_as_they_are_written(tmp_path):
    """The help that engines need with a word is not for a person."""
    plan = read_plan(plan_file(tmp_path, "bring: Maud\npronounce: {Maud: mawd}"))
    spoken = " ".join(cue.wordings[0].spoken for cue in cue_sheet(plan).cues)
    read = " ".join(line.text for line in script_for([plan]).lines)
    assert ("mawd" in spoken, "Maud" in spoken) == (True, False)
    assert ("mawd" in read, "Maud" in read) == (False, True)


def test_a_click_stands_where_each_count_word_is_due(script):
    """Loud clicks at the lines' times to the sample, soft ones at the other seconds."""
    sound, click = click_track(script), tone(ToneKind.TICK)
    due = {line.start_ms for line in script.lines if line.part is ReadingPart.COUNTS}
    assert len(due) == 3
    for second in range(len(sound) // 48_000):
        heard = sound[second * 48_000 : second * 48_000 + click.size]
        loud = 1 if second * 1000 in due else 10 ** (-14 / 20)
        assert heard == pytest.approx(click * loud, abs=1e-6)


def test_the_command_writes_all_there_is_to_read(tmp_path, capsys):
    """A sheet in large print, captions that are read again, and a click."""
    path = plan_file(tmp_path, "voice: one that is yet to be read")
    assert main(["voices", "script", str(path)]) == 0
    told = capsys.readouterr().out
    script = read_script(tmp_path / "monday.reading.vtt")
    assert f"{len(script.lines)} lines to read, about" in told
    assert soundfile.info(tmp_path / "monday.reading.click.wav").samplerate == 48_000
    with pdfplumber.open(tmp_path / "monday.reading.pdf") as pdf:
        words = [word for page in pdf.pages for word in page.extract_words()]
        sizes = {round(char["size"]) for page in pdf.pages for char in page.chars}
    assert min(sizes) >= 18
    text = " ".join(word["text"] for word in words)
    for number, line in enumerate(script.lines[:40], start=1):
        assert f"{number} {line.text}" in text
    assert main(["voices", "script", str(path)]) == 1
    assert "Already there, and kept" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("more", "told"),
    [
        ([], "Name plans or --whole-pack"),
        (["--whole-pack", "x.yaml"], "one of the two"),
    ],
)
def test_what_is_to_be_read_must_be_named(more, told, capsys):
    """Plans or everything."""
    assert main(["voices", "script", *more]) == 2
    assert told in capsys.readouterr().err
