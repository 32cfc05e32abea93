"""Every class and type has one name in the package, and the name one meaning."""

from __future__ import annotations

import ast
from collections import defaultdict
from pathlib import Path

import cuetrack

ROOT = Path(cuetrack.__file__).parent


def is_type_name(name: str) -> bool:
    """Whether a name is written as those of classes are."""
    bare = name.lstrip("_")
    return bare[:1].isupper() and any(letter.islower() for letter in bare)


def is_type_variable(value: ast.expr) -> bool:
    """Whether a value is a TypeVar, which names no type of its own."""
    return isinstance(value, ast.Call) and ast.unparse(value.func) == "TypeVar"


def names_of_types(tree: ast.Module):
    """Yield the name of each class and each alias of a type that a module defines."""
    for node in ast.walk(tree):
        if isinstance(node, ast.ClassDef):
            yield node.name
    for node in tree.body:
        targets = []
        if isinstance(node, ast.Assign) and not is_type_variable(node.value):
            targets = node.targets
        elif isinstance(node, ast.AnnAssign):
            targets = [node.target]
        for target in targets:
            if isinstance(target, ast.Name) and is_type_name(target.id):
                yield target.id


def test_no_two_modules_give_different_things_one_name():
    """Class and alias names are unique, a leading underscore not counted."""
    modules = defaultdict(list)
    for path in sorted(ROOT.rglob("*.py")):
        module = path.relative_to(ROOT)
        for name in names_of_types(ast.parse(path.read_text(encoding="utf-8"))):
            modules[name.lstrip("_")].append(module.as_posix())
    twice = {name: places for name, places in modules.items() if len(places) > 1}
    assert twice == {}
