"""Rules on what is said when, by the placed cue sheet."""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING, Final

from cuetrack import cuekinds
from cuetrack.cues.model import MOVING, SegmentKind
from cuetrack.cues.tonekinds import ToneKind
from cuetrack.documents.places import Place
from cuetrack.review import limits
from cuetrack.review.case import done_times, named
from cuetrack.review.model import Hit
from cuetrack.times import clock, duration

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping

    from cuetrack.cues.model import Segment
    from cuetrack.plan.model import Movement
    from cuetrack.review.case import Case

_PREVIEW_WORDS: Final = 1
"""A preview says "next" before the name."""
_COACHED: Final = (cuekinds.FORM, cuekinds.ENCOURAGEMENT, cuekinds.OPTION)


def preview_too_long(case: Case) -> Iterator[Hit]:
    """C01: name and short how-to of a new movement need more than the rest gives."""
    seen: set[str] = set()
    for before, after in zip(case.segments, case.segments[1:], strict=False):
        movement = after.movement
        if after.kind is not SegmentKind.WORK or movement is None:
            continue
        if movement.name not in seen and before.kind is SegmentKind.REST:
            needs_ms = _preview_ms(movement)
            room_ms = max(0, before.length_ms - limits.REST_NOT_SPOKEN_MS)
            if needs_ms > room_ms:
                what = (
                    f"Explaining {movement.name} takes {duration(needs_ms)}, and the "
                )
                what += f"rest before it leaves {duration(room_ms)}."
                segments = (before.id, after.id)
                yield Hit(what=what, place=movement.place, segments=segments)
        seen.add(movement.name)


def _preview_ms(movement: Movement) -> int:
    how = movement.how_short or movement.how or ""
    words = _PREVIEW_WORDS + len(movement.name.split()) + len(how.split())
    return round(words * 600 / limits.WORDS_A_MINUTE) * 100


def late_preview(case: Case) -> Iterator[Hit]:
    """C02: no preview has started in time, or one still goes on at the change."""
    previews = case.said(cuekinds.PREVIEW)
    since_ms = 0
    for parts in done_times(case):
        change_ms = parts[0].start_ms
        movement = parts[0].movement
        # The last one says it; older ones belong to what was done before.
        own = [p for p in previews if since_ms <= p.start_ms < change_ms]
        in_time = any(
            p.start_ms <= change_ms - limits.CHANGE_LEAD_MS and p.end_ms <= change_ms
            for p in own
        )
        if movement and not in_time:
            what = f"{movement.name} starts at {clock(change_ms)}, and its name is not "
            what += f"said {duration(limits.CHANGE_LEAD_MS)} before."
            yield Hit(what=what, place=movement.place, segments=(parts[0].id,))
        since_ms = change_ms


def no_count(case: Case) -> Iterator[Hit]:
    """C03: neither words nor ticks count to the start and the end of a work."""
    ticks_ms = [
        tone.start_ms
        for tone in (case.placed.sheet.tones if case.placed else ())
        if tone.kind is ToneKind.TICK
    ]
    words = case.said(cuekinds.COUNT_IN, cuekinds.COUNTDOWN)
    counts_ms = ticks_ms + [p.start_ms for p in words]
    for parts in done_times(case):
        if parts[0].kind is not SegmentKind.WORK or parts[0].movement is None:
            continue
        for at_ms, which in ((parts[0].start_ms, "start"), (parts[-1].end_ms, "end")):
            reach_ms = at_ms - limits.COUNT_REACHES_MS
            if not any(reach_ms <= count_ms < at_ms for count_ms in counts_ms):
                what = f"Nothing counts to the {which} of {parts[0].movement.name}."
                place = parts[0].movement.place
                yield Hit(what=what, place=place, segments=(parts[0].id,))


def _equipment_changes(
    case: Case,
) -> Iterator[tuple[str | None, str | None, Segment, Segment | None]]:
    """Yield what was in the hands, what is next, the segment, and the last use."""
    held: str | None = None
    last_use: Segment | None = None
    for segment in case.segments:
        movement = segment.movement
        if movement is None and segment.kind is not SegmentKind.CLOSE:
            continue
        needed = movement.equipment if movement and segment.kind in MOVING else None
        if needed != held:
            yield held, needed, segment, last_use
        held = needed
        last_use = segment if needed else last_use


def late_equipment(case: Case) -> Iterator[Hit]:
    """C05: one hit for each movement and thing."""
    spoken = case.said(cuekinds.EQUIPMENT)
    told: set[tuple[str, str]] = set()
    for _, needed, segment, _ in _equipment_changes(case):
        if needed is None or segment.movement is None:
            continue
        latest_ms = segment.start_ms - limits.EQUIPMENT_LEAD_MS
        earliest_ms = segment.start_ms - limits.EQUIPMENT_REACH_MS
        early = any(earliest_ms <= p.start_ms and p.end_ms <= latest_ms for p in spoken)
        key = (segment.movement.name, needed)
        if not early and key not in told:
            told.add(key)
            what = f"{needed} for {segment.movement.name} is not asked for "
            what += f"{duration(limits.EQUIPMENT_LEAD_MS)} before."
            place = segment.movement.place
            yield Hit(what=what, place=place, segments=(segment.id,))


def hands_not_free(case: Case) -> Iterator[Hit]:
    """C06: nothing says to put it down before a hold or the end of the intervals."""
    spoken = case.said(cuekinds.EQUIPMENT)
    for held, _, segment, last_use in _equipment_changes(case):
        if held is None or last_use is None:
            continue
        stretch = segment.movement is not None and segment.movement.hold
        free = stretch or segment.kind is SegmentKind.RECOVERY
        if not free and segment.section == last_use.section:
            continue
        until_ms = segment.start_ms if stretch else segment.end_ms
        if not any(last_use.start_ms <= p.start_ms < until_ms for p in spoken):
            name = segment.movement.name if segment.movement else "the close"
            what = f"Nothing asks to put {held} down before {name}."
            place = last_use.movement.place if last_use.movement else Place()
            yield Hit(what=what, place=place, segments=(last_use.id, segment.id))


def voice_without_pause(case: Case) -> Iterator[Hit]:
    """C07: the share of speech in the works of one movement."""
    for parts in done_times(case):
        length_ms = parts[-1].end_ms - parts[0].start_ms
        movement = parts[0].movement
        if parts[0].kind is not SegmentKind.WORK or movement is None:
            continue
        if length_ms <= limits.SPEECH_SHARE_FROM_MS:
            continue
        spoken_ms = sum(
            max(0, min(p.end_ms, parts[-1].end_ms) - max(p.start_ms, parts[0].start_ms))
            for p in case.said()
        )
        if spoken_ms > limits.MOST_SPEECH_SHARE * length_ms:
            what = f"The voice fills {spoken_ms / length_ms:.0%} of {movement.name}."
            yield Hit(what=what, place=movement.place, segments=(parts[0].id,))


def alike_rounds(case: Case) -> Iterator[Hit]:
    """C10: the last two rounds of a section coach in the same words."""
    rounds: dict[tuple[int, int], list[str]] = defaultdict(list)
    where = {s.id: (s.section, s.round) for s in case.works if s.round}
    for placed in case.said(*_COACHED):
        section, number = where.get(placed.cue.segment, (0, None))
        if number:
            rounds[section, number].append(placed.wording.text)
    for section in dict.fromkeys(s.section for s in case.works):
        last = max(s.round or 0 for s in case.works if s.section == section)
        words = rounds.get((section, last))
        if words and words == rounds.get((section, last - 1)):
            what = f"Rounds {last - 1} and {last} coach in the same words."
            yield Hit(what=what, place=case.plan.sections[section].place)


def speed_of_voice(case: Case) -> Iterator[Hit]:
    """A03: over all sentences of some length; counts and calls are no measure."""
    long = [p for p in case.said() if len(p.wording.text.split()) >= 5]
    words = sum(len(p.wording.text.split()) for p in long)
    spoken_ms = sum(p.end_ms - p.start_ms for p in long)
    known = case.reading
    if known is None or words < limits.RATE_FROM_WORDS or not spoken_ms:
        return
    rate = words * 60_000 / spoken_ms
    if not known.slowest_voice <= rate <= known.fastest_voice:
        yield Hit(what=f"The voice speaks {rate:.0f} words a minute.")


def music_near_voice(case: Case) -> Iterator[Hit]:
    """A01: as measured on the mix."""
    near = [lu for lu in case.separations_lu if lu < limits.LEAST_SEPARATION_LU]
    if near:
        what = (
            f"Under {len(near)} of {len(case.separations_lu)} cues the music is less "
        )
        what += f"than {limits.LEAST_SEPARATION_LU:g} LU softer than the voice, at the "
        yield Hit(what=f"{what}least {min(near):.1f}.", place=_music_place(case))


def _music_place(case: Case) -> Place:
    own = (section.music for section in case.plan.sections)
    return next((m.place for m in (case.plan.music, *own) if m), Place())


def unexplained(case: Case) -> Iterator[Hit]:
    """C09: one hit for the movements of the intervals that have no words.

    A leader who coaches live explains them herself.
    """
    without = [m for m, _ in case.work_movements() if not (m.how or m.how_short)]
    if without and case.voice_coaches:
        what = f"No how-to is told for {named([m.name for m in without])}."
        yield Hit(what=what, place=without[0].place)


CHECKS: Final[Mapping[str, Callable[[Case], Iterator[Hit]]]] = {
    "C01": preview_too_long,
    "C09": unexplained,
}

SHEET_CHECKS: Final[Mapping[str, Callable[[Case], Iterator[Hit]]]] = {
    "C02": late_preview,
    "C03": no_count,
    "C05": late_equipment,
    "C06": hands_not_free,
    "C07": voice_without_pause,
    "C10": alike_rounds,
    "A03": speed_of_voice,
}
"""Rules that need to know what is said when."""

MIX_CHECKS: Final[Mapping[str, Callable[[Case], Iterator[Hit]]]] = {
    "A01": music_near_voice
}
"""Rules that need a measured mix."""
