"""What a plan may tell of its group, to switch the rules of the review."""

from __future__ import annotations

from typing import Final

GROUP_FACTS: Final[tuple[tuple[str, tuple[str, ...]], ...]] = (
    ("new", ("beginner", "beginners", "new group", "first time", "first timers")),
    ("experienced", ("regular", "regulars", "used to it")),
    ("home alone", ("alone", "alone at home", "at home")),
    ("heart condition", ("heart conditions", "cardiac", "heart", "heart failure")),
    ("high blood pressure", ("blood pressure", "hypertension")),
    ("beta blocker", ("beta blockers",)),
    ("hip replacement", ("new hip", "hip surgery", "recent hip replacement")),
    ("osteoporosis", ("thin bones", "spine fracture", "vertebral fracture")),
    ("knee pain", ("sore knees", "sore knee", "knee replacement", "new knee")),
    ("back pain", ("sore back", "sore backs", "bad back")),
    ("shoulder pain", ("sore shoulders", "sore shoulder")),
    ("dizziness", ("dizzy", "vertigo", "giddiness")),
    ("screened", ("health checked", "screening done")),
    ("emergency plan", ("emergency plan ready", "emergency plan made")),
)
"""Each fact with other words for it; the first is how a plan keeps it."""
