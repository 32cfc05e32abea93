"""A desk in a process of its own, asked as its page asks. For Linux."""

from __future__ import annotations

import http.client
import json
import os
import signal
import subprocess
import sys
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

TOP = Path(__file__).resolve().parents[2]

Values = dict[str, Any]


class DeskProcess:
    """A desk that serves a folder until it is stopped or killed."""

    def __init__(self, folder: Path, store: Path) -> None:
        self._process = subprocess.Popen(
            [sys.executable, "-m", "cuetrack", "desk", str(folder), "--no-browser"],
            cwd=TOP,
            env=os.environ | {"CUETRACK_STORE": str(store)},
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            text=True,
        )
        assert self._process.stdout is not None
        self.address = self._process.stdout.readline().strip()
        parts = urlsplit(self.address)
        self._host, self._entry, self._cookie = parts.netloc, parts.path, ""

    def ask(self, path: str, asked: Values | None = None) -> Values:
        """Get what a path gives, or post to it.

        Raises OSError or HTTPException when the desk is gone, AssertionError when it
        refuses.
        """
        status, content = self._answer(path, asked)
        assert status == 200, (path, status, content[:300])
        told: Values = json.loads(content)
        return told

    def page(self, path: str) -> bytes:
        """Get a page."""
        return self._answer(path, None)[1]

    def _answer(self, path: str, asked: Values | None) -> tuple[int, bytes]:
        if not self._cookie:
            _, headers, _ = self._request(self._entry, None)
            self._cookie = headers["set-cookie"].partition(";")[0]
        status, _, content = self._request(path, asked)
        return status, content

    def _request(
        self, path: str, asked: Values | None
    ) -> tuple[int, http.client.HTTPMessage, bytes]:
        connection = http.client.HTTPConnection(self._host, timeout=60)
        headers = {"Cookie": self._cookie, "Origin": f"http://{self._host}"}
        try:
            if asked is None:
                connection.request("GET", path, headers=headers)
            else:
                connection.request("POST", path, json.dumps(asked), headers)
            answer = connection.getresponse()
            return answer.status, answer.headers, answer.read()
        finally:
            connection.close()

    def kill(self) -> None:
        """Kill the server by force, as a loss of power would."""
        self._process.kill()
        self._process.communicate()

    def stop(self) -> None:
        """Stop it as Ctrl-C does."""
        self._process.send_signal(signal.SIGINT)
        self._process.communicate()

    def processor_ms(self) -> float:
        """Return the processor time of the server's threads so far."""
        tasks = Path(f"/proc/{self._process.pid}/task").glob("*/schedstat")
        return sum(int(one.read_text("ascii").split()[0]) for one in tasks) / 1e6

    def memory_mb(self) -> float:
        """Return what the server and all that it started hold, shared pages once."""
        return sum(map(_own_mb, _tree(self._process.pid)))


def _tree(pid: int) -> list[int]:
    listed = Path(f"/proc/{pid}/task/{pid}/children").read_text("ascii").split()
    return [pid, *(one for child in listed for one in _tree(int(child)))]


def _own_mb(pid: int) -> float:
    for line in Path(f"/proc/{pid}/smaps_rollup").read_text("ascii").splitlines():
        name, _, rest = line.partition(":")
        if name == "Pss":
            return int(rest.split()[0]) / 1024
    return 0.0
