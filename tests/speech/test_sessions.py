"""A shared model keeps what is in work at once within its bounds."""

from __future__ import annotations

import threading
import time
from concurrent.futures import ThreadPoolExecutor

import numpy as np

from cuetrack.speech.sessions import SharedModel

MOST = 10


class Counting:
    """A session that notes what is in work while it runs."""

    def __init__(self) -> None:
        self.in_work: list[int] = []
        self.seen: list[tuple[int, ...]] = []
        self._lock = threading.Lock()

    def run(self, outputs, inputs):
        """Take a moment, and give the inputs back."""
        assert outputs is None
        size = inputs["text"].size
        with self._lock:
            self.in_work.append(size)
            self.seen.append(tuple(self.in_work))
        time.sleep(0.002)
        with self._lock:
            self.in_work.remove(size)
        return inputs


def ran(sizes):
    """Run sentences of some lengths in four threads; return what was in work when."""
    session = Counting()
    model = SharedModel(session, symbols="text", most_symbols=MOST)
    with ThreadPoolExecutor(4) as pool:
        tasks = [
            pool.submit(model.run, None, {"text": np.zeros((1, size))})
            for size in sizes
        ]
        given = [task.result()["text"].size for task in tasks]
    assert given == sizes
    return session.seen


def test_sentences_in_work_at_once_stay_within_the_bound() -> None:
    """No more symbols are in work than stated, but for one sentence by itself."""
    sizes = [1 + 7 * n % 13 for n in range(60)]

    seen = ran(sizes)

    assert len(seen) == len(sizes)
    assert all(sum(now) <= MOST or len(now) == 1 for now in seen)


def test_short_sentences_are_in_work_together() -> None:
    """What fits is not made to wait."""
    assert max(map(len, ran([2] * 20))) > 1
