"""A whole language nobody speaks: the English folder with every word turned.

Letters move by thirteen places, so that no word keeps its spelling and every English
word that comes out of a class in this language gives itself away.
"""

import codecs
import re
from importlib.resources import files

import yaml

CODE = "eo"
"""Spoken by espeak-ng and counted by num2words; nothing here is Esperanto."""

ENGLISH = files("cuetrack.languages").joinpath("en")
_FIXED = re.compile(r"(\{[^}]*\}|\\.)")


def turned(text):
    """Return a text in the invented language; placeholders stay.

    >>> turned("Sit tall, {side}.")
    'Fvg gnyy, {side}.'
    """
    parts = _FIXED.split(text)
    parts[::2] = [codecs.encode(part, "rot13") for part in parts[::2]]
    return "".join(parts)


def _turned_all(value):
    if isinstance(value, str):
        return turned(value)
    if isinstance(value, list):
        return [_turned_all(each) for each in value]
    if isinstance(value, dict):
        return {key: _turned_all(each) for key, each in value.items()}
    return value


def _phrases(table):
    own = _turned_all(table)
    own["sides"] = {turned(k): v for k, v in own["sides"].items()}
    del own["voice"], own["pronounce"]
    return own | {"language": CODE}


def _normalisation(table):
    kept = ("numbers", "scripts", "ordinal endings", "decades after")
    return _turned_all(table) | {key: table[key] for key in kept}


_IDS = frozenset({"tags", "regions", "equipment", "fact"})
"""What a caution leaves out is named alike in every language."""


def _vocabulary(table):
    cautions = [
        {
            key: value if key in _IDS else _turned_all(value)
            for key, value in each.items()
        }
        for each in table["cautions"]
    ]
    return _turned_all(table) | {
        "region groups": table["region groups"],
        "equipment names": {thing: turned(thing) for thing in table["equipment"]},
        "cautions": cautions,
    }


def _group(table):
    facts = {
        fact: {key: _turned_all(value) for key, value in entry.items()}
        for fact, entry in table["facts"].items()
    }
    same = {turned(key): turned(value) for key, value in table["same"].items()}
    return _turned_all(table) | {"facts": facts, "same": same}


def _body(table):
    same = {turned(key): turned(value) for key, value in table["same"].items()}
    return _turned_all(table) | {"same": same}


def _movements(table):
    return [{"id": each["movement"]} | _turned_all(each) for each in table]


def _reading(table):
    return {key: value for key, value in table.items() if key != "level"}


_WAYS = {
    "phrases.yaml": _phrases,
    "normalisation.yaml": _normalisation,
    "vocabulary.yaml": _vocabulary,
    "reading.yaml": _reading,
    "group.yaml": _group,
    "body.yaml": _body,
    "review.yaml": _turned_all,
    "words.yaml": _turned_all,
}


def write_language(root):
    """Write the folder of the language below ``root``."""
    ways = dict(_WAYS)
    for part in ENGLISH.joinpath("movements").iterdir():
        ways[f"movements/{part.name}"] = _movements
    for name, way in ways.items():
        table = yaml.safe_load(ENGLISH.joinpath(*name.split("/")).read_text("utf-8"))
        path = root / CODE / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(
            yaml.safe_dump(way(table), allow_unicode=True, sort_keys=False), "utf-8"
        )


def english_words():
    """Return every word of three letters or more of the English folder, small."""
    texts = "\n".join(
        " ".join(_strings(yaml.safe_load(path.read_text("utf-8"))))
        for path in (
            ENGLISH.joinpath("phrases.yaml"),
            *ENGLISH.joinpath("movements").iterdir(),
        )
    )
    return words_in(re.sub(r"\{[^}]*\}", "", texts))


def words_in(text):
    """Return the words of three letters or more in a text, small."""
    return {word.lower() for word in re.findall(r"[^\W\d_]{3,}", text)}


def _strings(value):
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict | list):
        for each in value.values() if isinstance(value, dict) else value:
            yield from _strings(each)
