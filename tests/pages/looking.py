"""Asking an open page, whose policy allows no script but its own."""

from __future__ import annotations

import time

PATIENCE_S = 10


def wait_until(page, condition: str, *, patience_s: float = PATIENCE_S) -> None:
    """Wait until a condition in JavaScript holds; fail, telling what is shown."""
    deadline = time.monotonic() + patience_s
    while not page.evaluate(condition):
        if time.monotonic() > deadline:
            shown = page.inner_text("#screen")
            raise AssertionError(f"never came: {condition}\n{shown}")
        page.wait_for_timeout(20)


def track_ms(page) -> float:
    """Return where the sound is, by its own clock."""
    return page.evaluate("document.getElementById('media').currentTime * 1000")


def plays(page) -> bool:
    """Tell whether the sound runs."""
    return page.evaluate("!document.getElementById('media').paused")


def seek(page, ms: float) -> None:
    """Put the sound at a time, as somebody who drags it would."""
    page.evaluate(
        "ms => { document.getElementById('media').currentTime = ms / 1000 }", ms
    )
    wait_until(page, "!document.getElementById('media').seeking")


TOO_SMALL = """() => {
  document.querySelectorAll("details").forEach((one) => { one.open = true; });
  document.querySelectorAll("[hidden]").forEach((one) => { one.hidden = false; });
  const seen = (one) => one.getClientRects().length && one.type !== "hidden";
  const targets = "a:not(.skip), button, input, select, textarea, summary, audio";
  const small = [...document.querySelectorAll(targets)].filter(seen)
    .filter((one) => one.getBoundingClientRect().height < 43.5);
  const words = [...document.querySelectorAll("body *")].filter(seen)
    .filter((one) => [...one.childNodes].some((n) => n.data && n.data.trim()))
    .filter((one) => parseFloat(getComputedStyle(one).fontSize) < 18);
  const wide = document.documentElement.scrollWidth > innerWidth;
  return [...small, ...words].map((one) => one.outerHTML.slice(0, 80))
    .concat(wide ? [`${document.documentElement.scrollWidth} wide`] : []);
}"""
"""What is too small to be hit or read, or too wide, with everything open and shown.

44 pixels are WCAG 2.2, 2.5.5 (AAA); 320 pixels its 1.4.10, 640 a screen of 1280 at
200 %; 18 pixels of text are our own demand.
"""
