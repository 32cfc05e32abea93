"""Damage as a failing disk does it."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pathlib import Path


def flipped(content: bytes, bit: int) -> bytes:
    """Return content with one bit turned over."""
    damaged = bytearray(content)
    damaged[bit // 8] ^= 1 << bit % 8
    return bytes(damaged)


def damage(path: Path, place: int, places: int) -> bytes:
    """Turn over one bit of a file, at one of some places from its head to its end.

    Returns what stands in it then.
    """
    content = path.read_bytes()
    damaged = flipped(content, (8 * len(content) - 1) * place // (places - 1))
    path.write_bytes(damaged)
    return damaged
