"""A plan from somebody else reads nothing out of files that are not its own."""

from __future__ import annotations

import pytest

from cuetrack.errors import PlanError
from cuetrack.plan.reading import read_plan

SECRET = "hunter2"
SECRETS = {
    "a table of users": f"root:{SECRET}:0:0\nuser:{SECRET}:1:1\n",
    "settings": f"password: {SECRET}\n",
    "plain words": f"{SECRET}\n",
    "broken YAML": f"a: [{SECRET}\n  b: c\n",
    "a list": f"- {SECRET}: {SECRET}\n",
}


@pytest.mark.parametrize("content", SECRETS.values(), ids=SECRETS)
@pytest.mark.parametrize(
    "name", ["../secrets.yaml", "token", ".hidden/token.yaml", "linked.yaml"]
)
def test_a_message_quotes_no_file_of_somebody_else(tmp_path, name, content):
    """Elsewhere, hidden, linked or no YAML by its name: nothing in it is repeated."""
    folder = tmp_path / "plans"
    (folder / ".hidden").mkdir(parents=True)
    for path in ("../secrets.yaml", "token", ".hidden/token.yaml"):
        (folder / path).write_text(content, encoding="utf-8")
    (folder / "linked.yaml").symlink_to(tmp_path / "secrets.yaml")
    plan = folder / "plan.yaml"
    plan.write_text(f"title: A\nlibrary: {name}\nwarm-up: [easy march]\n", "utf-8")
    with pytest.raises(PlanError) as caught:
        read_plan(plan)
    assert SECRET not in str(caught.value)
    assert f"{plan}:2:" in str(caught.value)
    assert "no file of movements" in str(caught.value)


def test_mistakes_in_a_file_of_ones_own_are_told(tmp_path):
    """Beside the plan a file of movements is told line by line, as the plan is."""
    (tmp_path / "own.yaml").write_text("- movement: heel dig\n  hwo: x\n", "utf-8")
    plan = tmp_path / "plan.yaml"
    plan.write_text("title: A\nlibrary: own.yaml\nwarm-up: [easy march]\n", "utf-8")
    with pytest.raises(PlanError, match=r"own\.yaml:2:3: \"hwo\""):
        read_plan(plan)
