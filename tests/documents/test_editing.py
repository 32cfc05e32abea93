"""Changes of a document leave every other character as it is."""

import re
from collections import Counter
from difflib import unified_diff

import pytest
from documents.written import KEYS, TEXTS, documents, keys, texts, values
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from cuetrack.documents.editing.applying import changed, edits_of
from cuetrack.documents.editing.changes import (
    AddKey,
    InsertItem,
    KeyValues,
    Move,
    Remove,
    RenameKey,
    SetAside,
    SetValue,
    value_of,
)
from cuetrack.documents.editing.differences import differences
from cuetrack.documents.editing.layout import line_end
from cuetrack.documents.editing.source import Source, applied
from cuetrack.documents.editing.writing import key_text, scalar_text
from cuetrack.documents.tree import read_tree
from cuetrack.errors import PlanError


def loose(value):
    """A value as lists that can be changed in place; keys are pairs."""
    if isinstance(value, KeyValues):
        return {"keys": [[key, loose(inner)] for key, inner in value.entries]}
    return [loose(item) for item in value] if isinstance(value, tuple) else value


def firm(value):
    if isinstance(value, dict):
        return KeyValues(tuple((key, firm(inner)) for key, inner in value["keys"]))
    return tuple(firm(item) for item in value) if isinstance(value, list) else value


def parts(value):
    return value["keys"] if isinstance(value, dict) else value


def find(value, path):
    for step in path:
        if isinstance(value, dict):
            value = next(inner for key, inner in value["keys"] if key == step)
        else:
            value = value[step]
    return value


def index_in(value, step):
    if isinstance(value, dict):
        return [key for key, _ in value["keys"]].index(step)
    return step


def done(value, change):
    """What a change makes of a document, worked out on lists in place."""
    value = loose(value)
    match change:
        case SetValue(path=(*above, last), value=new):
            inner = find(value, above)
            index = index_in(inner, last)
            if isinstance(inner, dict):
                inner["keys"][index][1] = loose(new)
            else:
                inner[index] = loose(new)
        case AddKey(path=path, key=key, value=new, index=index):
            find(value, path)["keys"].insert(index, [key, loose(new)])
        case InsertItem(path=path, value=new, index=index):
            find(value, path).insert(index, loose(new))
        case Remove(path=(*above, last)) | SetAside(path=(*above, last)):
            inner = find(value, above)
            del parts(inner)[index_in(inner, last)]
        case Move(path=(*above, last), to=to, index=index):
            source, target = find(value, above), find(value, to)
            part = parts(source).pop(index_in(source, last))
            parts(target).insert(index, part)
        case RenameKey(path=(*above, last), key=key):
            inner = find(value, above)
            inner["keys"][index_in(inner, last)][0] = key
    return firm(value)


def collections(value, path=()):
    """Every list and every group of keys with its path."""
    if isinstance(value, dict):
        yield path, value
        for key, inner in value["keys"]:
            yield from collections(inner, (*path, key))
    elif isinstance(value, list):
        yield path, value
        for index, inner in enumerate(value):
            yield from collections(inner, (*path, index))


def step(inner, index):
    return inner["keys"][index][0] if isinstance(inner, dict) else index


@st.composite
def changes_of(draw, value):
    """A change of a document, of any kind."""
    found = list(collections(loose(value)))
    path, inner = draw(st.sampled_from(found))
    size = len(parts(inner))
    new = draw(values.filter(lambda v: v is not None))
    kind = draw(st.sampled_from(["set", "add", "add", "remove", "move", "rename"]))
    if kind == "add" or not size:
        index = draw(st.integers(0, size))
        if isinstance(inner, list):
            return InsertItem(path=path, value=new, index=index)
        used = {key for key, _ in inner["keys"]}
        key = draw(keys.filter(lambda k: k not in used))
        return AddKey(
            path=path, key=key, value=new, index=index, apart=draw(st.booleans())
        )
    index = draw(st.integers(0, size - 1))
    part = (*path, step(inner, index))
    if kind == "set":
        return SetValue(path=part, value=draw(st.one_of(texts, st.just(new))))
    if kind == "remove":
        aside = SetAside(path=part, note="Left out:")
        return draw(st.sampled_from([aside, Remove(path=part)]))
    names = {key for key, _ in inner["keys"]} if isinstance(inner, dict) else set()
    if kind == "rename" and names:
        new_names = keys.filter(lambda k: k not in names or k == part[-1])
        return RenameKey(path=part, key=draw(new_names))
    targets = [
        (to, len(parts(other)) - (to == path))
        for to, other in found
        if type(other) is type(inner)
        and to[: len(part)] != part
        and (to == path or not names or part[-1] not in dict(other["keys"]))
    ]
    to, room = draw(st.sampled_from(targets))
    return Move(path=part, to=to, index=draw(st.integers(0, room)))


@given(documents())
def test_the_documents_drawn_say_their_value(drawn):
    """What the properties below stand on."""
    value, text = drawn
    assert value_of(read_tree(text, "p")) == value


@settings(max_examples=400)
@given(documents(), st.data())
def test_a_change_of_the_text_is_the_change_of_what_it_says(drawn, data):
    """Any change of any document, in any style."""
    value, text = drawn
    change = data.draw(changes_of(value))
    new = changed(text, change, "p")
    assert value_of(read_tree(new, "p")) == done(value, change)


def remarks(text):
    return Counter(
        re.findall(r"(?:^|[ \t])(#(?: [^\r\n]*|no space)?)(?=[\r\n]|$)", text)
    )


@settings(max_examples=200)
@given(documents(), st.data())
def test_what_a_change_is_not_about_is_not_touched(drawn, data):
    """Each edit stays with the part it changes, and no remark of another is lost."""
    value, text = drawn
    change = data.draw(changes_of(value))
    edits = edits_of(text, change, "p")
    new = applied(text, edits)
    if not isinstance(change, Remove | SetAside | Move | SetValue):
        assert remarks(text) - remarks(new) == Counter()
    if isinstance(change, RenameKey | AddKey | InsertItem):
        taken = "".join(text[e.span.start : e.span.end] for e in edits)
        old = change.path[-1] if isinstance(change, RenameKey) else ""
        assert len(taken.strip(" :")) <= len(_longest_form(old))
    if isinstance(change, SetValue) and isinstance(change.value, str):
        part = Source.of(text, "p").part_at(change.path)[1]
        line = line_end(text, part.end)
        assert all(part.start <= e.span.start <= e.span.end <= line for e in edits)


def _longest_form(text):
    plain = str(text)
    single = "'" + plain.replace("'", "''") + "'"
    double = f'"{plain}"' if '"' not in plain else "x" * 2 * len(plain)
    return max(single, double, key=len)


HALL = """\
# The hall class.

title: Twenty minutes at Larkfield Hall   # on Thursdays
work:    40 s      # brisk
rest:    20 s      # easy

# Get warm.
warm-up:
  - easy march: 1 min
  # roll, not shrug
  - shoulder roll

  # the feet
  - movement: "ankle pump"
    sides: [left, right]

table:
- {movement: heel dig,       for: 40 s, rest: 20 s}
- {movement: straight punch, for: 40 s, rest: 20 s}
short: [heel dig: 40 s, toe tap,
        # the arms
        slow punch,
        knee lift]
"""


def lines_that_differ(change, text=HALL):
    """The lines taken from the text and those put there."""
    old, new = text.splitlines(), changed(text, change, "p").splitlines()
    differing = unified_diff(old, new, n=0, lineterm="")
    return [
        f"{line[0]} {line[1:]}".rstrip()
        for line in [*differing][2:]
        if not line.startswith("@@")
    ]


def pairs(**keyed):
    return KeyValues(tuple((key.strip("_"), value) for key, value in keyed.items()))


@pytest.mark.parametrize(
    ("change", "differing"),
    [
        (
            SetValue(path=("title",), value="Autumn: the new class"),
            [
                "- title: Twenty minutes at Larkfield Hall   # on Thursdays",
                '+ title: "Autumn: the new class"   # on Thursdays',
            ],
        ),
        (
            SetValue(path=("work",), value="1 min 5 s"),
            ["- work:    40 s      # brisk", "+ work:    1 min 5 s # brisk"],
        ),
        (
            RenameKey(path=("rest",), key="pause"),
            ["- rest:    20 s      # easy", "+ pause:   20 s      # easy"],
        ),
        (AddKey(path=(), key="rounds", value="3", index=3), ["+ rounds:  3"]),
        (
            AddKey(path=(), key="close", value="30 s", index=4, apart=True),
            ["+ close: 30 s", "+"],
        ),
        (
            SetValue(path=("table", 0, "movement"), value="toe tap side"),
            [
                "- - {movement: heel dig,       for: 40 s, rest: 20 s}",
                "+ - {movement: toe tap side,   for: 40 s, rest: 20 s}",
            ],
        ),
        (
            SetValue(path=("table", 1, "movement"), value="knee lift"),
            [
                "- - {movement: straight punch, for: 40 s, rest: 20 s}",
                "+ - {movement: knee lift,      for: 40 s, rest: 20 s}",
            ],
        ),
        (
            SetValue(path=("warm-up", 1), value=pairs(**{"shoulder roll": "40 s"})),
            ["-   - shoulder roll", "+   - shoulder roll: 40 s"],
        ),
        (
            SetValue(path=("warm-up", 0), value="easy march"),
            ["-   - easy march: 1 min", "+   - easy march"],
        ),
        (
            SetValue(path=("warm-up", 2, "movement"), value="heel lift"),
            ['-   - movement: "ankle pump"', '+   - movement: "heel lift"'],
        ),
        (
            SetValue(
                path=("warm-up", 1), value=pairs(movement="shoulder roll", for_="40 s")
            ),
            [
                "-   - shoulder roll",
                "+   - movement: shoulder roll",
                "+     for: 40 s",
            ],
        ),
        (
            AddKey(path=("warm-up", 2), key="how", value="Up, then down.", index=2),
            ["+     how: Up, then down."],
        ),
        (
            AddKey(path=("short", 0), key="rest", value="5 s", index=1),
            [
                "- short: [heel dig: 40 s, toe tap,",
                "+ short: [{heel dig: 40 s, rest: 5 s}, toe tap,",
            ],
        ),
        (
            InsertItem(path=("short",), value="big breath", index=4),
            ["-         knee lift]", "+         knee lift, big breath]"],
        ),
        (
            Remove(path=("warm-up", 1)),
            ["-   # roll, not shrug", "-   - shoulder roll"],
        ),
        (
            Remove(path=("short", 2)),
            ["-         # the arms", "-         slow punch,"],
        ),
        (
            Remove(path=("short", 1)),
            [
                "- short: [heel dig: 40 s, toe tap,",
                "+ short: [heel dig: 40 s,",
            ],
        ),
        (
            SetAside(path=("warm-up", 2), note="Left out:"),
            [
                '-   - movement: "ankle pump"',
                "-     sides: [left, right]",
                "+   # Left out:",
                '+   # - movement: "ankle pump"',
                "+   #   sides: [left, right]",
            ],
        ),
        (
            Move(path=("warm-up", 1), to=("table",), index=2),
            [
                "-   # roll, not shrug",
                "-   - shoulder roll",
                "+ # roll, not shrug",
                "+ - shoulder roll",
            ],
        ),
        (
            Move(path=("short", 0), to=("warm-up",), index=0),
            [
                "+   - heel dig: 40 s",
                "- short: [heel dig: 40 s, toe tap,",
                "+ short: [toe tap,",
            ],
        ),
    ],
    ids=str,
)
def test_a_change_is_written_as_a_person_would(change, differing):
    """In the style of its neighbours, lined up where they are lined up by hand."""
    assert lines_that_differ(change) == differing


def test_a_list_becomes_a_group_of_keys_and_keeps_its_lines():
    """Its items and their remarks stay, a step further in where they must."""
    text = "warm-up:\n- march   # easy\n# then\n- roll\n"
    new = changed(
        text,
        SetValue(
            path=("warm-up",), value=pairs(for_="5 min", movements=("march", "roll"))
        ),
        "p",
    )
    assert new == (
        "warm-up:\n  for: 5 min\n  movements:\n  - march   # easy\n  # then\n  - roll\n"
    )


@pytest.mark.parametrize(
    ("text", "change", "told"),
    [
        (
            "a: &t 30 s\nb: *t\n",
            SetValue(path=("a",), value="40 s"),
            "p:1:4: .*safely. Write what stands behind & and . out in full",
        ),
        (
            "a: &t [x]\nb: *t\n",
            InsertItem(path=("b",), value="y", index=1),
            "p:1:4: .*out in full",
        ),
        ("a: &t 30 s\nb: *t\n", Remove(path=("a",)), "p:1:4: .*out in full"),
        ("? a\n: b\nc: d\n", Remove(path=("a",)), "p:2:3: .*Change it in a text"),
        ("a: b\n--- \nc: d\n", Remove(path=("a",)), "p:2:1: A second plan starts"),
        ("a:\n\tb: c\n", Remove(path=("a",)), "p:2:1: A tab stands at the start"),
    ],
    ids=["anchor", "alias", "anchor gone", "sign for a key", "two plans", "tab"],
)
def test_what_cannot_be_changed_safely_is_refused(text, change, told):
    """With the place and what to do instead."""
    with pytest.raises(PlanError, match=told):
        changed(text, change, "p")


def test_an_alias_itself_may_be_replaced():
    """What it stood for stays."""
    new = changed("a: &t 30 s\nb: *t  # x\n", SetValue(path=("b",), value="9 s"), "p")
    assert new == "a: &t 30 s\nb: 9 s  # x\n"


@pytest.mark.parametrize(
    "change",
    [
        Remove(path=("z",)),
        Remove(path=("a", 3)),
        RenameKey(path=("a", 0), key="x"),
        RenameKey(path=("a",), key="b"),
        AddKey(path=(), key="b", value="x", index=0),
        InsertItem(path=("a",), value="x", index=9),
        Move(path=("a", 0), to=(), index=0),
        SetValue(path=("b", "c"), value="x"),
    ],
    ids=str,
)
def test_a_path_to_nothing_is_a_lookup_error(change):
    """As is a key that would stand twice."""
    with pytest.raises(LookupError):
        changed("a: [x]\nb: y\n", change, "p")


@pytest.mark.parametrize("text", TEXTS + KEYS)
def test_a_written_text_reads_back_as_itself(text):
    """Plain or in quotes, in brackets and outside, as a value and as a key."""
    for written in (
        f"- {scalar_text(text, flow=False)}",
        f"[{scalar_text(text)}, x]",
        f"[{scalar_text(text, like=chr(39))}]",
    ):
        assert value_of(read_tree(written, "p"))[0] == text
    assert value_of(read_tree(f"{key_text(text)}: x", "p")).entries == ((text, "x"),)


@settings(max_examples=150)
@given(documents(), st.data())
def test_differences_turn_one_document_into_another(drawn, data):
    """Made one after the other they give what was wanted."""
    value, text = drawn
    wanted = value
    for _ in range(3):
        wanted = done(wanted, data.draw(changes_of(wanted)))
    new = text
    for change in differences(value, wanted, ()):
        assume(change.path or not isinstance(change, SetValue))
        new = changed(new, change, "p")
    assert value_of(read_tree(new, "p")) == wanted
