"""Plans with flaws: the base plan, changed in one way each, laid out and placed."""

from __future__ import annotations

from copy import deepcopy
from dataclasses import replace
from functools import cache
from pathlib import Path

import yaml

from cuetrack.cues.estimate import estimate_ms
from cuetrack.cues.placement.placing import place
from cuetrack.cues.timeline import lay_out
from cuetrack.cues.writing.cuesheet import write_cues
from cuetrack.languages.phrases import load_phrases
from cuetrack.plan.reading import parse_plan
from cuetrack.review.reviewing import review

FOLDER = Path(__file__).with_name("plans")
FLAWS = {
    flaw["flaw"]: flaw
    for flaw in yaml.safe_load((FOLDER / "flaws.yaml").read_text("utf-8"))
}


@cache
def _base():
    return yaml.load((FOLDER / "base.yaml").read_text("utf-8"), yaml.BaseLoader)


def changed(changes=(), dropped=()):
    """Return the base plan, read after some paths were set or taken out."""
    tree = deepcopy(_base())
    for path, value in dict(changes).items():
        *way, last = path.split("/")
        _at(tree, way)[int(last) if last.isdigit() else last] = value
    for path in dropped:
        *way, last = path.split("/")
        del _at(tree, way)[int(last) if last.isdigit() else last]
    return parse_plan(yaml.safe_dump(tree, sort_keys=False), "flawed.yaml")


def _at(tree, way):
    for key in way:
        tree = tree[int(key) if key.isdigit() else key]
    return tree


def flawed(name):
    """Return the plan with one of the flaws of the table."""
    flaw = FLAWS[name]
    return changed(flaw.get("set", {}), flaw.get("drop", ()))


def placed_sheet(plan):
    """Return the cue sheet of a plan, placed by estimated lengths of speech."""
    sheet = write_cues(plan, lay_out(plan), load_phrases("en"), str)
    timings = {
        wording.spoken: estimate_ms(wording.spoken, "en")
        for cue in sheet.cues
        for wording in cue.wordings
    }
    return place(sheet, timings)


def findings_of(plan, **more):
    """Return what the review finds in a plan and its placed sheet."""
    sheet = placed_sheet(plan)
    return review(plan, sheet.sheet.timeline, sheet, **more)


def tripped(findings):
    """Return the ids of the rules that found something."""
    return {finding.rule.id for finding in findings}


def without(sheet, *kinds):
    """Return a placed sheet in which nothing of some kinds is said."""
    kept = tuple(p for p in sheet.placed if p.cue.kind not in kinds)
    return replace(sheet, placed=kept)
