"""Being told to stop, by a closed terminal, a shutdown or another program."""

from __future__ import annotations

import signal
import threading
from contextlib import contextmanager
from typing import TYPE_CHECKING, NoReturn

from cuetrack.systems import STOPS

if TYPE_CHECKING:
    from collections.abc import Iterator
    from types import FrameType


class Stopped(BaseException):
    """A signal said stop; ``number`` is the signal's."""

    def __init__(self, number: int) -> None:
        super().__init__(number)
        self.number = number


@contextmanager
def heeding_stops() -> Iterator[None]:
    """Let signals that say stop raise `Stopped`, so that whoever writes cleans up.

    Only the first counts: cleaning up is not disturbed by a second. A signal that was
    ignored before, as hang-up is under ``nohup``, stays ignored.
    """
    with _handling(STOPS, _stop):
        yield


@contextmanager
def undisturbed() -> Iterator[None]:
    """Hold back every signal that says stop until the body is done."""
    waiting: list[int] = []

    def remember(number: int, _: FrameType | None) -> None:
        waiting.append(number)

    with _handling((signal.SIGINT, *STOPS), remember):
        yield
    for number in waiting[:1]:
        signal.raise_signal(number)


@contextmanager
def _handling(
    numbers: tuple[signal.Signals, ...], handler: signal._HANDLER
) -> Iterator[None]:
    """Handle these signals, those that are ignored left alone."""
    before: dict[int, signal._HANDLER] = {}
    if threading.current_thread() is threading.main_thread():
        found = {number: signal.getsignal(number) for number in numbers}
        before = {
            number: now
            for number, now in found.items()
            if now not in {None, signal.SIG_IGN}
        }
    try:
        for number in before:
            signal.signal(number, handler)
        yield
    finally:
        for number, now in before.items():
            signal.signal(number, now)


def _stop(number: int, _: FrameType | None) -> NoReturn:
    for each in STOPS:
        signal.signal(each, signal.SIG_IGN)
    raise Stopped(number)
