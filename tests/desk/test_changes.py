"""Each form of the page changes the plan as its words say."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from cuetrack.cues.timeline import lay_out
from cuetrack.desk.changes import CHANGES, changed
from cuetrack.desk.fields import facts_in
from cuetrack.desk.group_text import with_group
from cuetrack.desk.library_search import found_for
from cuetrack.desk.look import bars_of, parts_of, remarks_of, script_of
from cuetrack.desk.music_text import with_music_files
from cuetrack.errors import CuetrackError, UsageError
from cuetrack.pipeline.checking import check, plan_from_text
from cuetrack.planning.editing import plainly, rewritten

EXAMPLE = Path(__file__).parents[2] / "examples" / "hall-twenty.yaml"
TEXT = EXAMPLE.read_text("utf-8")


def read(text):
    return plan_from_text(text, EXAMPLE)


@pytest.fixture(scope="module")
def plan():
    return read(TEXT)


def names(plan, section=2):
    return [movement.name for movement in plan.sections[section].movements]


@pytest.mark.parametrize(
    ("name", "fields"),
    [
        ("class", {"title": "Monday", "pace": "calm"}),
        ("class", {"voice": "", "bring": "water", "coaching": "clock"}),
        ("music", {"own": "steady"}),
        ("section", {"section": 2, "work": "35 s", "rest": "25 s", "rounds": "3"}),
        ("section", {"section": 2, "break": "90 s", "title": "Main part"}),
        ("section", {"section": 0, "for": "50 s"}),
        (
            "movement",
            {"section": 2, "movement": 1, "easier": "Do less.", "how": "Curl."},
        ),
        ("swap", {"section": 2, "movement": 1, "name": "hammer curl"}),
        ("add", {"section": 2, "name": "toe raise", "after": "0"}),
        ("remove", {"section": 2, "movement": 1}),
        ("move", {"section": 2, "movement": 0, "to": 2}),
        ("say", {"section": 2, "text": "Lovely work.", "at": "halfway"}),
        ("acknowledge", {"rule": "T13", "reason": "They know it."}),
        ("class", {"lasts": "25 min", "options": "easier first"}),
        ("class", {"counting": "tones", "calls": "few"}),
        ("section", {"section": 2, "break": "none"}),
        ("section", {"section": 2, "break with": "slow march", "after last": "yes"}),
        ("section", {"section": 2, "break says": "Water now.\nSip slowly."}),
        ("section", {"section": 2, "opening": "50 s"}),
        ("section", {"section": 1, "each": "45 s"}),
        ("section", {"section": 1, "music": "calm"}),
        ("movement", {"section": 2, "movement": 1, "for": "50 s", "rest": "25 s"}),
        ("movement", {"section": 2, "movement": 1, "sides": "each arm"}),
        ("movement", {"section": 3, "movement": 2, "hold": "no"}),
        (
            "movement",
            {"section": 2, "movement": 0, "breathing": "Out up.", "effort": "4"},
        ),
        ("movement", {"section": 2, "movement": 0, "how_short": "Lift, lower."}),
        ("movement", {"section": 2, "movement": 3, "importance": "5"}),
        ("say", {"section": 2, "cue": "0", "text": "There is water."}),
        ("say", {"section": 2, "cue": "0", "at": "halfway"}),
        ("unsay", {"section": 2, "cue": "0"}),
        ("class", {"age": "82", "pronounce": "Maud: mawd\nLarkfield: lark field"}),
        ("rounds", {"section": 2, "rounds": "2", "equipment": "light hand weights"}),
        ("rounds", {"section": 2, "rounds": "from 2", "work": "45 s", "rest": ""}),
        ("rounds", {"section": 2, "rounds": "last", "coaching": "clock"}),
        ("add part", {"kind": "recovery"}),
        ("add part", {"kind": "warm-up", "after": "1"}),
        ("add part", {"kind": "intervals", "after": "2"}),
        ("remove part", {"section": 0}),
        ("remove part", {"section": 1}),
        ("move part", {"section": 1, "to": 2}),
    ],
)
def test_a_change_is_written_so_that_it_is_read_again(plan, name, fields):
    """The edited text means the wanted plan, and most lines are as they were."""
    wanted = changed(plan, name, fields)
    assert plainly(wanted) != plainly(plan)
    new = rewritten(TEXT, plan, wanted, read, note=None)
    assert plainly(read(new)) == plainly(wanted)
    lines = {line.strip() for line in TEXT.splitlines()}
    kept = lines & {line.strip() for line in new.splitlines()}
    assert len(kept) > 0.8 * len(lines)


def test_moves_and_takings_out(plan):
    """Earlier, later, out, and back in from the library."""
    moved = changed(plan, "move", {"section": 2, "movement": 0, "to": 2})
    assert names(moved) == [*names(plan)[1:3], names(plan)[0], *names(plan)[3:]]
    far = changed(plan, "move", {"section": 2, "movement": 0, "to": 99})
    assert names(far)[-1] == names(plan)[0]
    out = changed(plan, "remove", {"section": 2, "movement": 0})
    assert names(out) == names(plan)[1:]
    more = changed(out, "add", {"section": 2, "name": "Heel dig"})
    assert names(more)[-1].casefold() == "heel dig"


@pytest.mark.parametrize(
    ("name", "fields"),
    [
        ("fly", {}),
        ("section", {}),
        ("section", {"section": 99, "work": "30 s"}),
        ("section", {"section": -1, "title": "x"}),
        ("section", {"section": 2, "work": "soon"}),
        ("section", {"section": 2, "rounds": "many"}),
        ("movement", {"section": 2, "movement": 99}),
        ("say", {"section": 2, "text": " ", "at": "20 s"}),
        ("say", {"section": 2, "text": "Hello.", "at": "never"}),
        ("acknowledge", {"rule": "T13", "reason": " "}),
        ("class", {"pace": "frantic"}),
        ("class", {"pronounce": "Maud"}),
        ("rounds", {"section": 2, "rounds": "some", "work": "30 s"}),
        ("rounds", {"section": 2, "rounds": "3-2", "work": "30 s"}),
        ("rounds", {"section": 2, "rounds": "2", "work": ""}),
        ("rounds", {"section": 1, "rounds": "2", "work": "30 s"}),
        ("add part", {"kind": "welcome"}),
        ("remove part", {"section": 4}),
        ("move part", {"section": 1, "to": 0}),
        ("add", {"section": 2, "name": " "}),
    ],
)
def test_what_makes_no_sense_is_refused(plan, name, fields):
    """With words for the page, and never anything else."""
    with pytest.raises(UsageError):
        changed(plan, name, fields)


def test_what_the_reader_refuses_is_refused_before_the_file(plan):
    """Values out of bounds and unknown words for a group come with the cure."""
    for name, fields in (
        ("section", {"section": 2, "work": "1 s"}),
        ("acknowledge", {"rule": "Z99", "reason": "no such rule"}),
    ):
        with pytest.raises(CuetrackError):
            rewritten(TEXT, plan, changed(plan, name, fields), read, note=None)


def test_the_page_shows_all_of_the_class(plan):
    """Bars fill the strip, each movement has a row, all that is said has a line."""
    timeline = lay_out(plan)
    bars = bars_of(timeline)
    assert bars[0].x == 0
    assert bars[-1].x + bars[-1].width == pytest.approx(1000, abs=0.1)
    rows = {piece.id for part in parts_of(plan, timeline) for piece in part.pieces}
    assert {bar.piece for bar in bars if bar.kind in {"work", "move"}} <= rows
    checked = check(plan)
    said = script_of(checked)
    assert said == tuple(sorted(said, key=lambda one: one.start_ms))
    words = " ".join(one.text for one in said)
    assert all(
        cue.wording.text.casefold() in words.casefold() for cue in checked.placed.placed
    )
    assert "Three, two, one" in words
    assert len(remarks_of(checked)) == len(checked.findings)
    assert set(CHANGES) >= {"class", "section", "movement", "say"}


@pytest.mark.parametrize(
    "group",
    ["", "group: [new hip]\n", "group: thin bones\n", "group: {age: 80, not: dizzy}\n"],
)
def test_who_comes_is_changed_in_any_way_of_writing_it(group):
    """What else the group says stays, and so do the remarks."""
    text = f"title: A  # mine\n{group}warm-up: [heel dig, slow turn]\n"
    new = with_group(text, ("knee pain",), ("osteoporosis",), "a.yaml")
    read_again = plan_from_text(new, EXAMPLE)
    assert read_again.group.facts == ("knee pain",)
    assert read_again.group.denied == ("osteoporosis",)
    assert read_again.group.age == (80 if "80" in group else 75)
    assert "title: A  # mine" in new
    gone = plan_from_text(with_group(new, (), (), "a.yaml"), EXAMPLE)
    assert gone.group.facts == gone.group.denied == ()


@pytest.mark.parametrize(
    "music",
    ["", "music: {own: calm}\n", "music: {own: calm, tempo: 100}\n", "music: b.mp3\n"],
)
def test_music_files_are_changed_in_any_way_of_writing_them(music, tmp_path):
    """They are named, not their paths; made music gives way; taken out, all goes."""
    for name in ("a.mp3", "b.mp3"):
        (tmp_path / name).write_bytes(b"sound")
    path = tmp_path / "a.yaml"
    text = f"title: A  # mine\n{music}warm-up: [heel dig, slow turn]\n"
    new = with_music_files(text, ("b.mp3", "a.mp3"), str(path))
    assert plan_from_text(new, path).music.files == (
        str(tmp_path / "b.mp3"),
        str(tmp_path / "a.mp3"),
    )
    assert str(tmp_path) not in new
    assert "title: A  # mine" in new
    gone = plan_from_text(with_music_files(new, (), str(path)), path)
    assert gone.music is None
    with pytest.raises(UsageError, match="no sound file"):
        with_music_files(text, ("../b.mp3",), str(path))


def test_movements_are_found_by_words_of_any_kind(plan):
    """By name first, several or one; what the group may not do comes last, with why."""
    found = found_for(plan, "stretches")
    assert all("stretch" in row.name or "stretch" in row.how for row in found.rows[:5])
    assert found_for(plan, "Heel digs").exact == "heel dig"
    assert found_for(plan, "light hand weights").rows[0].equipment
    hips = replace(plan, group=replace(plan.group, facts=("hip replacement",)))
    rows = found_for(hips, "stretch").rows
    assert rows[-1].name == "front hip stretch"
    assert rows[-1].against == ("hip replacement",)
    assert found_for(hips, "knee lift").rows[0].minding


def test_a_part_fills_the_class_to_its_length(plan):
    """The page says by how much; afterwards the class lasts that long."""
    longer = replace(plan, lasts_ms=lay_out(plan).end_ms + 77_000)
    told = parts_of(longer, lay_out(longer))[3].fill
    assert "1 min 17 s longer" in told
    full = changed(longer, "fill", {"section": 3})
    assert lay_out(full).end_ms == longer.lasts_ms
    assert parts_of(full, lay_out(full))[3].fill == ""
    short = replace(plan, lasts_ms=lay_out(plan).end_ms - 600_000)
    with pytest.raises(UsageError):
        changed(short, "fill", {"section": 3})


def test_words_for_a_group_are_everyday_ones():
    """They are understood as everywhere, or named."""
    assert facts_in({"who": "new hip\nbad knees"}, "who") == (
        "hip replacement",
        "knee pain",
    )
    with pytest.raises(UsageError, match="wibble"):
        facts_in({"who": "wibble"}, "who")
