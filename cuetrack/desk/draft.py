"""The text of a plan while it is worked on: every state kept, nothing lost.

States are appended to a journal beside the plan, each on a line of its own, before
anything else is done with them. The plan file holds the newest state that is a plan;
a state that is none (half a line in the text panel) is kept in the journal alone.
"""

from __future__ import annotations

import hashlib
import json
import os
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, Final

from cuetrack.documents.textfile import read_text
from cuetrack.errors import CuetrackError, OutputError
from cuetrack.output.track.files import explained, write_text

if TYPE_CHECKING:
    from pathlib import Path

JOURNALS: Final = ".cuetrack-desk"


@dataclass(slots=True)
class Draft:
    """The states of a plan's text and which of them is the present one.

    ``outside`` is what the file holds when something else than the desk wrote it, and
    ``no_plans`` what older states that are no plans are known by.
    """

    path: Path
    states: list[str] = field(default_factory=list)
    at: int = -1
    version: int = 0
    filed: str = ""
    outside: str | None = None
    no_plans: set[str] = field(default_factory=set)

    @property
    def text(self) -> str:
        """The present text."""
        return self.states[self.at]

    @property
    def can_undo(self) -> bool:
        """Whether there is a state before the present one."""
        return self.at > 0

    @property
    def can_redo(self) -> bool:
        """Whether a state was taken back."""
        return self.at < len(self.states) - 1

    def write(self, text: str) -> None:
        """Make a text the present one; what was taken back before is given up."""
        if text != self.text:
            self._record({"text": text})

    def step(self, by: int) -> None:
        """Go back (-1) or forward (1) one state, where there is one."""
        if by and 0 <= self.at + by < len(self.states):
            self._record({"at": self.at + by})

    def file(self) -> None:
        """Write the present text, which is a plan, into the plan file.

        Not over what something else wrote there: that waits until it is settled.
        """
        self.look()
        if self.outside is None and digest(self.text) != self.filed:
            write_text(self.path, self.text, overwrite=True)
            self._record({"filed": digest(self.text)})

    def look(self) -> None:
        """Notice what something else wrote into the plan file."""
        try:
            found = read_text(self.path)
        except (OSError, CuetrackError):
            self.outside = None
            return
        known = digest(found) in {self.filed, digest(self.text)}
        self.outside = None if known else found

    def settle(self, *, theirs: bool) -> None:
        """Take the file's text as the present one, or keep ours; the other is kept."""
        if self.outside is None:
            return
        found, self.outside = self.outside, None
        if theirs:
            self._record({"text": found})
            self._record({"filed": digest(found)})
            return
        number = 1
        while (
            beside := self.path.with_name(f"{self.path.stem}.outside-{number}.txt")
        ).exists():
            number += 1
        write_text(beside, found)
        self._record({"filed": digest(found)})

    def _record(self, entry: dict[str, Any]) -> None:
        journal = journal_of(self.path)
        refuse_elsewhere(journal)
        with explained(self.path):
            journal.parent.mkdir(exist_ok=True)
            with journal.open("a", encoding="utf-8") as file:
                file.write(json.dumps(entry) + "\n")
                file.flush()
                os.fsync(file.fileno())
        self._take(entry)

    def _take(self, entry: dict[str, Any]) -> None:
        self.version += 1
        if "text" in entry:
            del self.states[self.at + 1 :]
            self.states.append(str(entry["text"]))
            self.at = len(self.states) - 1
        elif isinstance(entry.get("at"), int):
            self.at = min(max(entry["at"], 0), len(self.states) - 1)
        elif "filed" in entry:
            self.filed = str(entry["filed"])


def opened(path: Path) -> Draft:
    """Return the draft of a plan, with every state that its journal holds.

    A last line that was not written to its end is left out.
    """
    draft = Draft(path=path)
    refuse_elsewhere(journal_of(path))
    for entry in _entries(journal_of(path)):
        draft._take(entry)  # noqa: SLF001 - replays what it recorded itself
    if not draft.states:
        text = read_text(path)
        draft._record({"text": text})  # noqa: SLF001
        draft._record({"filed": digest(text)})  # noqa: SLF001
    draft.look()
    return draft


def refuse_elsewhere(journal: Path) -> None:
    """Refuse a journal that lies somewhere else, or is no file, as a link could say.

    Raises OutputError.
    """
    odd = journal.exists() and not journal.is_file()
    if odd or journal.is_symlink() or journal.parent.is_symlink():
        raise OutputError(
            f"{JOURNALS}, where the desk keeps what you type, is not its own.",
            "Delete it from the folder of your classes, and open the class again.",
        )


def journal_of(path: Path) -> Path:
    """Return where the states of a plan are kept."""
    return path.parent / JOURNALS / f"{path.name}.jsonl"


def _entries(journal: Path) -> list[dict[str, Any]]:
    try:
        lines = journal.read_bytes().split(b"\n")
    except OSError:
        return []
    found = []
    for line in lines:
        try:
            entry = json.loads(line)
        except ValueError:
            continue
        if isinstance(entry, dict):
            found.append(entry)
    return found


def digest(text: str) -> str:
    """Return what a text is known by."""
    return hashlib.blake2b(
        text.encode("utf-8", "surrogatepass"), digest_size=16
    ).hexdigest()
