"""What the reader of a plan refuses and no schema can say: sums, references, files."""

from __future__ import annotations

from enum import StrEnum


class PlanRefusal(StrEnum):
    """Each such mistake by its name; `cuetrack.documents.problems.Refusal` has more."""

    NO_MOVEMENTS = "no movements"
    """Nothing in the plan, or in one section, is ever done."""
    TIMES_DISAGREE = "times disagree"
    """The times of the movements and the time of their section do not add up."""
    WORK_TOO_SHORT = "work too short"
    """A work, or one side of it, cannot hold its countdown."""
    REST_WITHOUT_ROUNDS = "rest without rounds"
    """A movement has a rest in a section that runs without rests."""
    CUE_OUTSIDE = "cue outside"
    """A sentence of the leader's lies outside its section."""
    ENDS_OF_CLASS = "ends of the class"
    """A welcome or close stands in the middle."""
    CLASS_TOO_LONG = "class too long"
    """All parts together last longer than makes sense."""
    ROUNDS = "rounds"
    """There are not so many rounds, or they count backwards."""
    MUSIC = "music"
    """Music names both files and a bed of our own, or neither."""
    FILE = "file"
    """A file the plan names is not there."""
    VOICE = "voice"
    """There is no such voice."""
    LANGUAGE = "language"
    """There is no such language."""
