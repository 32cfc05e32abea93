"""Only the leader's own browser may talk to the desk, and only about its folder."""

from __future__ import annotations

import json

import pytest
from desk.asking import Asker
from pipeline.classes import SHORT_CLASS

from cuetrack.desk.guard import COOKIE, LARGEST_BODY_BYTES
from cuetrack.desk.serving import started
from cuetrack.desk.shelf import Shelf, id_of

HOSTILE_TITLE = '<script>alert(1)</script>"><img src=x onerror=alert(2)>'


@pytest.fixture
def folder(tmp_path):
    inside = tmp_path / "classes"
    inside.mkdir()
    (inside / "short.yaml").write_text(SHORT_CLASS, "utf-8")
    (tmp_path / "secret.yaml").write_text("title: Not yours\n", "utf-8")
    return inside


@pytest.fixture
def start(folder):
    start = started(folder)
    yield start
    start.bound.close()
    start.close()


@pytest.fixture
def stranger(start):
    """A browser that has not been given the token."""
    base = start.address.partition("/start/")[0]
    return Asker(start.app, base)


@pytest.fixture
def leader(start, stranger):
    """The leader's browser, let in by the address that was printed."""
    entry = "/start/" + start.address.partition("/start/")[2]
    assert stranger.get(entry).status_code == 303
    return stranger


def short_id():
    return id_of("short.yaml")


def test_the_token_opens_once_and_is_not_kept_in_addresses(start, stranger):
    """Without the cookie nothing is shown; the address gives it, then is left."""
    assert stranger.get("/").status_code == 403
    assert stranger.get("/start/wrong").status_code == 403
    entry = stranger.get("/start/" + start.address.partition("/start/")[2])
    assert entry.headers["location"] == "/"
    cookie = entry.headers["set-cookie"].lower()
    assert "httponly" in cookie
    assert "samesite=strict" in cookie
    assert stranger.get("/").status_code == 200


@pytest.mark.parametrize("host", ["evil.example", "127.0.0.1", "127.0.0.1:1", ""])
def test_another_name_of_this_computer_is_refused(leader, host):
    """What DNS rebinding relies on: the cookie alone does not do."""
    assert leader.get("/", headers={"host": host}).status_code == 421


@pytest.mark.parametrize("origin", ["http://evil.example", "null", "", None])
def test_writes_come_only_from_the_desk_itself(leader, origin):
    """A form on another page cannot change a class, cookie or not."""
    headers = {} if origin is None else {"origin": origin}
    path = f"/class/{short_id()}/step"
    assert leader.post(path, json_={"by": -1}, headers=headers).status_code == 403


def test_each_answer_forbids_frames_and_foreign_content(leader):
    """A strict policy without inline scripts on every page, refusals included."""
    for path in ("/", f"/class/{short_id()}", "/nowhere", "/static/desk.js"):
        headers = leader.get(path).headers
        policy = headers["content-security-policy"]
        assert "default-src 'none'" in policy
        assert "frame-ancestors 'none'" in policy
        assert "unsafe" not in policy
        assert headers["x-content-type-options"] == "nosniff"
        assert headers["referrer-policy"] == "same-origin"


@pytest.mark.parametrize(
    "name",
    [
        "..%2Fsecret.yaml",
        "%2e%2e/secret.yaml",
        "secret.yaml",
        "0" * 16,
        "%00",
        "a" * 900,
    ],
)
def test_no_address_leads_out_of_the_folder(leader, name):
    """Plans are known by id alone; whatever else stands there is not found."""
    for path in (f"/class/{name}", f"/class/{name}/file/mp3", f"/static/{name}"):
        answer = leader.get(path)
        assert answer.status_code in {404, 400}
        assert "Not yours" not in answer.text


def test_links_out_of_the_folder_and_odd_files_are_no_plans(folder):
    """A symlink to another folder, a hidden file, a folder, a huge file."""
    (folder / "out.yaml").symlink_to(folder.parent / "secret.yaml")
    (folder / ".hidden.yaml").write_text("title: H\n", "utf-8")
    (folder / "dir.yaml").mkdir()
    (folder / "loop.yaml").symlink_to(folder / "loop.yaml")
    (folder / "huge.yaml").write_bytes(b"#" * (2 << 20))
    assert [one.path.name for one in Shelf(folder).plans()] == ["short.yaml"]


def test_bodies_have_a_limit_stated_or_not(start, leader):
    """More than the page ever sends is refused before it is read."""
    origin = {"origin": start.address.partition("/start/")[0]}
    path = f"/class/{short_id()}/text"
    large = b"x" * (LARGEST_BODY_BYTES + 1)
    assert leader.post(path, content=large, headers=origin).status_code == 413
    pieces = (b"x" * 65_536 for _ in range(LARGEST_BODY_BYTES // 65_536 + 2))
    assert leader.post(path, content=pieces, headers=origin).status_code == 413


@pytest.mark.parametrize(
    "body", [b"", b"[]", b"{", b'{"version": 1}', b"[" * 100_000, b'{"change": 7}']
)
def test_odd_bodies_are_refused_in_words(start, leader, body):
    """No traceback and no server error, whatever is sent."""
    origin = {"origin": start.address.partition("/start/")[0]}
    for action in ("change", "text", "would", "settle"):
        path = f"/class/{short_id()}/{action}"
        assert leader.post(path, content=body, headers=origin).status_code in {200, 400}


def test_looking_again_takes_nothing_back(folder, start, leader):
    """After a change that was refused the page asks what there is, and only that."""
    origin = {"origin": start.address.partition("/start/")[0]}
    path = f"/class/{short_id()}"
    version = leader.post(f"{path}/step", json_={"by": 0}, headers=origin).json()
    wanted = {"change": "class", "fields": {"title": "Kept"}}
    wanted["version"] = version["version"]
    done = leader.post(f"{path}/change", json_=wanted, headers=origin).json()
    again = leader.post(f"{path}/step", json_={"by": 0}, headers=origin).json()
    assert again["title"] == "Kept"
    assert again["version"] == done["version"]
    assert "Kept" in (folder / "short.yaml").read_text("utf-8")
    odd = leader.post(f"{path}/step", json_={"by": "far"}, headers=origin)
    assert odd.status_code == 400


def test_every_page_opens(leader):
    """The list, the questions, a class; and one that is gone says so."""
    for path in ("/", "/new", f"/class/{short_id()}"):
        answer = leader.get(path)
        assert answer.status_code == 200
        assert "</html>" in answer.text
    assert leader.get(f"/class/{'0' * 16}").status_code == 404


def test_a_title_with_a_script_is_shown_as_text(folder, leader):
    """In the list, on the page, in the strip's labels and in the text panel."""
    text = SHORT_CLASS.replace(
        "title: Short class at Larkfield Hall", f"title: {json.dumps(HOSTILE_TITLE)}"
    )
    (folder / "odd.yaml").write_text(text, "utf-8")
    for path in ("/", f"/class/{id_of('odd.yaml')}"):
        page = leader.get(path).text
        assert "<script>alert" not in page
        assert "<img src=x" not in page
        assert "&lt;script&gt;alert(1)" in page


def test_the_cookie_of_another_start_opens_nothing(start, stranger):
    """Each start has a token of its own."""
    stranger.cookies[COOKIE + start.address.split(":")[2].split("/")[0]] = "A" * 32
    assert stranger.get("/").status_code == 403
    assert "A" * 32 not in start.address
