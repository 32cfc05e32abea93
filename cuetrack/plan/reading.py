"""Reading a plan: from a YAML file to a `Plan`, or to every mistake in it.

The text becomes a bounded tree with places, the tree is read by the keys that the
model declares, and passes over what was said add the library's words, defaults
and times (`sections`, `musicfiles`).
"""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING, Final

from cuetrack.documents.filling import read_keys
from cuetrack.documents.problems import Problems, refusal, shown
from cuetrack.documents.reading import UNREAD, Reader, kind_name, suggestion
from cuetrack.documents.textfile import read_text
from cuetrack.documents.tree import MappingNode, read_tree
from cuetrack.errors import PlanError
from cuetrack.languages.folders import FALLBACK, base_language, language_file
from cuetrack.languages.phrases import FILE as PHRASES_FILE
from cuetrack.languages.phrases import load_phrases
from cuetrack.movements.group_reading import read_group
from cuetrack.movements.known import Library
from cuetrack.movements.library import FILE as LIBRARY_FILE
from cuetrack.movements.library import by_name, read_movements
from cuetrack.plan.cautions import (
    with_cautions_for_group,
    with_own_words_read,
    with_ways_down,
)
from cuetrack.plan.lengths import section_length_ms
from cuetrack.plan.model import LONGEST_CLASS_MS, PLAN
from cuetrack.plan.musicfiles import check_file, found_music, is_beside
from cuetrack.plan.refusals import PlanRefusal
from cuetrack.plan.sections import SectionPasses
from cuetrack.plan.words import SectionKind
from cuetrack.times import duration

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
    from pathlib import Path

    from cuetrack.languages.phrases import Phrases
    from cuetrack.movements.model import Movement
    from cuetrack.plan.model import Group, Plan
    from cuetrack.plan.parts import Music, Section

    LibraryOf = Callable[[str], Mapping[str, Movement]]

_READ_WITH: Final = (*PLAN.reachable(), *LIBRARY_FILE.reachable())
_LANGUAGE_CODE = re.compile(r"[a-z]{2,3}(-[a-z0-9]{2,8})*", re.IGNORECASE)


def read_plan(
    path: Path,
    *,
    voices: Collection[str] | None = None,
    languages: Collection[str] | None = None,
    library: Mapping[str, Movement] | LibraryOf | None = None,
) -> Plan:
    """Return the plan that a file holds.

    Parameters
    ----------
    path
        The file; music is looked for from its folder.
    voices, languages
        The names that exist; None takes any.
    library
        Movements by name, which fill what the plan leaves unsaid, or what gives
        them for a language. Files that the plan names come before them.

    Raises
    ------
    PlanError
        With every mistake found, in file order.
    """
    return parse_plan(
        read_text(path),
        str(path),
        folder=path.parent,
        voices=voices,
        languages=languages,
        library=library,
    )


def parse_plan(
    text: str,
    file: str,
    *,
    folder: Path | None = None,
    voices: Collection[str] | None = None,
    languages: Collection[str] | None = None,
    library: Mapping[str, Movement] | LibraryOf | None = None,
) -> Plan:
    """Return the plan in ``text``; ``file`` is the name that messages show.

    Without a ``folder`` other files are not looked for. The rest is as in
    `read_plan`.

    Raises
    ------
    PlanError
        With every mistake found, in file order.
    """
    problems = Problems(file)
    root = read_tree(text, file)
    if not isinstance(root, MappingNode):
        what = f"This is no plan: here is {kind_name(root)} and no key."
        remedy = 'Start with a line such as "title: Ten gentle minutes".'
        raise refusal(file, root.place, what, remedy)
    said = read_keys(PLAN, root.entries, root.place, Reader(problems, _READ_WITH))
    if said is UNREAD:
        raise TypeError("a plan is read whatever it lacks")
    plan = replace(
        said,
        file=file,
        sections=_sections(said, problems, folder, library),
        music=_music(said, problems, folder),
        group=_understood(said.group),
        voice=_known_voice(said, problems, voices),
        language=_known_language(said, problems, languages),
    )
    problems.raise_if_any()
    read = with_ways_down(with_own_words_read(plan), words_of(said.language))
    return with_cautions_for_group(read)


def _sections(
    said: Plan,
    problems: Problems,
    folder: Path | None,
    library: Mapping[str, Movement] | LibraryOf | None,
) -> tuple[Section, ...]:
    """Return the sections made whole, a welcome and a close among them."""
    passes = SectionPasses(
        problems=problems,
        library=_movements(said, problems, folder, library),
        folder=folder,
        coaching=said.coaching,
        words=words_of(said.language),
    )
    written = _in_order(said, problems)
    opening = _opening_of_class(written)
    sections = [
        section
        for each in written
        if (section := passes.whole(each, opens_class=each is opening))
    ]
    _check_movements(said, problems)
    _check_length(sections, said, problems)
    kinds = {section.kind for section in written}
    if SectionKind.WELCOME not in kinds:
        sections.insert(0, passes.default_talk(SectionKind.WELCOME))
    if SectionKind.CLOSE not in kinds:
        sections.append(passes.default_talk(SectionKind.CLOSE))
    return tuple(sections)


def _understood(group: Group) -> Group:
    """Return a group whose words are facts; who has one outweighs who has not."""
    said = read_group(", ".join(group.facts))
    denied = read_group(", ".join(group.denied))
    nobody = (*said.denied, *denied.facts, *denied.denied)
    left = (fact for fact in dict.fromkeys(nobody) if fact not in said.facts)
    return replace(
        group, facts=tuple(map(str, said.facts)), denied=tuple(map(str, left))
    )


def _music(said: Plan, problems: Problems, folder: Path | None) -> Music | None:
    """Return the music of the class, None where none is wanted."""
    music = found_music(said.music, folder, problems)
    return music if music and (music.files or music.own) else None


def words_of(language: str) -> Phrases:
    """Return the words of a language; a plan in one without any is refused later."""
    spoken = language_file(language, PHRASES_FILE) is not None
    return load_phrases(language if spoken else FALLBACK)


def _movements(
    said: Plan,
    problems: Problems,
    folder: Path | None,
    library: Mapping[str, Movement] | LibraryOf | None,
) -> Library:
    """Return the library with the plan's own files before it."""
    given = library(said.language) if callable(library) else library
    own: dict[str, Movement] = {}
    place = said.place_of("library")
    for name in said.library:
        if folder and check_file(folder, name, place, problems, what="library"):
            try:
                own.update(by_name(read_movements(folder / name, said.language)))
            except PlanError as error:
                if is_beside(folder, name):
                    problems.include(error)
                    continue
                what = f"The library file {shown(name)} is no file of movements, or "
                what += "has mistakes."
                remedy = "Copy it beside the plan, as .yaml, to be told what is wrong."
                problems.add(place, what, remedy, PlanRefusal.FILE)
    return Library.of({**(given or {}), **own})


def _in_order(said: Plan, problems: Problems) -> list[Section]:
    """Return the sections in order, welcome first and close last."""
    if said.wrote("sections"):
        _check_ends(said.sections, problems)
        return list(said.sections)
    order = {SectionKind.WELCOME: -1, SectionKind.CLOSE: 1}
    return sorted(said.sections, key=lambda section: order.get(section.kind, 0))


def _opening_of_class(written: Iterable[Section]) -> Section | None:
    """Return the section that opens a class whose welcome is not wanted."""
    welcomes = [each for each in written if each.kind is SectionKind.WELCOME]
    if not welcomes or any(each.duration_ms != 0 for each in welcomes):
        return None
    return next((each for each in written if each not in welcomes), None)


def _check_ends(written: Sequence[Section], problems: Problems) -> None:
    for kind, index, where in (
        (SectionKind.WELCOME, 0, "first"),
        (SectionKind.CLOSE, len(written) - 1, "last"),
    ):
        for position, section in enumerate(written):
            if section.kind is kind and position != index:
                what = f"A {kind} stands in the middle of the class."
                remedy = f"Put it {where} in the list."
                problems.add(section.place, what, remedy, PlanRefusal.ENDS_OF_CLASS)


def _check_movements(said: Plan, problems: Problems) -> None:
    """Tell when nothing in the whole plan is ever done."""
    talks = {SectionKind.WELCOME, SectionKind.CLOSE}
    tried = said.misread("sections") or any(s.kind not in talks for s in said.sections)
    if not tried and not said.wrote("sections"):
        what = "The plan has no movements."
        remedy = "Add a section, such as warm-up: [shoulder roll, easy march]."
        problems.add(said.place, what, remedy, PlanRefusal.NO_MOVEMENTS)


def _check_length(sections: list[Section], said: Plan, problems: Problems) -> None:
    total_ms = sum(section_length_ms(section) for section in sections)
    if total_ms > LONGEST_CLASS_MS:
        what = f"The class takes {duration(total_ms)}, longer than makes sense."
        remedy = (
            f"Make it at most {duration(LONGEST_CLASS_MS)}: check rounds and times."
        )
        problems.add(said.place, what, remedy, PlanRefusal.CLASS_TOO_LONG)


def _known_voice(
    plan: Plan, problems: Problems, voices: Collection[str] | None
) -> str | None:
    said = plan.voice
    if said is None or voices is None:
        return said
    known = {voice.casefold(): voice for voice in voices}
    if said.casefold() not in known:
        what = f"There is no voice {shown(said)}."
        remedy = suggestion(said, sorted(voices))
        problems.add(plan.place_of("voice"), what, remedy, PlanRefusal.VOICE)
    return known.get(said.casefold())


def _known_language(
    plan: Plan, problems: Problems, languages: Collection[str] | None
) -> str:
    said = plan.language.replace("_", "-")
    place = plan.place_of("language")
    if languages is None:
        if not _LANGUAGE_CODE.fullmatch(said):
            what = f"{shown(said)} is no code of a language."
            remedy = "Write a code such as en, de or en-GB."
            problems.add(place, what, remedy, PlanRefusal.LANGUAGE)
        return said
    known = {language.casefold(): language for language in languages}
    whole = said.casefold()
    if whole not in known and base_language(said) not in known:
        what = f"There are no words to say in the language {shown(said)}: its file "
        what += f"{base_language(said)}/phrases.yaml is missing."
        remedy = f"{suggestion(said, sorted(languages))} Or add the language, as "
        remedy += "cuetrack/languages/README.md says."
        problems.add(place, what, remedy, PlanRefusal.LANGUAGE)
    return known.get(whole, said)
