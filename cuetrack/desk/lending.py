"""A finished class lent to devices of the same network: read-only, and that alone."""

from __future__ import annotations

import io
import secrets
import socket
import threading
from typing import TYPE_CHECKING, Final

import segno
import uvicorn
from starlette.applications import Starlette
from starlette.responses import FileResponse, HTMLResponse, Response
from starlette.routing import Route

from cuetrack.desk.templating import render

if TYPE_CHECKING:
    from pathlib import Path

    from starlette.requests import Request

LENT_ENDINGS: Final = (
    "follow.html",
    "mp4",
    "mp3",
    "m4a",
    "glance.a4.pdf",
    "home.a4.pdf",
)
SOUNDS: Final = ("mp3", "m4a")
HEADERS: Final = {
    "referrer-policy": "no-referrer",
    "x-content-type-options": "nosniff",
    "cache-control": "no-store",
}
_POLICY: Final = "style-src 'unsafe-inline'; media-src 'self'; frame-ancestors 'none'"
PAGE_HEADERS: Final = HEADERS | {
    "content-security-policy": f"default-src 'none'; {_POLICY}"
}
_NOWHERE: Final = ("192.0.2.1", 9)
"""An address for documentation (RFC 5737): nothing is sent there."""


class Lending:
    """Serves the files of one class at an address that nobody can guess."""

    def __init__(self, title: str, files: dict[str, Path]) -> None:
        self._files = {
            name: files[name].resolve() for name in LENT_ENDINGS if name in files
        }
        self._title = title
        secret = secrets.token_urlsafe(24)
        app = Starlette(
            routes=[
                Route(f"/{secret}/", self._page),
                Route(f"/{secret}/{{name}}", self._file),
            ]
        )
        bound = socket.create_server(("0.0.0.0", 0))  # noqa: S104 - lent on purpose
        port = bound.getsockname()[1]
        self.address = f"http://{own_address()}:{port}/{secret}/"
        config = uvicorn.Config(app, log_level="critical", server_header=False)
        self._server = uvicorn.Server(config)
        self._thread = threading.Thread(
            target=self._server.run, kwargs={"sockets": [bound]}, daemon=True
        )
        self._thread.start()

    def qr_svg(self) -> str:
        """Return the address as a QR code (ISO/IEC 18004), as SVG."""
        out = io.BytesIO()
        segno.make(self.address, error="m").save(
            out,
            kind="svg",
            scale=6,
            border=4,
            xmldecl=False,
            svgclass=None,
            lineclass=None,
        )
        return out.getvalue().decode()

    def stop(self) -> None:
        """Lend no longer; the address is gone."""
        self._server.should_exit = True
        self._thread.join(timeout=5)

    async def _page(self, _: Request) -> Response:
        names = tuple(self._files)
        sound = next((name for name in SOUNDS if name in names), "")
        page = render("lent.html", title=self._title, names=names, sound=sound)
        return HTMLResponse(page, headers=PAGE_HEADERS)

    async def _file(self, request: Request) -> Response:
        path = self._files.get(request.path_params["name"])
        # What is lent is the file of then: a link put in its place is not followed.
        if path is None or path.is_symlink() or not path.is_file():
            return Response("Not here.", 404, headers=HEADERS)
        return FileResponse(path, headers=HEADERS)


def own_address() -> str:
    """Return this computer's address in its network; nothing is sent."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asking:
        try:
            asking.connect(_NOWHERE)
            return str(asking.getsockname()[0])
        except OSError:
            return "127.0.0.1"
