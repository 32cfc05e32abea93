"""The desk's server: this computer alone, until it is stopped."""

from __future__ import annotations

import secrets
import socket
import webbrowser
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import uvicorn

from cuetrack.desk.classes import ClassDesk
from cuetrack.desk.guard import Guard
from cuetrack.desk.hold import FolderHold, held
from cuetrack.desk.pages import application
from cuetrack.errors import UsageError

if TYPE_CHECKING:
    from pathlib import Path

    from starlette.types import ASGIApp

LOOPBACK: Final = "127.0.0.1"


@dataclass(frozen=True, slots=True, kw_only=True)
class Start:
    """Where the desk is to be found, and the application that answers there."""

    address: str
    app: ASGIApp
    bound: socket.socket
    desk: ClassDesk
    hold: FolderHold

    def close(self) -> None:
        """Stop what was lent and is being made, and let the folder go."""
        self.desk.close()
        self.hold.let_go()


def started(folder: Path, port: int = 0) -> Start:
    """Return a desk for a folder, its port taken, not yet answering.

    Raises UsageError when the port is taken or the folder is none, and of it
    OpenElsewhereError when a desk has the folder open already.
    """
    if not folder.is_dir():
        raise UsageError(f"{folder} is no folder.", "Name one that is there.")
    try:
        bound = socket.create_server((LOOPBACK, port))
    except OSError as error:
        raise UsageError(
            f"Port {port} is taken: {error.strerror}.", "Leave --port out."
        ) from error
    try:
        hold = held(folder)
    except UsageError:
        bound.close()
        raise
    number = bound.getsockname()[1]
    token = secrets.token_urlsafe(24)
    desk = ClassDesk(folder)
    hosts = (f"{LOOPBACK}:{number}", f"localhost:{number}")
    address = f"http://{LOOPBACK}:{number}/start/{token}"
    hold.tell(address)
    return Start(
        address=address,
        app=Guard(application(desk), hosts=hosts, token=token),
        bound=bound,
        desk=desk,
        hold=hold,
    )


def server_of(start: Start) -> uvicorn.Server:
    """Return what answers for a desk."""
    config = uvicorn.Config(
        start.app,
        log_level="warning",
        access_log=False,
        server_header=False,
        timeout_keep_alive=15,
        h11_max_incomplete_event_size=16_384,
    )
    return uvicorn.Server(config)


def serve(start: Start, *, browser: bool) -> None:
    """Answer until stopped; open the browser first if asked."""
    server = server_of(start)
    if browser:
        webbrowser.open(start.address)
    try:
        server.run(sockets=[start.bound])
    finally:
        start.close()
