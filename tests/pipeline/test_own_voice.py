"""A class in a voice that a person read: made, measured, and told whose it is."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from cuetrack.batch.work import works_of
from cuetrack.cli.main import main
from cuetrack.desk.choices import choices_for
from cuetrack.errors import SpeechError
from cuetrack.output.track.cuefile import read_cue_file
from cuetrack.pipeline import verifying
from cuetrack.pipeline.checking import check, in_voice, plan_from_text, read_plan
from cuetrack.pipeline.making import MakeRequest, make
from cuetrack.pipeline.reading_aloud import script_for, script_of_missing
from cuetrack.pipeline.verifying import verify
from cuetrack.speech.store import ClipStore
from tests.takes.readers import read_into, read_quickly

TINY_CLASS = """\
title: Tiny class at Larkfield Hall
voice: espeak-en
welcome: none
warm-up: [easy march: 20 s]
intervals: {work: 20 s, rest: 15 s, rounds: 1, movements: [heel dig]}
close: none
acknowledge: {T01: trying things out, T04: trying things out, T07: trying things out}
"""


def plan_beside(folder, voice="mary"):
    path = folder / "monday.yaml"
    path.write_text(TINY_CLASS.replace("espeak-en", voice), "utf-8")
    return path


@pytest.fixture(scope="module")
def lines():
    plan = plan_from_text(TINY_CLASS, Path("monday.yaml"))
    return [line.text for line in script_for([plan]).lines]


@pytest.fixture(scope="module")
def own(tmp_path_factory, lines):
    """Return a class made in a voice that lacks a third of its lines."""
    folder = tmp_path_factory.mktemp("own")
    read_into(folder / "mary", lines[: len(lines) * 2 // 3], filling="espeak-en")
    return make(
        read_plan(plan_beside(folder)), MakeRequest(folder=folder, format="wav")
    )


def test_the_whole_class_is_where_the_plan_says(own):
    """Every cue of both voices is found on time, the counts on their beats."""
    report = verify(own.files.track)
    assert report.passed, report.headline
    beats = [row for row in own.cue_file.cues if row.beat_ms is not None]
    assert beats
    assert all(row.beat_ms % 1000 == 0 for row in beats)


def test_what_was_not_read_is_told(own, capsys):
    """The texts that another voice says are listed, and no others."""
    said = {row.text for row in own.cue_file.cues}
    assert own.filled_in
    assert set(own.filled_in) < said
    assert check(own.plan).filled_in == own.filled_in
    assert main(["check", own.plan.file]) == 0
    told = f"says {len(own.filled_in)} texts that mary lacks."
    assert told in capsys.readouterr().out
    missing = script_of_missing([own.plan], str(Path(own.plan.file).parent / "mary"))
    asked = " ".join(line.text for line in missing.lines)
    assert all(text.rpartition(". ")[2] in asked for text in own.filled_in)


def test_the_cue_sheet_says_who_is_heard(own):
    """Name and consent, and who fills in, are kept with the track."""
    person = read_cue_file(own.files.cues).speech.person
    assert (person.name, person.filled_by) == ("Mary Hill", "espeak-en")
    assert person.consent == (
        "Mary Hill agreed on 2026-11-26: classes at Larkfield Hall"
    )


def test_a_voice_that_was_carried_off_is_not_asked(own, tmp_path):
    """A track is measured by its stored clips then; beside its voice, by that too."""
    beside = own.files.track.parent
    assert verifying._respeak(own.cue_file, ClipStore(), tmp_path) is None
    again = verifying._respeak(own.cue_file, ClipStore(), beside)
    row = own.cue_file.cues[0]
    assert again(row.spoken, row.clip)[0].key == row.clip


def test_what_must_be_said_and_nobody_reads_is_told_at_once(tmp_path, lines):
    """Without a voice to fill in, check names the lines and how to get them."""
    read_quickly(tmp_path / "mary", lines[:10])
    plan = read_plan(plan_beside(tmp_path))
    with pytest.raises(SpeechError) as error:
        check(plan)
    told = str(error.value)
    assert "Mary Hill has not read what must be said: " in told
    assert f"--missing-from {tmp_path / 'mary'}" in told
    assert f" and {told.count('; ')}" not in told


def test_without_another_voice_less_is_said(tmp_path):
    """What need not be said and was not read is left, and the class can be made."""
    plan = read_plan(plan_beside(tmp_path, "espeak-en"))
    script = script_for([plan])
    enough = [line.text for line in script.lines if line.part in {"counts", "enough"}]
    read_quickly(tmp_path / "mary", enough)
    whole, brief = (
        check(replace(plan, voice=voice)) for voice in ("espeak-en", "mary")
    )
    assert 0 < len(brief.placed.placed) < len(whole.placed.placed)


def test_the_voice_is_offered_and_listed(own, monkeypatch, capsys):
    """The command line and the desk know it, with whose it is."""
    folder = Path(own.plan.file).parent
    monkeypatch.setenv("CUETRACK_VOICES", str(folder))
    assert main(["voices"]) == 0
    assert "mary: read by Mary Hill; Mary Hill agreed on 2026-11-26" in (
        capsys.readouterr().out
    )
    assert main(["voices", "try", "mary"]) == 1
    assert "judged line by line" in capsys.readouterr().err
    assert choices_for(own.plan, ())["voices"].count("mary") == 1
    monkeypatch.delenv("CUETRACK_VOICES")
    assert choices_for(own.plan, ())["voices"].count("mary") == 1


def test_a_line_is_heard_in_a_voice_named_by_its_folder(own, tmp_path, capsys):
    """What was read is written as a sound file."""
    folder = Path(own.plan.file).parent / "mary"
    out = tmp_path / "line.wav"
    command = ["hear", "Three", "--voice", str(folder), "--out", str(out)]
    assert main(command) == 0
    assert "mary: Three" in capsys.readouterr().out
    assert out.stat().st_size > 10_000
    command = ["hear", "Sit tall.", *command[2:], "--overwrite"]
    assert main(command) == 0
    assert "espeak-en: Sit tall." in capsys.readouterr().out


def test_a_voice_asked_for_lies_beside_the_plan_or_here(own, monkeypatch):
    """Its folder may be named either way; without a name the plan's stays."""
    folder = Path(own.plan.file).parent / "mary"
    plan = replace(own.plan, voice=None)
    assert in_voice(plan, None) is plan
    assert in_voice(plan, "mary").voice == str(folder)
    monkeypatch.chdir(folder.parent)
    elsewhere = replace(plan, file="elsewhere/plan.yaml")
    assert in_voice(elsewhere, "mary").voice == str(folder)
    with pytest.raises(SpeechError, match="speaks 'en', not 'fr'"):
        in_voice(replace(plan, language="fr"), "mary")


def test_a_batch_may_name_the_folder_of_a_voice(own):
    """Each voice has a folder of its own name for its tracks."""
    folder = str(Path(own.plan.file).parent / "mary")
    works = works_of(
        [Path("a.yaml")], out=Path("out"), formats=["mp3"], voices=[None, folder]
    )
    assert works[1].folder == str(Path("out") / "mary")
