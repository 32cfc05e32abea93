"""Readings that a person is to hear: kept beside the voice, with a page to decide on.

The page is one file, opened from the folder; nothing leaves the computer. It saves the
decisions as a small file, which the command takes.
"""

from __future__ import annotations

from dataclasses import dataclass
from shutil import rmtree
from typing import TYPE_CHECKING, Any, Final

import jinja2
import msgspec
import soundfile

from cuetrack.errors import UsageError
from cuetrack.output.track.files import write_text
from cuetrack.speech.breaths import line_id
from cuetrack.speech.recorded_facts import VOICE_FILE
from cuetrack.speech.recorded_lines import read_lines
from cuetrack.takes.voice_folder import LineRead, VoiceFacts, add_to_voice
from cuetrack.times import SAMPLE_RATE_HZ
from cuetrack.verification.recogniser import LANGUAGE

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Sequence
    from pathlib import Path

    from cuetrack.speech.recorded_facts import RecordedFacts

FOLDER: Final = "to-hear"
PAGE_FILE: Final = "hear.html"
LIST_FILE: Final = "readings.json"
DECISIONS_FILE: Final = "decisions.json"
MOST_BYTES: Final = 4 * 2**20


class DoubtfulReading(
    msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True
):
    """A reading to be heard; ``id`` is that of its sound file, too.

    ``at`` is the time in the take; speech and beat are frames of the sound.
    """

    id: str
    text: str
    take: str
    at: str
    why: str
    heard: str
    speech_start: int
    speech_end: int
    beat: int | None = None


class Decisions(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What a person decided: which readings are kept and which are dropped."""

    keep: tuple[str, ...] = ()
    drop: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class CutDoubt:
    """A doubtful reading with its sound."""

    reading: DoubtfulReading
    line: LineRead


def kept_doubts(folder: Path) -> tuple[DoubtfulReading, ...]:
    """Return what is still to be heard for the voice in a folder."""
    path = folder / FOLDER / LIST_FILE
    if not path.exists():
        return ()
    waiting: tuple[DoubtfulReading, ...] = _read(path, tuple[DoubtfulReading, ...])
    return waiting


def write_doubts(
    folder: Path, doubts: Sequence[CutDoubt], settled: Collection[str]
) -> tuple[DoubtfulReading, ...]:
    """Add doubtful readings to those of a voice; return all that wait.

    Those of lines in ``settled`` (their ids) are taken out; where nothing is left, the
    page goes.
    """
    fresh = {line_id(one.reading.text) for one in doubts}
    old = [
        one
        for one in kept_doubts(folder)
        if line_id(one.text) not in fresh | set(settled)
    ]
    new = [one for one in doubts if line_id(one.reading.text) not in settled]
    (folder / FOLDER).mkdir(parents=True, exist_ok=True)
    for one in new:
        path = sound_path(folder, one.reading.id)
        soundfile.write(path, one.line.sound, SAMPLE_RATE_HZ, "PCM_24", format="FLAC")
    return _write(folder, [*old, *(one.reading for one in new)])


def _write(
    folder: Path, waiting: Sequence[DoubtfulReading]
) -> tuple[DoubtfulReading, ...]:
    """Write list and page of what waits, and remove the sounds of all else."""
    place = folder / FOLDER
    if not waiting:
        rmtree(place, ignore_errors=True)
        return ()
    listed = msgspec.json.format(msgspec.json.encode(waiting)).decode()
    write_text(place / LIST_FILE, listed, overwrite=True)
    write_text(place / PAGE_FILE, page_of(waiting, folder.name), overwrite=True)
    names = {f"{one.id}.flac" for one in waiting}
    for path in place.glob("*.flac"):
        if path.name not in names:
            path.unlink()
    return tuple(waiting)


def settled_ids(folder: Path) -> frozenset[str]:
    """Return the ids of the lines that the voice in a folder has; none without one."""
    if not (folder / VOICE_FILE).exists():
        return frozenset()
    return frozenset(read_lines(folder).by_id)


def settle(
    folder: Path, decisions: Decisions, person: RecordedFacts
) -> tuple[DoubtfulReading, ...]:
    """Take what is kept into the voice, and what is dropped away; return what waits."""
    waiting = kept_doubts(folder)
    kept = [one for one in waiting if one.id in decisions.keep]
    if kept:
        facts = VoiceFacts(language=LANGUAGE, person=person)
        add_to_voice(folder, facts, [line_of(folder, one) for one in kept])
    done = {*decisions.keep, *decisions.drop}
    left = [one for one in waiting if one.id not in done]
    return _write(folder, left)


def sound_path(folder: Path, reading_id: str) -> Path:
    """Return where the sound of a doubtful reading is."""
    return folder / FOLDER / f"{reading_id}.flac"


def line_of(folder: Path, reading: DoubtfulReading) -> LineRead:
    """Return a doubtful reading as a line of the voice."""
    sound, _ = soundfile.read(sound_path(folder, reading.id), dtype="float32")
    return LineRead(
        text=reading.text,
        sound=sound,
        speech_start=reading.speech_start,
        speech_end=reading.speech_end,
        beat=reading.beat,
    )


def read_decisions(path: Path, waiting: Iterable[DoubtfulReading]) -> Decisions:
    """Return the decisions in a file that the page saved.

    Raises UsageError where it is none, or speaks of readings that do not wait.
    """
    decisions: Decisions = _read(path, Decisions)
    known = {one.id for one in waiting}
    strange = [one for one in (*decisions.keep, *decisions.drop) if one not in known]
    if strange:
        raise UsageError(
            f"{path}: it decides on readings that do not wait to be heard "
            f"({strange[0]}).",
            "Open the page of this voice again, save anew, and name that file.",
        )
    keep = tuple(one for one in decisions.keep if one not in decisions.drop)
    return msgspec.structs.replace(decisions, keep=keep)


def _read(path: Path, kind: Any) -> Any:  # noqa: ANN401 - any kind that is decoded
    try:
        with path.open("rb") as file:
            content = file.read(MOST_BYTES)
        return msgspec.json.decode(content, type=kind)
    except OSError as error:
        raise UsageError(f"{path}: cannot be read ({error.strerror}).") from error
    except msgspec.DecodeError as error:
        raise UsageError(
            f"{path}: is no file of decisions or readings ({error}).",
            "Save it again from the page.",
        ) from error


def page_of(readings: Sequence[DoubtfulReading], voice: str) -> str:
    """Return the page on which these readings are heard and decided on."""
    environment = jinja2.Environment(
        loader=jinja2.PackageLoader("cuetrack.takes"),
        autoescape=True,
        trim_blocks=True,
        lstrip_blocks=True,
        undefined=jinja2.StrictUndefined,
    )
    page = environment.get_template("hear.html.j2")
    return page.render(
        readings=readings,
        voice=voice,
        file=DECISIONS_FILE,
        file_stem=DECISIONS_FILE.removesuffix(".json"),
    )
