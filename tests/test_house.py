"""The house is kept: nothing dead, no circles, no function that fills a screen."""

from __future__ import annotations

import ast
from pathlib import Path

from benchmarks.house import circles, imports_of, length, look_ups, unreferenced

import cuetrack

ROOT = Path(cuetrack.__file__).parent
LONGEST_FUNCTION = 50

FROM_OUTSIDE = "called by a library"
PUBLISHED = "writes a schema that is published; DEVELOPERS.md says when"
JUDGED = "the tests hold the words and positions of the library to it"
ALLOWED = {
    "cli.help_text.ProseAndExamples._fill_text": FROM_OUTSIDE,
    "cli.show._PlainHook.process_renderables": FROM_OUTSIDE,
    "documents.schema.schema_text": PUBLISHED,
    "documents.tree.spans_of": "tests measure edits by it; a screen will show them",
    "movements.library.library_schema": PUBLISHED,
    "movements.positions.ranges.ANKLE": JUDGED,
    "movements.positions.ranges.ELBOW": JUDGED,
    "movements.positions.ranges.HIP_ABDUCTION": JUDGED,
    "movements.positions.ranges.HIP_FLEXION": JUDGED,
    "movements.positions.ranges.HIP_ROTATION": JUDGED,
    "movements.positions.ranges.SHOULDER_FLEXION": JUDGED,
    "output.published.schema_of": PUBLISHED,
    "output.track.output_file.OutputFile.seekable": FROM_OUTSIDE,
    "pipeline.check_report.CheckReport.deferral": "a key that other programs read",
    "plan.schema.plan_schema": PUBLISHED,
}
"""What only the outside names, each with its reason."""


def modules():
    """Return the syntax of each module of the package by its name."""
    trees = {}
    for path in sorted(ROOT.rglob("*.py")):
        name = ".".join(path.relative_to(ROOT.parent).with_suffix("").parts)
        tree = ast.parse(path.read_text("utf-8"))
        trees[name.removesuffix(".__init__")] = (tree, "", path)
    return trees


def test_nothing_is_kept_that_nothing_uses():
    """What the package defines it names elsewhere, but for those with a reason here."""
    assert unreferenced(ROOT) == set(ALLOWED)


def test_what_is_used_by_nothing_is_found(tmp_path):
    """A function, a method and a constant are told; what a template names is not."""
    tmp_path.joinpath("page.html").write_text("{{ shown }}", "utf-8")
    tmp_path.joinpath("one.py").write_text(
        "DEAD = 1\nALIVE = 2\n"
        "def dead():\n    return dead() + ALIVE\n"
        "class Used:\n    shown = 1\n    def gone(self):\n        pass\n",
        "utf-8",
    )
    tmp_path.joinpath("two.py").write_text("from one import Used\nUsed()\n", "utf-8")
    assert unreferenced(tmp_path) == {"one.DEAD", "one.dead", "one.Used.gone"}


def test_no_module_imports_one_that_imports_it():
    """Not even for the sake of types."""
    trees = modules()
    graph = {
        name: {
            each
            for each in imports_of(tree, name, path.name == "__init__.py")
            if each in trees and each != name and not name.startswith(each + ".")
        }
        for name, (tree, _, path) in trees.items()
    }
    assert circles(graph) == []


def test_no_value_of_a_plan_is_asked_for_by_a_word():
    """The attributes of the model have types; a word in quotes has none."""
    assert look_ups(modules()) == 0


def test_a_function_fits_a_screen():
    """No more than fifty lines, its docstring not counted."""
    long = {
        f"{name}.{node.name}": length(node)
        for name, (tree, *_) in modules().items()
        for node in ast.walk(tree)
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
        and length(node) > LONGEST_FUNCTION
    }
    assert long == {}
