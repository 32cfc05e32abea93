"""The command line: parse, call, show.

Exit status: 0 done, 1 the plan or track falls short (the message says what),
2 the command itself was wrong, 130 stopped by the user.
"""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

from cuetrack.cli.plain import show_what_the_screen_can, without_controls
from cuetrack.errors import CuetrackError, UsageError

if TYPE_CHECKING:
    from collections.abc import Sequence


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command and return its exit status; never show a traceback."""
    show_what_the_screen_can()
    try:
        from cuetrack.cli.arguments import parser

        arguments = parser().parse_args(argv)
        return int(arguments.run(arguments))
    except UsageError as error:
        _tell(f"cuetrack: {error}")
        return 2
    except CuetrackError as error:
        _tell(str(error))
        return 1
    except OSError as error:
        _tell(f"cuetrack: {describe(error)}")
        return 1
    except KeyboardInterrupt:
        _tell("\nStopped. No half-written file was left behind.")
        return 130


def _tell(message: str) -> None:
    print(without_controls(message), file=sys.stderr)


def describe(error: OSError) -> str:
    """Return what the system refused, in a sentence."""
    what = error.strerror or str(error)
    where = f": {error.filename}" if error.filename else ""
    return f"{what}{where}. Check the path, its permissions and the free space."
