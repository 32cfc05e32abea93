"""What a plan may tell of its group: facts of a group, never of a person."""

from __future__ import annotations

from enum import StrEnum
from typing import Final


class Fact(StrEnum):
    """One fact of a group; its value is how a plan keeps it, in any language."""

    NEW = "new"
    EXPERIENCED = "experienced"
    HOME_ALONE = "home alone"
    SCREENED = "screened"
    EMERGENCY_PLAN = "emergency plan"

    HEART = "heart condition"
    HIGH_PRESSURE = "high blood pressure"
    LOW_PRESSURE = "low blood pressure"
    BETA_BLOCKER = "beta blocker"
    NEW_HIP = "hip replacement"
    SORE_HIP = "hip pain"
    THIN_BONES = "osteoporosis"
    SORE_KNEE = "knee pain"
    SORE_BACK = "back pain"
    SORE_SHOULDER = "shoulder pain"
    SORE_NECK = "neck pain"
    SORE_HANDS = "sore hands"
    ARTHRITIS = "arthritis"
    DIZZINESS = "dizziness"
    STROKE = "stroke"
    WEAK_LEFT = "weak left side"
    WEAK_RIGHT = "weak right side"
    WEAK_SIDE = "one weak side"
    PARKINSON = "Parkinson's"
    BREATHLESS = "breathlessness"
    WHEELCHAIR = "wheelchair"
    FALLS = "falls"

    HEARING = "hearing loss"
    SIGHT = "sight loss"
    DEMENTIA = "dementia"
    DIABETES = "diabetes"
    PACEMAKER = "pacemaker"
    SURGERY = "recent surgery"
    SORE_FEET = "sore feet"
    SWOLLEN_LEGS = "swollen legs"
    SCLEROSIS = "multiple sclerosis"
    EPILEPSY = "epilepsy"
    CANCER = "cancer"
    AMPUTATION = "amputation"
    HERNIA = "hernia"
    KIDNEYS = "kidney trouble"
    THINNERS = "blood thinners"
    FATIGUE = "tires easily"
    FIBROMYALGIA = "fibromyalgia"
    GOUT = "gout"


OF_THE_CLASS: Final = frozenset(
    {Fact.NEW, Fact.EXPERIENCED, Fact.HOME_ALONE, Fact.SCREENED, Fact.EMERGENCY_PLAN}
)
"""Facts that say how the class is held, and nothing of anybody's health."""
