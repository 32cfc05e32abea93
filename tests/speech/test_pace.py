"""The pace of a voice is its engine's own rate, and its name tells it."""

import pytest

from cuetrack.plan.model import Pace
from cuetrack.speech.pace import LONGER, paced
from cuetrack.speech.voices import find_voice


@pytest.mark.parametrize("name", ["joe", "espeak-en"])
@pytest.mark.parametrize("pace", list(Pace))
def test_a_voice_is_found_again_by_the_name_a_cue_sheet_keeps(name, pace):
    """Whoever speaks a clip again gets the same settings."""
    voice = paced(find_voice(name, "en"), pace)
    assert find_voice(voice.name, "en") == voice


def test_calm_is_longer_and_lively_shorter():
    """By the length scale of one engine and the rate of the other."""
    joe, espeak = find_voice("joe", "en"), find_voice("espeak-en", "en")
    usual = float(dict(joe.settings).get("length scale", 1))
    calm = float(dict(paced(joe, Pace.CALM).settings)["length scale"])
    assert calm == pytest.approx(usual * LONGER[Pace.CALM], rel=1e-3)
    rates = [int(dict(paced(espeak, p).settings)["rate"]) for p in Pace]
    assert rates[0] < rates[1] < rates[2]


def test_the_usual_pace_is_the_voice_itself():
    """Nothing that was spoken before is spoken again."""
    joe = find_voice("joe", "en")
    assert paced(joe, Pace.USUAL) == joe
