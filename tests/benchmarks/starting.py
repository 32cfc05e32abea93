"""The starter of the desk in a folder of its own, as a file manager starts it.

``python -m tests.benchmarks.starting`` builds the wheel, puts it with the starter into
a folder with an odd name, opens the ``.desktop`` file there by the rules of the Desktop
Entry Specification in a window (a pseudo-terminal) with a home of its own and nothing
of this environment, waits for the desk, closes the window, and does it again. What has
to be installed comes from the network. For Linux.
"""

from __future__ import annotations

import os
import pty
import re
import select
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path

TOP = Path(__file__).resolve().parents[2]
STARTER = TOP / "examples" / "start-desk"
ESCAPES = {"s": " ", "n": "\n", "t": "\t", "r": "\r", "\\": "\\"}
LONGEST_S = 900


def exec_arguments(entry: Path) -> list[str]:
    """Return what a desktop entry runs, its values and quotes read by the standard.

    Desktop Entry Specification 1.5, "Possible value types" and "The Exec key"; of the
    field codes only %k, the location of the file itself.
    """
    lines = entry.read_text("utf-8").splitlines()
    written = next(line for line in lines if line.startswith("Exec="))[5:]
    value = re.sub(r"\\(.)", lambda found: ESCAPES[found[1]], written)
    words = []
    for found in re.finditer(r'"((?:[^"\\]|\\.)*)"|(\S+)', value):
        quoted, plain = found.groups()
        word = plain if quoted is None else re.sub(r'\\(["`$\\])', r"\1", quoted)
        words.append(str(entry) if word == "%k" else word)
    return words


def opened(entry: Path, home: Path) -> tuple[float, str]:
    """Open an entry in a window until the desk is there, then close the window."""
    words = exec_arguments(entry)
    environment = {
        "HOME": str(home),
        "PATH": "/usr/local/bin:/usr/bin:/bin",
        "LANG": "C.UTF-8",
        "BROWSER": "true %s",
    }
    begun = time.monotonic()
    pid, window = pty.fork()
    if pid == 0:
        os.chdir("/")
        os.execvpe(words[0], words, environment)
    said = b""
    while b"127.0.0.1" not in said and time.monotonic() - begun < LONGEST_S:
        if select.select([window], [], [], 1)[0]:
            try:
                said += os.read(window, 4096)
            except OSError:
                break
    passed = time.monotonic() - begun
    os.close(window)
    os.waitpid(pid, 0)
    return passed, said.decode()


def main() -> int:
    """Start twice; return 1 when the desk did not come."""
    with tempfile.TemporaryDirectory() as scratch:
        folder, home = Path(scratch) / "Ann's stick #1 & é", Path(scratch) / "home"
        shutil.copytree(STARTER, folder, ignore=shutil.ignore_patterns("environment"))
        home.mkdir()
        pip = [sys.executable, "-m", "pip", "wheel", "--quiet", "--no-deps"]
        subprocess.run([*pip, "--wheel-dir", str(folder), str(TOP)], check=True)
        for number in ("first", "second"):
            passed, said = opened(folder / "start-desk.desktop", home)
            sys.stdout.write(f"{number} start, {passed:.1f} s:\n{said}\n")
            if "http://127.0.0.1" not in said:
                return 1
        left = sorted(path.name for path in home.rglob("*"))
        sys.stdout.write(f"left in the home: {left}\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
