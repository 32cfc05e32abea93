"""How a class is worded for a voice that a person read: by what there is of it."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Final

from cuetrack.cues.writing.read_aloud import choose_read
from cuetrack.cues.writing.variety import choose_variants
from cuetrack.errors import SpeechError
from cuetrack.languages.normalisation import say_as
from cuetrack.languages.pack import load_language
from cuetrack.speech.text_keys import speaking, unread

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from cuetrack.cues.model import Cue, CueSheet, PlacedSheet
    from cuetrack.plan.model import Plan
    from cuetrack.speech.model import Voice


MOST_TOLD: Final = 5
"""How many lines that nobody read are named; a sheet names them all."""


def say_plainly(plan: Plan) -> Callable[[str], str]:
    """Return what puts the texts of a plan into words that a person can read out."""
    return partial(say_as, language=plan.language)


def say_in(plan: Plan, voice: Voice | None) -> Callable[[str], str]:
    """Return what puts the texts of a plan into the words that a voice is given.

    An engine needs help with some words, a person none: what was read is said as it
    is written. None stands for the usual voice of the language.
    """
    phrases = load_language(plan.language).phrases
    plainly = say_plainly(plan)
    helped = partial(
        say_as,
        language=plan.language,
        pronunciations=(*plan.pronunciations, *phrases.pronunciations),
    )
    if voice is None or voice.recorded is None:
        return helped

    def say(text: str) -> str:
        plain = plainly(text)
        return helped(text) if voice.filling and unread(voice, plain) else plain

    return say


def chooser_for(voice: Voice | None) -> Callable[[Iterable[Cue]], tuple[Cue, ...]]:
    """Return what chooses the variants of cues that a voice says."""
    if voice is None or voice.recorded is None:
        return choose_variants
    return partial(
        choose_read,
        is_read=lambda spoken: not unread(voice, spoken),
        filled=voice.filling is not None,
    )


def filled_in(placed: PlacedSheet, voice: Voice) -> tuple[str, ...]:
    """Return what is said by the voice that fills in, each text once."""
    texts = (
        said.wording.text
        for said in placed.placed
        if speaking(voice, said.wording.spoken) is not voice
    )
    return tuple(dict.fromkeys(texts))


def refuse_unread(sheet: CueSheet, voice: Voice | None) -> None:
    """Refuse a class of which something must be said that nobody reads.

    Raises SpeechError with those lines, where no other voice fills in.
    """
    if voice is None or voice.recorded is None or voice.filling is not None:
        return
    lacking = {
        line: None
        for cue in sheet.cues
        if not any(not unread(voice, wording.spoken) for wording in cue.wordings)
        for line in unread(voice, cue.wordings[-1].spoken)
    }
    if not lacking:
        return
    some = "; ".join(list(lacking)[:MOST_TOLD])
    more = len(lacking) - MOST_TOLD
    others = f" and {more} more" if more > 0 else ""
    raise SpeechError(
        f"{voice.recorded.who} has not read what must be said: "
        f"{(some + others).removesuffix('.')}.",
        "Get a sheet of these lines: cuetrack voices script PLAN --missing-from "
        f"{voice.folder}. Or let another voice say them: "
        f"cuetrack voices record --out {voice.folder} --filling NAME.",
    )
