"""Three whole journeys through the desk, each done through its page and counted."""

from __future__ import annotations

LONG_MS = 60_000
"""A track is made on a machine that does other things too."""

WARM_UP = ("shoulder roll", "ankle pump", "shoulder-blade squeeze")
WORKS = ("straight punch", "leg extension", "biceps curl", "brisk march")
STRETCHES = (
    "chest stretch",
    "calf stretch",
    "thigh stretch",
    "triceps stretch",
    "upper back stretch",
    "wrist stretch",
)


def opened(hands, address):
    """Open the desk by a double-click on its starter."""
    hands.decide("open the desk")
    hands.points += 1
    hands.page.goto(address)


def made(hands):
    """Wait until the track is there."""
    hands.page.wait_for_selector("#made:not([hidden])", timeout=LONG_MS)
    hands.page.wait_for_selector("#make:not([disabled])", timeout=LONG_MS)


def volunteer(hands, address):
    """From nothing to a track and a printed sheet, for a group with bad knees."""
    page = hands.page
    opened(hands, address)
    hands.press("a[href='/new']")
    hands.write("[name=title]", "Tuesday group")
    hands.write("[name=minutes]", "15")
    hands.write("[name=who]", "bad knees")
    hands.press("button[value=planned]")
    page.wait_for_selector("#script li", timeout=LONG_MS)
    hands.press("#make")
    made(hands)
    with page.expect_popup():
        hands.press("#files a:has-text('One sheet to print, A4')")
    # No printer here: Ctrl+P and Enter in the sheet that is open.
    hands.decide("print the sheet")
    hands.keys += 3
    hands.press("#play")


def instructor(hands, address):
    """Four works of warm-up, 40/20, five movements, three rounds, exactly 30:00."""
    page = hands.page
    opened(hands, address)
    hands.press("a[href='/new']")
    hands.write("[name=title]", "Thursday class")
    hands.write("[name=minutes]", "30")
    hands.press("button[value=empty]")
    page.wait_for_selector("#script li", timeout=LONG_MS)
    _movements(hands, 1, WARM_UP)
    hands.press("#part-1 > summary")
    hands.write("#form-part-1 [name=each]", "30 s", enter=True)
    _saved(page)
    _movements(hands, 2, WORKS)
    hands.press("#part-2 > summary")
    hands.write("#form-part-2 [name=work]", "40 s", enter=True)
    _next_field(hands, "#form-part-2 [name=rest]", "20 s")
    _next_field(hands, "#form-part-2 [name=rounds]", "3")
    _next_field(hands, "#form-part-2 [name=break]", "90 s")
    hands.press("#rounds-2 > summary")
    hands.write("#form-rounds-2-new [name=rounds]", "2-3")
    hands.go_on("#form-rounds-2-new [name=equipment]", "light hand weights")
    hands.key("Enter")
    _saved(page)
    _movements(hands, 3, STRETCHES)
    hands.press("[data-fill][data-section='3']")
    _saved(page)
    _answered(hands, "T01", "They walk here from the bus.")


def _movements(hands, section, names):
    """Add movements by their names; the page shows each before the next is written."""
    hands.press(f"#add-{section} > summary")
    field = f"#add-{section} [name=words]"
    for number, name in enumerate(names):
        if number == 0:
            hands.write(field, name, enter=True)
        else:
            hands.decide(f"write {name!r}")
            hands.page.keyboard.type(name)
            hands.keys += len(name)
            hands.key("Enter")
        row = f"ol[data-section='{section}'] strong:text-is('{name}')"
        hands.page.wait_for_selector(row, timeout=LONG_MS)
    _saved(hands.page)


def _next_field(hands, selector, text):
    """Write into the next field, whose old value the Tab key marks, and confirm it."""
    hands.go_on(selector, text)
    hands.key("Enter")
    _saved(hands.page)


def _answered(hands, rule, reason):
    """Answer what the review found with a reason."""
    found = f"ul.review li:has([name=rule][value='{rule}'])"
    hands.page.wait_for_selector(found, timeout=LONG_MS)
    hands.press(f"{found} summary")
    hands.write(f"{found} [name=reason]", reason, enter=True)
    answered = f"ul.review li.answered:has-text('{reason}')"
    hands.page.wait_for_selector(answered, timeout=LONG_MS)


def _saved(page):
    """Wait until all that was done is in the file."""
    page.wait_for_function(
        """() => {
          const status = document.getElementById("status");
          const { saving, unsaved, wait } = status.dataset;
          return ![saving, unsaved, wait].includes(status.textContent);
        }""",
        timeout=LONG_MS,
    )


def participant(hands, address, title):
    """An easier version of a class, made and played, by the keyboard alone."""
    page = hands.page
    opened(hands, address)
    hands.at_mouse = False
    hands.tab_to(f"a:has-text('{title}')")
    hands.key("Enter")
    page.wait_for_selector("#script li", timeout=LONG_MS)
    hands.tab_to("nav a[href='#whole-head']")
    hands.key("Enter")
    hands.tab_to("button[value=gentler]")
    hands.key("Enter")
    page.wait_for_selector("#would-be:not([hidden])", timeout=LONG_MS)
    hands.tab_to("#do")
    hands.key("Enter")
    page.wait_for_selector("#title:has-text('gentler')", timeout=LONG_MS)
    _saved(page)
    hands.tab_to("nav a[href='#make-head']")
    hands.key("Enter")
    hands.tab_to("#make")
    hands.key("Enter")
    made(hands)
    hands.tab_to("#play")
    hands.key("Enter")
