"""The cue sheet's published JSON Schema, applied by a validator that is not ours."""

from __future__ import annotations

import json
from importlib.resources import files

import jsonschema
import pytest

from cuetrack.output.published import schema_of
from cuetrack.output.track.cuefile import CueFile, cue_file_of, to_json
from tests.output.cuesheets import JOE, cue_file, silent_class
from tests.output.track.test_cuefile import BROKEN

pytestmark = pytest.mark.outside

SCHEMA = json.loads(
    files("cuetrack.output.track").joinpath("cuefile.schema.json").read_text("utf-8")
)
VALIDATOR = jsonschema.Draft202012Validator(SCHEMA)

ONLY_WE_SEE = {
    "backwards",
    "no such segment",
    "twice",
    "a tone of four hours",
    "a cue of an hour",
}
"""A schema cannot compare one value with another."""


def test_the_published_schema_is_that_of_the_types():
    """Whoever changes a type writes the file anew, from `schema_of(CueFile)`."""
    assert schema_of(CueFile) == SCHEMA


def test_the_schema_itself_is_valid():
    """It is a schema of the 2020-12 draft."""
    jsonschema.Draft202012Validator.check_schema(SCHEMA)


def test_what_we_write_is_valid():
    """A small sheet and one of a whole class agree with the schema."""
    for sheet in (cue_file(), cue_file_of(silent_class(), {}, JOE)):
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


def test_every_key_must_be_there_and_no_other():
    """Absent values are null, never missing keys."""
    for part in SCHEMA["$defs"].values():
        if "properties" in part:
            assert set(part["required"]) == set(part["properties"])
            assert part["additionalProperties"] is False
