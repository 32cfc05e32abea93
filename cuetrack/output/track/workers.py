"""A thread that eats what another makes, behind a short queue."""

from __future__ import annotations

import queue
import threading
from typing import TYPE_CHECKING, Generic, Self, TypeVar

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from types import TracebackType

Queued = TypeVar("Queued")
DEFAULT_DEPTH = 8


class _AbandonedError(Exception):
    """The maker has failed: what was made so far is of no use."""


class _End:
    """Marks the end of the queue."""


class Worker(Generic[Queued]):
    """Runs ``consume`` on the items put in, in a thread of its own.

    Use it as a context: leaving it waits until everything is consumed. What
    ``consume`` raises comes out of `put` or of leaving the context; what the
    body raises stops ``consume`` at its next item. No thread is left behind.
    """

    def __init__(
        self, consume: Callable[[Iterator[Queued]], None], *, depth: int = DEFAULT_DEPTH
    ) -> None:
        self._consume = consume
        self._queue: queue.Queue[Queued | _End] = queue.Queue(depth)
        self._failure: BaseException | None = None
        self._abandoned = False
        self._thread = threading.Thread(target=self._run, daemon=True)

    def put(self, item: Queued) -> None:
        """Hand over one item, waiting while the queue is full."""
        self._queue.put(item)
        if self._failure is not None:
            raise self._failure

    def __enter__(self) -> Self:
        self._thread.start()
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._abandoned = error is not None
        self._queue.put(_End())
        self._thread.join()
        if error is None and self._failure is not None:
            raise self._failure

    def _run(self) -> None:
        try:
            self._consume(self._items())
        except _AbandonedError:
            pass
        except BaseException as failure:  # noqa: BLE001 - it is raised in the maker
            self._failure = failure
        while not self._ended:
            self._next()

    _ended = False

    def _next(self) -> Queued | _End:
        item = self._queue.get()
        self._ended = isinstance(item, _End)
        return item

    def _items(self) -> Iterator[Queued]:
        while not isinstance(item := self._next(), _End):
            if self._abandoned:
                break
            yield item
        if self._abandoned:
            raise _AbandonedError
