"""Findings can be read by a person and by a program."""

from __future__ import annotations

from dataclasses import replace

from review.flawed import changed, findings_of, flawed

from cuetrack.plan.model import Acknowledgement
from cuetrack.review.report import brief_lines, review_lines, summary
from cuetrack.review.reviewing import DEFERRAL


def several():
    plan = changed(
        {
            "group/facts": "pacemaker",
            "warm-up/movements/0/effort": "6",
            "intervals/movements/3/effort": "9",
            "warm-up/movements/1/form": ["Lift our little feet"],
        }
    )
    answer = Acknowledgement(rule="C13", reason="A line of a song they love.")
    return findings_of(replace(plan, acknowledged=(answer,)))


def test_findings_are_grouped_by_weight():
    """Errors first, then warnings, notes, and what is acknowledged with its reason."""
    lines = review_lines(several())
    first = ("Plan", "Errors", "Warnings", "Notes", "Acknowledged")
    heads = [line.split()[0].rstrip(":") for line in lines if line.startswith(first)]
    assert heads == list(first)
    text = "\n".join(lines)
    assert "Your reason: A line of a song they love." in text
    assert text.index("I01") < text.index("T06") < text.index("G02") < text.index("C13")


def test_a_finding_says_where_why_what_to_do_and_whence():
    """Everything a leader needs stands under its rule."""
    text = " ".join(" ".join(review_lines(several())).split())
    assert "I01 Effort near the limit" in text
    assert "front punch asks for effort 9 of 10." in text
    assert "Keep it to 6, at most 8." in text
    assert "(Physical Activity Guidelines for Americans 2018, effort scale)" in text


def test_who_comes_first_is_said_once():
    """One deferral however much was found, and also when nothing was."""
    for findings in (several(), ()):
        text = " ".join(" ".join(review_lines(findings)).split())
        assert text.count("comes first") == 1
        assert text.endswith(DEFERRAL)


def test_thin_evidence_is_called_so():
    """A rule that rests on custom says so beside its source."""
    plan = changed({"intervals/rest": "20 s"})
    assert "common practice" in "\n".join(review_lines(findings_of(plan)))


def test_lines_fit_the_page():
    """No line is wider than asked for."""
    assert max(map(len, review_lines(several(), width=60))) <= 60


def test_a_sum_of_nothing():
    """A clean plan is told so, in one line."""
    assert summary(()) == "Plan review: nothing found."
    assert summary(several()) == (
        "Plan review: 1 error, 1 warning, 1 note, 1 acknowledged."
    )


def test_the_brief_form_is_a_line_a_finding():
    """For the report of a finished track."""
    lines = brief_lines(findings_of(flawed("music without a word on rights")))
    assert lines[0] == "Plan review: 1 warning."
    assert lines[1].startswith("L01  warning: Line ")
    assert len(lines) == 3
