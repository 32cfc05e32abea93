"""Asks an application as a server would, without a server."""

from __future__ import annotations

import asyncio
import json
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from urllib.parse import unquote, urlsplit


@dataclass
class Answer:
    """What came back; ``headers`` has one value for each name."""

    status_code: int
    headers: dict[str, str]
    content: bytes

    @property
    def text(self):
        return self.content.decode("utf-8", "replace")

    def json(self):
        return json.loads(self.content)


class Asker:
    """A browser that keeps cookies and follows no redirect by itself."""

    def __init__(self, app, base):
        self.app = app
        self.host = urlsplit(base).netloc
        self.cookies = {}

    def get(self, path, headers=None):
        return self._ask("GET", path, (), headers or {})

    def post(self, path, *, json_=None, content=b"", headers=None):
        headers = dict(headers or {})
        if json_ is not None:
            content = json.dumps(json_).encode()
        if isinstance(content, bytes):
            headers.setdefault("content-length", str(len(content)))
            content = (content,)
        return self._ask("POST", path, content, headers)

    def _ask(self, method, path, blocks, headers):
        parts = urlsplit(path)
        sent = {"host": self.host} | headers
        if self.cookies:
            sent["cookie"] = "; ".join(f"{k}={v}" for k, v in self.cookies.items())
        scope = {
            "type": "http",
            "asgi": {"version": "3.0", "spec_version": "2.4"},
            "http_version": "1.1",
            "method": method,
            "scheme": "http",
            "path": unquote(parts.path),
            "raw_path": parts.path.encode(),
            "root_path": "",
            "query_string": parts.query.encode(),
            "headers": [(k.encode(), v.encode()) for k, v in sent.items()],
            "client": ("127.0.0.1", 1),
            "server": ("127.0.0.1", 2),
        }
        # In a thread of its own: where a browser is driven, this has a loop already.
        with ThreadPoolExecutor(1) as pool:
            return pool.submit(asyncio.run, self._answer(scope, iter(blocks))).result()

    async def _answer(self, scope, blocks):
        told = []

        ended = False

        async def receive():
            nonlocal ended
            block = next(blocks, None)
            if ended:
                return {"type": "http.disconnect"}
            if block is None:
                ended = True
                return {"type": "http.request", "body": b"", "more_body": False}
            return {"type": "http.request", "body": block, "more_body": True}

        async def send(message):
            told.append(message)

        await self.app(scope, receive, send)
        head = next(one for one in told if one["type"] == "http.response.start")
        headers = {k.decode().lower(): v.decode() for k, v in head["headers"]}
        if "set-cookie" in headers:
            name, _, rest = headers["set-cookie"].partition("=")
            self.cookies[name] = rest.partition(";")[0]
        body = b"".join(one.get("body", b"") for one in told[1:])
        return Answer(head["status"], headers, body)
