"""Drives the Firefox of the system by its own remote protocol, Marionette.

What Firefox itself is tested with and WebDriver stands on: messages ``LENGTH:JSON``
over a connection of this computer ("Protocol" in the Firefox source documentation,
testing/marionette). Nothing has to be installed for it but Firefox.
"""

from __future__ import annotations

import json
import shutil
import socket
import subprocess
import time
from itertools import count
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pathlib import Path

START_S = 60
PREFERENCES = {
    "marionette.port": 0,
    "browser.shell.checkDefaultBrowser": False,
    "datareporting.policy.dataSubmissionEnabled": False,
    "app.update.disabledForTesting": True,
    "network.captive-portal-service.enabled": False,
    "media.volume_scale": "0.0",
}
ELEMENT = "element-6066-11e4-a52e-4f735466cecf"
"""The key of an element in answers, WebDriver (W3C), section 12.1."""


class FirefoxError(AssertionError):
    """Firefox could not do what it was asked."""


class Firefox:
    """A Firefox without a window, with a profile of its own."""

    def __init__(self, program: str, profile: Path) -> None:
        lines = (
            f"user_pref({json.dumps(k)}, {json.dumps(v)});"
            for k, v in PREFERENCES.items()
        )
        (profile / "user.js").write_text("\n".join(lines), "utf-8")
        self._process = subprocess.Popen(
            [
                program,
                "--headless",
                "--marionette",
                "--no-remote",
                "--profile",
                str(profile),
            ],
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        self._numbers = count(1)
        try:
            port = self._port(profile / "MarionetteActivePort")
            self._connection = socket.create_connection(("127.0.0.1", port), timeout=60)
            self._stream = self._connection.makefile("rb")
            self._message()
            self.ask("WebDriver:NewSession")
        except BaseException:
            self._process.kill()
            self._process.wait()
            raise

    def _port(self, told: Path) -> int:
        end_s = time.monotonic() + START_S
        while time.monotonic() < end_s:
            if told.is_file() and (text := told.read_text("ascii").strip()):
                return int(text)
            time.sleep(0.1)
        raise FirefoxError("Firefox did not start")

    def _message(self):
        length = b""
        while (digit := self._stream.read(1)) != b":":
            if not digit:
                raise FirefoxError("Firefox is gone")
            length += digit
        return json.loads(self._stream.read(int(length)))

    def ask(self, command: str, **asked):
        """Do a command of the protocol and return what it gives."""
        content = json.dumps([0, next(self._numbers), command, asked]).encode()
        self._connection.sendall(b"%d:%s" % (len(content), content))
        _, _, error, result = self._message()
        if error:
            raise FirefoxError(f"{command}: {error['message']}")
        return result.get("value") if isinstance(result, dict) else result

    def go(self, address: str) -> None:
        """Open an address and wait until it is there."""
        self.ask("WebDriver:Navigate", url=address)

    def run(self, script: str):
        """Return what a script of the page returns."""
        return self.ask("WebDriver:ExecuteScript", script=script, args=[])

    def find(self, selector: str, seconds: float = 30) -> str:
        """Return the first element that a selector of CSS fits, once it is there."""
        end_s = time.monotonic() + seconds
        while True:
            try:
                found = self.ask(
                    "WebDriver:FindElement", using="css selector", value=selector
                )
            except FirefoxError:
                if time.monotonic() > end_s:
                    raise
                time.sleep(0.1)
            else:
                return found[ELEMENT]

    def click(self, selector: str) -> None:
        """Click an element as a person does."""
        self.ask("WebDriver:ElementClick", id=self.find(selector))

    def keys(self, selector: str, text: str) -> None:
        """Type into an element."""
        self.ask("WebDriver:ElementSendKeys", id=self.find(selector), text=text)

    def text(self, selector: str) -> str:
        """Return what an element shows."""
        return self.ask("WebDriver:GetElementText", id=self.find(selector))

    def close(self) -> None:
        """Close it."""
        self._stream.close()
        self._connection.close()
        self._process.terminate()
        self._process.wait(timeout=30)


def firefox_program() -> str | None:
    """Return the Firefox of this system."""
    return shutil.which("firefox") or shutil.which("firefox-esr")
