"""Opens the desk; the first time it makes an environment of its own beside itself.

What it installs is the newest ``cuetrack-*.whl`` in ``parts`` beside it, or the
repository that it lies in. Its own standard library is all that it needs.
"""

from __future__ import annotations

import hashlib
import os
import shutil
import subprocess
import sys
import threading
from pathlib import Path

HERE = Path(__file__).resolve().parent
REPOSITORY = HERE.parents[1]
PARTS = HERE / "parts"
ENVIRONMENT = HERE / "environment"
STAMP = ENVIRONMENT / "made-of.txt"
CLASSES = HERE / "classes"
LOG = HERE / "start-desk.log"
NEEDED_MB = 1000
TOLD_EACH_S = 30


class NoStartError(Exception):
    """The desk cannot be started; the words say why and what to do."""


def say(line: str) -> None:
    """Show a line at once."""
    print(line, flush=True)  # noqa: T201 - the window is what it speaks to


def source() -> Path:
    """Return what is to be installed."""
    wheels = [*HERE.glob("cuetrack-*.whl"), *PARTS.glob("cuetrack-*.whl")]
    if wheels:
        return max(wheels, key=lambda one: one.stat().st_mtime)
    if (REPOSITORY / "cuetrack").is_dir() and (REPOSITORY / "pyproject.toml").is_file():
        return REPOSITORY
    raise NoStartError(
        "Some of the files are missing: there is no cuetrack-...whl beside this one.\n"
        "Copy the whole folder again, with everything in it."
    )


def stamp_of(found: Path) -> str:
    """Return what tells an environment that fits from one that does not any more."""
    told = found / "pyproject.toml" if found.is_dir() else found
    digest = hashlib.sha256(told.read_bytes()).hexdigest()
    return f"{sys.version}\n{ENVIRONMENT}\n{found}\n{digest}\n"


def is_ready(stamp: str) -> bool:
    """Whether the environment was made to its end, of this, here, by this Python."""
    return STAMP.is_file() and STAMP.read_text("utf-8") == stamp


def python() -> Path:
    """Return the environment's own Python."""
    if os.name == "nt":
        return ENVIRONMENT / "Scripts" / "python.exe"
    return ENVIRONMENT / "bin" / "python"


def make_environment(found: Path, stamp: str) -> None:
    """Make the environment anew. Raises NoStartError with what to do."""
    say("The first start takes some minutes: what the desk needs is put into the")
    say(f"folder {ENVIRONMENT}")
    say("and nowhere else. Later starts take a few seconds.")
    shutil.rmtree(ENVIRONMENT, ignore_errors=True)
    refuse_place()
    LOG.write_bytes(b"")
    say("1 of 2: making the folder ...")
    if logged([sys.executable, "-m", "venv", str(ENVIRONMENT)]) != 0:
        raise NoStartError(
            "A part of Python is missing that makes such folders.\n"
            "On Debian, Ubuntu and Mint, type: sudo apt install python3-venv\n"
            "Then start this again."
        )
    say("2 of 2: putting in what is needed ...")
    if not installed(found):
        raise NoStartError(
            "It could not be put in. Is this computer connected to the internet? The\n"
            "first start needs it, unless everything lies in the folder parts.\n"
            f"Then start this again. What was tried is written in {LOG}."
        )
    STAMP.write_text(stamp, "utf-8")
    LOG.unlink(missing_ok=True)


def refuse_place() -> None:
    """Refuse a place that is too small, or cannot hold an environment."""
    try:
        free_mb = shutil.disk_usage(HERE).free / 1_000_000
        ENVIRONMENT.mkdir()
        if os.name != "nt":
            (ENVIRONMENT / "try").symlink_to("nothing")
            (ENVIRONMENT / "try").unlink()
    except OSError as error:
        raise NoStartError(
            "This folder cannot hold what is needed, as on many memory sticks.\n"
            "Copy it to the computer itself, for example into Documents, and start\n"
            "it there."
        ) from error
    if free_mb < NEEDED_MB:
        raise NoStartError(
            f"There is too little room here: {free_mb:.0f} MB are free, "
            f"{NEEDED_MB} MB are needed.\n"
            "Make room, or copy this folder to where there is more."
        )


def installed(found: Path) -> bool:
    """Install from what lies in ``parts``, or else from the network; say whether."""
    pip = [str(python()), "-m", "pip", "install", "--disable-pip-version-check"]
    what = ["--editable", str(found)] if found.is_dir() else [str(found)]
    if PARTS.is_dir():
        beside = [*pip, "--no-index", "--find-links", str(PARTS), *what]
        if logged(beside) == 0:
            return True
    return logged([*pip, *what]) == 0


def logged(command: list[str]) -> int:
    """Run a command, its words into the log; tell now and then that it runs."""
    ended = threading.Event()
    telling = threading.Thread(target=tell_until, args=(ended,), daemon=True)
    telling.start()
    try:
        with LOG.open("ab") as log:
            return subprocess.run(
                command, stdout=log, stderr=subprocess.STDOUT, check=False
            ).returncode
    finally:
        ended.set()


def tell_until(ended: threading.Event) -> None:
    """Say each half minute that it goes on."""
    passed_s = 0
    while not ended.wait(TOLD_EACH_S):
        passed_s += TOLD_EACH_S
        say(f"   still at it, {passed_s // 60} min {passed_s % 60} s so far")


def main(arguments: list[str]) -> int:
    """Make the environment where there is none, and open the desk."""
    try:
        found = source()
        stamp = stamp_of(found)
        if not is_ready(stamp):
            make_environment(found, stamp)
        CLASSES.mkdir(exist_ok=True)
    except NoStartError as error:
        say(f"\n{error}")
        return 1
    except OSError as error:
        say(f"\nThis folder cannot be written to: {error.strerror}.")
        say("Copy it to the computer itself, for example into Documents.")
        return 1
    say("Your classes open in the browser now. They are kept in")
    say(f"{CLASSES}")
    say("Leave this window open. When you are done, close it.")
    command = [str(python()), "-m", "cuetrack", "desk", str(CLASSES), *arguments]
    return subprocess.run(command, check=False).returncode


if __name__ == "__main__":
    try:
        sys.exit(main(sys.argv[1:]))
    except KeyboardInterrupt:
        say("\nStopped.")
