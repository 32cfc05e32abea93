"""A worker eats everything in order, and no failure on either side is lost."""

from __future__ import annotations

import threading
import time

import pytest

from cuetrack.output.track.workers import Worker


def test_everything_is_eaten_in_order():
    """Leaving the context waits for the last item."""
    eaten = []
    with Worker(eaten.extend, depth=2) as worker:
        for number in range(1000):
            worker.put(number)
    assert eaten == list(range(1000))


def test_the_eater_runs_beside_the_maker():
    """The work is done in another thread."""
    threads = []

    def eat(items):
        threads.append(threading.get_ident())
        list(items)

    with Worker(eat):
        pass
    assert threads != [threading.get_ident()]


def test_the_queue_is_short():
    """A fast maker waits for a slow eater instead of filling the memory."""
    allowed = threading.Event()
    made = []

    def eat(items):
        allowed.wait()
        list(items)

    def make():
        with Worker(eat, depth=3) as worker:
            for number in range(10):
                worker.put(number)
                made.append(number)

    maker = threading.Thread(target=make)
    maker.start()
    time.sleep(0.05)
    waiting = len(made)
    allowed.set()
    maker.join()
    assert waiting <= 4
    assert len(made) == 10


def test_a_failing_eater_stops_the_maker():
    """Its error comes out of the next item put, however long the queue."""

    def eat(items):
        for item in items:
            if item == 3:
                raise LookupError("no appetite")

    def feed():
        with Worker(eat, depth=1) as worker:
            for number in range(1_000_000):
                worker.put(number)

    with pytest.raises(LookupError, match="no appetite"):
        feed()


def test_an_eater_that_fails_last_is_heard_of():
    """Its error comes out of leaving the context."""

    def eat(items):
        list(items)
        raise LookupError("bill not paid")

    with pytest.raises(LookupError, match="bill not paid"), Worker(eat) as worker:
        worker.put(1)


def test_an_eater_that_stops_early_does_not_block():
    """What it leaves is thrown away."""

    def eat(items):
        next(items)

    with Worker(eat, depth=1) as worker:
        for number in range(100):
            worker.put(number)


def test_a_failing_maker_stops_the_eater():
    """The maker's error comes out, and the eater never sees a clean end."""
    ended = []

    def eat(items):
        list(items)
        ended.append("clean")

    def feed():
        with Worker(eat) as worker:
            worker.put(1)
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        feed()
    assert ended == []


def test_a_failing_maker_is_heard_before_a_failing_eater():
    """When both fail, the maker's error is the one that matters."""

    def eat(items):
        list(items)
        raise LookupError

    with pytest.raises(KeyboardInterrupt), Worker(eat):
        raise KeyboardInterrupt
