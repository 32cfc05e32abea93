"""Any text at all becomes a plan or a plan error, and nothing else."""

from pathlib import Path

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from plan.strategies import legal_plan_texts

from cuetrack.errors import PlanError
from cuetrack.plan.model import Plan
from cuetrack.plan.reading import parse_plan, read_plan

EXAMPLES = [
    path.read_text("utf-8")
    for path in sorted(Path(__file__).parents[2].joinpath("examples").glob("*.yaml"))
]
SCRAPS = st.one_of(
    st.text(max_size=8),
    st.sampled_from(
        [
            *(":", "- ", "\n", "\n  ", "\t", "[", "]", "{", "}", "&a ", "*a", "!!x "),
            *("'", '"', "|\n", ">\n", "? ", "#", "%"),
            *("none", "0", "-1", "1:30", "none: none"),
        ]
    ),
)


def answer(reading, *given_to_it, **options):
    """Return the plan or the problems; any other error passes through."""
    try:
        return reading(*given_to_it, **options), ()
    except PlanError as error:
        return None, error.problems


def check_answer(text):
    plan, problems = answer(
        parse_plan, text, "p", voices=["joe"], languages=["en"], library={}
    )
    assert isinstance(plan, Plan) != bool(problems)
    for problem in problems:
        assert problem.what.endswith(".")
        assert problem.remedy.endswith((".", "?"))
        assert "\n" not in str(problem)
        assert 0 <= problem.line <= len(text.splitlines()) + 1


@given(st.text(max_size=200))
@example("title: a\nwarm-up: {a: b}: c")
@example("\ufeff")
@example("a: \x85 b")
def test_any_text_is_answered(text):
    """Nothing that can be typed leads to another error."""
    check_answer(text)


@given(st.text(alphabet="ab:-[]{} \n\t\"'&*!|>#%,?0159~", max_size=80))
def test_any_text_of_yaml_signs_is_answered(text):
    """Nor any mixture of the signs that mean something to YAML."""
    check_answer(text)


@given(
    st.sampled_from(EXAMPLES),
    st.lists(st.tuples(st.floats(0, 1), st.integers(0, 30), SCRAPS), max_size=4),
)
def test_any_damaged_example_is_answered(text, wounds):
    """A slip of the hand anywhere in an example is told or does no harm."""
    for where, length, scrap in wounds:
        start = int(where * len(text))
        text = text[:start] + scrap + text[start + length :]
    check_answer(text)


@given(legal_plan_texts(), st.data())
def test_any_plan_with_lines_moved_is_answered(text, data):
    """Lines cut and pasted elsewhere are told or do no harm."""
    lines = data.draw(st.permutations(text.splitlines()))
    kept = lines[: data.draw(st.integers(0, len(lines)))]
    check_answer("\n".join(kept))


@given(st.binary(max_size=300))
def test_any_file_is_answered(tmp_path_factory, data):
    """Bytes of any kind are read as a plan or refused as one."""
    path = tmp_path_factory.mktemp("fuzz") / "class.yaml"
    path.write_bytes(data)
    plan, problems = answer(read_plan, path)
    assert isinstance(plan, Plan) != bool(problems)


@pytest.mark.parametrize("text", EXAMPLES)
def test_the_examples_read(text):
    """What the fuzzing starts from is legal."""
    assert isinstance(parse_plan(text, "p"), Plan)
