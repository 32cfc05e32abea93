"""Who may talk to the desk: this computer's browser, with the token of this start.

Asked of each request before anything else sees it: the exact name of the host (so that
no page elsewhere can rebind its own name to this computer), the token's cookie, the
origin of each write, and the size of the body.
"""

from __future__ import annotations

import hmac
from typing import TYPE_CHECKING, Final

from starlette.responses import PlainTextResponse, RedirectResponse

if TYPE_CHECKING:
    from collections.abc import Iterable

    from starlette.responses import Response
    from starlette.types import ASGIApp, Message, Receive, Scope, Send

COOKIE: Final = "cuetrack_desk_"
"""The port follows: all ports of a host share their cookies (RFC 6265, 8.5)."""
ONCE: Final = (b"host", b"origin", b"content-length", b"transfer-encoding")
LARGEST_BODY_BYTES: Final = 2 << 20
LARGEST_UPLOAD_BYTES: Final = 200 << 20
UPLOAD_PATHS: Final = ("/recording", "/tune")
POLICY: Final = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; "
    "media-src 'self'; connect-src 'self'; form-action 'self'; base-uri 'none'; "
    "frame-ancestors 'none'"
)
# With "no-referrer" a form's origin would be "null" (Fetch, "append a request Origin
# header"), and the desk could not tell its own forms from others.
HEADERS: Final = (
    ("content-security-policy", POLICY),
    ("x-content-type-options", "nosniff"),
    ("x-frame-options", "DENY"),
    ("referrer-policy", "same-origin"),
    ("cross-origin-opener-policy", "same-origin"),
    ("cross-origin-resource-policy", "same-origin"),
    ("cache-control", "no-store"),
)


class TooLargeError(Exception):
    """A body is larger than anything the page sends."""


class Guard:
    """Lets only the leader's own browser through to the application."""

    def __init__(self, app: ASGIApp, *, hosts: Iterable[str], token: str) -> None:
        self._app = app
        self._hosts = frozenset(hosts)
        self._token = token

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer a request that may not pass; hand on one that may."""
        if scope["type"] != "http":
            if scope["type"] == "lifespan":
                await self._app(scope, receive, send)
            return
        headers = _headers(scope)
        refusal = _twice_refused(scope) or self._refusal(scope, headers)
        if refusal is not None:
            await refusal(scope, receive, _with_headers(send))
            return
        most = _most_bytes(scope)
        if _stated_length(headers) > most:
            too_large = PlainTextResponse("That is too large.", 413)
            await too_large(scope, receive, _with_headers(send))
            return
        await self._app(scope, _limited(receive, most), _with_headers(send))

    def _refusal(self, scope: Scope, headers: dict[str, str]) -> Response | None:
        if headers.get("host", "") not in self._hosts:
            return PlainTextResponse("Open the address that cuetrack printed.", 421)
        start = f"/start/{self._token}"
        if hmac.compare_digest(scope["path"].encode(), start.encode()):
            response = RedirectResponse("/", 303)
            name = _cookie_name(headers)
            response.set_cookie(name, self._token, httponly=True, samesite="strict")
            return response
        if not self._knows(headers):
            return PlainTextResponse(
                "This page opens only from the address that cuetrack printed when it "
                "started. Start it again: cuetrack desk",
                403,
            )
        if scope["method"] not in {"GET", "HEAD"}:
            origin = headers.get("origin", "")
            if origin not in {f"http://{host}" for host in self._hosts}:
                return PlainTextResponse("Changes come only from the desk itself.", 403)
        return None

    def _knows(self, headers: dict[str, str]) -> bool:
        """Whether one of the cookies, whoever set the others, is the token."""
        name = _cookie_name(headers)
        given = (one.partition("=") for one in headers.get("cookie", "").split(";"))
        token = self._token.encode()
        return any(
            key.strip() == name and hmac.compare_digest(value.strip().encode(), token)
            for key, _, value in given
        )


def _cookie_name(headers: dict[str, str]) -> str:
    return COOKIE + headers["host"].rpartition(":")[2]


def _twice_refused(scope: Scope) -> Response | None:
    """Refuse a header that may stand once only, for who reads it may read either."""
    names = [name.lower() for name, _ in scope["headers"]]
    if any(names.count(name) > 1 for name in ONCE):
        return PlainTextResponse("A header stands twice.", 400)
    return None


def _headers(scope: Scope) -> dict[str, str]:
    return {
        name.decode("latin-1").lower(): value.decode("latin-1")
        for name, value in scope["headers"]
    }


def _most_bytes(scope: Scope) -> int:
    upload = str(scope["path"]).endswith(UPLOAD_PATHS)
    return LARGEST_UPLOAD_BYTES if upload else LARGEST_BODY_BYTES


def _stated_length(headers: dict[str, str]) -> int:
    stated = headers.get("content-length", "0")
    return int(stated) if stated.isascii() and stated.isdigit() else 0


def _limited(receive: Receive, most: int) -> Receive:
    """Return ``receive`` that ends a body beyond ``most`` bytes, whatever it stated."""
    taken = 0

    async def limited() -> Message:
        nonlocal taken
        message = await receive()
        taken += len(message.get("body", b""))
        if taken > most:
            raise TooLargeError
        return message

    return limited


def _with_headers(send: Send) -> Send:
    async def sending(message: Message) -> None:
        if message["type"] == "http.response.start":
            present = {name.lower() for name, _ in message["headers"]}
            message["headers"] = [
                *message["headers"],
                *(
                    (name.encode(), value.encode())
                    for name, value in HEADERS
                    if name.encode() not in present
                ),
            ]
        await send(message)

    return sending
