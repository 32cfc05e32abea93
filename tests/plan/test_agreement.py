"""The reader of plans and the published schema agree on what a plan may hold."""

import copy
import datetime as dt

import jsonschema
import pytest
import yaml
from hypothesis import HealthCheck, event, given, settings
from hypothesis import strategies as st
from plan.drawn import values_of
from plan.strategies import legal_plan_texts

from cuetrack.documents.problems import Refusal
from cuetrack.errors import PlanError
from cuetrack.movements.library import FILE as LIBRARY
from cuetrack.movements.library import library_schema, parse_movements
from cuetrack.plan.model import PLAN
from cuetrack.plan.reading import parse_plan
from cuetrack.plan.refusals import PlanRefusal
from cuetrack.plan.schema import plan_schema

SCHEMA = plan_schema()
VALIDATOR = jsonschema.Draft202012Validator(SCHEMA)
ONLY_READERS = {*Refusal, *PlanRefusal}
"""What no schema can say."""

unhurried = settings(
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)


def problems_of(reading, text):
    try:
        reading(text, "p")
    except PlanError as error:
        return error.problems
    return ()


def written(value):
    """A value as YAML, and that text as editors load it."""
    text = yaml.safe_dump(value, allow_unicode=True, sort_keys=False)
    return text, as_json(yaml.safe_load(text))


def as_json(value):
    """What an editor sees: keys are texts, and a date is one too."""
    match value:
        case dict():
            return {str(key): as_json(each) for key, each in value.items()}
        case list():
            return [as_json(each) for each in value]
        case dt.date():
            return str(value)
    return value


@unhurried
@given(values_of(SCHEMA, SCHEMA))
def test_the_reader_takes_what_the_schema_takes(value):
    """But for a few mistakes, each with a name, that no schema can tell."""
    text, loaded = written(value)
    assert VALIDATOR.is_valid(loaded)
    for problem in problems_of(parse_plan, text):
        event(problem.refusal)
        assert problem.refusal in ONLY_READERS, (str(problem), text)


POOL = st.one_of(
    st.sampled_from(
        [
            *(None, True, 0, -5, 3.5, 12, 90, 100_000, "", " ", "none", "null"),
            *("soon", "45 s", "1:05", "61 min", "1 min 1 min", "5 s, 1 min", "-3"),
            *("yes", "each leg", "lefty", "2-3", "last", "10 s from end", "clock"),
            *("120 bpm", "65,5 dB", "x" * 130, [], {}, ["a"], ["a", "a"], [[]]),
            *({"a": "b"}, {"movement": "a"}, {"own": "calm"}, {"for": 40}),
        ]
    ),
    st.text(st.characters(min_codepoint=32, max_codepoint=126), max_size=8),
)


def places(value, path=()):
    """Every place of a value, from the whole down."""
    yield path
    if isinstance(value, dict | list):
        parts = value.items() if isinstance(value, dict) else enumerate(value)
        for key, each in parts:
            yield from places(each, (*path, key))


def changed(value, path, new):
    """Return a value with another one in one place."""
    if not path:
        return new
    whole = copy.deepcopy(value)
    part = whole
    for step in path[:-1]:
        part = part[step]
    part[path[-1]] = new
    return whole


@st.composite
def damaged_plans(draw):
    """Legal plans in which a few values are something else."""
    value = yaml.safe_load(draw(legal_plan_texts()))
    for _ in range(draw(st.integers(1, 2))):
        path = draw(st.sampled_from([*places(value)][1:] or [()]))
        value = changed(value, path, draw(POOL))
    return value


@unhurried
@given(damaged_plans())
def test_the_schema_takes_what_the_reader_takes(value):
    """An editor underlines nothing that is read."""
    text, loaded = written(value)
    if not problems_of(parse_plan, text):
        event("read")
        assert VALIDATOR.is_valid(loaded), text


LIBRARY_SCHEMA = library_schema()


@unhurried
@given(values_of(LIBRARY_SCHEMA["anyOf"][1], LIBRARY_SCHEMA))
def test_files_of_movements_are_read_as_their_schema_says(value):
    """The library's keys follow from their declaration in the same way."""
    text, loaded = written(value)
    assert jsonschema.Draft202012Validator(LIBRARY_SCHEMA).is_valid(loaded)
    for problem in problems_of(parse_movements, text):
        assert problem.refusal in ONLY_READERS, (str(problem), text)


@pytest.mark.parametrize(
    ("root", "schema"), [(PLAN, SCHEMA), (LIBRARY, LIBRARY_SCHEMA)]
)
def test_every_word_that_is_read_stands_in_the_schema(root, schema):
    """Other words for a key are completed and checked like the usual one."""
    for table in root.reachable():
        whole = schema["$defs"].get(table.name, schema)
        for part in whole.get("anyOf", [whole])[:1]:
            assert set(part["properties"]) == {w for k in table.keys for w in k.words}


def test_every_refusal_has_a_name_of_its_own():
    """Two lists, no name in both."""
    assert len(ONLY_READERS) == len(Refusal) + len(PlanRefusal)
