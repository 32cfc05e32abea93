"""What a stranger's page, program, stick or plan may try against the desk."""

from __future__ import annotations

import errno
import http.client
import json
import os
import socket
import sys
import threading
import time
from contextlib import contextmanager
from urllib.parse import urlsplit

import pytest
from desk.asking import Asker
from pipeline.classes import SHORT_CLASS

from cuetrack.desk.classes import ClassDesk
from cuetrack.desk.draft import JOURNALS, opened
from cuetrack.desk.lending import Lending
from cuetrack.desk.serving import server_of, started
from cuetrack.desk.shelf import Shelf, id_of
from cuetrack.desk.templating import told_lines
from cuetrack.errors import CuetrackError

LINKS = pytest.mark.skipif(os.name == "nt", reason="links need a privilege there")


@pytest.fixture
def path(tmp_path):
    folder = tmp_path / "classes"
    folder.mkdir()
    path = folder / "short.yaml"
    path.write_text(SHORT_CLASS, "utf-8")
    return path


@pytest.fixture
def start(path):
    start = started(path.parent)
    yield start
    start.bound.close()
    start.close()


@pytest.fixture
def leader(start):
    """The leader's browser, let in."""
    base, _, entry = start.address.partition("/start/")
    leader = Asker(start.app, base)
    assert leader.get(f"/start/{entry}").status_code == 303
    return leader


@contextmanager
def answering(start):
    """A real server for a desk."""
    server = server_of(start)
    thread = threading.Thread(target=server.run, kwargs={"sockets": [start.bound]})
    thread.start()
    try:
        yield urlsplit(start.address)
    finally:
        server.should_exit = True
        thread.join(timeout=10)


HOSTILE_PLANS = {
    "aliases that multiply": """\
a: &a [x, x, x, x, x, x, x, x]
b: &b [*a, *a, *a, *a, *a, *a, *a, *a]
c: &c [*b, *b, *b, *b, *b, *b, *b, *b]
d: &d [*c, *c, *c, *c, *c, *c, *c, *c]
warm-up: [*d, *d, *d, *d, *d, *d, *d, *d]
""",
    "deeply nested": "title: A\nwarm-up: " + "[" * 5000,
    "an object of the language": "title: !!python/object/apply:os.system ['true']\n",
    "a merge of itself": "title: &a\n  <<: *a\n",
    "no text": "\x00\x01\x02",
    "half of a pair": '{"title": "\ud83d"}',
    "half of a pair, written out": 'title: "\\ud83d"\nwarm-up: [heel dig]\n',
    "a line without end": "title: " + "x" * 500_000,
}


@pytest.mark.parametrize("name", HOSTILE_PLANS)
def test_a_hostile_text_is_told_of_and_never_filed(leader, path, start, name):
    """Typed or pasted into the text panel: mistakes by line, the file as it was."""
    origin = {"origin": start.address.partition("/start/")[0]}
    at = f"/class/{id_of(path.name)}"
    version = leader.post(f"{at}/step", json_={"by": 0}, headers=origin).json()
    asked = {"text": HOSTILE_PLANS[name], "version": version["version"]}
    begun_s = time.process_time()
    told = leader.post(f"{at}/text", json_=asked, headers=origin)
    assert time.process_time() - begun_s < 10
    assert told.status_code in {200, 400}
    assert told.json().get("troubles") or told.json().get("trouble")
    assert path.read_text("utf-8") == SHORT_CLASS
    assert leader.get(at).status_code == 200


@LINKS
@pytest.mark.parametrize("linked", ["folder", "file", "pipe"])
def test_a_journal_that_leads_elsewhere_is_refused(path, tmp_path, linked):
    """A stick that comes with a link in the desk's own folder writes nowhere."""
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    (elsewhere / "short.yaml.jsonl").write_text("")
    journals = path.parent / JOURNALS
    if linked == "folder":
        journals.symlink_to(elsewhere)
    else:
        journals.mkdir()
        journal = journals / "short.yaml.jsonl"
        if linked == "file":
            journal.symlink_to(elsewhere / "short.yaml.jsonl")
        else:
            os.mkfifo(journal)
    with pytest.raises(CuetrackError, match="not its own"):
        opened(path)
    assert (elsewhere / "short.yaml.jsonl").read_text() == ""


@pytest.mark.parametrize(
    "line",
    ['{"at": "far"}', '{"at": -9}', '{"text": 7}', "[]", "7", '{"at": 1e99}', "\xff"],
)
def test_a_journal_that_somebody_wrote_does_not_stop_the_desk(path, line):
    """Whatever a stick brings there, the class opens, and can be written on."""
    journals = path.parent / JOURNALS
    journals.mkdir()
    (journals / "short.yaml.jsonl").write_text(line + "\n", "latin-1")
    desk = ClassDesk(path.parent)
    draft = desk.open(id_of(path.name)).draft
    draft.write(SHORT_CLASS + "# mine\n")
    assert opened(path).text.endswith("# mine\n")
    desk.close()


@pytest.mark.skipif(sys.platform != "linux", reason="other systems refuse such names")
@pytest.mark.parametrize(
    "name",
    [
        b"\xff\xfe.yaml",
        b"a\nb.yaml",
        b"<img src=x onerror=alert(1)>.yaml",
        b"-rf.yaml",
        b"'\"&.yaml",
        b"%2e%2e%2f.yaml",
        "fünf \u202egnp.yaml".encode(),
    ],
)
def test_odd_names_are_shown_as_text_and_opened(leader, path, name):
    """Of another encoding, with line ends, tags, quotes, dots and turned letters."""
    odd = path.parent / os.fsdecode(name)
    odd.write_text(SHORT_CLASS, "utf-8")
    odd.with_suffix(".mp3").write_bytes(b"made of it")
    plan_id = id_of(os.fsdecode(name))
    shelf = leader.get("/")
    assert shelf.status_code == 200
    assert plan_id in shelf.text
    assert "<img src=x" not in shelf.text
    assert leader.get(f"/class/{plan_id}").status_code == 200
    assert leader.get(f"/class/{plan_id}/made").status_code == 200


def test_a_plan_of_another_encoding_is_told_of(leader, path):
    """It stands in the list with what is wrong."""
    (path.parent / "old.yaml").write_bytes(b"title: caf\xe9\n")
    shelf = leader.get("/")
    assert shelf.status_code == 200
    assert "old.yaml" in shelf.text


@pytest.mark.parametrize(
    "ending", ["xhtml", "js", "htm", "xml", "evil.xhtml", "pdf.js"]
)
def test_pages_and_scripts_of_a_stick_are_never_served(leader, path, ending):
    """As the desk's own they could do all that the leader can."""
    (path.parent / f"short.{ending}").write_text("alert(1)")
    at = f"/class/{id_of(path.name)}"
    assert leader.get(f"{at}/file/{ending}").status_code == 404
    assert ending not in leader.get(f"{at}/made").json()["files"]


@pytest.mark.parametrize("ending", ["follow.html", "evil.html", "picture.svg"])
def test_made_pages_and_drawings_are_strangers_to_the_desk(leader, path, ending):
    """In a sandbox of their own (CSP Level 3, 6.3.2): no cookie, no request."""
    (path.parent / f"short.{ending}").write_text("<script>alert(1)</script>")
    found = leader.get(f"/class/{id_of(path.name)}/file/{ending}")
    assert found.status_code == 200
    policy = found.headers["content-security-policy"]
    assert policy.startswith("sandbox")
    assert "allow-same-origin" not in policy
    assert "default-src 'none'" in policy
    assert "connect-src" not in policy


@LINKS
def test_what_is_lent_is_not_swapped_for_a_link(tmp_path):
    """A link put in the place of a lent file gives nothing away."""
    track, secret = tmp_path / "a.mp3", tmp_path / "secret"
    track.write_bytes(b"sound")
    secret.write_bytes(b"not yours")
    lent = Lending("A class", {"mp3": track})
    try:
        address = urlsplit(lent.address)
        track.unlink()
        track.symlink_to(secret)
        asking = http.client.HTTPConnection("127.0.0.1", address.port, timeout=10)
        asking.request("GET", f"{address.path}mp3")
        answer = asking.getresponse()
        assert answer.status == 404
        assert b"not yours" not in answer.read()
        asking.close()
    finally:
        lent.stop()


def test_other_programs_of_this_computer_keep_their_cookies(start, leader):
    """All ports share them: odd ones are passed over, those of another desk too."""
    (ours,) = leader.cookies.items()
    assert ours[0].endswith(str(start.bound.getsockname()[1]))
    leader.cookies = {
        'x["a b"]': '{"not": "ours"}',
        "cuetrack_desk_1": "another",
        ours[0]: ours[1],
    }
    assert leader.get("/").status_code == 200
    leader.cookies = {"cuetrack_desk_1": ours[1]}
    assert leader.get("/").status_code == 403


def test_a_header_that_stands_twice_is_refused(start):
    """Two hosts, two lengths: no two readers of a request may see different ones."""
    with answering(start) as address:
        for name, value in (("Host", "evil.example"), ("Origin", "null")):
            with socket.create_connection((address.hostname, address.port)) as asking:
                asking.settimeout(10)
                host = f"Host: {address.netloc}\r\n"
                twice = f"{name}: {value}\r\n" * (1 if name == "Host" else 2)
                asking.sendall(
                    f"GET {address.path} HTTP/1.1\r\n{host}{twice}\r\n".encode()
                )
                status = asking.recv(4096).split(b"\r\n")[0]
                assert b" 400 " in status


def test_slow_clients_keep_nobody_waiting(start):
    """A hundred that send half a request each, and the page still comes."""
    half = b"POST / HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Length: 999999\r\n\r\nx"
    with answering(start) as address:
        slow = [
            socket.create_connection((address.hostname, address.port))
            for _ in range(100)
        ]
        for number, one in enumerate(slow):
            one.sendall(half if number % 2 else half[:20])
        asking = http.client.HTTPConnection(address.netloc, timeout=10)
        asking.request("GET", address.path)
        assert asking.getresponse().status == 303
        asking.close()
        for one in slow:
            one.close()


def test_many_ranges_of_a_file_are_answered_at_once(leader, path):
    """Thousands of ranges of one track cost no more than a few (CVE-2025-62727)."""
    path.with_suffix(".mp3").write_bytes(b"\x00" * 100_000)
    ranges = ",".join(f"{n}-{n + 1}" for n in range(0, 40_000, 4))
    at = f"/class/{id_of(path.name)}/file/mp3"
    begun_s = time.process_time()
    answer = leader.get(at, headers={"range": f"bytes={ranges}"})
    assert answer.status_code in {200, 206, 400, 416}
    assert time.process_time() - begun_s < 5


@pytest.mark.parametrize("asked", [0, -1, 10**30, "../../etc", None, [], {"a": {}}])
def test_odd_values_in_a_form_are_refused_in_words(leader, path, start, asked):
    """Numbers out of all bounds, paths, nothing, lists: no server error."""
    origin = {"origin": start.address.partition("/start/")[0]}
    at = f"/class/{id_of(path.name)}"
    version = leader.post(f"{at}/step", json_={"by": 0}, headers=origin).json()
    for change, field in (
        ("movement", "movement"),
        ("section", "work"),
        ("music", "files"),
        ("class", "title"),
        (asked, "title"),
    ):
        fields = {"section": 2, field: asked}
        body = {"change": change, "fields": fields, "version": version["version"]}
        told = leader.post(f"{at}/change", json_=body, headers=origin)
        assert told.status_code in {200, 400, 409}, (change, field, told.text)
    assert json.loads(told.content)


def test_plans_are_files_and_nothing_else(path):
    """A pipe that would be waited on for ever, a device, a socket: no plans."""
    if hasattr(os, "mkfifo"):
        os.mkfifo(path.parent / "pipe.yaml")
        (path.parent / "device.yaml").symlink_to("/dev/zero")
    assert [one.path.name for one in Shelf(path.parent).plans()] == ["short.yaml"]


def test_trouble_is_told_to_a_page_and_to_a_script_as_each_reads_it(leader, path):
    """A class deleted meanwhile: a page for who goes there, an object for a script."""
    at = f"/class/{id_of(path.name)}"
    path.unlink()
    page = leader.get(at, headers={"accept": "text/html,*/*"})
    assert page.status_code == 404
    assert "<h1>" in page.text
    told = leader.get(f"{at}/made", headers={"accept": "*/*"})
    assert told.json() == {"trouble": "This class is no longer in the folder."}


def test_a_folder_that_cannot_be_written_is_told_of_in_words(path, monkeypatch):
    """Read-only as a stick may be: what to do, and no mistake of the desk itself."""

    def refuse(*_, **__):
        raise OSError(errno.EROFS, "Read-only file system")

    monkeypatch.setattr("pathlib.Path.mkdir", refuse)
    with pytest.raises(CuetrackError) as told:
        opened(path)
    (line,) = told_lines(told.value)
    assert line.startswith("short.yaml: cannot be written: the disk is read-only.")
