"""The cue sheet of a track is exact, repeatable and read back with care."""

from __future__ import annotations

import hashlib
import json
import os
from dataclasses import replace
from importlib import metadata
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec import structs

from cuetrack import cuekinds
from cuetrack.cues.model import (
    AnchorPoint,
    Cue,
    LeftOut,
    PlacedCue,
    ToneCue,
    Wording,
)
from cuetrack.cues.tonekinds import ToneKind
from cuetrack.errors import TrackError
from cuetrack.output.track.cue_rows import clip_start_frame
from cuetrack.output.track.cuefile import cue_file_of, read_cue_file, to_json
from cuetrack.speech.keys import model_files
from cuetrack.speech.model import Clip
from cuetrack.speech.voices import find_voice
from tests.output.cuesheets import JOE, cue_file, silent_class

CLIP = Clip(
    key="ab" * 32,
    spoken="one",
    frames=20_000,
    speech_start=241,
    speech_end=19_003,
    beat=3_337,
)


def placed(pin_ms, point, clip=CLIP, number=0):
    wording = Wording(text="One", spoken=clip.spoken)
    cue = Cue(
        id=f"count{number}",
        kind=cuekinds.COUNT_IN,
        segment="welcome",
        window_start_ms=0,
        window_end_ms=90_000,
        variants=((wording,),),
        priority=1,
        anchor_ms=pin_ms,
        anchor_point=point,
    )
    return PlacedCue(
        cue=cue,
        wording=wording,
        wording_index=0,
        pin_ms=pin_ms,
        pin_point=point,
        start_ms=pin_ms - 100,
        end_ms=pin_ms + 400,
    )


@pytest.mark.parametrize(
    ("point", "frame"),
    [
        (AnchorPoint.START, CLIP.speech_start),
        (AnchorPoint.BEAT, CLIP.beat),
        (AnchorPoint.END, CLIP.speech_end),
    ],
)
def test_the_pinned_point_of_a_clip_sits_on_its_frame(point, frame):
    """Start, beat or end of the speech lies exactly on the pin."""
    start = clip_start_frame(placed(12_345, point), CLIP)
    assert start + frame == 12_345 * 48


@given(st.integers(1000, 10_800_000), st.sampled_from(AnchorPoint))
def test_times_name_frames_exactly(placed_at_ms, point):
    """Four decimals of a millisecond give each frame back, up to three hours on."""
    one = placed(placed_at_ms, point)
    row = _sheet_of([one]).cues[0]
    start = clip_start_frame(one, CLIP)
    assert round(row.start_ms * 48) == start + CLIP.speech_start
    assert round(row.end_ms * 48) == start + CLIP.speech_end
    assert (row.beat_ms is not None) == (point is AnchorPoint.BEAT)
    if row.beat_ms is not None:
        assert row.beat_ms == placed_at_ms


def _sheet_of(cues, placed_sheet=None, left_out=()):
    sheet = placed_sheet or silent_class()
    return cue_file_of(
        replace(sheet, placed=tuple(cues), left_out=tuple(left_out)),
        {CLIP.spoken: CLIP},
        JOE,
    )


def test_rows_come_in_the_order_they_are_heard(placed_class):
    """Cues and tones are sorted by time, segments are those of the timeline."""
    tones = tuple(
        ToneCue(kind=kind, segment="welcome", start_ms=at, length_ms=400)
        for kind, at in ((ToneKind.STOP, 80_000), (ToneKind.START, 40_000))
    )
    sheet = replace(placed_class, sheet=replace(placed_class.sheet, tones=tones))
    cues = [placed(at, AnchorPoint.BEAT, number=at) for at in (30_000, 10_000, 20_000)]
    made = _sheet_of(cues, sheet)
    assert [row.beat_ms for row in made.cues] == [10_000, 20_000, 30_000]
    assert [(row.kind, row.start_ms, row.end_ms) for row in made.tones] == [
        ("start", 40_000, 40_400),
        ("stop", 80_000, 80_400),
    ]
    assert [row.id for row in made.segments] == [
        segment.id for segment in placed_class.sheet.timeline.segments
    ]
    assert made.duration_ms == placed_class.sheet.timeline.end_ms


def test_what_is_left_out_is_listed(placed_class):
    """With its full wording and the reason."""
    left = LeftOut(cue=placed(1000, AnchorPoint.START).cue, reason="No room.")
    (row,) = _sheet_of([], placed_class, [left]).left_out
    assert (row.kind, row.text, row.reason) == ("count-in", "One", "No room.")


def test_the_text_is_the_same_each_time_and_one_row_a_line():
    """Two sheets differ in the lines that differ, as any comparison shows."""
    sheet = cue_file()
    lines = to_json(sheet).splitlines()
    changed = to_json(
        structs.replace(
            sheet, cues=(*sheet.cues[:-1], structs.replace(sheet.cues[-1], text="Go."))
        )
    ).splitlines()
    assert to_json(sheet) == to_json(cue_file())
    assert len(lines) == len(changed)
    assert sum(one != other for one, other in zip(lines, changed, strict=True)) == 1


def test_keys_stand_in_the_agreed_order():
    """The order is part of the promise of the same bytes."""
    assert list(json.loads(to_json(cue_file()))) == [
        "format", "cuetrack", "title", "language", "sample_rate", "duration_ms",
        "segments", "voice", "speech", "cues", "tones", "left_out",
        "band_print",
    ]  # fmt: skip


def test_a_sheet_is_read_back_as_it_was(tmp_path):
    """Reading what was written gives the same values, odd letters included."""
    sheet = cue_file(title='Fünf "ruhige" \u2028 Minuten \\ ☀')
    path = tmp_path / "a.cues.json"
    path.write_bytes(to_json(sheet).encode())
    assert read_cue_file(path) == sheet


def test_a_sheet_from_before_a_key_was_added_is_read(tmp_path):
    """What it does not say of its maker is None, and nothing else is missing."""
    document = json.loads(to_json(cue_file()))
    del document["cuetrack"], document["speech"], document["band_print"]
    path = tmp_path / "a.cues.json"
    path.write_text(json.dumps(document), encoding="utf-8")
    assert read_cue_file(path) == cue_file()


def test_a_sheet_says_what_it_was_made_by(placed_class):
    """The versions are those installed, the model is the very file that speaks."""
    sheet = _sheet_of([], placed_class)
    model = model_files(JOE)[0].read_bytes()
    assert sheet.cuetrack == metadata.version("cuetrack")
    assert (sheet.voice, sheet.speech.engine) == ("joe", "neural")
    assert sheet.speech.model == hashlib.sha256(model).hexdigest()
    assert sheet.speech.versions == {
        name: metadata.version(name) for name in ("piper-tts", "onnxruntime")
    }


@pytest.mark.parametrize("name", ["espeak-en", "system"])
def test_a_voice_without_a_model_file_has_none(placed_class, name):
    """The version of its package is there, and the model is null."""
    sheet = cue_file_of(placed_class, {}, find_voice(name, "en"))
    assert sheet.speech.model is None
    assert sheet.speech.versions


def changed(change):
    """Return the text of a sheet after a change to its JSON."""
    document = json.loads(to_json(cue_file()))
    change(document)
    return json.dumps(document)


def assign(*keys, value):
    def change(document):
        for key in keys[:-1]:
            document = document[key]
        document[keys[-1]] = value

    return change


def without(*keys):
    def change(document):
        for key in keys[:-1]:
            document = document[key]
        del document[keys[-1]]

    return change


BROKEN = {
    "nothing": ("", "no JSON"),
    "not JSON": ("title: plan", "no JSON"),
    "not UTF-8": (b"\xff\xfe{\x00", "no JSON"),
    "not a number": ('{"format": NaN}', "no JSON"),
    "deep": ('{"format": ' + "[" * 200_000, "no JSON"),
    "digits": ('{"format": ' + "9" * 5000 + "}", "there is no 'format'"),
    "a list": ("[]", "there is no 'format'"),
    "another JSON": ('{"name": "x"}', "there is no 'format'"),
    "newer": (changed(assign("format", value=2)), "has format 2, but only 1"),
    "a key too few": (changed(without("cues")), "'cues' is missing"),
    "a key too many": (changed(assign("speed", value=1)), "'speed' is not known"),
    "row key too few": (
        changed(without("cues", 2, "text")),
        "'cues[2].text' is missing",
    ),
    "rows no list": (changed(assign("tones", value={})), "'tones' must be a list"),
    "row no object": (changed(assign("tones", 0, value=1)), "'tones[0]' must be an"),
    "text a number": (changed(assign("title", value=3)), "'title' must be text"),
    "a print cut": (
        changed(assign("band_print", value={"version": 1, "levels": "#" * 15})),
        "'band_print.levels'",
    ),
    "a print of a later kind": (
        changed(assign("band_print", value={"version": 2, "levels": ""})),
        "'band_print.version'",
    ),
    "text null": (changed(assign("voice", value=None)), "'voice' must be text"),
    "half a letter": (changed(assign("title", value="\ud800")), "no JSON"),
    "whole a fraction": (
        changed(assign("segments", 1, "end_ms", value=1.5)),
        "'segments[1].end_ms' must be a whole number",
    ),
    "number a word": (
        changed(assign("cues", 0, "start_ms", value="0")),
        "'cues[0].start_ms' must be a number",
    ),
    "number a truth": (
        changed(assign("cues", 0, "start_ms", value=True)),
        "'cues[0].start_ms' must be a number",
    ),
    "negative": (
        changed(assign("cues", 0, "start_ms", value=-1)),
        "'cues[0].start_ms' must be at least 0.",
    ),
    "endless": (
        changed(assign("duration_ms", value=10**30)),
        "'duration_ms' must be at most 86400000.",
    ),
    "infinite": (
        changed(assign("cues", 0, "end_ms", value=float("inf"))),
        "no JSON",
    ),
    "backwards": (
        changed(assign("cues", 3, "end_ms", value=1)),
        "'cues[3]' ends before it starts",
    ),
    "no such segment": (
        changed(assign("cues", 1, "segment", value="nowhere")),
        "'cues[1].segment' names no segment: 'nowhere'",
    ),
    "another rate": (
        changed(assign("sample_rate", value=44_100)),
        "'sample_rate' must be at least 48000.",
    ),
    "no rate": (
        changed(assign("sample_rate", value=0)),
        "'sample_rate' must be at least 48000.",
    ),
    "a key with NUL": (
        changed(assign("cues", 0, "clip", value="ab\0cd")),
        "'cues[0].clip' is not of the form",
    ),
    "a key that is a path": (
        changed(assign("cues", 0, "clip", value="../../etc/passwd")),
        "'cues[0].clip' is not of the form",
    ),
    "20,000 words": (
        changed(assign("cues", 0, "spoken", value="word " * 20_000)),
        "'cues[0].spoken' is too long: at most 4000 fit.",
    ),
    "20,001 tones": (
        changed(
            assign(
                "tones",
                value=[{"kind": "start", "start_ms": 0, "end_ms": 400}] * 20_001,
            )
        ),
        "'tones' is too long: at most 20000 fit.",
    ),
    "a tone of four hours": (
        changed(assign("tones", 0, "end_ms", value=4 * 3_600_000)),
        "'tones[0]' is longer than 10 seconds",
    ),
    "a cue of an hour": (
        changed(assign("cues", 5, "end_ms", value=3_700_000)),
        "'cues[5]' is longer than 300 seconds",
    ),
    "twice": (
        changed(assign("cues", 1, "id", value="welcome.welcome.500")),
        "'cues[1].id' comes twice",
    ),
}


@pytest.mark.parametrize(("text", "words"), BROKEN.values(), ids=BROKEN)
def test_a_broken_sheet_is_told_with_the_key_that_is_wrong(tmp_path, text, words):
    """Each mistake has its message, with the file in front and a remedy behind."""
    path = tmp_path / "a.cues.json"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    with pytest.raises(TrackError) as caught:
        read_cue_file(path)
    assert str(caught.value).startswith(f"{path}: ")
    assert words in str(caught.value)
    assert "Make the track again" in str(caught.value)


def test_a_sheet_nested_without_end_is_told(tmp_path):
    """By its key, or as no JSON where Python's stack is too small for it."""
    path = tmp_path / "a.cues.json"
    nested = "[" * 200_000 + "]" * 200_000
    text = changed(assign("title", value=0)).replace('"title": 0', f'"title": {nested}')
    path.write_text(text, "utf-8")
    with pytest.raises(TrackError, match=r"no JSON|'title' must be text"):
        read_cue_file(path)


def test_a_missing_sheet_is_told(tmp_path):
    """The message says that the sheet belongs to the track."""
    with pytest.raises(TrackError, match="there is no such cue sheet"):
        read_cue_file(tmp_path / "none.cues.json")


def test_a_folder_is_no_sheet(tmp_path):
    """The message says what to give."""
    with pytest.raises(TrackError, match=r"is a folder .*Give a cue sheet"):
        read_cue_file(tmp_path)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no such files there")
def test_what_may_never_end_is_no_sheet(tmp_path):
    """A pipe that nobody fills is not waited for, nor a device read to its end."""
    pipe = tmp_path / "a.cues.json"
    os.mkfifo(pipe)
    for path in (pipe, Path("/dev/zero")):
        with pytest.raises(TrackError, match="no ordinary file"):
            read_cue_file(path)


@pytest.mark.parametrize(
    ("key", "row"),
    [
        ("tones", {"end_ms": 10_000}),
        ("tones", {"end_ms": 0}),
        ("cues", {"end_ms": 9e4}),
    ],
)
def test_more_rows_than_fit_into_the_class_are_told(tmp_path, key, row):
    """Each is looked for in the sound, so that many at one place took hours."""

    def crowd(sheet):
        first = {**sheet[key][0], "start_ms": 0, **row}
        name = {"id": "c{}"} if key == "cues" else {}
        sheet[key] = [
            {**first, **{k: v.format(n) for k, v in name.items()}} for n in range(9000)
        ]

    path = tmp_path / "a.cues.json"
    path.write_text(changed(crowd), encoding="utf-8")
    with pytest.raises(TrackError, match=f"'{key}' are more than fit into the class"):
        read_cue_file(path)


@pytest.mark.parametrize("key", ["voice", "language", "title"])
def test_a_name_without_an_end_is_told(tmp_path, key):
    """It would fill every message that quotes it."""
    path = tmp_path / "a.cues.json"
    path.write_text(changed(assign(key, value="x" * 5000)), encoding="utf-8")
    with pytest.raises(TrackError, match=f"'{key}' is too long: at most"):
        read_cue_file(path)


def test_a_huge_file_is_not_read(tmp_path):
    """The size is bounded before anything is read."""
    path = tmp_path / "a.cues.json"
    with path.open("wb") as file:
        file.truncate(65 * 2**20)
    with pytest.raises(TrackError, match="far too large"):
        read_cue_file(path)


@given(
    st.recursive(
        st.none()
        | st.booleans()
        | st.floats(allow_nan=False, allow_infinity=False)
        | st.integers()
        | st.text(st.characters(codec="utf-8"), max_size=5),
        lambda inner: (
            st.lists(inner, max_size=3)
            | st.dictionaries(
                st.sampled_from(["format", "cues", "id"]), inner, max_size=3
            )
        ),
        max_leaves=8,
    ),
    st.sampled_from(["title", "cues", "segments", "tones", "duration_ms"]),
)
def test_no_value_whatever_makes_anything_but_a_clear_error(
    tmp_path_factory, value, key
):
    """Any JSON in any place is either read or told as a TrackError."""
    path = tmp_path_factory.mktemp("sheet") / "a.cues.json"
    path.write_text(changed(assign(key, value=value)), encoding="utf-8")
    try:
        read_cue_file(path)
    except TrackError as error:
        told = str(error)
    else:
        told = ""
    assert told.startswith(f"{path}: '") or isinstance(value, str | int | list)


@pytest.mark.parametrize("value", [float("nan"), float("inf"), -float("inf")])
def test_a_number_that_json_does_not_have_is_told(tmp_path, value):
    """What Python writes for no number, and for one without end, is no JSON."""
    path = tmp_path / "a.cues.json"
    path.write_text(changed(assign("duration_ms", value=value)), encoding="utf-8")
    with pytest.raises(TrackError, match=r"is no cue sheet: no JSON"):
        read_cue_file(path)
