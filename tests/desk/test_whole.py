"""The desk as a whole: what is lent, made in the background, and started twice."""

from __future__ import annotations

import os
import time
import urllib.error
import urllib.request

import pytest
from pipeline.classes import SHORT_CLASS

from cuetrack.cli.main import main
from cuetrack.cues.timeline import lay_out
from cuetrack.desk.classes import LEAVING, ClassDesk, StaleClassError
from cuetrack.desk.hold import OpenElsewhereError
from cuetrack.desk.lending import Lending
from cuetrack.desk.made_words import IN_ORDER, made_words
from cuetrack.desk.pieces import room_words
from cuetrack.desk.ready import READY_CLASSES, empty_class, new_class, ready_class
from cuetrack.desk.serving import started
from cuetrack.desk.shelf import NotOnTheShelfError, id_of
from cuetrack.desk.versions import changes_to, versions_for
from cuetrack.desk.work import FILM_STAGE, SHARES, MakeState, in_process, step
from cuetrack.errors import CuetrackError, MusicError, UsageError
from cuetrack.pipeline.checking import check, plan_from_text

PLAN_ID = id_of("short.yaml")


@pytest.fixture
def desk(tmp_path):
    (tmp_path / "short.yaml").write_text(SHORT_CLASS, "utf-8")
    desk = ClassDesk(tmp_path)
    yield desk
    desk.close()


def fetched(address):
    """Return the status and content of an address."""
    try:
        with urllib.request.urlopen(address, timeout=10) as answer:
            return answer.status, answer.read()
    except urllib.error.HTTPError as error:
        with error:
            return error.code, b""


def test_lending_serves_the_files_lent_and_nothing_else(tmp_path):
    """Without the secret nothing answers; other files of the folder are not there."""
    (tmp_path / "a.mp3").write_bytes(b"sound")
    (tmp_path / "a.yaml").write_bytes(b"title: Private")
    files = {"mp3": tmp_path / "a.mp3", "yaml": tmp_path / "a.yaml"}
    lent = Lending("<b>A class</b>", files)
    try:
        local = lent.address.replace(
            lent.address.split("/")[2].split(":")[0], "127.0.0.1"
        )
        status, page = fetched(local)
        assert status == 200
        assert b"&lt;b&gt;A class" in page
        assert fetched(local + "mp3") == (200, b"sound")
        root = "/".join(local.split("/")[:3])
        for path in ("yaml", "a.yaml", "../a.yaml", "..%2Fa.yaml", "mp3/x"):
            assert fetched(local + path)[0] == 404
        for path in ("/", "/mp3", "/static/desk.js", "/class/x"):
            assert fetched(root + path)[0] == 404
        assert "<svg" in lent.qr_svg()
    finally:
        lent.stop()
    with pytest.raises(urllib.error.URLError):
        fetched(local)


def test_nothing_is_lent_before_it_is_made(desk):
    """And nothing is lent by itself."""
    with pytest.raises(NotOnTheShelfError):
        desk.lend(PLAN_ID, on=True)
    assert desk.made_of(PLAN_ID)["lent"] is None


def test_a_make_runs_beside_and_can_be_cancelled(desk):
    """Its stages are told; cancelled, it leaves nothing behind; done, all is there."""
    path = desk.shelf.plan(PLAN_ID)
    desk.maker.start(PLAN_ID, path)
    desk.maker.cancel(PLAN_ID)
    assert desk.made_of(PLAN_ID)["state"] == "cancelled"
    desk.maker.start(PLAN_ID, path)
    shares = []
    for _ in range(3000):
        made = desk.made_of(PLAN_ID)
        shares.append(made["share"])
        if made["state"] != "running":
            break
        time.sleep(0.1)
    assert made["state"] == "done", made
    assert shares == sorted(shares)
    assert {"mp3", "cues.json", "glance.a4.pdf", "follow.html"} <= set(made["files"])
    assert desk.track_of(PLAN_ID).name == "short.mp3"
    lent = desk.lend(PLAN_ID, on=True)["lent"]
    assert lent["qr"].startswith("data:image/svg+xml;base64,")
    assert desk.lend(PLAN_ID, on=False)["lent"] is None


@pytest.mark.parametrize("film", [True, False])
def test_progress_goes_forward_to_its_end(film):
    """Stage after stage, with a film and without; the last step of the last is all."""
    state = MakeState(film=film)
    told = [0.0]
    for stage in (*SHARES, FILM_STAGE) if film else SHARES:
        for done in range(5):
            step(state, stage, done, 4)
            told.append(state.share)
    assert told == sorted(told)
    assert told[-1] == pytest.approx(1)
    assert len(set(told)) > 4 * len(SHARES)


@pytest.mark.parametrize(
    ("share", "passed_s", "minutes"),
    [(0.04, 60, None), (0.5, 1, None), (0.5, 20, 0), (0.5, 60, 1), (0.25, 60, 3)],
)
def test_the_time_to_go_is_told_in_whole_minutes(share, passed_s, minutes):
    """By the time so far, once a twentieth is done; a second more or less is noise."""
    state = MakeState(share=share, started_s=time.monotonic() - passed_s)
    assert state.minutes_left == minutes


def test_a_recording_is_not_told_by_the_name_it_lies_under(tmp_path, monkeypatch):
    """The words begin with what the leader gave, not with a file of ours."""
    plan = tmp_path / "short.yaml"
    plan.write_text(SHORT_CLASS, "utf-8")
    path = tmp_path / "recording"

    def deaf(*_):
        raise MusicError("is text, not sound.", "Give a sound.", file=path)

    monkeypatch.setattr("cuetrack.pipeline.verifying.hear_room", deaf)
    with pytest.raises(UsageError) as error:
        room_words("short.mp3", str(path), str(plan))
    assert str(error.value) == "The recording: is text, not sound. Give a sound."


def test_what_fails_in_its_own_process_is_told():
    """An error comes back in words, a crash too."""
    with pytest.raises(CuetrackError, match="no such word"):
        in_process(refuse, "no such word")
    with pytest.raises(CuetrackError, match="without a word"):
        in_process(vanish)


def refuse(told):
    raise CuetrackError(told)


def vanish():
    os._exit(1)


@pytest.mark.parametrize("number", range(len(READY_CLASSES)))
def test_a_ready_class_is_ready(number, tmp_path):
    """Each can be made as it is."""
    text, title = ready_class(number)
    plan = plan_from_text(text, tmp_path / "ready.yaml")
    assert plan.title == title
    assert check(plan).ready


def test_a_new_class_is_asked_for_in_words():
    """Answers as people type them; all that are not understood are named."""
    said = {"title": "Monday", "minutes": "20", "who": "bad knees", "level": "new"}
    text, title = new_class(said)
    assert title == "Monday"
    assert "knee" in text
    wrong = {"who": "wibble", "equipment": "broomstick", "minutes": "soon"}
    with pytest.raises(ValueError, match=r"(?s)wibble.*\n.*minutes.*\n.*broomstick"):
        new_class(said | wrong)


def test_a_class_begins_almost_empty(tmp_path):
    """It can be laid out at once, lasts as asked for, and knows who comes."""
    said = {"title": "Mine: all", "minutes": "30", "who": "bad knees", "level": "new"}
    text, title = empty_class(said)
    plan = plan_from_text(text, tmp_path / "mine.yaml")
    assert (plan.title, title) == ("Mine: all", "Mine: all")
    assert plan.lasts_ms == 30 * 60_000
    assert plan.group.facts == ("knee pain",)
    assert [len(one.movements) for one in plan.sections] == [0, 1, 1, 1, 0]


def test_other_versions_become_classes_of_their_own(desk):
    """The weeks of a class, one plan each; the class itself stays as it is."""
    opened = desk.open(PLAN_ID)
    weeks = versions_for(opened.plan, {"kind": "weeks", "weeks": "2"})
    assert changes_to(opened.plan, weeks)[0][0] == "Week 1"
    new = desk.add_versions(opened, weeks)
    assert [one["title"][-6:] for one in new] == ["week 1", "week 2"]
    assert desk.open(new[1]["id"]).plan.title.endswith("week 2")
    assert opened.draft.text == SHORT_CLASS
    for asked in (
        {"kind": "weeks", "weeks": "99"},
        {"kind": "wilder"},
        {"kind": "fit"},
        {"kind": "fit", "slot": "soon"},
        {"kind": "fit", "slot": "500"},
    ):
        with pytest.raises(UsageError):
            versions_for(opened.plan, asked)


@pytest.mark.parametrize("slot", ["7", "7 min", "7:00", "7,0"])
def test_a_class_is_fitted_to_minutes_as_people_write_them(desk, slot):
    """A bare number counts minutes."""
    opened = desk.open(PLAN_ID)
    (fitted,) = versions_for(opened.plan, {"kind": "fit", "slot": slot})
    assert lay_out(fitted.plan).end_ms == 7 * 60_000


def test_what_was_made_is_named_by_its_use():
    """Every ending has words, the track first."""
    told = made_words({*IN_ORDER, "cues.json"})
    assert told[0]["told"] == "The track to play"
    assert len(told) == len(IN_ORDER)


def test_a_port_that_is_taken_is_told(tmp_path):
    """And so is a folder that is none."""
    first = started(tmp_path)
    try:
        with pytest.raises(UsageError, match="taken"):
            started(tmp_path, first.bound.getsockname()[1])
        with pytest.raises(UsageError, match="no folder"):
            started(tmp_path / "none")
        assert first.address.startswith("http://127.0.0.1:")
    finally:
        first.bound.close()
        first.close()


def test_a_second_desk_of_a_folder_is_led_to_the_first(tmp_path, capsys):
    """A second double-click shows the same page; once closed, the folder is free."""
    first = started(tmp_path)
    told = tmp_path / ".cuetrack-desk" / "open"
    try:
        with pytest.raises(OpenElsewhereError) as led:
            started(tmp_path)
        assert led.value.address == first.address
        assert main(["desk", str(tmp_path), "--no-browser"]) == 0
        assert first.address in capsys.readouterr().out
        if os.name == "posix":
            assert told.stat().st_mode & 0o077 == 0
    finally:
        first.bound.close()
        first.close()
    assert told.read_text() == ""
    again = started(tmp_path)
    again.bound.close()
    again.close()


def test_what_was_typed_last_is_taken_from_a_page_that_is_left(desk):
    """Its earlier change may still be on its way; an old one is refused otherwise."""
    opened = desk.open(PLAN_ID)
    first = opened.draft.version
    opened.change("class", {"title": "Half a ti"}, first)
    with pytest.raises(StaleClassError):
        opened.change("class", {"title": "Half a tit"}, first)
    opened.change("class", {"title": "Half a title"}, LEAVING)
    assert opened.plan.title == "Half a title"
