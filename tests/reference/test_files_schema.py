"""The cue sheet's published JSON Schema, applied by a validator that is not ours."""

from __future__ import annotations

import json
from dataclasses import fields
from importlib.resources import files

import jsonschema
import pytest

from cuetrack.cues.model import SegmentKind
from cuetrack.output.track.cuefile import (
    CueFile,
    CueRow,
    LeftOutRow,
    SegmentRow,
    ToneRow,
    cue_file_of,
    to_json,
)
from tests.output.cuesheets import cue_file, silent_class
from tests.output.track.test_cuefile import BROKEN

pytestmark = pytest.mark.outside

SCHEMA = json.loads(
    files("cuetrack.output.track").joinpath("cuefile.schema.json").read_text("utf-8")
)
VALIDATOR = jsonschema.Draft202012Validator(SCHEMA)

ONLY_WE_SEE = {"backwards", "no such segment", "twice"}
"""A schema cannot compare one value with another."""


def test_the_schema_itself_is_valid():
    """It is a schema of the 2020-12 draft."""
    jsonschema.Draft202012Validator.check_schema(SCHEMA)


def test_what_we_write_is_valid():
    """A small sheet and one of a whole class agree with the schema."""
    for sheet in (cue_file(), cue_file_of(silent_class(), {}, "joe")):
        VALIDATOR.validate(json.loads(to_json(sheet)))


@pytest.mark.parametrize("name", BROKEN)
def test_what_we_refuse_the_schema_refuses(name):
    """Both see the same mistakes, but for those that join two values."""
    text = BROKEN[name][0]
    try:
        document = json.loads(text)
    except (ValueError, RecursionError):
        return
    assert VALIDATOR.is_valid(document) == (name in ONLY_WE_SEE | {"half a letter"})


@pytest.mark.parametrize(
    ("row", "schema"),
    [
        (CueFile, SCHEMA),
        (SegmentRow, SCHEMA["$defs"]["segment"]),
        (CueRow, SCHEMA["$defs"]["cue"]),
        (ToneRow, SCHEMA["$defs"]["tone"]),
        (LeftOutRow, SCHEMA["$defs"]["left_out"]),
    ],
)
def test_schema_and_code_know_the_same_keys(row, schema):
    """No key is known to one only, and every key must be there."""
    keys = {field.name for field in fields(row)}
    assert keys == set(schema["properties"]) == set(schema["required"])
    assert schema["additionalProperties"] is False


def test_the_schema_knows_every_kind_of_segment():
    """A new kind must be added to both."""
    kinds = SCHEMA["$defs"]["segment"]["properties"]["kind"]["enum"]
    assert kinds == [kind.value for kind in SegmentKind]
