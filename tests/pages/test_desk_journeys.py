"""Three whole journeys through the desk: done, and counted.

The making is shortened (`made_quickly`); tests/benchmarks/desk_journeys.py makes whole
classes. What is counted, and where it comes from, stands in `keystrokes`.
"""

from __future__ import annotations

import pytest

from cuetrack.cues.timeline import lay_out
from cuetrack.desk import work
from cuetrack.pipeline.checking import check, read_plan
from cuetrack.plan.model import Options
from cuetrack.plan.rounds import rounds_of
from tests.pages.desk_journeys import STRETCHES, instructor, participant, volunteer
from tests.pages.desk_server import answering
from tests.pages.keystrokes import Hands
from tests.pages.looking import TOO_SMALL
from tests.pages.made_quickly import made_quickly
from tests.pipeline.classes import SHORT_CLASS

PLAYS = "() => !document.getElementById('player').paused"


@pytest.fixture
def desk(tmp_path, monkeypatch):
    """A desk in an empty folder."""
    monkeypatch.setattr(work, "_make", made_quickly)
    with answering(tmp_path) as address:
        yield address, tmp_path


@pytest.fixture
def hands(browser):
    """The hands of a leader at a page on which nothing may go wrong."""
    context = browser.new_context(viewport={"width": 1280, "height": 900})
    page = context.new_page()
    page.set_default_timeout(60_000)
    problems = []
    page.on("pageerror", lambda error: problems.append(str(error)))
    yield Hands(page)
    context.close()
    assert problems == []


def test_a_volunteer_comes_from_nothing_to_a_track_and_a_sheet(hands, desk):
    """In twelve decisions at most, and less than a minute of keys and mouse."""
    address, folder = desk
    volunteer(hands, address)
    hands.page.wait_for_function(PLAYS)
    assert hands.page.evaluate(TOO_SMALL) == []
    assert hands.decisions <= 12, hands.said
    assert hands.seconds() <= 45
    plan = read_plan(folder / "tuesday-group.yaml")
    assert plan.group.facts == ("knee pain",)
    assert lay_out(plan).end_ms == 15 * 60_000
    sheet = folder / "tuesday-group.glance.a4.pdf"
    assert sheet.read_bytes().startswith(b"%PDF")


def test_an_instructor_enters_a_class_without_seeing_its_text(hands, desk):
    """Four works of warm-up, 40/20, five movements, three rounds, exactly 30:00."""
    address, folder = desk
    instructor(hands, address)
    assert hands.page.inner_text("#length") == "30:00"
    assert not hands.page.is_visible("#text")
    plan = read_plan(folder / "thursday-class.yaml")
    warm_up, main, cool_down = plan.sections[1:4]
    assert [one.duration_ms for one in warm_up.movements] == [30_000] * 4
    clock = main.intervals
    assert (clock.work_ms, clock.rest_ms, clock.rounds) == (40_000, 20_000, 3)
    assert len(main.movements) == 5
    assert clock.between_rounds.duration_ms == 90_000
    said = check(plan).placed.placed
    assert any("water" in one.wording.text for one in said)
    hands_hold = [one.equipment for one in rounds_of(clock)]
    assert hands_hold == [None, "light hand weights", "light hand weights"]
    held = [one.name for one in cool_down.movements if one.hold]
    assert held == list(STRETCHES)
    assert lay_out(plan).end_ms == 30 * 60_000
    assert check(plan).ready
    assert hands.decisions <= 40, hands.said
    assert hands.seconds() <= 240


def test_a_participant_makes_an_easier_version_by_keyboard_alone(hands, desk):
    """From the list of classes to the sound, with the Tab and the Enter key."""
    address, folder = desk
    (folder / "short.yaml").write_text(SHORT_CLASS, "utf-8")
    participant(hands, address, "Short class")
    hands.page.wait_for_function(PLAYS)
    plan = read_plan(folder / "short.yaml")
    assert plan.options is Options.EASIER
    assert hands.points == 1
    assert hands.decisions <= 10, hands.said
    assert hands.seconds() <= 60
