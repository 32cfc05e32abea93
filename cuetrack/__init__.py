"""Timed plans of seated exercise classes become spoken tracks, measured on time.

What other programs may rely on stands in ``__all__``: four verbs, the values they take
and return, and the errors they raise. Nothing is loaded before it is asked for.
"""

from __future__ import annotations

from importlib import import_module
from importlib.metadata import version
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from cuetrack.errors import CuetrackError as CuetrackError
    from cuetrack.errors import PlanError as PlanError
    from cuetrack.errors import Problem as Problem
    from cuetrack.pipeline.checking import Checked as Checked
    from cuetrack.pipeline.checking import check as check
    from cuetrack.pipeline.checking import read_plan as read_plan
    from cuetrack.pipeline.handing_out import Handout as Handout
    from cuetrack.pipeline.made import Made as Made
    from cuetrack.pipeline.making import MakeRequest as MakeRequest
    from cuetrack.pipeline.making import make as make
    from cuetrack.pipeline.verifying import verify as verify
    from cuetrack.pipeline.watching import Watcher as Watcher
    from cuetrack.plan.model import Plan as Plan
    from cuetrack.review.model import Finding as Finding
    from cuetrack.verification.report import Report as Report

    __version__: str

_HOMES = {
    "Checked": "pipeline.checking",
    "CuetrackError": "errors",
    "Finding": "review.model",
    "Handout": "pipeline.handing_out",
    "Made": "pipeline.made",
    "MakeRequest": "pipeline.making",
    "Plan": "plan.model",
    "PlanError": "errors",
    "Problem": "errors",
    "Report": "verification.report",
    "Watcher": "pipeline.watching",
    "check": "pipeline.checking",
    "make": "pipeline.making",
    "read_plan": "pipeline.checking",
    "verify": "pipeline.verifying",
}
__all__ = [
    "Checked",
    "CuetrackError",
    "Finding",
    "Handout",
    "Made",
    "MakeRequest",
    "Plan",
    "PlanError",
    "Problem",
    "Report",
    "Watcher",
    "__version__",
    "check",
    "make",
    "read_plan",
    "verify",
]

if not TYPE_CHECKING:

    def __getattr__(name: str) -> object:
        if name == "__version__":
            return version("cuetrack")
        if name not in _HOMES:
            raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
        return getattr(import_module(f"{__name__}.{_HOMES[name]}"), name)
