"""Documents as people write them: any value in a random mixture of styles.

`documents` draws a value and its text: lines and brackets, odd indentation, quotes,
remarks, blank lines, values lined up by hand, line ends of every system. The writer
here shares nothing with the one in the package.
"""

from hypothesis import strategies as st

from cuetrack.documents.editing.changes import KeyValues

TEXTS = [
    "heel dig",
    "40 s",
    "1:30",
    "no",
    "Sit tall, then rest.",
    "it's",
    'say "go"',
    "a: b",
    "x #y",
    "- a",
    "[a]",
    "{b",
    "#c",
    "&d",
    "*e",
    "!f",
    "%g",
    "@h",
    "? i",
    "null",
    "~",
    "",
    " led",
    "trailed ",
    "two\nlines",
    "Größe \N{PERSON DOING CARTWHEEL}",
    "---",
    "tab\there",
    "a:",
]
KEYS = ["for", "work", "warm-up", "in short", "Größe", "a: b", "#1", "---", "it's", "x"]
REMARKS = ["# why", "#", "# - heel dig: 40 s", "# a: b", "#no space"]
texts = st.sampled_from(TEXTS)
keys = st.sampled_from(KEYS)


def _keyed(inner, least=0):
    pairs = st.lists(
        st.tuples(keys, inner), min_size=least, max_size=4, unique_by=lambda p: p[0]
    )
    return pairs.map(lambda found: KeyValues(tuple(found)))


def _listed(inner, least=0):
    items = st.lists(inner.filter(lambda v: v is not None), min_size=least, max_size=4)
    return items.map(tuple)


values = st.recursive(
    st.one_of(texts, st.none()),
    lambda inner: st.one_of(_keyed(inner), _listed(inner)),
    max_leaves=8,
)
roots = st.one_of(_keyed(values, 1), _keyed(values, 1), _listed(values, 1))


@st.composite
def documents(draw):
    """A value and a text that says it."""
    value = draw(roots)
    lines = []
    if draw(st.booleans()):
        lines += [draw(st.sampled_from(REMARKS)), ""]
    if draw(st.integers(0, 7)) == 0:
        lines.append("---")
    if draw(st.integers(0, 3)) == 0:
        lines += _flow(draw, value).split("\n")
    else:
        lines += _block(draw, value, draw(st.integers(0, 2)))
    if draw(st.booleans()):
        lines += ["", draw(st.sampled_from(REMARKS))]
    newline = draw(st.sampled_from(["\n", "\n", "\r\n", "\r"]))
    mark = draw(st.sampled_from(["", "", "\ufeff"]))
    last = draw(st.sampled_from(["", newline, newline * 3]))
    return value, mark + newline.join(lines) + last


def _scalar(draw, text, *, flow):
    ways = [_double(text)]
    if text.isprintable():
        ways.append("'" + text.replace("'", "''") + "'")
    plain = text in TEXTS[:6] + KEYS[:5] and not (flow and "," in text)
    if plain:
        ways += [text] * 4
    return draw(st.sampled_from(ways))


def _double(text):
    for sign, escape in (("\\", "\\\\"), ('"', '\\"'), ("\n", "\\n"), ("\t", "\\t")):
        text = text.replace(sign, escape)
    return f'"{text}"'


def _flow(draw, value):
    """A value in brackets, perhaps over several lines."""
    if value is None:
        return ""
    if isinstance(value, str):
        return _scalar(draw, value, flow=True)
    keyed = isinstance(value, KeyValues)
    parts = [
        _flow_pair(draw, part) if keyed else _flow_item(draw, part)
        for part in (value.entries if keyed else value)
    ]
    opening, closing = "{}" if keyed else "[]"
    if not parts:
        return opening + draw(st.sampled_from(["", " "])) + closing
    layout = draw(st.sampled_from(["tight", "loose", "lines", "lines", "broken"]))
    trailing = draw(st.integers(0, 3)) == 0
    if layout == "lines":
        indent = " " * draw(st.integers(9, 12))
        text = opening + "\n"
        for number, part in enumerate(parts):
            if draw(st.integers(0, 3)) == 0:
                text += indent + draw(st.sampled_from(REMARKS)) + "\n"
            comma = "," if trailing or number < len(parts) - 1 else ""
            remark = draw(st.sampled_from(["", "", "  " + REMARKS[0]]))
            text += indent + part + comma + remark + "\n"
        return text + indent + closing
    gap = {"tight": ", ", "loose": ",  ", "broken": ",\n           "}[layout]
    edge = draw(st.sampled_from(["", " "]))
    return opening + edge + gap.join(parts) + "," * trailing + " " + edge + closing


def _flow_pair(draw, pair):
    key, value = pair
    return f"{_scalar(draw, key, flow=True)}: {_flow(draw, value)}"


def _flow_item(draw, value):
    match value:
        case KeyValues(entries=((_, str() | None),)) if draw(st.booleans()):
            return _flow_pair(draw, value.entries[0])
    return _flow(draw, value)


def _block(draw, value, column):
    """A list or keys on lines of their own, at a column."""
    lines = []
    keyed = isinstance(value, KeyValues)
    parts = value.entries if keyed else value
    by_hand = draw(st.integers(12, 16)) if draw(st.booleans()) else 0
    spaced = draw(st.integers(0, 3)) == 0
    for number, part in enumerate(parts):
        if spaced and number:
            lines += [""] * draw(st.integers(1, 2))
        for _ in range(draw(st.sampled_from([0, 0, 0, 1, 2]))):
            folded = any(line.endswith(("|-", ">-")) for line in lines)
            deeper = column if folded else column + 3
            left = draw(st.sampled_from([column, column, 0, deeper]))
            lines.append(" " * left + draw(st.sampled_from(REMARKS)))
        new = (_pair if keyed else _item)(draw, part, column, by_hand)
        lines += [" " * column + new[0], *new[1:]]
    return lines


def _remark(draw):
    return draw(st.sampled_from(["", "", "", "  # why", "\t# a: b", "      #"]))


def _pair(draw, pair, column, by_hand):
    key, value = pair
    head = _scalar(draw, key, flow=False) + draw(st.sampled_from(["", "", " "])) + ":"
    if isinstance(value, KeyValues | tuple):
        parts = value.entries if isinstance(value, KeyValues) else value
        if parts and draw(st.booleans()):
            least = 0 if isinstance(value, tuple) else 1
            inner = column + draw(st.integers(least, 4))
            return [head + _remark(draw), *_block(draw, value, inner)]
    elif value is None:
        return [head + _remark(draw)]
    elif draw(st.integers(0, 4)) == 0 and value in {"heel dig", "two\nlines", "40 s"}:
        return _as_block(draw, head, value, column)
    first, *more = _flow(draw, value).split("\n")
    return _with_remark(draw, [head.ljust(by_hand - 1) + " " + first, *more])


def _with_remark(draw, lines):
    return [*lines[:-1], lines[-1] + _remark(draw)]


def _as_block(draw, head, value, column):
    sign = draw(st.sampled_from(["|-", ">-"] if "\n" not in value else ["|-"]))
    inner = " " * (column + draw(st.integers(1, 3)))
    if value == "heel dig" and draw(st.booleans()):
        return [f"{head} heel", inner + "dig" + _remark(draw)]
    return [f"{head} {sign}", *(inner + line for line in value.split("\n"))]


def _item(draw, value, column, _):
    parts = ()
    if isinstance(value, KeyValues | tuple):
        parts = value.entries if isinstance(value, KeyValues) else value
    if parts and draw(st.integers(0, 3)):
        if draw(st.integers(0, 3)) == 0:
            inner = column + draw(st.integers(1, 4))
            return ["-" + _remark(draw).replace("\t", " "), *_block(draw, value, inner)]
        room = draw(st.integers(1, 3))
        return _compact(draw, value, column, room)
    first, *more = _flow(draw, value).split("\n")
    return _with_remark(draw, ["- " + first, *more])


def _compact(draw, value, column, room):
    """Keys or a list that start on the line of their dash."""
    lines = _block(draw, value, column + 1 + room)
    while not lines[0].strip() or lines[0].lstrip().startswith("#"):
        lines = lines[1:]
    return ["-" + " " * room + lines[0].lstrip(), *lines[1:]]
