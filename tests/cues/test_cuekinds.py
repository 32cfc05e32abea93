"""A kind of cue is one entry: a new one passes through every stage of a track."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass, replace
from functools import cache
from importlib.resources import files
from pathlib import Path

import pytest
import soundfile
import yaml
from cues import builders as make

from cuetrack import cuekinds
from cuetrack.cuekinds import CUE_KINDS, CueKind, Lane, Printed, kinds_by_name
from cuetrack.cues.model import MOVING, PlacedSheet
from cuetrack.cues.placement.placing import place
from cuetrack.cues.timeline import lay_out
from cuetrack.cues.writing.cuesheet import WRITERS, write_cues
from cuetrack.errors import LanguageError
from cuetrack.languages.phrases import Phrases, read_phrases
from cuetrack.output.handouts.picture_layout import drawing_of
from cuetrack.output.handouts.sheet_rows import rows_of
from cuetrack.output.track.captions import captions, to_webvtt
from cuetrack.output.track.cuefile import CueFile, cue_file_of, read_cue_file, to_json
from cuetrack.pipeline.arranging import arrange
from cuetrack.plan.model import Coaching
from cuetrack.sound.mixing import mix_blocks
from cuetrack.speech.records import timing_of
from cuetrack.times import SAMPLE_RATE_HZ
from cuetrack.verification import CueVerdict, verify_track
from tests.fakes import ToneSpeaker
from tests.output.cuesheets import JOE, cue, cue_file
from tests.verification.tracks import Shelf, levelled

GAZE = CueKind(
    name="gaze",
    priority=45,
    phrases={"gaze": "movement"},
    essential=True,
    clock=True,
    may_repeat=True,
    lane=Lane.NEXT,
    printed=Printed.WITH_TIME,
)
KINDS = kinds_by_name(*CUE_KINDS.values(), GAZE)
PLAN = make.plan(
    make.plain(make.timed(make.TOE_TAP, 60), opening=40), make.close(seconds=40)
)


def write_gaze(context):
    """Say where to look, six seconds into every movement."""
    for segment in context.segments:
        if segment.kind in MOVING:
            yield context.cue(
                GAZE,
                segment,
                context.phrases.variants("gaze", movement=segment.movement.name),
                window=(
                    context.words_from_ms(segment),
                    context.words_until_ms(segment),
                ),
                wanted_ms=segment.start_ms + 6_000,
            )


def pack_with(**cues):
    path = files("cuetrack.languages").joinpath("en", "phrases.yaml")
    pack = yaml.safe_load(path.read_text(encoding="utf-8"))
    return yaml.safe_dump(pack | {"cues": pack["cues"] | cues}, allow_unicode=True)


def sheet_with_gaze(plan, phrases):
    writers = (*WRITERS, write_gaze)
    return write_cues(plan, lay_out(plan), phrases, str, writers=writers)


@dataclass(frozen=True)
class Class:
    """A class with the new kind, as far as the track."""

    phrases: Phrases
    placed: PlacedSheet
    cue_file: CueFile
    speaker: ToneSpeaker


@cache
def class_with_gaze() -> Class:
    phrases = read_phrases(
        pack_with(gaze=["Look up during the {movement}."]), "en", KINDS
    )
    sheet = sheet_with_gaze(PLAN, phrases)
    speaker = ToneSpeaker()
    clips = speaker.speak(one.spoken for cue in sheet.cues for one in cue.wordings)
    placed = place(sheet, {text: timing_of(clip) for text, clip in clips.items()})
    return Class(
        phrases=phrases,
        placed=placed,
        cue_file=cue_file_of(placed, clips, JOE),
        speaker=speaker,
    )


def gaze_rows(cue_file):
    return [row for row in cue_file.cues if row.kind == "gaze"]


def test_a_phrase_pack_must_have_the_phrases_of_a_new_kind():
    """Without them it is refused by name, and so is a field they may not use."""
    with pytest.raises(LanguageError, match="cues: 'gaze' is missing"):
        read_phrases(pack_with(), "en", KINDS)
    with pytest.raises(LanguageError, match=r"'\{side\}' cannot be filled in here"):
        read_phrases(pack_with(gaze=["Look {side}."]), "en", KINDS)
    with pytest.raises(LanguageError, match="'gaze' is not known"):
        read_phrases(pack_with(gaze=["Look up."]), "en")


def test_a_new_kind_is_written_and_placed_by_its_entry():
    """It has the rank its entry gives, is never left out, and comes when wanted."""
    placed = class_with_gaze().placed
    (said,) = (each for each in placed.placed if each.cue.kind is GAZE)
    assert said.wording.text == "Look up during the toe tap side."
    assert said.cue.priority == 45
    assert said.cue.essential
    segment = next(s for s in placed.sheet.timeline.segments if s.kind in MOVING)
    assert segment.start_ms < said.start_ms < segment.end_ms


def test_a_new_kind_is_said_beside_a_live_leader_if_its_entry_says_so():
    """With coaching for the clock only it is still wanted; encouragement is not."""
    plan = replace(PLAN, coaching=Coaching.CLOCK)
    sheet = sheet_with_gaze(plan, class_with_gaze().phrases)
    kinds = {cue.kind for cue in sheet.cues}
    assert GAZE in kinds
    assert cuekinds.ENCOURAGEMENT not in kinds


def test_a_new_kind_stands_in_the_cue_file_and_its_captions(tmp_path):
    """The file is read back with it, and its caption is of its class."""
    made = class_with_gaze()
    path = tmp_path / "class.cues.json"
    path.write_text(to_json(made.cue_file), encoding="utf-8")
    (row,) = gaze_rows(read_cue_file(path))
    assert row.text == "Look up during the toe tap side."
    shown = to_webvtt(captions(made.cue_file, kinds=KINDS))
    assert "<c.gaze>Look up during the toe tap side.</c>" in shown


def test_words_of_a_new_count_are_one_caption():
    """A kind that counts is shown whole, as the count-in is."""
    counting = CueKind(name="breaths", priority=50, counts=True)
    words = [
        cue(word, 1_000 * at, 1_000 * at + 300, "breaths")
        for at, word in enumerate(("In", "and", "out"), 1)
    ]
    sheet = cue_file(words, tones=())
    (one,) = captions(sheet, kinds=kinds_by_name(counting))
    assert one.lines == ("In… and… out…",)
    assert len(captions(sheet)) == 3


def test_a_new_kind_is_drawn_in_its_lane_and_printed():
    """The picture has it in the lane of its entry, the run sheet at its time."""
    made = class_with_gaze()
    without, with_entry = (
        Counter(mark.kind for mark in drawing.marks)
        for drawing in (
            drawing_of(made.cue_file, made.phrases),
            drawing_of(made.cue_file, made.phrases, kinds=KINDS),
        )
    )
    assert with_entry["next"] == without["next"] + 1
    assert with_entry["other"] == without["other"] - 1
    notes = [
        note.text
        for row in rows_of(PLAN, made.placed, made.phrases)
        for note in row.notes
    ]
    assert any("Look up during the toe tap side" in text for text in notes)


def test_a_new_kind_is_found_on_time_in_the_finished_track(tmp_path):
    """Verification has a row for it, on time, in a track that was mixed with it."""
    made = class_with_gaze()
    clips = made.speaker.speak(row.spoken for row in made.cue_file.cues)
    plan = arrange(made.placed, clips)
    sound = levelled(
        next(iter(mix_blocks(plan, made.speaker, block_frames=plan.length_frames)))
    )
    path = tmp_path / "class.wav"
    soundfile.write(path, sound, SAMPLE_RATE_HZ, subtype="FLOAT")
    report = verify_track(path, made.cue_file, Shelf(made.speaker, clips.values()))
    (row,) = (each for each in report.rows if each.kind == "gaze")
    assert row.verdict is CueVerdict.ON_TIME
    assert report.recognised


def test_no_stage_but_writing_and_review_asks_which_kind_a_cue_is():
    """All others go by what the table says of a kind, so that a new one is like any."""
    package = Path(cuekinds.__file__).parent
    names = {kind.name.replace(" ", "_").replace("-", "_") for kind in KINDS.values()}
    asked = re.compile(rf"cuekinds\.({'|'.join(names)})\b", re.IGNORECASE)
    asking = {
        path.relative_to(package).parts[:2]
        for path in package.rglob("*.py")
        if asked.search(path.read_text(encoding="utf-8"))
    }
    writing = {("cues", "writing"), ("pipeline", "listening_test.py")}
    reading_aloud = {("takes", "script_lines.py")}
    asking = {parts for parts in asking if parts[0] != "review"}
    assert asking == writing | reading_aloud
