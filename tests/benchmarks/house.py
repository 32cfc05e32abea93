"""Measure the house: lines, long places, names given twice, circles of imports.

Run from the top of the repository: ``python tests/benchmarks/house.py [FOLDER]``.
"""

from __future__ import annotations

# ruff: noqa: T201
import ast
import re
import sys
from collections import defaultdict
from pathlib import Path

LOOK_UPS = re.compile(
    r"\.(?:get|wrote|place_of|misread)\(\s*\(?\"|\.(?:said|keys|places)\[\"|"
    r"\"[a-z ]+\" (?:not )?in \w+\.said"
)


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
        node.end_lineno - node.lineno + 1
        for tree, *_ in trees.values()
        for node in ast.walk(tree)
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
    )
    print(
        f"functions {len(lengths)}: 90th percentile "
        f"{lengths[int(len(lengths) * 0.9)]} lines, longest {lengths[-1]}"
    )
    longest = max((text.count("\n"), name) for name, (_, text, _) in trees.items())
    print(f"longest module {longest[0]} lines: {longest[1]}")
    looked = sum(len(LOOK_UPS.findall(text)) for _, text, _ in trees.values())
    print(f"look-ups of a plan's values by a string: {looked}")
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


if __name__ == "__main__":
    sys.setrecursionlimit(5000)
    main(Path(sys.argv[1] if len(sys.argv) > 1 else ".").resolve())
