"""The plan's file turned into text, whatever a person may hand in."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from cuetrack.documents.places import Place
from cuetrack.documents.problems import refusal
from cuetrack.documents.tree import SIZE_LIMIT

if TYPE_CHECKING:
    from pathlib import Path

    from cuetrack.errors import PlanError

_OTHER_KINDS: Final = (
    (b"PK\x03\x04", "a document of a word processor or an archive"),
    (b"\xd0\xcf\x11\xe0", "a document of a word processor"),
    (b"%PDF", "a PDF document"),
    (b"{\\rtf", "a document of a word processor"),
    (b"ID3", "a sound file"),
    (b"RIFF", "a sound file"),
    (b"\x89PNG", "a picture"),
    (b"\xff\xd8\xff", "a picture"),
)
"""How files begin that are no plain text, and what to call them."""

_AS_PLAIN_TEXT: Final = 'Write the plan in a text editor and save it as "plain text".'


def read_text(path: Path) -> str:
    """Return the text of a plan file, UTF-8 with or without a byte order mark.

    Raises
    ------
    PlanError
        When the file is missing, is no ordinary file, cannot be read, is too
        long for a plan, or is not text in UTF-8.
    """
    file = str(path)
    return _decoded(_bytes(path, file), file)


def _bytes(path: Path, file: str) -> bytes:
    try:
        if path.is_dir():
            raise _refused(file, "This is a folder.", "Name the plan file inside it.")
        if not path.exists():
            raise _refused(
                file, "There is no such file.", "Check its name and its folder."
            )
        if not path.is_file():
            raise _refused(
                file, "This is no ordinary file.", "Name a plan, such as class.yaml."
            )
        with path.open("rb") as opened:
            data = opened.read(SIZE_LIMIT + 1)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise _refused(
            file,
            f"The file cannot be read ({reason}).",
            "Check that you may open it, or copy it elsewhere.",
        ) from error
    if len(data) > SIZE_LIMIT:
        raise _refused(
            file,
            f"The file is longer than {SIZE_LIMIT // 1024} kB.",
            "A plan of one class is a few kB; check that this is the right file.",
        )
    return data


def _decoded(data: bytes, file: str) -> str:
    for beginning, kind in _OTHER_KINDS:
        if data.startswith(beginning):
            raise _refused(file, f"This is {kind}, not a plan.", _AS_PLAIN_TEXT)
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise _refused(
            file,
            "The file is saved as UTF-16.",
            "Save it again with the encoding UTF-8.",
        )
    if b"\0" in data:
        raise _refused(file, "This is not a text file.", _AS_PLAIN_TEXT)
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        place = _place_of_byte(data, error.start)
        raise refusal(
            file,
            place,
            "The file is not saved as UTF-8: a letter here cannot be read.",
            "Save it again with the encoding UTF-8.",
        ) from error


def _place_of_byte(data: bytes, index: int) -> Place:
    before = data[:index].decode("utf-8-sig", errors="replace")
    lines = before.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    return Place(line=len(lines), column=len(lines[-1]) + 1)


def _refused(file: str, what: str, remedy: str) -> PlanError:
    return refusal(file, Place(), what, remedy)
