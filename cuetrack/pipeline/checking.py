"""From a plan file to a placed cue sheet, without speaking anything.

Light: neither speech engines nor sound are loaded.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from cuetrack.cues.estimate import CALIBRATED_WPM, estimate_ms
from cuetrack.cues.model import SegmentKind
from cuetrack.cues.placement.learning import place_learning
from cuetrack.cues.timeline import lay_out
from cuetrack.cues.writing.cuesheet import write_cues
from cuetrack.documents.problems import Problems, shown
from cuetrack.errors import PlacementError, SpeechError
from cuetrack.languages.pack import load_language
from cuetrack.languages.phrases import known_languages as phrase_languages
from cuetrack.movements.library import load_library
from cuetrack.pipeline.read_voice import chooser_for, filled_in, refuse_unread, say_in
from cuetrack.pipeline.watching import unwatched
from cuetrack.plan import reading
from cuetrack.review.model import Severity
from cuetrack.review.reviewing import failing, problems_of, review
from cuetrack.speech.languages import espeak_languages
from cuetrack.speech.pace import LONGER, paced
from cuetrack.speech.records import StoredTimings
from cuetrack.speech.text_keys import read_timing
from cuetrack.speech.voices import ESPEAK_PREFIX, find_voice, known_voices, recorded_in

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from cuetrack.cues.model import Cue, CueSheet, PlacedSheet, SpeechTiming
    from cuetrack.cues.placement.learning import Ask
    from cuetrack.documents.places import Place
    from cuetrack.pipeline.watching import Watcher
    from cuetrack.plan.model import Plan
    from cuetrack.review.model import Finding
    from cuetrack.speech.model import Voice


MOST_LETTERS = 2000
"""Two minutes of speech; a quarter of an hour at once would fill the memory."""

TIMED_BY_MOVEMENT = frozenset({SegmentKind.MOVE, SegmentKind.WORK})
"""Segments whose length a movement of the plan may say; the section the others'."""


def read_plan(path: Path | str, *, any_voice: bool = False) -> Plan:
    """Read a plan whose language has a phrase pack and whose voice exists.

    With ``any_voice`` that may be yet to come. Raises PlanError with every mistake in
    it.
    """
    return reading.read_plan(
        Path(path),
        voices=None if any_voice else _voice_names(Path(path).parent),
        languages=phrase_languages(),
        library=load_library,
    )


def plan_from_text(text: str, path: Path) -> Plan:
    """Read a plan that is not in its file yet, as `read_plan` would from ``path``.

    Raises PlanError with every mistake in it.
    """
    return reading.parse_plan(
        text,
        str(path),
        folder=path.parent,
        voices=_voice_names(path.parent),
        languages=phrase_languages(),
        library=load_library,
    )


def _voice_names(folder: Path) -> tuple[str, ...]:
    """Return the names of all voices, recorded ones beside a plan with them."""
    embedded = tuple(f"{ESPEAK_PREFIX}{code}" for code in espeak_languages())
    return (*known_voices(), *recorded_in(folder), *embedded)


def voice_of(plan: Plan) -> Voice:
    """Return the voice a plan asks for, or the default of its language, at its pace."""
    beside = Path(plan.file).parent
    return paced(find_voice(plan.voice, plan.language, beside), plan.pace)


def in_voice(plan: Plan, name: str | None) -> Plan:
    """Return a class as another voice speaks it, as it is where none is named.

    The folder of a recorded voice is looked for beside the plan, then from where the
    program runs. Raises SpeechError when there is no such voice or it speaks another
    language.
    """
    if name is None:
        return plan
    try:
        voice = find_voice(name, plan.language, Path(plan.file).parent)
    except SpeechError:
        voice = find_voice(name, plan.language)
    return replace(plan, voice=str(voice.folder) if voice.recorded else name)


def cue_sheet(plan: Plan) -> CueSheet:
    """Return every cue of the class, worded but not yet placed.

    For a voice that was read, in words that were, where there are any. Raises PlanError
    for a text that became too long to be spoken at once, SpeechError for what must be
    said and nobody has read.
    """
    voice = voice_of(plan) if plan.voice else None
    sheet = written_sheet(plan, say_in(plan, voice), chooser_for(voice))
    refuse_unread(sheet, voice)
    return sheet


def written_sheet(
    plan: Plan,
    say: Callable[[str], str],
    choose: Callable[[Iterable[Cue]], tuple[Cue, ...]],
) -> CueSheet:
    """Return every cue of the class as ``say`` puts it, in variants as chosen.

    Raises as `cue_sheet` does.
    """
    phrases = load_language(plan.language).phrases
    sheet = write_cues(plan, lay_out(plan), phrases, say, choose=choose)
    _refuse_endless(plan, sheet)
    return sheet


def _refuse_endless(plan: Plan, sheet: CueSheet) -> None:
    problems = Problems(plan.file)
    for cue in sheet.cues:
        longest = max(len(wording.spoken) for wording in cue.wordings)
        if longest > MOST_LETTERS:
            what = f"{shown(cue.wordings[0].text)} is {longest} letters long when "
            what += f"spoken, at most {MOST_LETTERS} can be said at once."
            remedy = 'Say it in parts, or shorten what stands under "pronounce".'
            spot = cue.place or _place(plan, sheet, cue.segment)
            problems.add(spot, what, remedy)
    problems.raise_if_any()


def stored_timing(plan: Plan) -> Callable[[str], SpeechTiming | None]:
    """Return what tells the length of a text that was spoken or read before."""
    voice = voice_of(plan)
    stored = StoredTimings(voice)
    return lambda spoken: stored.timing(spoken) or read_timing(voice, spoken)


def placed_or_told(
    plan: Plan, sheet: CueSheet, ask: Ask
) -> tuple[PlacedSheet, dict[str, SpeechTiming]]:
    """Place the cues of a plan by the lengths that matter, and return these too.

    Where the time is missing is told in the plan's file: raises PlacementError with a
    problem for each cue that must be said and cannot fit.
    """
    try:
        return place_learning(sheet, ask)
    except PlacementError as error:
        cues = {cue.id: cue for cue in sheet.cues}
        problems = []
        for cue, problem in zip(error.missing_ms, error.problems, strict=True):
            spot = cues[cue].place or _place(plan, sheet, cues[cue].segment)
            problems.append(
                replace(problem, file=plan.file, line=spot.line, column=spot.column)
            )
        raise PlacementError(problems, error.missing_ms) from error


def _place(plan: Plan, sheet: CueSheet, segment_id: str) -> Place:
    """Return the place in the plan that gives a segment its time."""
    segment = next(one for one in sheet.timeline.segments if one.id == segment_id)
    if segment.kind in TIMED_BY_MOVEMENT and segment.movement is not None:
        return segment.movement.place
    return plan.sections[segment.section].place


@dataclass(frozen=True, slots=True, kw_only=True)
class Checked:
    """A plan laid out and reviewed without speaking anything.

    ``estimated`` of the ``wordings`` lengths that mattered were estimated, the others
    measured on clips that are stored already. ``filled_in`` is what another voice says
    because the voice of the plan has not read it.
    """

    plan: Plan
    placed: PlacedSheet
    findings: tuple[Finding, ...]
    estimated: int
    wordings: int
    filled_in: tuple[str, ...] = ()

    @property
    def ready(self) -> bool:
        """Whether the review has no error that nobody acknowledged."""
        return not failing(self.findings)


def check(plan: Plan, watch: Watcher = unwatched) -> Checked:
    """Lay a plan out by stored and estimated clip lengths, and review it.

    Raises PlanError when its music cannot be used, PlacementError when something that
    must be said cannot fit: with the errors of the review, so that all is told at once.
    """
    _look_at_music(plan, watch)
    timings = _EstimatedTimings(plan, stored_timing(plan))
    try:
        placed, learnt = placed_or_told(plan, cue_sheet(plan), timings.ask)
    except PlacementError as error:
        unsound = problems_of(plan, failing(review(plan, lay_out(plan))))
        problems = sorted([*error.problems, *unsound])
        raise PlacementError(problems, error.missing_ms) from error
    return Checked(
        plan=plan,
        placed=placed,
        findings=review(plan, placed.sheet.timeline, placed),
        estimated=timings.estimated,
        wordings=len(learnt),
        filled_in=filled_in(placed, voice_of(plan)) if plan.voice else (),
    )


def placed_unspoken(
    plan: Plan, timing: Callable[[str], SpeechTiming | None] | None = None
) -> PlacedSheet:
    """Place the cues of a plan by the lengths ``timing`` knows and by estimates.

    Raises PlacementError when something that must be said cannot fit.
    """
    timings = _EstimatedTimings(plan, timing or stored_timing(plan))
    return placed_or_told(plan, cue_sheet(plan), timings.ask)[0]


class _EstimatedTimings:
    """The lengths that are known, and estimates of the others, which it counts."""

    def __init__(
        self, plan: Plan, timing: Callable[[str], SpeechTiming | None]
    ) -> None:
        self.estimated = 0
        self._timing = timing
        self._language = plan.language
        self._words_per_minute = round(CALIBRATED_WPM / LONGER[plan.pace])

    def ask(self, texts: list[str]) -> dict[str, SpeechTiming]:
        """Return the length of each text."""
        stored = {text: self._timing(text) for text in texts}
        self.estimated += sum(known is None for known in stored.values())
        return {
            text: known or estimate_ms(text, self._language, self._words_per_minute)
            for text, known in stored.items()
        }


def reviewed(plan: Plan) -> tuple[Finding, ...]:
    """Return what the review finds, with what is said by stored or estimated clips.

    Raises PlacementError when something that must be said cannot fit.
    """
    placed = placed_unspoken(plan)
    return review(plan, placed.sheet.timeline, placed)


def nothing_to_mend(text: str, path: Path) -> bool:
    """Return whether a plan not yet in its file can be made and draws notes at most."""
    try:
        findings = reviewed(plan_from_text(text, path))
    except PlacementError:
        return False
    return all(finding.severity is Severity.NOTE for finding in findings)


def _look_at_music(plan: Plan, watch: Watcher) -> None:
    """Refuse music that cannot be used; plans without load no sound library."""
    if any(music.files for music in plan.musics()):
        from cuetrack.pipeline.music_files import refuse_unusable  # noqa: PLC0415

        refuse_unusable(plan, partial(watch, "reading the music"))
