"""Reading a plan: from a YAML file to a `Plan`, or to every mistake in it.

The text becomes a bounded tree with places (`yamltree`), the tree is read by
the table of keys (`fields`, `blocks`, `values`), and what was said is put
together with its defaults (`sections`, `movements`, `musicfiles`).
"""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from cuetrack.documents.problems import Problems, refusal, shown
from cuetrack.documents.textfile import read_text
from cuetrack.documents.tree import MappingNode, read_tree
from cuetrack.errors import PlanError
from cuetrack.languages.folders import FALLBACK, base_language, language_file
from cuetrack.languages.phrases import FILE as PHRASES_FILE
from cuetrack.languages.phrases import load_phrases
from cuetrack.movements.group_reading import read_group
from cuetrack.plan.blocks import BlockReader, BlockValue, SectionValue
from cuetrack.plan.defaults import LONGEST_CLASS_MS
from cuetrack.plan.fields import PLAN, SECTIONS
from cuetrack.plan.lengths import section_length_ms
from cuetrack.plan.library import by_name, read_movements
from cuetrack.plan.model import Acknowledgement, Group, Plan, SectionKind
from cuetrack.plan.movements import Library
from cuetrack.plan.musicfiles import MusicBuilder, check_file
from cuetrack.plan.sections import SectionBuilder
from cuetrack.plan.side_names import with_side_names
from cuetrack.plan.values import UNREAD, kind_name, suggestion
from cuetrack.times import duration

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Iterable, Mapping
    from pathlib import Path

    from cuetrack.languages.phrases import Phrases
    from cuetrack.plan.model import Movement, Section

    LibraryOf = Callable[[str], Mapping[str, Movement]]

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
    block = BlockReader(problems).keys_of(root, PLAN)
    movements = _movements(block, problems, folder, library)
    plan = replace(
        _build(block, problems, folder, movements),
        voice=_known_voice(block, problems, voices),
        language=_known_language(block, problems, languages),
    )
    problems.raise_if_any()
    return plan


def _build(
    block: BlockValue,
    problems: Problems,
    folder: Path | None,
    library: Library,
) -> Plan:
    music = MusicBuilder(problems, folder)
    words = _words(block.get("language"))
    builder = SectionBuilder(
        problems,
        library,
        music,
        block.get("coaching"),
        words,
    )
    written = _written_sections(block, problems)
    opening = _opening_of_class(written)
    sections = [
        with_side_names(section, words.side_names)
        for value in written
        if (section := builder.build(value, opens_class=value is opening))
    ]
    _check_movements(written, block, problems)
    _check_length(sections, block, problems)
    kinds = {value.kind for value in written}
    if SectionKind.WELCOME not in kinds:
        sections.insert(0, builder.default_talk(SectionKind.WELCOME))
    if SectionKind.CLOSE not in kinds:
        sections.append(builder.default_talk(SectionKind.CLOSE))
    return Plan(
        title=block.get("title") or "",
        coaching=block.get("coaching"),
        counting=block.get("counting"),
        pace=block.get("pace"),
        options=block.get("options"),
        bring=block.get("bring"),
        lasts_ms=block.get("lasts"),
        music=music.build(block.get("music"), block.place_of("music")),
        group=_group(block.get("group")),
        pronunciations=tuple((p.key, p.text) for p in block.get("pronounce")),
        acknowledged=tuple(
            Acknowledgement(rule=p.key, reason=p.text, place=p.place)
            for p in block.get("acknowledge")
        ),
        sections=tuple(sections),
        file=problems.file,
    )


def _words(language: str) -> Phrases:
    """Return the words of a language; a plan in one without any is refused later."""
    spoken = language_file(language, PHRASES_FILE) is not None
    return load_phrases(language if spoken else FALLBACK)


def _movements(
    block: BlockValue,
    problems: Problems,
    folder: Path | None,
    library: Mapping[str, Movement] | LibraryOf | None,
) -> Library:
    """Return the library with the plan's own files before it."""
    language = block.get("language")
    given = library(language) if callable(library) else library
    own: dict[str, Movement] = {}
    names = block.get("library")
    place = block.place_of("library")
    for name in names:
        if folder and check_file(folder, name, place, problems, what="library"):
            try:
                own.update(by_name(read_movements(folder / name, language)))
            except PlanError as error:
                problems.include(error)
    return Library.of({**(given or {}), **own})


def _group(value: Any) -> Group:  # noqa: ANN401
    if value is None:
        return Group()
    if not isinstance(value, BlockValue):
        return Group(**_facts_of(value, ()))
    return Group(
        age=value.get("age"),
        level_db_spl=value.get("level"),
        **_facts_of(value.get("facts"), value.get("not")),
    )


def _facts_of(facts: Iterable[str], nobody_has: Iterable[str]) -> dict[str, Any]:
    """Return what is told of a group; what somebody has outweighs what nobody has."""
    said = read_group(", ".join(facts))
    denied = read_group(", ".join(nobody_has))
    nobody = (*said.denied, *denied.facts, *denied.denied)
    left = (fact for fact in dict.fromkeys(nobody) if fact not in said.facts)
    return {"facts": tuple(map(str, said.facts)), "denied": tuple(map(str, left))}


def _written_sections(block: BlockValue, problems: Problems) -> list[SectionValue]:
    """Return the sections in order, welcome first and close last."""
    kinds = [field.key for field in SECTIONS]
    as_keys = [key for key in block.places if key in kinds]
    if not block.wrote("sections"):
        written = [
            SectionValue(
                kind=SectionKind(key),
                value=block.said.get(key, UNREAD),
                place=block.keys[key],
            )
            for key in as_keys
        ]
        order = {SectionKind.WELCOME: -1, SectionKind.CLOSE: 1}
        return sorted(written, key=lambda section: order.get(section.kind, 0))
    for key in as_keys:
        what = f'"{key}" stands beside the list "sections".'
        problems.add(block.keys[key], what, "Move it into the list.")
    written = [s for s in block.get("sections") or () if s is not UNREAD]
    _check_ends(written, problems)
    return written


def _opening_of_class(written: list[SectionValue]) -> SectionValue | None:
    """Return the section that opens a class whose welcome is not wanted."""
    welcomes = [each for each in written if each.kind is SectionKind.WELCOME]
    if not welcomes or any(each.value != 0 for each in welcomes):
        return None
    return next((each for each in written if each not in welcomes), None)


def _check_ends(written: list[SectionValue], problems: Problems) -> None:
    for kind, index, where in (
        (SectionKind.WELCOME, 0, "first"),
        (SectionKind.CLOSE, len(written) - 1, "last"),
    ):
        for position, section in enumerate(written):
            if section.kind is kind and position != index:
                what = f"A {kind} stands in the middle of the class."
                problems.add(section.place, what, f"Put it {where} in the list.")


def _check_movements(
    written: list[SectionValue], block: BlockValue, problems: Problems
) -> None:
    """Tell when nothing in the whole plan is ever done."""
    talks = {SectionKind.WELCOME, SectionKind.CLOSE}
    tried = any(value.kind not in talks for value in written)
    if not tried and not block.wrote("sections"):
        what = "The plan has no movements."
        remedy = "Add a section, such as warm-up: [shoulder roll, easy march]."
        problems.add(block.place, what, remedy)


def _check_length(
    sections: list[Section], block: BlockValue, problems: Problems
) -> None:
    total_ms = sum(section_length_ms(section) for section in sections)
    if total_ms > LONGEST_CLASS_MS:
        what = f"The class takes {duration(total_ms)}, longer than makes sense."
        remedy = (
            f"Make it at most {duration(LONGEST_CLASS_MS)}: check rounds and times."
        )
        problems.add(block.place, what, remedy)


def _known_voice(
    block: BlockValue, problems: Problems, voices: Collection[str] | None
) -> str | None:
    said: str | None = block.get("voice")
    if said is None or voices is None:
        return said
    known = {voice.casefold(): voice for voice in voices}
    if said.casefold() not in known:
        what = f"There is no voice {shown(said)}."
        problems.add(block.place_of("voice"), what, suggestion(said, sorted(voices)))
    return known.get(said.casefold())


def _known_language(
    block: BlockValue, problems: Problems, languages: Collection[str] | None
) -> str:
    said: str = block.get("language").replace("_", "-")
    place = block.place_of("language")
    if languages is None:
        if not _LANGUAGE_CODE.fullmatch(said):
            what = f"{shown(said)} is no code of a language."
            problems.add(place, what, "Write a code such as en, de or en-GB.")
        return said
    known = {language.casefold(): language for language in languages}
    whole = said.casefold()
    if whole not in known and base_language(said) not in known:
        what = f"There are no words to say in the language {shown(said)}: its file "
        what += f"{base_language(said)}/phrases.yaml is missing."
        remedy = f"{suggestion(said, sorted(languages))} Or add the language, as "
        problems.add(place, what, f"{remedy}cuetrack/languages/README.md says.")
    return known.get(whole, said)
