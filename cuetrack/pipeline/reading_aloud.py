"""Which lines a person is to read, for plans, for a whole language, or that lack."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import yaml

from cuetrack.cues.writing.read_aloud import choose_read
from cuetrack.cues.writing.variety import choose_variants
from cuetrack.errors import UsageError
from cuetrack.movements.library import load_library
from cuetrack.output.track.file_set import replacing_set
from cuetrack.output.track.files import safe_name, write_text
from cuetrack.pipeline.checking import plan_from_text, written_sheet
from cuetrack.pipeline.read_voice import say_plainly
from cuetrack.speech.recorded_lines import read_lines
from cuetrack.speech.text_keys import unread
from cuetrack.speech.voices import find_voice
from cuetrack.takes.click import write_click
from cuetrack.takes.reading_script import ReadingPart, script_webvtt
from cuetrack.takes.reading_sheet import reading_sheet_pdf
from cuetrack.takes.script_lines import script_of

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Sequence

    from cuetrack.cuekinds import CueKind
    from cuetrack.cues.model import Cue, CueSheet
    from cuetrack.output.handouts.printing import Paper
    from cuetrack.plan.model import Plan
    from cuetrack.speech.model import Voice
    from cuetrack.takes.reading_script import ReadingScript

PACK_STEP: Final = 10
"""How many movements of the library go into one class of a whole pack."""

_OF_MOVEMENTS: Final = frozenset({"movement", "how", "point", "option", "equipment"})
"""Placeholders that are filled by what a movement is."""

_INTERVALS: Final = {"work": "60 s", "rest": "30 s", "rounds": 2}
_MANNERS: Final[tuple[dict[str, Any], ...]] = (
    {"time calls": "many", "options": "easier first"},
    {"counting": "voice", "options": "harder first", "slow moves": "counted"},
    {"close": "40 s"},
)
"""Manners of a class in which everything that the library brings comes up."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ScriptFiles:
    """Where a script is written; ``click`` is None where it has no count words."""

    sheet: Path
    captions: Path
    click: Path | None

    @classmethod
    def called(cls, folder: Path, name: str, script: ReadingScript) -> ScriptFiles:
        """Return the files of a script whose names start with ``name``."""
        base = f"{safe_name(name)}.reading"
        counts = any(line.part is ReadingPart.COUNTS for line in script.lines)
        return cls(
            sheet=folder / f"{base}.pdf",
            captions=folder / f"{base}.vtt",
            click=folder / f"{base}.click.wav" if counts else None,
        )

    def all(self) -> tuple[Path, ...]:
        """Return every file, the sheet first."""
        return tuple(path for path, _ in self.uses())

    def uses(self) -> tuple[tuple[Path, str], ...]:
        """Return every file with what it is for, the sheet first."""
        return (
            (self.sheet, "to read from"),
            (self.captions, "the computer needs it later: keep it"),
            *([(self.click, "clicks for the count words")] if self.click else []),
        )


def write_script(
    script: ReadingScript,
    files: ScriptFiles,
    title: str,
    *,
    paper: Paper = "a4",
    overwrite: bool = False,
) -> None:
    """Write a script as a sheet, captions and a click, all or none of them.

    Raises OutputError where a file is there and may not be replaced, or the folder
    cannot be written.
    """
    with replacing_set(files.all(), overwrite=overwrite) as aside:
        sheet = reading_sheet_pdf(script, title, paper=paper)
        (aside / files.sheet.name).write_bytes(sheet)
        write_text(aside / files.captions.name, script_webvtt(script))
        if files.click:
            write_click(aside / files.click.name, script)


def script_for(plans: Sequence[Plan]) -> ReadingScript:
    """Return every line that the classes of these plans may need, each once.

    Raises UsageError for plans in several languages.
    """
    languages = sorted({plan.language for plan in plans})
    if len(languages) > 1:
        raise UsageError(
            f"These plans are in several languages: {', '.join(languages)}.",
            "A voice is read in one; write a script for each.",
        )
    return script_of(_sheet(plan, choose_variants) for plan in plans)


def script_of_missing(plans: Sequence[Plan], voice_folder: str) -> ReadingScript:
    """Return the lines that these classes lack in a recorded voice.

    What may be said in words that were read is not asked for. Raises SpeechError where
    there is no such voice.
    """
    voices = [find_voice(voice_folder, plan.language) for plan in plans]
    for voice in voices:
        if voice.recorded is None:
            raise UsageError(
                f"The voice {voice.name} was not read by anybody.",
                "Name the folder of a recorded voice.",
            )
    have = read_lines(voices[0].folder or Path()).by_id
    lacking = map(_lacking, plans, voices)
    return script_of(lacking, have)


def script_of_pack(language: str) -> ReadingScript:
    """Return every line that classes of the library in a language may need.

    Each movement in each part of a class, and all variants of what speaks of none.
    """
    return script_of(_sheet(plan, _enough_variants) for plan in _pack_plans(language))


def _sheet(plan: Plan, choose: Callable[[Iterable[Cue]], tuple[Cue, ...]]) -> CueSheet:
    return written_sheet(plan, say_plainly(plan), choose)


def _lacking(plan: Plan, voice: Voice) -> CueSheet:
    """Return the cues of a class of which nothing was read."""

    def is_read(spoken: str) -> bool:
        return not unread(voice, spoken)

    sheet = _sheet(plan, partial(choose_read, is_read=is_read, filled=True))
    cues = (
        cue
        for cue in sheet.cues
        if not any(is_read(wording.spoken) for wording in cue.wordings)
    )
    return replace(sheet, cues=tuple(cues))


def _enough_variants(cues: Iterable[Cue]) -> tuple[Cue, ...]:
    """Return cues with all variants; of those that speak of a movement, the first.

    A second way to say the same of each of ninety movements would take hours.
    """
    kept = (
        replace(cue, variants=cue.variants[:1]) if _of_movements(cue.kind) else cue
        for cue in cues
    )
    return tuple(sorted(kept, key=lambda cue: cue.due_ms))


def _of_movements(kind: CueKind) -> bool:
    fields = " ".join(kind.phrases.values()).split()
    return not _OF_MOVEMENTS.isdisjoint(fields)


def _pack_plans(language: str) -> Iterator[Plan]:
    known = load_library(language).values()
    names = list(dict.fromkeys(movement.name for movement in known))
    for first in range(0, len(names), PACK_STEP):
        some = names[first : first + PACK_STEP]
        for manner in _MANNERS:
            whole = manner | {
                "title": "A class",
                "language": language,
                "warm-up": {"for": "12 min", "movements": some},
                "intervals": {**_INTERVALS, "movements": some},
                "cool-down": some,
            }
            text = yaml.safe_dump(whole, sort_keys=False, allow_unicode=True)
            yield plan_from_text(text, Path("a class.yaml"))
