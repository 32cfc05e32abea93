"""Blocks: the same sound however it is cut."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from cuetrack.sound.blocks import fixed_blocks
from tests.sound.sounds import cut


@given(
    frames=st.integers(0, 60),
    sizes=st.lists(st.integers(1, 25), min_size=1, max_size=4),
    wanted=st.integers(1, 25),
)
def test_blocks_of_one_size_hold_the_same_sound(frames, sizes, wanted):
    """Every block but the last has the size, and nothing is lost or moved."""
    sound = np.arange(2 * frames, dtype=np.float32).reshape(frames, 2)
    blocks = list(fixed_blocks(cut(sound, sizes), wanted))
    assert [len(block) for block in blocks[:-1]] == [wanted] * (len(blocks) - 1)
    assert all(0 < len(block) <= wanted for block in blocks)
    assert np.array_equal(np.concatenate([sound[:0], *blocks]), sound)
