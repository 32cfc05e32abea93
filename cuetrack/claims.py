"""Claims: who of several processes does a piece of work that all of them want.

A claim is a lock of the operating system on an empty file, so that it ends with the
process that holds it, however that ends. Several names share a file: then one waits
for the other without need, and nothing goes wrong.
"""

from __future__ import annotations

import hashlib
import os
import time
from contextlib import contextmanager
from typing import TYPE_CHECKING

from cuetrack.systems import lock_if_free

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

_RETRY_S = 0.1
_NAMES_A_FILE = 3
"""Hexadecimal digits of a name's digest that name its file: 4,096 files at most."""


@contextmanager
def claimed(folder: Path, name: str, *, wait: bool = True) -> Iterator[bool]:
    """Hold the claim on a name while the body runs; tell whether it is held.

    Without ``wait`` it is not held where another process, or another thread of this
    one, has it. Where the disk knows no locks every claim is granted: then work may be
    done twice, which must do no harm.

    Whoever holds a claim asks for another only in another folder, and never the other
    way round; else two could wait for each other.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
        digest = hashlib.blake2b(name.encode()).hexdigest()
        file = os.open(folder / digest[:_NAMES_A_FILE], os.O_RDWR | os.O_CREAT, 0o666)
    except OSError:
        yield True
        return
    try:
        yield _lock(file, wait=wait)
    finally:
        os.close(file)


def _lock(file: int, *, wait: bool) -> bool:
    while not lock_if_free(file):
        if not wait:
            return False
        time.sleep(_RETRY_S)
    return True
