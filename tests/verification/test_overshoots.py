"""How much a player cuts off where encoding has raised peaks over full scale."""

from __future__ import annotations

import numpy as np
import pytest

from cuetrack.verification.overshoots import OvershootMeter


def share(*blocks):
    meter = OvershootMeter()
    for block in blocks:
        meter.add(np.asarray(block, np.float32))
    return meter.share()


def test_what_is_over_full_scale_counts_where_most_of_it_is():
    """One moment of two values counts by its own power, not by that of all."""
    block = np.full((3 * 4096, 2), 0.5)
    block[5000:5010, 1] = 1.25
    whole = (2 * 4096 - 10) * 0.25 + 10 * 1.25**2
    expected = 10 * 0.25**2 / whole
    assert share(block) == pytest.approx(expected, rel=1e-5)
    assert share(block[:4096], block, block[:7]) == share(block)


def test_below_full_scale_nothing_is_cut_off():
    """Not even at full scale itself."""
    assert share(np.ones((5000, 1)), np.zeros((1, 1))) == 0.0
