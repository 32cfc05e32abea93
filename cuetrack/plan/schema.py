"""The JSON Schema of a plan, made from the same table that reading uses.

Editors complete and check with it. It is as strict about names as the table's
own spelling; the reader is kinder, and knows the checks that no schema can say.
Values may be strings throughout, as a plan is read from the text as typed.
"""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any, Final

from cuetrack.documents.durations import TIME_PATTERN
from cuetrack.plan import shapes
from cuetrack.plan.fields import PLAN_TABLES, SECTIONS, TABLES
from cuetrack.plan.parts import NAMED_SIDES
from cuetrack.times import duration

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from cuetrack.plan.shapes import Field, Shape, Table

Schema = dict[str, Any]

_NONE: Final = {"enum": ["none"]}
_YES_NO: Final = ["yes", "no", "on", "off", "true", "false"]


def plan_schema() -> Schema:
    """Return the JSON Schema (draft 2020-12) that every legal plan fits.

    >>> plan_schema()["required"]
    ['title']
    """
    definitions = {
        name: _of_table(TABLES[name]) for name in PLAN_TABLES if name != "plan"
    }
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "cuetrack plan",
        "description": "A timed plan of a seated exercise class.",
        **_of_table(TABLES["plan"]),
        "$defs": {**definitions, "named_movement": _any_movement()},
    }


def library_schema() -> Schema:
    """Return the JSON Schema (draft 2020-12) of a file of movements.

    >>> library_schema()["title"]
    'cuetrack movements'
    """
    table = TABLES["library"]
    (movements,) = table.fields
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "cuetrack movements",
        "description": "Movements with their words, for plans to draw on.",
        "anyOf": [_of_table(table), _of(movements.shape)],
        "$defs": {"library_movement": _of_table(TABLES["library_movement"])},
    }


def plan_schema_text() -> str:
    """Return the schema of a plan as the text of its published file."""
    return _text_of(plan_schema())


def library_schema_text() -> str:
    """Return the schema of a file of movements as the text of its file."""
    return _text_of(library_schema())


def _text_of(schema: Schema) -> str:
    return json.dumps(schema, indent=1, ensure_ascii=False) + "\n"


def _of_table(table: Table) -> Schema:
    schema: Schema = {
        "type": "object",
        "properties": {field.key: _of_field(field) for field in table.fields},
        "additionalProperties": False,
    }
    required = [field.key for field in table.fields if field.required]
    return {**schema, "required": required} if required else schema


def _of_field(field: Field) -> Schema:
    schema = {"description": field.meaning, **_of(field.shape)}
    if field.default is None or field.default == ():
        return schema
    is_time = isinstance(field.shape, shapes.Time) and isinstance(field.default, int)
    usual = duration(field.default) if is_time else field.default  # type: ignore[arg-type] # is_time says it is an int
    if field.default is False:
        usual = "no"
    return {**schema, "default": usual}


def _any_movement() -> Schema:
    details = _of_table(TABLES["movement"])
    nameless = {**details, "properties": dict(details["properties"])}
    del nameless["properties"]["movement"], nameless["required"]
    known = sorted(details["properties"])
    return {
        "anyOf": [
            _text(60),
            {"$ref": "#/$defs/movement"},
            {
                "type": "object",
                "minProperties": 1,
                "maxProperties": 1,
                "propertyNames": {"not": {"enum": known}},
                "additionalProperties": {
                    "anyOf": [_of(shapes.Time(least_ms=0)), nameless, {"type": "null"}]
                },
            },
        ]
    }


def _text(most: int) -> Schema:
    return {
        "type": ["string", "number", "boolean"],
        "minLength": 1,
        "maxLength": most,
    }


def _of_text(shape: shapes.Text) -> Schema:
    return _text(shape.most)


def _of_texts(shape: shapes.Texts) -> Schema:
    one = _text(shape.most)
    if shape.examples:
        one["examples"] = list(shape.examples)
    several = {
        "type": "array",
        "items": one,
        "minItems": 1,
        "maxItems": shape.count,
    }
    return {"anyOf": [one, several]}


def _of_time(shape: shapes.Time) -> Schema:
    forms: list[Schema] = [
        {"type": "string", "pattern": TIME_PATTERN},
        {"type": "number", "minimum": 0},
    ]
    return {"anyOf": [*forms, _NONE] if shape.none else forms}


def _of_number(shape: shapes.Number) -> Schema:
    digits = "[0-9_]+" if shape.whole else "[0-9_]+([.,][0-9]+)?"
    unit = f"( ?{shape.unit})?" if shape.unit else ""
    return {
        "type": ["integer" if shape.whole else "number", "string"],
        "minimum": shape.least,
        "maximum": shape.most,
        "pattern": f"^{digits}{unit}$",
    }


def _of_choice(shape: shapes.Choice) -> Schema:
    return {"enum": [str(word) for word in shape.words]}


def _of_yes_no(_: shapes.YesNo) -> Schema:
    return {"enum": [True, False, *_YES_NO]}


def _of_sides(_: shapes.Sides) -> Schema:
    two = {"type": "array", "items": _text(30), "minItems": 2, "maxItems": 2}
    return {"anyOf": [{"enum": list(NAMED_SIDES)}, two]}


def _of_moment(_: shapes.Moment) -> Schema:
    return {"type": ["string", "number"]}


def _of_pairs(shape: shapes.Pairs) -> Schema:
    names: Schema = {"maxLength": shape.key_most}
    if shape.known:
        names["enum"] = list(shape.known)
    return {
        "type": "object",
        "propertyNames": names,
        "additionalProperties": _text(shape.value_most),
    }


def _of_movement(_: shapes.MovementShape) -> Schema:
    return {"$ref": "#/$defs/named_movement"}


def _of_time_or_movement(shape: shapes.TimeOrMovement) -> Schema:
    return {"anyOf": [_of_time(shape.time), _text(60)]}


def _of_section_item(_: shapes.SectionItem) -> Schema:
    return {
        "type": "object",
        "properties": {field.key: _of_field(field) for field in SECTIONS},
        "additionalProperties": False,
        "minProperties": 1,
        "maxProperties": 1,
    }


def _of_block(shape: shapes.Block) -> Schema:
    return {"$ref": f"#/$defs/{shape.table}"}


def _of_list(shape: shapes.ListOf) -> Schema:
    return {"type": "array", "items": _of(shape.item), "minItems": 1}


def _of_either(shape: shapes.Either) -> Schema:
    forms = [form for form in (shape.single, shape.several, shape.keys) if form]
    return {"anyOf": [_of(form) for form in forms]}


_MAKERS: Final[Mapping[type, Callable[[Any], Schema]]] = {
    shapes.Text: _of_text,
    shapes.Texts: _of_texts,
    shapes.Time: _of_time,
    shapes.Number: _of_number,
    shapes.Choice: _of_choice,
    shapes.YesNo: _of_yes_no,
    shapes.Sides: _of_sides,
    shapes.Moment: _of_moment,
    shapes.Pairs: _of_pairs,
    shapes.MovementShape: _of_movement,
    shapes.TimeOrMovement: _of_time_or_movement,
    shapes.SectionItem: _of_section_item,
    shapes.Block: _of_block,
    shapes.ListOf: _of_list,
    shapes.Either: _of_either,
}


def _of(shape: Shape) -> Schema:
    return _MAKERS[type(shape)](shape)
