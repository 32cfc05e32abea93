"""What a command adds itself to."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import argparse

    Commands = argparse._SubParsersAction[argparse.ArgumentParser]  # noqa: SLF001
