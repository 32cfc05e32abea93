"""The sheet to take home: six movements a page, how, how long, when to stop."""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING, Any, Final

from cuetrack.cues.model import MOVING
from cuetrack.cues.timeline import activities
from cuetrack.languages.phrases import sentence
from cuetrack.output.handouts.printing import TYPST_PAPERS, all_breakable, drawn_page
from cuetrack.output.handouts.sheet_rows import things_used
from cuetrack.output.handouts.sheet_text import apart, capital, short_length, shown
from cuetrack.output.handouts.sheet_typesetting import pdf_of, template

if TYPE_CHECKING:
    from collections.abc import Iterator

    from cuetrack.cues.model import Segment, Timeline
    from cuetrack.languages.phrases import Phrases
    from cuetrack.output.handouts.printing import Paper
    from cuetrack.plan.model import Movement, Plan

A_PAGE: Final = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class HomeMovement:
    """One movement as it is done at home; ``figure`` is its name in the drawings."""

    name: str
    figure: str
    dose: str
    how: str
    notes: tuple[tuple[str, str], ...]


def home_sheet_pdf(
    plan: Plan, timeline: Timeline, phrases: Phrases, *, paper: Paper = "a4"
) -> bytes:
    """Return the movements of a class to do at home, as a PDF.

    The same class gives the same bytes.
    """
    sheet = phrases.sheet
    things = tuple(
        apart(shown(thing))
        for thing in things_used(plan.bring, timeline.segments, phrases)
    )
    values: dict[str, Any] = all_breakable(
        {
            "title": phrases.on_sheet("home title", title=apart(shown(plan.title))),
            "before": sheet["home before"],
            "bring": sheet["bring"] if things else "",
            "things": phrases.listed(things) if things else "",
            "stop_head": sheet["when to stop"],
            "stop_signs": phrases.sheet_lists["stop sign list"],
            "advice": sheet["other rules"],
            "emergency": sheet["glance emergency"],
            "movements": [
                asdict(one) for one in home_movements(timeline, plan, phrases)
            ],
        }
    )
    values |= {
        **drawn_page(timeline, phrases),
        "paper": TYPST_PAPERS[paper],
        "a_page": A_PAGE,
    }
    return pdf_of(template("home.typ"), json.dumps(values))


def home_movements(
    timeline: Timeline, plan: Plan, phrases: Phrases
) -> tuple[HomeMovement, ...]:
    """Return each movement of a class once, with its time and its rounds."""
    found: dict[str, HomeMovement] = {}
    for run in activities(timeline.segments):
        movement = run[0].movement
        if movement is None or run[0].kind not in MOVING or movement.name in found:
            continue
        found[movement.name] = HomeMovement(
            name=apart(capital(shown(movement.name))),
            figure=shown(movement.name),
            dose=_dose(run, plan, phrases),
            how=apart(sentence(shown(movement.told))) if movement.told else "",
            notes=tuple(_notes(movement, phrases)),
        )
    return tuple(found.values())


def _dose(run: tuple[Segment, ...], plan: Plan, phrases: Phrases) -> str:
    first = run[0]
    length = short_length(run[-1].end_ms - first.start_ms, phrases)
    intervals = plan.sections[first.section].intervals
    if intervals is None or not intervals.rest_ms:
        told = phrases.on_sheet("home once", length=length)
    else:
        told = phrases.on_sheet(
            "home intervals",
            work=length,
            rest=short_length(intervals.rest_ms, phrases),
            rounds=phrases.counted("round", intervals.rounds),
        )
    if len(run) == 1:
        return told
    sides = phrases.listed(tuple(apart(shown(side.side or "")) for side in run))
    return f"{told} {phrases.on_sheet('home sides', sides=sides)}"


def _notes(movement: Movement, phrases: Phrases) -> Iterator[tuple[str, str]]:
    for label, text in (
        ("in hands", phrases.without_article(movement.equipment or "")),
        ("easier", movement.easier),
        ("take care", movement.caution),
    ):
        if text:
            yield phrases.sheet[label], apart(sentence(shown(text)))
