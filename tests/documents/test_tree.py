"""YAML is read within bounds, as text, and with the right places."""

import pytest
import yaml

from cuetrack.documents import tree as yamltree
from cuetrack.documents.tree import NODE_LIMIT, read_tree
from cuetrack.errors import PlanError


def told(text):
    with pytest.raises(PlanError) as caught:
        read_tree(text, "p")
    return str(caught.value)


@pytest.fixture(
    params=[
        pytest.param(
            "CSafeLoader",
            marks=pytest.mark.skipif(
                not yaml.__with_libyaml__,
                reason="this PyYAML has no libyaml; its wheels have it",
            ),
        ),
        "SafeLoader",
    ]
)
def _both_parsers(request, monkeypatch):
    monkeypatch.setattr(yamltree, "LOADER", getattr(yaml, request.param))


@pytest.mark.parametrize(
    "typed",
    [
        "no",
        "on",
        "off",
        "yes",
        "1:30",
        "0:45",
        "1_000",
        "08",
        "0o7",
        "1e3",
        "~",
        "null",
    ],
)
@pytest.mark.usefixtures("_both_parsers")
def test_a_scalar_stays_what_was_typed(typed):
    """Nothing becomes a boolean, a number or nothing on its way in."""
    root = read_tree(f"key: {typed}\n", "p")
    assert root.entries[0].value.text == typed


@pytest.mark.usefixtures("_both_parsers")
def test_places_count_letters_from_one():
    """Line and column are those that editors show, after any letters."""
    root = read_tree("å: b\nø:\n  - {é: x}\n", "p")
    second = root.entries[1]
    inner = second.value.items[0].entries[0]
    assert (second.key.place.line, second.key.place.column) == (2, 1)
    assert (inner.value.place.line, inner.value.place.column) == (3, 9)


@pytest.mark.usefixtures("_both_parsers")
def test_an_alias_bomb_is_defused():
    """Nine lines that would grow to a milliard values are refused at once."""
    lines = ["a0: &a0 [x, x, x, x, x, x, x, x, x, x]"]
    for level in range(1, 10):
        many = ", ".join([f"*a{level - 1}"] * 10)
        lines.append(f"a{level}: &a{level} [{many}]")
    assert f"more than {NODE_LIMIT} values" in told("\n".join(lines))


@pytest.mark.usefixtures("_both_parsers")
def test_an_ordinary_alias_is_what_it_refers_to():
    """A leader who knows aliases may use them."""
    root = read_tree("a: &easy [march]\nb: *easy\n", "p")
    first, second = (entry.value for entry in root.entries)
    assert second.items == first.items
    assert (first.alias, second.alias) == (False, True)


@pytest.mark.parametrize(
    ("text", "sign"),
    [
        ("&a [*a]", "refers to something that is not there yet"),
        ("[" * 21 + "]" * 21, "more than 20 levels deep"),
        ("[" * 100_000, "more than 20 levels deep"),
        ("{a: " * 60_000, "more than 20 levels deep"),
        ("- " * 100_000, "more than 20 levels deep"),
        ("[" + "x, " * NODE_LIMIT + "]", "more than 20000 values"),
        ("!!python/object/apply:os.system [echo]", "is a tag"),
        ("a: !!binary abc", "is a tag"),
        ("? [a]\n: b", "stands where a key should be"),
        ("x" * 300_000, "longer than 256 kB"),
        ('a: "\\ud800"', "not YAML here"),
        ("a: b\x00c", "invisible character (code 0)"),
        ("a: \ud800", "invisible character (code 55296)"),
        ("%YAML 9.9\n---\na: b", "not YAML here"),
    ],
)
def test_what_goes_beyond_the_bounds_is_refused(text, sign):
    """Neither depth nor size nor cunning gets past the reader."""
    assert sign in told(text)


@pytest.mark.parametrize(
    "text", ["[a", "{a: b", "'a", "a: b: c", "\ta: b", "a:\n - b\n c"]
)
@pytest.mark.usefixtures("_both_parsers")
def test_broken_yaml_is_refused_by_either_parser(text):
    """The C parser and the Python parser both lead to a plan error."""
    assert told(text).startswith("p:")


SPANS = """\
a: &t 30 s   # remark
b: *t
c:
d: |+
  kept

e: {f, g: , h : 1, "i": [j: 1 min , *t]} # remark
k:
-
- - &l {m: 'it''s'}
  - &n
    o: two
      lines   # remark

p: >-
    folded
    too

"""


def written(node, text):
    """Yield what every node cuts out of its text, the keys included."""
    yield text[node.span.start : node.span.end]
    for entry in getattr(node, "entries", ()):
        yield text[entry.key.span.start : entry.key.span.end]
        yield from () if entry.value.alias else written(entry.value, text)
        if entry.value.alias:
            yield text[entry.value.span.start : entry.value.span.end]
    for item in getattr(node, "items", ()):
        yield from written(item, text)


@pytest.mark.parametrize("mark", ["", "\ufeff"], ids=["bare", "with BOM"])
@pytest.mark.parametrize("line_end", ["\n", "\r\n", "\r"])
@pytest.mark.usefixtures("_both_parsers")
def test_spans_cut_out_what_was_written(line_end, mark):
    """From the first character of each node to its last, remarks left out."""
    text = mark + SPANS.replace("\n", line_end)
    found = [w.replace(line_end, "\n") for w in written(read_tree(text, "p"), text)]
    assert found[1:19] == [
        *("a", "&t 30 s", "b", "*t", "c", "", "d", "|+\n  kept\n", "e"),
        '{f, g: , h : 1, "i": [j: 1 min , *t]}',
        *("f", "", "g", "", "h", "1", '"i"', "[j: 1 min , *t]"),
    ]
    assert found[19:] == [
        *("j: 1 min", "j", "1 min", "*t", "k"),
        "-\n- - &l {m: 'it''s'}\n  - &n\n    o: two\n      lines",
        *("", "- &l {m: 'it''s'}\n  - &n\n    o: two\n      lines"),
        *("&l {m: 'it''s'}", "m", "'it''s'"),
        *("&n\n    o: two\n      lines", "o", "two\n      lines"),
        *("p", ">-\n    folded\n    too"),
    ]
    assert found[0] == "\n".join(SPANS.split("\n")[:-2])


@pytest.mark.usefixtures("_both_parsers")
def test_nothing_at_all_stands_right_behind_its_colon():
    """There a value can be written."""
    text = "{f, g: , h : }"
    spans = [e.value.span for e in read_tree(text, "p").entries]
    assert [(s.start, s.end) for s in spans] == [(2, 2), (6, 6), (12, 12)]
