"""What the report of a made track says of its music and of the ears of the group."""

from __future__ import annotations

import math

from rich.console import Console

from cuetrack.cli.show import show_hearing, show_titled
from cuetrack.sound.hearing_report import CueAdvice, HearingReport, HearingRow


def shown(show, *args):
    screen = Console(width=100, highlight=False, force_terminal=False)
    with screen.capture() as capture:
        show(screen, *args)
    return capture.get()


def row(**changes):
    fields = {
        "cue": "warm-up.m1.start",
        "text": "Start.",
        "sii_quiet": 0.613,
        "sii_mix": 0.598,
        "loss": 0.015,
        "depth_db": 12.34,
        "separation_lu": 15.6,
        "advice": CueAdvice.NONE,
    }
    return HearingRow(**fields | changes)


def report(*rows):
    return HearingReport(
        age=75, level_db_spl=65.0, rows=rows, louder_by_db=0, summary=()
    )


def test_each_cue_has_a_row_in_points():
    """Clarity of 100, the duck, the distance to the music and the advice."""
    text = shown(show_hearing, report(row(), row(advice=CueAdvice.LOUDSPEAKER_UP)))
    first, second = text.strip().splitlines()[1:]
    assert first.split() == [
        "Start.",
        "61",
        "60",
        "12.3",
        "dB",
        "15.6",
        "LU",
        "fine",
    ]
    assert second.endswith("turn the loudspeaker up")


def test_without_music_nothing_is_said_of_it():
    """Nor where the music is silent under a cue."""
    for over in (None, math.inf):
        text = shown(show_hearing, report(row(separation_lu=over, depth_db=0.0)))
        assert "LU" not in text.splitlines()[-1]
        assert "inf" not in text


def test_lines_under_a_heading_are_set_in_even_when_wrapped():
    """And square brackets in a title of music are only brackets."""
    text = shown(show_titled, "Music", ["song [live].mp3: " + "long " * 30])
    lines = text.strip("\n").splitlines()
    assert lines[0].strip() == "Music"
    assert "song [live].mp3" in lines[1]
    assert len(lines) > 2
    assert all(line.startswith("  ") for line in lines[1:])
