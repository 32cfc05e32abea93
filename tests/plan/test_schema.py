"""The published schema fits every legal plan and names what it does not know."""

from pathlib import Path

import jsonschema
import pytest
import yaml
from hypothesis import given, settings
from plan.strategies import legal_plan_texts

import cuetrack.plan
from cuetrack.documents.schema import schema_text
from cuetrack.plan.schema import plan_schema

PUBLISHED = Path(cuetrack.plan.__file__).with_name("plan.schema.json")
VALIDATOR = jsonschema.Draft202012Validator(plan_schema())
EXAMPLES = sorted(Path(__file__).parents[2].joinpath("examples").glob("*.yaml"))


def test_the_published_schema_is_current():
    """The file in the package is what the table of keys says."""
    assert PUBLISHED.read_text("utf-8") == schema_text(plan_schema())


@pytest.mark.outside
def test_the_schema_is_a_legal_schema():
    """The meta-schema of JSON Schema, draft 2020-12, accepts it."""
    jsonschema.Draft202012Validator.check_schema(plan_schema())


@pytest.mark.parametrize("loader", [yaml.BaseLoader, yaml.SafeLoader])
@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_every_example_fits(path, loader):
    """Typed values and plain strings both fit, as editors differ in them."""
    loaded = yaml.load(path.read_text("utf-8"), loader)
    assert [error.message for error in VALIDATOR.iter_errors(loaded)] == []


@settings(max_examples=40)
@given(legal_plan_texts())
def test_every_legal_plan_fits(text):
    """An editor never underlines what the reader accepts in canonical keys."""
    for loader in (yaml.BaseLoader, yaml.SafeLoader):
        assert VALIDATOR.is_valid(yaml.load(text, loader))


@pytest.mark.parametrize(
    "text",
    [
        "warm-up: [a]",
        "{title: A, vioce: b}",
        "{title: A, warm-up: []}",
        "{title: A, intervals: [a]}",
        "{title: A, coaching: all}",
        "{title: A, intervals: {work: soon, movements: [a]}}",
        "{title: A, intervals: {rounds: 0, movements: [a]}}",
        "{title: A, warm-up: [{how: Lift.}]}",
        "{title: A, acknowledge: {X: why}}",
        "{title: A, sections: [{a: b}]}",
    ],
)
def test_mistakes_of_form_do_not_fit(text):
    """The schema can fail: unknown, missing and wrong values are found."""
    assert not VALIDATOR.is_valid(yaml.safe_load(text))
