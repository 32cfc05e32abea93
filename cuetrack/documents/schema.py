"""The JSON Schema of a document, from the tables of keys that its reading uses.

Editors complete and check with it. It is as strict about the spelling of words as
their declaration; the reader is kinder to capitals, hyphens and spaces, and knows
what no schema can say (`Refusal`). Values may be strings throughout, as a document
is read from the text as typed.
"""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any
from urllib.parse import quote

if TYPE_CHECKING:
    from cuetrack.documents.keys import Key, Schema, Table


def document_schema(root: Table[Any], title: str, description: str) -> Schema:
    """Return the JSON Schema (draft 2020-12) of documents whose keys are a table's."""
    tables = root.reachable()
    definitions = {
        name: schema
        for table in tables
        for told in table.keys
        for name, schema in told.shape.definitions().items()
    }
    definitions |= {each.name: table_schema(each) for each in tables[1:]}
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": title,
        "description": description,
        **table_schema(root, "#"),
        "$defs": dict(sorted(definitions.items())),
    }


def schema_text(schema: Schema) -> str:
    """Return a schema as the text of its published file."""
    return json.dumps(schema, indent=1, ensure_ascii=False) + "\n"


def table_schema(table: Table[Any], here: str = "") -> Schema:
    """Return the schema of a table; ``here`` is where it stands in the document."""
    properties: Schema = {}
    for told in table.keys:
        properties[told.word] = _key_schema(told)
        for word in told.also:
            properties[word] = {"$ref": property_of(table, told.word, here)}
    schema = {
        "type": "object",
        "properties": properties,
        "additionalProperties": False,
    }
    wanted = [_one_of(told) for told in table.keys if told.required]
    return {**schema, "allOf": wanted} if wanted else schema


def details_schema(table: Table[Any], name: Key) -> Schema:
    """Return the schema of a table without the key that names it."""
    return {
        "type": "object",
        "properties": {
            word: {"$ref": property_of(table, told.word)}
            for told in table.keys
            if told.word != name.word
            for word in told.words
        },
        "additionalProperties": False,
    }


def property_of(table: Table[Any], word: str, here: str = "") -> str:
    """Return where the schema of a key stands in the document."""
    return f"{here or f'#/$defs/{table.name}'}/properties/{quote(word)}"


def _one_of(told: Key) -> Schema:
    if not told.also:
        return {"required": [told.word]}
    return {"anyOf": [{"required": [word]} for word in told.words]}


def _key_schema(told: Key) -> Schema:
    schema = told.shape.schema()
    if not (told.required or told.item):
        schema = _or_nothing(schema)
    usual = {"default": told.usual} if told.usual else {}
    return {"description": told.meaning, **schema, **usual}


def _or_nothing(schema: Schema) -> Schema:
    """Return a schema that also takes a key behind which nothing is written."""
    if "enum" in schema:
        return {**schema, "enum": [*schema["enum"], None]}
    if isinstance(schema.get("type"), list):
        return {**schema, "type": [*schema["type"], "null"]}
    return {"anyOf": [*schema.get("anyOf", [schema]), {"type": "null"}]}
