"""ClassRequest of many kinds, each from its number."""

import random

from cuetrack.plan.model import Coaching
from cuetrack.planning.request import ClassRequest, Level

FACTS = (
    "home alone",
    "heart condition",
    "high blood pressure",
    "beta blocker",
    "hip replacement",
    "osteoporosis",
    "knee pain",
    "back pain",
    "shoulder pain",
    "dizziness",
)
EQUIPMENT = ("light hand weights", "an exercise band", "a soft ball", "a towel")
REGIONS = ("arms", "shoulders", "hips", "thighs", "calves", "trunk", "chest")


def wishes_of(number):
    """Slots of 15 to 60 minutes to the second, groups with up to three cautions."""
    draw = random.Random(number)
    facts = tuple(draw.sample(FACTS, draw.choice([0, 0, 1, 1, 2, 3])))
    coaching = draw.choice([Coaching.EVERYTHING, Coaching.EVERYTHING, Coaching.CLOCK])
    return ClassRequest(
        slot_ms=draw.randint(15 * 60, 60 * 60) * 1000,
        level=draw.choice(list(Level)),
        facts=facts,
        age=draw.choice([65, 75, 85]),
        equipment=tuple(draw.sample(EQUIPMENT, draw.choice([0, 0, 1, 2]))),
        regions=frozenset(draw.sample(REGIONS, draw.choice([0, 0, 1, 3]))),
        coaching=Coaching.EVERYTHING if "home alone" in facts else coaching,
    )
