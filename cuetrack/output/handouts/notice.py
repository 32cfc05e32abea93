"""A short text for an e-mail or a notice board: what the class is, and for whom.

Plain text, so that it can be pasted anywhere. What only the venue knows is left
blank. It asks people to seek advice and promises nothing.
"""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING

from cuetrack.cues.model import MOVING, SegmentKind
from cuetrack.cues.writing.clockwork import clockwork
from cuetrack.output.handouts.sheet_rows import things_used
from cuetrack.output.handouts.sheet_text import capital, shortened, shown
from cuetrack.plan.model import SectionKind

if TYPE_CHECKING:
    from collections.abc import Iterator

    from cuetrack.cues.model import Timeline
    from cuetrack.languages.phrases import Phrases
    from cuetrack.plan.model import Plan, Section

LINE_CHARACTERS = 72
MOST_NAMES = 12
_LONGEST_NAME = 60

_BLANK = "_" * 30


def notice(plan: Plan, timeline: Timeline, phrases: Phrases) -> str:
    """Return the notice of a class: paragraphs of lines of at most 72 characters.

    Only a single word longer than that makes a longer line.
    """
    head = phrases.on_sheet("notice head", title=shown(plan.title))
    blanks = [f"{label} {_BLANK}" for label in phrases.sheet_lists["notice blanks"]]
    paragraphs = [
        "\n".join(_lines(head)),
        "\n".join(blanks),
        *("\n".join(_lines(text)) for text in _texts(plan, timeline, phrases)),
    ]
    return "\n\n".join(paragraphs) + "\n"


def _texts(plan: Plan, timeline: Timeline, phrases: Phrases) -> Iterator[str]:
    sheet = phrases.sheet
    yield " ".join(_what_it_is(plan, timeline, phrases))
    names = _movement_names(timeline)
    if names:
        key = (
            "notice movements" if len(names) <= MOST_NAMES else "notice some movements"
        )
        listed = phrases.listed(names[:MOST_NAMES])
        yield phrases.on_sheet(key, movements=listed)
    things = things_used(plan.bring, timeline.segments, phrases)
    if things:
        listed = phrases.listed(tuple(map(shown, things)))
        yield phrases.on_sheet("notice bring", things=listed)
    yield sheet["notice rest"]
    yield sheet["notice caution"]
    yield sheet["notice unwell"]
    yield sheet["notice at home"]


def _what_it_is(plan: Plan, timeline: Timeline, phrases: Phrases) -> Iterator[str]:
    minutes = max(1, round(timeline.end_ms / 60_000))
    length = phrases.counted("minute", minutes)
    yield phrases.on_sheet("notice what", length=length)
    main = [s for s in plan.sections if s.intervals and s.movements]
    if len(main) == 1:
        yield _clockwork(main[0], phrases)
    if {SectionKind.WARM_UP, SectionKind.COOL_DOWN} <= {s.kind for s in plan.sections}:
        yield phrases.sheet["notice frame"]


def _clockwork(section: Section, phrases: Phrases) -> str:
    """Say how the main part works, as the welcome does."""
    words = clockwork(section, phrases)
    key = "notice main" if "rest" in words else "notice main alike"
    return phrases.on_sheet(key, **words)


def _movement_names(timeline: Timeline) -> tuple[str, ...]:
    """Return the movements of the main part, or of a class without one, each once."""
    done = [s for s in timeline.segments if s.kind in MOVING and s.movement]
    main = [s for s in done if s.kind is SegmentKind.WORK]
    return tuple(
        dict.fromkeys(
            shortened(shown(segment.movement.name), _LONGEST_NAME)
            for segment in main or done
            if segment.movement
        )
    )


def _lines(text: str) -> list[str]:
    return textwrap.wrap(
        capital(text), LINE_CHARACTERS, break_long_words=False, break_on_hyphens=False
    )
