"""Music of our own in a plan: its mood is one of a few words."""

from __future__ import annotations

import pytest

from cuetrack.errors import PlanError
from cuetrack.plan.model import MusicStyle
from cuetrack.plan.reading import parse_plan

PLAN = "title: Larkfield Hall\nmusic: {music}\nwarm-up: [march: {{how: March.}}]\n"


def problem_of(music, folder=None):
    with pytest.raises(PlanError) as caught:
        parse_plan(PLAN.format(music=music), "plan.yaml", folder=folder)
    return str(caught.value)


@pytest.mark.parametrize("style", MusicStyle)
def test_every_mood_can_be_asked_for(style):
    """In any case, with a tempo or without."""
    text = PLAN.format(music=f"{{own: {style.title()}, tempo: 96}}")
    music = parse_plan(text, "plan.yaml").music
    assert (music.own, music.tempo_bpm) == (style, 96)


def test_wrong_mood_is_told_with_the_nearest_one():
    """A slip is answered with what was most likely meant."""
    told = problem_of("{own: stedy}")
    assert "plan.yaml:2:" in told
    assert '"stedy"' in told
    assert '"steady"' in told


def test_unknown_mood_is_told_with_all_there_are():
    """Who guesses is shown every word there is."""
    told = problem_of("{own: rumba}")
    assert all(style in told for style in MusicStyle)


def test_mood_written_as_a_file_is_explained(tmp_path):
    """``music: calm`` looks for a file; where there is none, we say how to ask."""
    assert "{own: calm}" in problem_of("calm", tmp_path)
