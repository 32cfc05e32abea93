"""The strip holds the whole class, in order and to one scale."""

from __future__ import annotations

from itertools import pairwise
from types import SimpleNamespace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cuetrack.output.handouts.strip import MOST_GAPS_SHARE, strip_of
from tests.output.cuesheets import SEGMENTS

KINDS = ("welcome", "opening", "move", "work", "rest", "recovery", "close")


@st.composite
def classes(draw):
    """Draw segments that follow one another, and the section of each."""
    rows, at = [], 0
    for _ in range(draw(st.integers(1, 60))):
        length = draw(st.integers(1000, 90_000))
        kind = draw(st.sampled_from(KINDS))
        rows.append(SimpleNamespace(kind=kind, start_ms=at, end_ms=at + length))
        at += length
    return rows, [draw(st.integers(0, 2)) for _ in rows]


@given(classes())
def test_all_blocks_stand_in_order_and_to_one_scale(drawn):
    """Blocks fill the strip from 0 to 1, as wide as they are long in time."""
    rows, sections = drawn
    blocks = strip_of(rows, sections)
    assert blocks[0].start == 0
    assert blocks[-1].end == pytest.approx(1)
    scales = [
        (block.end - block.start) / (row.end_ms - row.start_ms)
        for block, row in zip(blocks, rows, strict=True)
    ]
    assert scales == pytest.approx([scales[0]] * len(scales))
    gaps = [after.start - before.end for before, after in pairwise(blocks)]
    changes = [a != b for a, b in pairwise(sections)]
    assert all(
        (gap > 1e-9) == change for gap, change in zip(gaps, changes, strict=True)
    )
    assert sum(gaps) <= MOST_GAPS_SHARE + 1e-9


def test_more_effort_stands_taller():
    """Work is the tallest, then plain movement, recovery, and rest is the lowest."""
    blocks = strip_of(SEGMENTS, [row.section for row in SEGMENTS])
    height = {row.kind: b.height for row, b in zip(SEGMENTS, blocks, strict=True)}
    assert (
        1 == height["work"] > height["move"] > height["recovery"] > height["rest"] > 0
    )
