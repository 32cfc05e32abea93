"""What frames the class: welcome, safety, openings, rests, close, and free cues.

Safety is said whatever else is: the chair, the stop signs, permission to rest
and whose advice comes first in the welcome (in the first segment of a class
without one), and how to stand up at the end (in the last segment of a class
without a close). Sentences of the leader's own replace the greeting and the
farewell, never the safety.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from cuetrack import cuekinds
from cuetrack.cuekinds import CueKind
from cuetrack.cues.model import Segment, SegmentKind
from cuetrack.cues.writing.drafts import Draft
from cuetrack.cues.writing.equipment import all_equipment
from cuetrack.documents.names import movement_key
from cuetrack.languages.phrases import sentence
from cuetrack.plan.model import CountFrom, Section, SectionKind

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from cuetrack.cues.writing.drafts import WritingContext
    from cuetrack.languages.phrases import Wordings
    from cuetrack.plan.model import FreeCue

Line = tuple[CueKind, tuple["Wordings", ...]]

SAFETY_FIRST = (
    "safety chair",
    "safety stop signs",
    "safety rest",
    "safety own advice",
)
"""What must be heard before anyone moves, in order."""

WELCOME_PACE_MS = 9_000
"""The sentences of a welcome start at most this far apart."""

CLOSE_PACE_MS = 20_000
"""Those of a close: there is a minute to sit before standing up."""

FEET_FROM_MS = 20_000
"""In a rest of this length people are told to keep their feet moving."""

SIP_EVERY_MS = 900_000
"""Water is offered at every recovery, and in an opening after this long without."""

FAREWELL_FROM_MS = 20_000
"""A shorter close has time for its safety only, and for a leader's own words."""

CLOSING_MS = 30_000
"""Without a close, the last words come within this time of the end."""


def frame_drafts(scene: WritingContext) -> tuple[Draft, ...]:
    """Return everything that is said around the movements."""
    if not scene.segments:
        return ()
    drafts = [*_welcome(scene), *_close(scene), *_free(scene), *_sips(scene)]
    for segment in scene.segments:
        if segment.kind is SegmentKind.OPENING:
            drafts += _opening(scene, segment)
        elif segment.kind is SegmentKind.REST:
            drafts += _rest(scene, segment)
    return tuple(drafts)


def _section(scene: WritingContext, segment: Segment) -> Section:
    return scene.plan.sections[segment.section]


def _welcome(scene: WritingContext) -> Iterator[Draft]:
    first = next(
        (s for s in scene.segments if s.kind is SegmentKind.WELCOME), scene.segments[0]
    )
    lines: list[Line] = []
    if first.kind is SegmentKind.WELCOME and scene.spoken_coaching:
        lines += _greeting(scene, _section(scene, first))
    lines += _safety(scene, SAFETY_FIRST)
    until_ms = scene.words_until_ms(first)
    wanted_from_ms = scene.words_from_ms(first)
    if not scene.spoken_coaching:
        # A leader welcomes people; the voice adds the safety afterwards.
        wanted_from_ms = (wanted_from_ms + until_ms) // 2
    yield from _in_turn(
        scene,
        first,
        lines,
        wanted_from_ms=wanted_from_ms,
        until_ms=until_ms,
        most_apart_ms=WELCOME_PACE_MS,
    )


def _greeting(scene: WritingContext, section: Section) -> Iterator[Line]:
    phrases = scene.phrases
    if section.says:
        yield from _own_words(section.says, cuekinds.WELCOME)
    else:
        length = phrases.counted(
            "minute", max(1, round(scene.timeline.end_ms / 60_000))
        )
        yield (
            cuekinds.WELCOME,
            phrases.variants("welcome", title=scene.plan.title, length=length),
        )
        main = [s for s in scene.plan.sections if s.intervals and s.movements]
        if len(main) == 1:
            fields = _clockwork(scene, main[0])
            yield cuekinds.WELCOME, phrases.variants("welcome intervals", **fields)
    listed = phrases.listed(_things_to_bring(scene))
    yield cuekinds.WELCOME, phrases.variants("welcome bring", things=listed)


def _things_to_bring(scene: WritingContext) -> tuple[str, ...]:
    """Return what the plan names, and what it does not name but needs."""
    named = tuple(dict.fromkeys(scene.plan.bring))
    keys = [movement_key(thing) for thing in named]
    needed = (*all_equipment(scene), scene.phrases.piece("water"))
    missing = (
        thing
        for thing in needed
        if not any(
            movement_key(scene.phrases.without_article(thing)) in key for key in keys
        )
    )
    return (*named, *missing)


def _own_words(says: tuple[str, ...], kind: CueKind) -> Iterator[Line]:
    for text in says:
        yield kind, ((sentence(text),),)


def _clockwork(scene: WritingContext, section: Section) -> dict[str, str]:
    """Return the clock of an intervals section in words."""
    phrases, intervals = scene.phrases, section.intervals
    if intervals is None:
        return {}
    return {
        "rounds": phrases.counted("round", intervals.rounds),
        "movements": phrases.counted("movement", len(section.movements)),
        "work": phrases.length(intervals.work_ms),
        "rest": phrases.length(intervals.rest_ms),
    }


def _safety(scene: WritingContext, keys: Sequence[str]) -> Iterator[Line]:
    for key in keys:
        yield cuekinds.SAFETY, scene.phrases.variants(key)


def _in_turn(
    scene: WritingContext,
    segment: Segment,
    lines: Sequence[Line],
    *,
    wanted_from_ms: int,
    until_ms: int,
    most_apart_ms: int,
) -> Iterator[Draft]:
    """Yield lines in their order, spread over the time, none bound to its place."""
    step_ms = min((until_ms - wanted_from_ms) // max(1, len(lines)), most_apart_ms)
    for number, (kind, words) in enumerate(lines):
        yield Draft(
            kind=kind,
            segment=segment,
            window_start_ms=min(scene.words_from_ms(segment), until_ms),
            window_end_ms=until_ms,
            candidates=words,
            essential=kind is cuekinds.SAFETY,
            wanted_ms=wanted_from_ms + number * step_ms,
        )


def _close(scene: WritingContext) -> Iterator[Draft]:
    last = scene.segments[-1]
    lines: list[Line] = []
    closing = last.kind is SegmentKind.CLOSE
    says = _section(scene, last).says if closing else ()
    own = list(_own_words(says, cuekinds.CLOSE))
    if not own and last.length_ms >= FAREWELL_FROM_MS:
        keys = ("close", "close thanks")
        own = [(cuekinds.CLOSE, scene.phrases.variants(key)) for key in keys]
    farewell = own if closing and scene.spoken_coaching else []
    lines += farewell[:1]
    lines += _safety(scene, ("safety feet", "safety stand"))
    lines += farewell[1:]
    until_ms = scene.words_until_ms(last)
    from_ms = scene.words_from_ms(last)
    if not closing:
        from_ms = max(from_ms, until_ms - CLOSING_MS)
    yield from _in_turn(
        scene,
        last,
        lines,
        wanted_from_ms=from_ms,
        until_ms=until_ms,
        most_apart_ms=CLOSE_PACE_MS,
    )


def _opening(scene: WritingContext, segment: Segment) -> Iterator[Draft]:
    if not scene.spoken_coaching:
        return
    section, phrases = _section(scene, segment), scene.phrases
    key = f"opening {section.kind.value}"
    if section.intervals is not None:
        key = "opening intervals"
        fields = _clockwork(scene, section)
        if not section.intervals.rest_ms:
            key = "opening intervals alike"
            del fields["rest"]
    elif section.kind in (SectionKind.WELCOME, SectionKind.CLOSE):
        return
    else:
        total_ms = sum(movement.duration_ms or 0 for movement in section.movements)
        fields = {
            "movements": phrases.counted("movement", len(section.movements)),
            "length": phrases.length(total_ms),
        }
    from_ms = scene.words_from_ms(segment)
    yield Draft(
        kind=cuekinds.OPENING,
        segment=segment,
        window_start_ms=from_ms,
        window_end_ms=max(from_ms, scene.words_until_ms(segment)),
        candidates=_in_turn_of_kind(scene, segment, phrases.variants(key, **fields)),
        wanted_ms=segment.start_ms + 1_500,
    )


def _in_turn_of_kind(
    scene: WritingContext, segment: Segment, variants: tuple[Wordings, ...]
) -> tuple[Wordings, ...]:
    """Return the variants, first that of the first, second ... section of a kind."""
    kinds = [section.kind for section in scene.plan.sections]
    at = kinds[: segment.section].count(segment.section_kind) % len(variants)
    return variants[at:] + variants[:at]


def _rest(scene: WritingContext, segment: Segment) -> Iterator[Draft]:
    if segment.length_ms < FEET_FROM_MS or not scene.spoken_coaching:
        return
    until_ms = scene.words_until_ms(segment)
    yield Draft(
        kind=cuekinds.REST,
        segment=segment,
        window_start_ms=scene.words_from_ms(segment),
        window_end_ms=until_ms,
        candidates=scene.phrases.variants("rest feet"),
        wanted_ms=until_ms - 2_500,
    )


def _sips(scene: WritingContext) -> Iterator[Draft]:
    """Yield an offer of water in each recovery, else after a long time without."""
    if not scene.spoken_coaching:
        return
    last_ms = 0
    for segment in scene.segments:
        easy = segment.kind is SegmentKind.RECOVERY or (
            segment.section_kind is SectionKind.RECOVERY and segment.position == 1
        )
        overdue = (
            segment.kind is SegmentKind.OPENING
            and segment.start_ms - last_ms >= SIP_EVERY_MS
        )
        until_ms, from_ms = scene.words_until_ms(segment), scene.words_from_ms(segment)
        if not (easy or overdue) or until_ms - from_ms < 5_000:
            continue
        last_ms = segment.start_ms
        yield Draft(
            kind=cuekinds.REST,
            segment=segment,
            window_start_ms=from_ms,
            window_end_ms=until_ms,
            candidates=scene.phrases.variants("rest sip"),
            wanted_ms=from_ms + (until_ms - from_ms) // 5,
            own_priority=60,
        )


def _free(scene: WritingContext) -> Iterator[Draft]:
    for number, section in enumerate(scene.plan.sections):
        inside = [s for s in scene.segments if s.section == number]
        if not inside:
            continue
        start_ms, end_ms = inside[0].start_ms, inside[-1].end_ms
        for cue in section.free_cues:
            due_ms = min(max(start_ms, _due_ms(cue, start_ms, end_ms)), end_ms)
            segment = next((s for s in inside if due_ms < s.end_ms), inside[-1])
            yield Draft(
                kind=cuekinds.FREE,
                segment=segment,
                window_start_ms=due_ms,
                window_end_ms=end_ms,
                candidates=((sentence(cue.text),),),
                anchor_ms=due_ms,
            )


def _due_ms(cue: FreeCue, start_ms: int, end_ms: int) -> int:
    if cue.count_from is CountFrom.END:
        return end_ms - cue.offset_ms
    if cue.count_from is CountFrom.HALFWAY:
        return start_ms + (end_ms - start_ms) // 2 + cue.offset_ms
    return start_ms + cue.offset_ms
