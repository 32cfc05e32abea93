"""Values drawn from a JSON Schema, so far as the published schemas of plans go."""

import re
from functools import cache
from urllib.parse import unquote

from hypothesis import strategies as st

_ASCII = st.characters(min_codepoint=32, max_codepoint=126)
_SOME_KEYS = 5


def values_of(schema, root):
    """Return a strategy of values that fit a schema; ``root`` holds its definitions."""
    return _Drawn(root).of(schema)


class _Drawn:
    """Strategies of one document, each definition's made once."""

    def __init__(self, root):
        self._root = root
        self._made = {}

    def of(self, schema):
        if "$ref" not in schema:
            return self._of(schema)
        name = schema["$ref"]
        if name not in self._made:
            target = self._root
            for part in name.removeprefix("#/").split("/"):
                target = target[unquote(part)]
            self._made[name] = self.of(target)
        return self._made[name]

    def _of(self, schema):
        if "anyOf" in schema and "properties" not in schema:
            return st.one_of([self.of(each) for each in schema["anyOf"]])
        if "enum" in schema:
            return st.sampled_from(schema["enum"])
        types = schema.get("type", "string")
        types = types if isinstance(types, list) else [types]
        return st.one_of([self._of_type(one, schema) for one in types])

    def _of_type(self, one, schema):
        least, most = schema.get("minimum", 0), schema.get("maximum", 10_000)
        match one:
            case "null" | "boolean":
                return st.none() if one == "null" else st.booleans()
            case "integer":
                return st.integers(least, most)
            case "number":
                tenths = st.integers(round(least * 10), round(most * 10))
                return st.one_of(
                    st.integers(-(-int(least * 10) // 10), int(most)),
                    tenths.map(lambda n: n / 10),
                )
            case "string":
                return _texts(schema)
            case "array":
                return st.lists(
                    self.of(schema["items"]),
                    min_size=schema.get("minItems", 0),
                    max_size=min(
                        schema.get("maxItems", 9), schema.get("minItems", 0) + 1
                    ),
                )
        return self._objects(schema)

    def _objects(self, schema):
        known = schema.get("properties", {})
        required = [_any_of(each) for each in schema.get("allOf", [])]
        names = sorted(known)
        if not known:
            keys = _texts(schema["propertyNames"])
            if "enum" in schema["propertyNames"]:
                keys = st.sampled_from(schema["propertyNames"]["enum"])
            taken = schema["propertyNames"].get("not", {}).get("enum", [])
            return st.dictionaries(
                keys.filter(lambda key: key not in taken),
                self.of(schema["additionalProperties"]),
                min_size=schema.get("minProperties", 0),
                max_size=schema.get("maxProperties", 2),
            )

        @st.composite
        def objects(draw):
            least, most = schema.get("minProperties", 0), schema.get("maxProperties", 9)
            chosen = draw(
                st.lists(
                    st.sampled_from(names),
                    unique=True,
                    min_size=least,
                    max_size=min(most, _SOME_KEYS),
                )
            )
            needed = [draw(st.sampled_from(words)) for words in required]
            return {key: draw(self.of(known[key])) for key in [*needed, *chosen]}

        return objects()


def _texts(schema):
    pattern, most = schema.get("pattern", r"\S"), schema.get("maxLength", 80)
    if pattern == r"\S":
        words = st.sampled_from(["heel dig", "toe tap", "a: b", "no", "3", "new hip"])
        drawn = st.one_of(words, st.text(_ASCII, min_size=1, max_size=min(most, 20)))
    else:
        drawn = _matching(pattern)
    return drawn.filter(
        lambda text: len(text) <= most and re.search(pattern, text) is not None
    )


_TOKENS = [
    *("1", "30", "90", "2_0", "1.5", "0,5", ":", "05", "59", "60", " ", "  ", ","),
    *(" and ", "and", "h", "hours", "m", "min", "Minutes", "s", "sec.", "MS", "."),
    *("from", "after", "before", "the", "end", "start", "halfway", "beginning", "at"),
]


@cache
def _matching(pattern):
    """Return texts that match; of times and moments, words thrown together."""
    if len(pattern) < 500:
        return st.from_regex(pattern, alphabet=_ASCII)
    times = [
        *("45 s", "1 min 30 s", "1:30", "90", "1h, 5 min", "2 m and 3 sec", "0:07.5"),
        *("10 s from end", "halfway", "5 s after halfway", "1 min before the end"),
    ]
    soup = st.lists(st.sampled_from(_TOKENS), min_size=1, max_size=6).map("".join)
    fits = re.compile(pattern).search
    known = [time for time in times if fits(time)]
    return st.one_of(
        st.sampled_from(known), soup.map(lambda text: text if fits(text) else known[0])
    )


def _any_of(part):
    """Return the words of which one is required."""
    return [word for each in part.get("anyOf", [part]) for word in each["required"]]
