"""Nothing that was typed is lost: not by a crash, another tab, or another program."""

from __future__ import annotations

import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, rule, run_state_machine_as_test
from pipeline.classes import SHORT_CLASS

from cuetrack.desk import classes
from cuetrack.desk.classes import ClassDesk
from cuetrack.desk.draft import journal_of, opened
from cuetrack.desk.shelf import id_of
from cuetrack.desk.summaries import summaries_of
from cuetrack.errors import UsageError
from cuetrack.pipeline.checking import plan_from_text


@pytest.fixture
def path(tmp_path):
    path = tmp_path / "short.yaml"
    path.write_text(SHORT_CLASS, "utf-8")
    return path


@pytest.fixture
def desk(path):
    desk = ClassDesk(path.parent)
    yield desk
    desk.close()


def open_class(desk):
    return desk.open(id_of("short.yaml"))


def test_undo_and_redo_without_limit(tmp_path):
    """Whatever is done in whatever order, the states are those of a plain list."""

    class Machine(RuleBasedStateMachine):
        count = 0

        def __init__(self):
            super().__init__()
            Machine.count += 1
            path = tmp_path / f"{Machine.count}.yaml"
            path.write_text("0", "utf-8")
            self.draft = opened(path)
            self.states, self.at = ["0"], 0

        @rule(text=st.text(max_size=5))
        def write(self, text):
            self.draft.write(text)
            if text != self.states[self.at]:
                self.states[self.at + 1 :] = [text]
                self.at += 1

        @rule(by=st.sampled_from([-1, 1]))
        def step(self, by):
            self.draft.step(by)
            if 0 <= self.at + by < len(self.states):
                self.at += by

        @rule()
        def crash(self):
            self.draft = opened(self.draft.path)

        def check_invariants(self, *args, **kwargs):
            assert self.draft.text == self.states[self.at]
            assert self.draft.can_undo == (self.at > 0)
            super().check_invariants(*args, **kwargs)

    run_state_machine_as_test(
        Machine, settings=settings(deadline=None, max_examples=20)
    )


@settings(deadline=None, max_examples=40)
@given(cut=st.integers(0, 400))
def test_a_line_that_was_not_finished_is_all_that_is_lost(tmp_path_factory, cut):
    """Wherever the journal ends, every state before its last line is there."""
    path = tmp_path_factory.mktemp("cut") / "a.yaml"
    path.write_text("first", "utf-8")
    draft = opened(path)
    for text in ("second", "third"):
        draft.write(text)
    journal = journal_of(path)
    whole = journal.read_bytes()
    last = len(whole.splitlines()[-1]) + 1
    journal.write_bytes(whole[: len(whole) - min(cut, last)])
    found = opened(path)
    assert (
        found.states[: len(found.states)]
        == ["first", "second", "third"][: len(found.states)]
    )
    assert len(found.states) >= 2


def test_a_change_edits_only_what_it_is_about(desk, path):
    """The file differs in one line, and undo brings back every character."""
    opened_class = open_class(desk)
    state = opened_class.state()
    state = opened_class.change(
        "section", {"section": "2", "work": "25 s"}, state["version"]
    )
    before, after = SHORT_CLASS.splitlines(), path.read_text("utf-8").splitlines()
    assert len(before) == len(after)
    assert sum(a != b for a, b in zip(before, after, strict=True)) == 1
    assert opened_class.step(-1)["redo"]
    assert path.read_text("utf-8") == SHORT_CLASS


def test_a_stale_tab_changes_nothing(desk, path):
    """The second tab is told, and what the first did stays."""
    first, second = open_class(desk), open_class(desk)
    version = first.state()["version"]
    first.change("class", {"title": "New title"}, version)
    with pytest.raises(UsageError, match="another tab"):
        second.change("class", {"title": "Old idea"}, version)
    assert "New title" in path.read_text("utf-8")


def test_a_file_changed_outside_is_noticed_and_both_are_kept(desk, path):
    """Keeping ours writes theirs beside; taking theirs keeps ours under undo."""
    opened_class = open_class(desk)
    path.write_text(SHORT_CLASS.replace("Short class", "Edited elsewhere"), "utf-8")
    assert open_class(desk).state()["outside"]
    opened_class.settle(theirs=True)
    assert opened_class.state()["title"].startswith("Edited elsewhere")
    assert opened_class.step(-1)["title"].startswith("Short class")
    path.write_text(SHORT_CLASS.replace("Short class", "Once more"), "utf-8")
    opened_class = open_class(desk)
    opened_class.settle(theirs=False)
    assert "Once more" in next(path.parent.glob("*.outside-1.txt")).read_text("utf-8")
    assert "Short class" in path.read_text("utf-8")


def test_typing_on_does_not_write_over_what_came_from_outside(desk, path):
    """Until it is settled the file stays theirs, and ours grows in the journal."""
    opened_class = open_class(desk)
    theirs = SHORT_CLASS.replace("Short class", "Edited elsewhere")
    path.write_text(theirs, "utf-8")
    version = opened_class.draft.version
    state = opened_class.change("class", {"title": "Ours"}, version)
    assert state["outside"]
    assert path.read_text("utf-8") == theirs
    state = open_class(desk).settle(theirs=False)
    assert not state["outside"]
    assert "title: Ours" in path.read_text("utf-8")
    assert next(path.parent.glob("*.outside-1.txt")).read_text("utf-8") == theirs


def test_half_a_line_is_kept_but_not_filed(desk, path):
    """What is no plan yet lies in the journal; the file keeps the last plan."""
    opened_class = open_class(desk)
    broken = SHORT_CLASS + "intervals: [\n"
    state = opened_class.write(broken, opened_class.state()["version"])
    assert state["troubles"][0]["line"] > 1
    assert state["text"] == broken
    assert path.read_text("utf-8") == SHORT_CLASS
    again = ClassDesk(path.parent)
    assert open_class(again).state()["text"] == broken
    again.close()


def test_older_texts_that_are_no_plans_are_read_once(desk, monkeypatch):
    """However long somebody types at a mistake, each answer reads a text or two."""
    reads = []
    monkeypatch.setattr(
        classes,
        "plan_from_text",
        lambda text, path: reads.append(text) or plan_from_text(text, path),
    )
    for number in range(12):
        reads.clear()
        version = open_class(desk).draft.version
        typed = SHORT_CLASS + f"intervals: [{number}\n"
        assert open_class(desk).write(typed, version)["troubles"]
        assert len(reads) <= 3


def test_a_file_that_is_no_plan_opens_as_text(tmp_path):
    """Its mistakes are told by line, and once they are mended the class is there."""
    path = tmp_path / "short.yaml"
    path.write_text(SHORT_CLASS + "oops: [\n", "utf-8")
    desk = ClassDesk(tmp_path)
    opened_class = open_class(desk)
    page = opened_class.page()
    assert "oops: [" in page
    assert "Line " in page
    assert str(tmp_path) not in page
    assert str(tmp_path) not in summaries_of(desk.shelf)[0].trouble
    state = open_class(desk).write(SHORT_CLASS, opened_class.draft.version)
    assert state["troubles"] == []
    assert state["title"].startswith("Short class")
    assert path.read_text("utf-8") == SHORT_CLASS
    desk.close()


def test_a_journal_holds_a_state_a_line(path):
    """Plain JSON lines, so that even a person can get a text back."""
    draft = opened(path)
    draft.write("title: A\n")
    lines = journal_of(path).read_text("utf-8").splitlines()
    assert [json.loads(line).get("text") for line in lines][-1] == "title: A\n"
