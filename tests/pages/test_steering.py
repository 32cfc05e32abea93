"""Pause, break, back and forward, by touch and by keys alone, and what they show."""

from __future__ import annotations

from itertools import pairwise

import pytest

from tests.pages.looking import plays, seek, track_ms, wait_until

pytestmark = pytest.mark.web

BADGE = "document.getElementById('badge').textContent"
COUNT = "document.getElementById('count').textContent"
PLAYS = "!document.getElementById('media').paused"

# Notes the number of each tick the page itself makes, and when.
_COUNT_TICKS = """
  window.ticks = [];
  const start = OscillatorNode.prototype.start;
  OscillatorNode.prototype.start = function (...given) {
    window.ticks.push(performance.now());
    return start.apply(this, given);
  };
"""


@pytest.fixture
def page(open_page, short_class):
    return open_page(short_class / "beside.html")


def played_to(page, ms):
    """Start the class and go to a time of it."""
    page.click("#play")
    wait_until(page, PLAYS)
    seek(page, ms)


def test_nothing_sounds_before_it_is_started(page):
    """The page opens silent, shows what to have ready, and offers to start."""
    page.wait_for_timeout(300)
    assert not plays(page)
    assert page.inner_text("#play") == "Start"
    assert page.is_visible("#before")
    assert "water" in page.inner_text("#before")
    assert "Chest pain" in page.inner_text("#before")
    assert not page.is_visible("#count")


def test_after_a_pause_people_are_counted_in(page):
    """Paused in the work, it counts 3, 2, 1, seen and heard, and then goes on."""
    page.evaluate(f"() => {{ {_COUNT_TICKS} }}")
    played_to(page, 10_300)
    page.click("#play")
    assert not plays(page)
    assert page.inner_text("#badge") == "Paused"
    assert page.inner_text("#what").lower() == "punch"
    paused_ms = track_ms(page)
    page.wait_for_timeout(200)
    assert track_ms(page) == paused_ms
    page.click("#play")
    for number in ("3", "2", "1"):
        wait_until(page, f"{COUNT} === '{number}' && {BADGE} === 'Get ready'")
        assert not plays(page)
    wait_until(page, PLAYS)
    assert page.inner_text("#badge") == "Work"
    ticks = page.evaluate("window.ticks")
    gaps = [later - sooner for sooner, later in pairwise(ticks)]
    assert gaps == [pytest.approx(1000, abs=100)] * 2


def test_a_work_just_begun_is_led_into_by_the_count_of_the_track(page):
    """Paused in the first seconds of work, it goes back to the count before it."""
    played_to(page, 5600)
    page.click("#play")
    page.click("#play")
    wait_until(page, PLAYS)
    assert 1500 <= track_ms(page) < 2000
    assert page.inner_text("#badge") == "Get ready"


def test_a_word_cut_off_by_a_pause_is_said_again_whole(page):
    """Paused in the middle of a sentence, it goes back to where that begins."""
    played_to(page, 8200)
    page.click("#play")
    assert 8100 < track_ms(page) < 8900
    page.click("#play")
    wait_until(page, PLAYS)
    assert 7100 <= track_ms(page) < 7500


def test_a_count_can_be_stopped(page):
    """Pressing the button in the count pauses again; nothing starts by itself."""
    page.evaluate("""() => {
      const real = window.setTimeout;
      window.setTimeout = (task, ms, ...given) => real(task, ms / 20, ...given);
    }""")
    played_to(page, 12_000)
    page.click("#play")
    page.evaluate("document.getElementById('play').click()")
    assert page.evaluate(BADGE) == "Get ready"
    page.evaluate("document.getElementById('play').click()")
    page.wait_for_timeout(400)
    assert page.inner_text("#badge") == "Paused"
    assert not plays(page)


def test_an_easy_break_keeps_the_feet_moving_until_it_is_ended(page):
    """The track waits, the page shows an easy movement and how to come back."""
    played_to(page, 12_800)
    page.click("#hold")
    held_ms = track_ms(page)
    assert not plays(page)
    assert page.inner_text("#what") == "Keep your feet moving"
    assert page.inner_text("#how") == "Lift one foot, then the other."
    assert page.inner_text("#hold") == "Back to the class"
    wait_until(page, f"{COUNT} === '0:01'")
    assert track_ms(page) == held_ms
    page.click("#hold")
    wait_until(page, PLAYS)
    assert page.inner_text("#badge") == "Easy time"


def test_forward_goes_by_segments_also_in_quick_presses(page):
    """Each press is one segment; into work, it lands on the count before it."""
    page.click("#play")
    wait_until(page, PLAYS)
    page.click("#forward")
    wait_until(page, f"{BADGE} === 'Get ready'")
    page.click("#forward")
    assert 1500 <= track_ms(page) < 2500
    page.click("#forward")
    wait_until(page, f"{BADGE} === 'Rest'")
    assert track_ms(page) >= 7000


def test_back_goes_to_the_start_of_what_is_done_then_before_it(page):
    """Two presses, close together, go back by two segments."""
    played_to(page, 14_000)
    page.click("#play")
    page.click("#back")
    assert track_ms(page) == pytest.approx(11_000, abs=1)
    page.click("#back")
    assert track_ms(page) == pytest.approx(9500, abs=1)
    assert not plays(page)


def test_skipping_into_a_movement_without_a_count_makes_one(page):
    """The second side has no count on this track: the page counts people in."""
    played_to(page, 10_000)
    page.click("#forward")
    wait_until(page, f"{COUNT} === '2' && {BADGE} === 'Get ready'")
    assert track_ms(page) == pytest.approx(11_000, abs=1)
    wait_until(page, PLAYS)


def test_a_part_can_be_chosen_from_the_list(page):
    """The list names every movement; choosing one starts with the rest before it."""
    page.click("#play")
    page.click("#list")
    names = [
        name.strip() for name in page.locator("#parts button bdi").all_inner_texts()
    ]
    assert names == [
        "Welcome", "Heel dig", "Punch, right side", "Punch, left side", "Easy march",
        "Last words",
    ]  # fmt: skip
    page.get_by_role("button", name="Punch, right side").click()
    wait_until(page, f"{BADGE} === 'Rest'")
    assert 7000 <= track_ms(page) < 8000
    page.click("#list")
    assert "Punch, right" in page.inner_text("#parts [aria-current]")


def test_all_can_be_done_by_keys_alone(page):
    """Space, arrows and letters steer; tab reaches all, and what is chosen shows."""
    page.keyboard.press("Space")
    wait_until(page, PLAYS)
    page.keyboard.press("ArrowRight")
    wait_until(page, f"{BADGE} === 'Get ready'")
    page.keyboard.press("Space")
    wait_until(page, f"{BADGE} === 'Paused'")
    page.keyboard.press("e")
    wait_until(page, f"{BADGE} === 'Easy break'")
    page.keyboard.press("e")
    wait_until(page, f"{BADGE} === 'Get ready'")
    page.keyboard.press("Space")
    reached = []
    for _ in range(7):
        page.keyboard.press("Tab")
        reached.append(page.evaluate("document.activeElement.id"))
        assert (
            page.evaluate("getComputedStyle(document.activeElement).outlineWidth")
            != "0px"
        )
        assert page.evaluate("document.activeElement.matches(':focus-visible')")
    assert reached == ["back", "play", "forward", "hold", "list", "full", "more"]
    page.keyboard.press("Enter")
    assert page.is_visible("#more-panel")
    assert page.evaluate("document.activeElement.closest('dialog').id") == "more-panel"
    page.keyboard.press("Escape")
    assert not page.is_visible("#more-panel")
    assert page.evaluate("document.activeElement.id") == "more"


def test_letter_keys_can_be_switched_off(page):
    """WCAG 2.2, 2.1.4: keys of one letter can be turned off."""
    page.click("#more")
    page.get_by_label("Use the letters").uncheck()
    page.keyboard.press("Escape")
    page.keyboard.press("e")
    page.wait_for_timeout(100)
    assert page.inner_text("#play") == "Start"


def test_full_screen_can_be_entered_and_left(page):
    """The button says what it will do."""
    word = "document.getElementById('full').innerText.trim()"
    page.click("#full")
    wait_until(page, f"document.fullscreenElement && {word} === 'Leave full screen'")
    page.click("#full")
    wait_until(page, f"!document.fullscreenElement && {word} === 'Full screen'")


def test_the_screen_is_kept_awake_only_while_it_is_needed(page):
    """The lock of the W3C Screen Wake Lock API is held to play, given up to pause."""
    page.evaluate("""() => {
      window.locks = [];
      navigator.wakeLock.request = async (kind) => {
        const lock = {
          kind, released: false, async release() { this.released = true; },
        };
        window.locks.push(lock);
        return lock;
      };
    }""")
    page.click("#play")
    wait_until(page, "window.locks.length === 1 && !window.locks[0].released")
    assert page.evaluate("window.locks[0].kind") == "screen"
    page.click("#play")
    wait_until(page, "window.locks[0].released")


def test_changes_are_announced_but_not_every_second(page):
    """A screen reader is told of each segment once, politely."""
    page.evaluate("""() => {
      window.told = [];
      const line = document.getElementById("announce");
      new MutationObserver(() => window.told.push(line.textContent))
        .observe(line, { childList: true });
    }""")
    played_to(page, 8000)
    wait_until(page, f"{COUNT} === '1'")
    assert page.get_attribute("#announce", "aria-live") == "polite"
    assert page.get_attribute("#count", "aria-live") == "off"
    assert page.evaluate("window.told") == [
        "Welcome, one second.",
        "Rest, two seconds. Next: punch, right side",
    ]


def test_the_end_says_how_to_get_up_and_can_start_again(page):
    """At the end people are told to stay seated, and the class can begin anew."""
    played_to(page, 15_700)
    wait_until(page, f"{BADGE} === 'The class is done'")
    assert "stand up slowly" in page.inner_text("#what")
    page.click("#play")
    wait_until(page, PLAYS)
    assert track_ms(page) < 1000
