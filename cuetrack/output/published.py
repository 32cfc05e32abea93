"""JSON that other programs read: its schema, and its faults in plain words."""

from __future__ import annotations

import inspect
import re
from typing import Any

import msgspec

_TYPES = {
    "int": "a whole number",
    "float": "a number",
    "str": "text",
    "array": "a list",
    "object": "an object",
}
_BOUNDS = {">=": "at least", "<=": "at most"}


def schema_of(kind: type[msgspec.Struct]) -> dict[str, Any]:
    """Return the JSON Schema of what is written of ``kind``: every key is there."""
    schema = msgspec.json.decode(msgspec.json.encode(msgspec.json.schema(kind)))
    for part in schema["$defs"].values():
        if "description" in part:  # indented up to Python 3.12
            part["description"] = inspect.cleandoc(part["description"])
        if "properties" in part:
            part["required"] = list(part["properties"])
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **schema}


def on_one_line(value: object) -> str:
    """Return a value as JSON on one line, set with spaces."""
    return msgspec.json.format(msgspec.json.encode(value), indent=0).decode()


def in_plain_words(error: msgspec.ValidationError) -> str:
    """Return what is wrong as a sentence that begins with the key.

    >>> told = "Expected `int`, got `float` - at `$.cues[2].anchor_ms`"
    >>> in_plain_words(msgspec.ValidationError(told))
    "'cues[2].anchor_ms' must be a whole number."
    """
    what, _, path = str(error).removesuffix("`").partition(" - at `$")
    key = path.removeprefix(".")
    if found := re.match(r"Object (missing|contains).* field `([^`]*)", what):
        trouble = {"missing": "is missing", "contains": "is not known"}[found[1]]
        return f"'{_joined(key, found[2])}' {trouble}."
    told = _of_a_value(what)
    if told:
        return f"'{key}' {told}."
    return f"'{key}': {what}." if key else what


def _of_a_value(what: str) -> str:
    """Return what is wrong with the value of a key; nothing where it is unknown."""
    if found := re.match(r"Expected `(\w+)(?: \| null)?`, got", what):
        return f"must be {_TYPES[found[1]]}"
    if found := re.match(r"Expected `\w+` of length <= (\d+)", what):
        return f"is too long: at most {found[1]} fit"
    if found := re.match(r"Expected `\w+` ([<>]=) (\d+)", what):
        return f"must be {_BOUNDS[found[1]]} {found[2]}"
    return "is not of the form that is expected" if "matching regex" in what else ""


def _joined(key: str, field: str) -> str:
    return f"{key}.{field}" if key else field
