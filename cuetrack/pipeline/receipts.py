"""What a finished track was made of, kept so that it need not be made again.

A receipt lies in the clip store, found by the place of its track: a digest of all
that the track depends on, the digests of the files that were written, and the report
on the make.
"""

from __future__ import annotations

import hashlib
import re
import zlib
from contextlib import suppress
from dataclasses import replace
from functools import cache
from importlib import metadata
from pathlib import Path
from typing import TYPE_CHECKING

import msgspec

from cuetrack.errors import SpeechError
from cuetrack.pipeline.checking import voice_of
from cuetrack.speech.keys import file_digest, identity_of
from cuetrack.speech.store import ClipStore

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from cuetrack.plan.model import Plan

PACKAGE = Path(__file__).parents[1]


class Receipt(msgspec.Struct, frozen=True, kw_only=True):
    """Of one make: ``work`` is what it was made of, ``files`` what was written.

    ``before`` are the files that these took the place of: while they did, either may
    have been there. Files are known by their names, each with its digest. ``report``
    is what ``make --json`` printed.
    """

    work: str
    files: dict[str, str]
    before: dict[str, str]
    report: msgspec.Raw

    def is_whole_in(self, folder: Path) -> bool:
        """Whether every file is there, and as it was written."""
        return all(_digest(folder / name) == told for name, told in self.files.items())

    def wrote(self, path: Path) -> bool:
        """Whether a file is one that was written, and is still as it was."""
        told = {self.files.get(path.name), self.before.get(path.name)}
        return _digest(path) in told - {None}


def work_of(plan: Plan, *, extension: str, handouts: Iterable[str] = ()) -> str:
    """Return a digest of all that a track and what goes with it depend on.

    That is the plan, its music, the voice, the format, the handouts, this program and
    the packages it stands on.

    Raises SpeechError when the voice is missing, and OSError for music that is.
    """
    voice = voice_of(plan)
    heard = [one for one in (voice, voice.filling) if one]
    parts = (
        replace(plan, file=""),
        [file_digest(Path(name)) for music in plan.musics() for name in music.files],
        [replace(one, folder=None, filling=None) for one in heard],
        [identity_of(one) for one in heard],
        extension,
        sorted(handouts),
        program_digest(),
    )
    return _hash(msgspec.json.encode(parts, order="deterministic"))


@cache
def program_digest() -> str:
    """Return a digest of this program and of the packages it stands on."""
    needed = metadata.requires("cuetrack") or ()
    plain = {re.split(r"[^\w.-]", one)[0] for one in needed if "'dev'" not in one}
    found = [f"{name} {_version(name)}" for name in sorted(plain)]
    files = sorted(path for path in PACKAGE.rglob("*") if path.suffix != ".pyc")
    found += [
        f"{path.relative_to(PACKAGE).as_posix()} {_hash(path.read_bytes())}"
        for path in files
        if path.is_file()
    ]
    return _hash("\n".join(found).encode())


def receipt_of(track: Path) -> Receipt | None:
    """Return the receipt of what was last made as ``track``, None without one."""
    content = ClipStore().note(_key(track))
    if content is None:
        return None
    try:
        return msgspec.json.decode(zlib.decompress(content), type=Receipt)
    except (zlib.error, msgspec.DecodeError):
        return None


def unchanged(
    track: Path, plan: Plan, *, extension: str, handouts: Iterable[str] = ()
) -> Receipt | None:
    """Return the receipt of a track that a make would only give once more, else None.

    Raises SpeechError when the voice is missing.
    """
    receipt = receipt_of(track)
    if receipt is None or not receipt.is_whole_in(track.parent):
        return None
    try:
        work = work_of(plan, extension=extension, handouts=handouts)
    except OSError:  # music that is gone: whoever makes the track tells it better
        return None
    return receipt if receipt.work == work else None


def keep_receipt(
    track: Path, *, work: str, written: Mapping[str, Path], report: msgspec.Struct
) -> None:
    """Keep a receipt; ``written`` are the files by the names they are about to take.

    Where the clip store cannot be written, the track is made again another time.
    """
    last = receipt_of(track)
    receipt = Receipt(
        work=work,
        files={name: _digest(path) or "" for name, path in written.items()},
        before=last.files if last else {},
        report=msgspec.Raw(msgspec.json.encode(report)),
    )
    with suppress(SpeechError):
        ClipStore().put_note(_key(track), zlib.compress(msgspec.json.encode(receipt)))


def _key(track: Path) -> str:
    return _hash(str(track.resolve()).encode())


def _digest(path: Path) -> str | None:
    try:
        with path.open("rb") as file:
            return hashlib.file_digest(file, "blake2b").hexdigest()[:32]
    except OSError:
        return None


def _hash(content: bytes) -> str:
    return hashlib.blake2b(content, digest_size=16).hexdigest()


def _version(package: str) -> str:
    try:
        return metadata.version(package)
    except metadata.PackageNotFoundError:
        return ""
