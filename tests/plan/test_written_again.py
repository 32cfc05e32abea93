"""What a plan says can be written again by the declaration that read it."""

import dataclasses

from hypothesis import given
from plan.strategies import legal_plans

from cuetrack.documents.keys import Written
from cuetrack.documents.problems import Problems
from cuetrack.documents.reading import Reader, Spot
from cuetrack.documents.tree import read_tree
from cuetrack.plan.model import PLAN


def said_in(value):
    """Yield every value that keys were read to, at any depth."""
    if isinstance(value, Written):
        yield value
        for each in dataclasses.fields(value):
            if each.name != "said":
                yield from said_in(getattr(value, each.name))
    elif isinstance(value, tuple):
        for each in value:
            yield from said_in(each)


def keys_of(value):
    """Yield the keys of a value with what stands behind each."""
    for table in PLAN.reachable():
        for key in table.keys:
            if (table.of is type(value) and not key.inside and not key.item) or (
                type(value) in table.inlined.values() and key.inside
            ):
                yield key, getattr(value, key.attribute)


def read_again(key, text):
    problems = Problems("p")
    entry = read_tree(f"key: {text}", "p").entries[0]
    spot = Spot("key", entry.key.place)
    found = key.shape.read(entry.value, spot, Reader(problems, ()))
    problems.raise_if_any()
    return found


@given(legal_plans())
def test_every_value_is_read_as_it_is_written(plan):
    """A time, a text, a list, a movement, a section, all sections of a class."""
    for value in said_in(plan):
        for key, said in keys_of(value):
            if said != key.default:
                assert read_again(key, key.shape.write(said)) == said
