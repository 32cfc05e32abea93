"""Measure the house: lines, long places, names given twice, circles, what is dead.

Run from the top of the repository: ``python tests/benchmarks/house.py [FOLDER]``.
"""

from __future__ import annotations

# ruff: noqa: T201
import ast
import re
import sys
from collections import defaultdict
from pathlib import Path

READERS = ("documents", "plan", "movements", "planning", "review", "cues")
"""The packages that values read from a plan pass through."""

DATA = {".yaml", ".html", ".js", ".css", ".j2", ".jinja", ".typ"}
FUNCTIONS = ast.FunctionDef | ast.AsyncFunctionDef


def imports_of(tree, module, is_package):
    """Yield every module of the package that a module names, typing ones too."""
    for node in ast.walk(tree):
        if isinstance(node, ast.ImportFrom) and node.module:
            base = node.module
            if node.level:
                parts = module.split(".")
                parts = parts[: len(parts) - node.level + is_package]
                base = ".".join([*parts, base])
            yield base
            yield from (f"{base}.{alias.name}" for alias in node.names)
        elif isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)


def circles(graph):
    """Return the groups of modules that import each other, by Tarjan's walk."""
    index, low, stack, found = {}, {}, [], []

    def walk(node):
        index[node] = low[node] = len(index)
        stack.append(node)
        for other in graph[node]:
            if other not in index:
                walk(other)
                low[node] = min(low[node], low[other])
            elif other in stack:
                low[node] = min(low[node], index[other])
        if low[node] == index[node]:
            group = []
            while not group or group[-1] != node:
                group.append(stack.pop())
            if len(group) > 1:
                found.append(sorted(group))

    for node in list(graph):
        if node not in index:
            walk(node)
    return found


def names_of(tree):
    """Yield the names of classes and aliases at the top of a module."""
    for node in tree.body:
        inside = node.body if isinstance(node, ast.If) else [node]
        for one in inside:
            if isinstance(one, ast.ClassDef):
                yield one.name.lstrip("_")
            elif isinstance(one, ast.Assign | ast.AnnAssign):
                targets = one.targets if isinstance(one, ast.Assign) else [one.target]
                for target in targets:
                    name = target.id.lstrip("_") if isinstance(target, ast.Name) else ""
                    if name[:1].isupper() and not name.isupper():
                        yield name


def look_ups(trees):
    """Return how often a value read from a plan is asked for by a word, giving Any.

    Counted are calls with a word in quotes, and nothing else, of methods of ours that
    take a text and return Any; mypy cannot see what such a call gives.
    """
    inside = [
        tree
        for name, (tree, *_) in trees.items()
        if name.split(".")[1:2] and name.split(".")[1] in READERS
    ]
    nodes = [node for tree in inside for node in ast.walk(tree)]
    loose = {
        method.name
        for owner in nodes
        if isinstance(owner, ast.ClassDef)
        for method in owner.body
        if isinstance(method, ast.FunctionDef)
        and method.returns is not None
        and ast.unparse(method.returns) == "Any"
        and [ast.unparse(a.annotation) for a in method.args.args[1:]] == ["str"]
    }
    return sum(
        isinstance(node, ast.Call)
        and isinstance(node.func, ast.Attribute)
        and node.func.attr in loose
        and len(node.args) == 1
        and isinstance(node.args[0], ast.Constant)
        and isinstance(node.args[0].value, str)
        for node in nodes
    )


def _words_used(path):
    """Yield each word that a file uses, with its line."""
    text = path.read_text("utf-8")
    if path.suffix != ".py":
        yield from ((word, 0) for word in re.findall(r"\w+", text))
        return
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.Name):
            yield node.id, node.lineno
        elif isinstance(node, ast.Attribute):
            yield node.attr, node.end_lineno
        elif isinstance(node, ast.keyword) and node.arg:
            yield node.arg, node.lineno
        elif (
            isinstance(node, ast.Constant)
            and isinstance(node.value, str)
            and re.fullmatch(r"[\w.\[\], |]+", node.value)
        ):
            yield from ((word, node.lineno) for word in re.findall(r"\w+", node.value))


def _defined(body, owner=""):
    """Yield what a module or a class defines, with its first and last line."""
    for node in body:
        if isinstance(node, FUNCTIONS | ast.ClassDef):
            yield f"{owner}{node.name}", node.lineno, node.end_lineno
            if isinstance(node, ast.ClassDef) and not _is_choice(node):
                yield from _defined(node.body, f"{node.name}.")
        elif isinstance(node, ast.If):
            yield from _defined(node.body, owner)
        elif isinstance(node, ast.Assign | ast.AnnAssign):
            targets = node.targets if isinstance(node, ast.Assign) else [node.target]
            for target in targets:
                if isinstance(target, ast.Name):
                    yield f"{owner}{target.id}", node.lineno, node.end_lineno


def _is_choice(node):
    """Whether a class is an Enum: its members are chosen by what is written."""
    return any("Enum" in ast.unparse(base) for base in node.bases)


def unreferenced(package):
    """Return what a package defines and never names anywhere else, by module.

    Names count wherever they stand, in code, templates or data, so that a dead thing
    may hide behind another of its name; one that is told is surely not called by it.
    """
    uses = defaultdict(list)
    files = [path for path in sorted(package.rglob("*")) if path.is_file()]
    for path in files:
        if path.suffix == ".py" or path.suffix in DATA:
            for word, line in _words_used(path):
                uses[word].append((path, line))
    found = set()
    for path in files:
        if path.suffix != ".py":
            continue
        module = ".".join(path.relative_to(package).with_suffix("").parts)
        for name, first, last in _defined(ast.parse(path.read_text("utf-8")).body):
            word = name.rpartition(".")[2]
            if not word.startswith("__") and all(
                place == path and first <= line <= last for place, line in uses[word]
            ):
                found.add(f"{module}.{name}")
    return found


def length(node):
    """Return the lines of a function, those of its docstring not counted."""
    lines = node.end_lineno - node.lineno + 1
    if ast.get_docstring(node, clean=False) is not None:
        lines -= node.body[0].end_lineno - node.body[0].lineno + 1
    return lines


def main(top):
    """Print the figures of a checkout."""
    trees, lines = {}, defaultdict(lambda: [0, 0])
    for path in sorted(top.joinpath("cuetrack").rglob("*.py")):
        name = ".".join(path.relative_to(top).with_suffix("").parts)
        text = path.read_text("utf-8")
        trees[name.removesuffix(".__init__")] = (ast.parse(text), text, path)
        package = path.relative_to(top).parts[1] if len(path.parts) > 2 else "."
        package = package if not package.endswith(".py") else "."
        lines[package][0] += 1
        lines[package][1] += text.count("\n")
    for package, (files, count) in sorted(lines.items()):
        print(f"{package:12} {files:4} files {count:6} lines")
    print(
        f"{'all':12} {len(trees):4} files {sum(v[1] for v in lines.values()):6} lines"
    )
    lengths = sorted(
        length(node)
        for tree, *_ in trees.values()
        for node in ast.walk(tree)
        if isinstance(node, FUNCTIONS)
    )
    print(
        f"functions {len(lengths)}, without docstrings: 90th percentile "
        f"{lengths[int(len(lengths) * 0.9)]} lines, longest {lengths[-1]}"
    )
    longest = max((text.count("\n"), name) for name, (_, text, _) in trees.items())
    print(f"longest module {longest[0]} lines: {longest[1]}")
    print(f"look-ups of a plan's values by a string, giving Any: {look_ups(trees)}")
    homes = defaultdict(set)
    for name, (tree, *_) in trees.items():
        for each in names_of(tree):
            homes[each].add(name)
    twice = {name: where for name, where in homes.items() if len(where) > 1}
    print(f"names of classes and aliases with two homes: {len(twice)}")
    for name, where in sorted(twice.items()):
        print(f"  {name}: {', '.join(sorted(where))}")
    graph = {
        name: {
            each
            for each in imports_of(tree, name, path.name == "__init__.py")
            if each in trees and each != name and not name.startswith(each + ".")
        }
        for name, (tree, _, path) in trees.items()
    }
    found = circles(graph)
    print(f"circles of imports, typing ones too: {len(found)}")
    for group in found:
        print(f"  {', '.join(group)}")
    dead = sorted(unreferenced(top / "cuetrack"))
    print(f"defined and not named anywhere else: {len(dead)}")
    for name in dead:
        print(f"  {name}")


if __name__ == "__main__":
    sys.setrecursionlimit(5000)
    main(Path(sys.argv[1] if len(sys.argv) > 1 else ".").resolve())
