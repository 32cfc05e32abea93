"""Making a listening test: a track of calls over the class's own music, and its sheet.

The track is made as a class is: its music makes room under every call as it does
there, and its cue sheet lies beside it, so that it is verified like any track.
"""

from __future__ import annotations

from codecs import BOM_UTF16_BE, BOM_UTF16_LE
from dataclasses import dataclass, replace
from functools import partial
from itertools import accumulate
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import msgspec

from cuetrack import cuekinds
from cuetrack.cues.model import (
    AnchorPoint,
    Cue,
    CueSheet,
    PlacedCue,
    PlacedSheet,
    QuietRule,
    Segment,
    SegmentKind,
    Timeline,
    Wording,
)
from cuetrack.errors import TrackError
from cuetrack.languages.normalisation import say_as
from cuetrack.languages.pack import load_language
from cuetrack.output.handouts.answer_sheet import answer_sheet_html, answer_sheet_pdf
from cuetrack.output.track.cuefile import cue_file_of, to_json, with_print
from cuetrack.output.track.file_set import replacing_set
from cuetrack.output.track.files import refuse_unwritable, safe_name, write_text
from cuetrack.output.track.formats import track_format
from cuetrack.pipeline.arranging import arrange
from cuetrack.pipeline.checking import placed_unspoken, voice_of
from cuetrack.pipeline.making import mix_for_group, write_mix
from cuetrack.pipeline.music import music_for, music_of
from cuetrack.planning.listening_test import CHOICES, questions_of
from cuetrack.speech.records import timing_of
from cuetrack.speech.speaker import StoredSpeaker
from cuetrack.speech.store import ClipStore
from cuetrack.verification.answers import KeyRow, read_answers, score

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from cuetrack.pipeline.making import MakeRequest
    from cuetrack.plan.model import Plan
    from cuetrack.planning.listening_test import Question
    from cuetrack.speech.model import Clip
    from cuetrack.verification.answers import ListeningScore

LEAD_MS = 40_000
EACH_MS = 22_000
CLOSE_MS = 10_000
"""With 24 calls, a little under ten minutes."""

_NUMBER_AT_MS = 500
_CALL_AT_MS = 3500

INTRODUCTION = (
    (1500, "This is a listening test."),
    (5000, "You will hear a number, and then a sentence{over_music}."),
    (11_500, "On your sheet, tick which of the four it was."),
    (17_000, "If you are not sure, tick the likeliest."),
    (22_000, "Then tick whether you could hear it easily."),
    (27_500, "It is the sound that is tried, not you."),
    (33_500, "We begin with number one."),
)
NUMBER = "Number {number}."
CLOSE = "That was the last one. Thank you."

ENDINGS = (".sheet.a4.pdf", ".sheet.letter.pdf", ".sheet.html", ".key.json")


@dataclass(frozen=True, slots=True, kw_only=True)
class MadeTest:
    """A finished test: the track first among its files."""

    files: tuple[Path, ...]
    questions: tuple[Question, ...]
    length_ms: int
    has_music: bool


class _QuestionOfKey(msgspec.Struct, frozen=True, kw_only=True):
    number: int
    said: str
    letter: Annotated[str, msgspec.Meta(pattern="^[a-d]$")]
    choices: Annotated[
        tuple[str, ...], msgspec.Meta(min_length=CHOICES, max_length=CHOICES)
    ]


class _TestKey(msgspec.Struct, frozen=True, kw_only=True):
    title: str
    seed: int
    questions: Annotated[tuple[_QuestionOfKey, ...], msgspec.Meta(min_length=1)]


def make_listening_test(plan: Plan, request: MakeRequest, seed: int) -> MadeTest:
    """Make the track of a test, its cue sheet, answer sheets and key.

    Raises CuetrackError when the class says too little, or something cannot be
    spoken or written; then no file is left half written.
    """
    base = safe_name(f"{request.name or Path(plan.file).stem}.listening-test")
    files = _files(request.folder, base, request.format)
    refuse_unwritable(request.folder)
    questions = questions_of(plan, placed_unspoken(plan), seed)
    quiz = _in_one_section(plan)
    voice = voice_of(plan)
    speaker = StoredSpeaker(voice, ClipStore())
    script = script_of(quiz, questions)
    texts = tuple(dict.fromkeys(wording.spoken for _, wording in script))
    clips = speaker.speak(texts, partial(request.watch, "speaking"))
    timeline = _timeline(quiz, len(questions))
    placed = _placed(quiz, timeline, script, clips)
    cue_file = cue_file_of(placed, clips, voice)
    music = music_for(quiz, timeline, partial(request.watch, "readying the music"))
    mix = arrange(placed, clips, music.bed)
    heard = mix_for_group(quiz, placed, mix, speaker, request.watch)
    with replacing_set(files, overwrite=request.overwrite) as aside:
        track = aside / files[0].name
        _, bands_db = write_mix(heard.plan, speaker, cue_file, track, request)
        write_text(aside / files[1].name, to_json(with_print(cue_file, bands_db)))
        contents = (
            answer_sheet_pdf(plan.title, questions, paper="a4"),
            answer_sheet_pdf(plan.title, questions, paper="letter"),
            answer_sheet_html(plan.title, questions).encode(),
            key_of(plan, questions, seed).encode(),
        )
        for path, content in zip(files[2:], contents, strict=True):
            (aside / path.name).write_bytes(content)
    return MadeTest(
        files=files,
        questions=questions,
        length_ms=timeline.end_ms,
        has_music=music.bed is not None,
    )


def key_of(plan: Plan, questions: Sequence[Question], seed: int) -> str:
    """Return the key as JSON: what was said under each number, and the choices."""
    rows = tuple(
        _QuestionOfKey(
            number=one.number,
            said=one.said.text,
            letter=one.letter,
            choices=one.choices,
        )
        for one in questions
    )
    key = msgspec.json.encode(_TestKey(title=plan.title, seed=seed, questions=rows))
    return msgspec.json.format(key, indent=1).decode() + "\n"


def score_answers(answers: Path, key: Path | None = None) -> ListeningScore:
    """Return what came of the answers typed into a file.

    Without a key it is the one beside the answers, if there is one alone. Raises
    AnswerError with every place that cannot be understood, TrackError when a file
    cannot be read.
    """
    rows = _read_key(key or _key_beside(answers))
    return score(read_answers(_text_of(answers), rows, str(answers)), rows)


def _key_beside(answers: Path) -> Path:
    found = sorted(answers.parent.glob("*.listening-test.key.json"))
    if len(found) == 1:
        return found[0]
    raise TrackError(
        "there is no key beside it." if not found else "there are several keys.",
        "Name the one of the test with --key.",
        file=answers,
    )


def _text_of(path: Path) -> str:
    try:
        content = path.read_bytes()
        utf16 = content.startswith((BOM_UTF16_LE, BOM_UTF16_BE))
        return content.decode("utf-16" if utf16 else "utf-8")
    except (OSError, UnicodeDecodeError) as error:
        raise TrackError(
            "cannot be read as text.",
            "Check its name, and save it as plain text (UTF-8).",
            file=path,
        ) from error


def _read_key(path: Path) -> dict[int, KeyRow]:
    try:
        key = msgspec.json.decode(_text_of(path), type=_TestKey)
    except msgspec.DecodeError as error:
        raise TrackError(
            "is no key of a listening test.", "Make the test again.", file=path
        ) from error
    return {
        row.number: KeyRow(number=row.number, letter=row.letter, choices=row.choices)
        for row in key.questions
    }


def _files(folder: Path, base: str, format_name: str) -> tuple[Path, ...]:
    endings = (f".{track_format(format_name).extension}", ".cues.json", *ENDINGS)
    return tuple(folder / f"{base}{ending}" for ending in endings)


def _in_one_section(plan: Plan) -> Plan:
    """Return the plan with one section alone: the first that has music, or the first.

    An intervals section is taken before others: there the music is that of the work.
    """
    numbers = range(len(plan.sections))
    musical = [number for number in numbers if music_of(plan, number) is not None]
    work = [n for n in musical if plan.sections[n].intervals is not None]
    chosen = plan.sections[(*work, *musical, 0)[0]]
    return replace(plan, sections=(chosen,))


def _timeline(plan: Plan, calls: int) -> Timeline:
    """Return one stretch for the introduction, one for each call, and one to close."""
    lengths = (LEAD_MS, *(EACH_MS for _ in range(calls)), CLOSE_MS)
    ends = tuple(accumulate(lengths))
    return Timeline(
        segments=tuple(
            Segment(
                id=f"listening.{number}",
                activity=f"listening.{number}",
                section=0,
                section_kind=plan.sections[0].kind,
                section_title="Listening test",
                kind=SegmentKind.WORK,
                start_ms=end_ms - length_ms,
                end_ms=end_ms,
            )
            for number, (length_ms, end_ms) in enumerate(
                zip(lengths, ends, strict=True)
            )
        )
    )


def script_of(plan: Plan, questions: Sequence[Question]) -> list[tuple[int, Wording]]:
    """Return what the test says, and when each begins, in ms from its start."""
    pronunciations = load_language(plan.language).phrases.pronunciations
    say = partial(
        say_as,
        language=plan.language,
        pronunciations=(*plan.pronunciations, *pronunciations),
    )
    over_music = " over the music" if music_of(plan, 0) else ""
    texts = ((at_ms, t.format(over_music=over_music)) for at_ms, t in INTRODUCTION)
    script = [(at_ms, Wording(text=t, spoken=say(t))) for at_ms, t in texts]
    for turn, one in enumerate(questions):
        begin_ms = LEAD_MS + turn * EACH_MS
        number = NUMBER.format(number=one.number)
        script += [
            (begin_ms + _NUMBER_AT_MS, Wording(text=number, spoken=say(number))),
            (begin_ms + _CALL_AT_MS, one.said),
        ]
    end_ms = LEAD_MS + len(questions) * EACH_MS
    return [*script, (end_ms + 2000, Wording(text=CLOSE, spoken=say(CLOSE)))]


def _placed(
    plan: Plan,
    timeline: Timeline,
    script: Sequence[tuple[int, Wording]],
    clips: Mapping[str, Clip],
) -> PlacedSheet:
    """Return the cue sheet of the test, all that is said in its place."""
    placed = []
    for number, (at_ms, wording) in enumerate(script):
        within = next(one for one in timeline.segments if at_ms < one.end_ms)
        end_ms = at_ms + timing_of(clips[wording.spoken]).length_ms
        cue = Cue(
            id=f"listening.{number}",
            kind=cuekinds.FREE,
            segment=within.id,
            window_start_ms=at_ms,
            window_end_ms=end_ms,
            variants=((wording,),),
            priority=cuekinds.FREE.priority,
            anchor_ms=at_ms,
        )
        placed.append(
            PlacedCue(
                cue=cue,
                wording=wording,
                wording_index=0,
                pin_ms=at_ms,
                pin_point=AnchorPoint.START,
                start_ms=at_ms,
                end_ms=end_ms,
            )
        )
    sheet = CueSheet(
        title=f"{plan.title}: listening test",
        language=plan.language,
        timeline=timeline,
        cues=tuple(one.cue for one in placed),
        tones=(),
        quiet=QuietRule(),
    )
    return PlacedSheet(sheet=sheet, placed=tuple(placed), left_out=())
