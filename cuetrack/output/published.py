"""JSON that other programs read: its schema, and its faults in plain words."""

from __future__ import annotations

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
    if found := re.match(r"Object missing required field `([^`]*)", what):
        return f"'{_joined(key, found[1])}' is missing."
    if found := re.match(r"Object contains unknown field `([^`]*)", what):
        return f"'{_joined(key, found[1])}' is not known."
    if found := re.match(r"Expected `(\w+)(?: \| null)?`, got", what):
        return f"'{key}' must be {_TYPES[found[1]]}."
    if found := re.match(r"Expected `\w+` ([<>]=) (\d+)", what):
        return f"'{key}' must be {_BOUNDS[found[1]]} {found[2]}."
    return f"'{key}': {what}." if key else what


def _joined(key: str, field: str) -> str:
    return f"{key}.{field}" if key else field
