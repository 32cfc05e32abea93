"""Who watches the work, and is told how far it has come."""

from __future__ import annotations

from typing import Protocol


class Watcher(Protocol):
    """Told what is being done and how far it has come."""

    def __call__(self, stage: str, done: int, total: int) -> None:
        """Report ``done`` of ``total`` of the work named ``stage``."""
        ...


def unwatched(stage: str, done: int, total: int) -> None:
    """Watch nothing."""
