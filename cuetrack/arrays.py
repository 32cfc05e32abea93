"""The arrays that modules hand each other; other shapes stand where they are used.

Named in quotes: whoever only reads a plan is spared the import of numpy.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeAlias

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

Samples: TypeAlias = "npt.NDArray[np.float32]"
"""Mono sound, shape (frames,), full scale at +-1."""

Block: TypeAlias = "npt.NDArray[np.float32]"
"""A stretch of sound, shape (frames, channels), full scale at +-1."""

Floats: TypeAlias = "npt.NDArray[np.float64]"
Flags: TypeAlias = "npt.NDArray[np.bool_]"
