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
