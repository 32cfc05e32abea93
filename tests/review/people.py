"""Plans as people write them, and what the review says of them."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import yaml
from review.flawed import placed_sheet

from cuetrack.movements.library import load_library
from cuetrack.plan.reading import parse_plan
from cuetrack.review.model import Severity
from cuetrack.review.reviewing import review

FOLDER = Path(__file__).with_name("plans")
FLAWED = yaml.safe_load((FOLDER / "people.yaml").read_text("utf-8"))["plans"]
SOUND = yaml.safe_load((FOLDER / "sound.yaml").read_text("utf-8"))


@dataclass(frozen=True, kw_only=True)
class Reviewed:
    """What was found in a plan, and every word that is said in its class."""

    findings: tuple
    said: str

    @property
    def rules(self):
        """The ids of the rules that found something."""
        return {finding.rule.id for finding in self.findings}

    @property
    def alarms(self):
        """What weighs more than a note."""
        return tuple(f for f in self.findings if f.severity is not Severity.NOTE)


def reviewed(text, name):
    """Return what the review finds in a plan, with its cues placed by estimate."""
    plan = parse_plan(text, name, library=load_library)
    sheet = placed_sheet(plan)
    said = " ".join(placed.wording.text for placed in sheet.placed)
    found = review(plan, sheet.sheet.timeline, sheet)
    return Reviewed(findings=found, said=said)


def flawed_text(entry):
    """Return a flawed plan as YAML."""
    return yaml.safe_dump(entry["plan"], sort_keys=False)
