"""A desk that answers from a thread of this process."""

from __future__ import annotations

import threading
from contextlib import contextmanager

import uvicorn

from cuetrack.desk.serving import started


@contextmanager
def answering(folder):
    """Give the address of a desk for a folder, while it answers."""
    start = started(folder)
    server = uvicorn.Server(uvicorn.Config(start.app, log_level="critical"))
    thread = threading.Thread(
        target=server.run, kwargs={"sockets": [start.bound]}, daemon=True
    )
    thread.start()
    try:
        yield start.address
    finally:
        server.should_exit = True
        thread.join(timeout=10)
        start.close()
