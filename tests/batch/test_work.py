"""What a batch is to make: every plan, each in its own place, in parts that add up."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cuetrack.batch.work import part_of, plans_of, works_of
from cuetrack.errors import UsageError


def test_a_folder_gives_its_plans_in_order(tmp_path):
    """Files that are no plans, and folders inside, are passed over."""
    for name in ("b.yaml", "a.YML", "notes.txt", "track.mp3"):
        (tmp_path / name).write_text("x")
    (tmp_path / "folder.yaml").mkdir()
    assert [path.name for path in plans_of(tmp_path)] == ["a.YML", "b.yaml"]


def test_a_list_names_plans_from_its_own_folder(tmp_path):
    """Notes and empty lines are passed over; a full path stays one."""
    full = tmp_path / "elsewhere" / "c.yaml"
    source = tmp_path / "monday.txt"
    source.write_text(f"\ufeff# Monday\n a.yaml \n\nsub/b.yaml\n{full}\n", "utf-8")
    assert plans_of(source) == [
        tmp_path / "a.yaml",
        tmp_path / "sub" / "b.yaml",
        full,
    ]


@pytest.mark.parametrize("name", ["none.txt", "plan.yaml", "empty", "no-text.txt"])
def test_what_holds_no_plans_is_refused(tmp_path, name):
    """A missing list, a plan alone, an empty folder and bytes that are no text."""
    (tmp_path / "plan.yaml").write_text("title: x")
    (tmp_path / "empty").mkdir()
    (tmp_path / "no-text.txt").write_bytes(b"\xff\xfe\x00")
    with pytest.raises(UsageError):
        plans_of(tmp_path / name)


def test_each_voice_and_format_has_a_folder_where_there_are_several():
    """No two tracks share a cue sheet; one voice and format need no folder."""
    plans, out = [Path("a.yaml"), Path("b.yaml")], Path("out")
    (one, _) = works_of(plans, out=out, formats=["mp3"], voices=[None])
    assert one.track == out / "a.mp3"
    many = works_of(
        plans, out=out, formats=["mp3", "flac"], voices=["joe", "espeak-en"]
    )
    assert len({work.track for work in many}) == 8
    assert many[1].track == out / "joe" / "flac" / "a.flac"


def test_plans_of_one_name_are_refused():
    """Also where only the case differs, which some disks do not tell apart."""
    plans = [Path("monday/Class.yaml"), Path("friday/class.yml")]
    with pytest.raises(UsageError, match=r"monday.*friday"):
        works_of(plans, out=Path("out"), formats=["mp3"], voices=[None])


@given(st.integers(0, 40), st.integers(1, 12))
def test_the_parts_of_a_batch_are_the_batch(count, parts):
    """Each track is in one part, and the parts differ by one track at most."""
    plans = [Path(f"{number:02}.yaml") for number in range(count)]
    works = works_of(plans, out=Path("o"), formats=["mp3"], voices=[None])
    found = [part_of(works, f"{part}/{parts}") for part in range(1, parts + 1)]
    assert sorted(w.plan for part in found for w in part) == [w.plan for w in works]
    assert max(map(len, found)) - min(map(len, found)) <= 1


@pytest.mark.parametrize("part", ["", "3", "0/2", "3/2", "1/0", "-1/2", "a/b", "1/2/3"])
def test_no_such_part(part):
    """What is no part is refused, with what one looks like."""
    with pytest.raises(UsageError, match="K/N"):
        part_of([], part)
