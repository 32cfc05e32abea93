"""Signals that say stop: heeded once, held back where they would do harm."""

from __future__ import annotations

import signal

import pytest

from cuetrack.stopping import Stopped, heeding_stops, undisturbed

pytestmark = pytest.mark.skipif(
    not hasattr(signal, "SIGHUP"), reason="this system has no such signals"
)


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGHUP])
def test_a_stop_is_raised_once_and_handlers_come_back(number):
    """Cleaning up is not disturbed by a second signal, nor is what comes after."""
    before = signal.getsignal(number)
    with pytest.raises(Stopped) as caught, heeding_stops():  # noqa: PT012
        try:
            signal.raise_signal(number)
        finally:
            signal.raise_signal(signal.SIGTERM)
    assert caught.value.number == number
    assert signal.getsignal(number) is before


def test_an_ignored_hang_up_stays_ignored():
    """What ``nohup`` started goes on when the terminal closes."""
    before = signal.signal(signal.SIGHUP, signal.SIG_IGN)
    try:
        with heeding_stops(), undisturbed():
            signal.raise_signal(signal.SIGHUP)
    finally:
        signal.signal(signal.SIGHUP, before)


@pytest.mark.parametrize(
    ("number", "raised"),
    [(signal.SIGTERM, Stopped), (signal.SIGINT, KeyboardInterrupt)],
)
def test_a_stop_waits_for_what_must_not_be_disturbed(number, raised):
    """The body is done to its end, then the stop takes effect."""
    done = []
    with pytest.raises(raised), heeding_stops(), undisturbed():  # noqa: PT012
        signal.raise_signal(number)
        done.append("all")
    assert done == ["all"]
