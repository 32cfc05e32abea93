"""The command line: parse, call, show.

Exit status: 0 done, 1 the plan or track falls short (the message says what),
2 the command itself was wrong, 128 + N stopped by signal N: 130 by the user's Ctrl-C.
"""

from __future__ import annotations

import signal
import sys
from contextlib import suppress
from typing import TYPE_CHECKING

from cuetrack.cli.plain import show_what_the_screen_can, without_controls
from cuetrack.errors import CuetrackError, UsageError
from cuetrack.stopping import Stopped, heeding_stops

if TYPE_CHECKING:
    from collections.abc import Sequence


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command and return its exit status; never show a traceback."""
    show_what_the_screen_can()
    try:
        from cuetrack.cli.arguments import parser

        arguments = parser().parse_args(argv)
        with heeding_stops():
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
        return 128 + signal.SIGINT
    except Stopped as stopped:
        with suppress(OSError):  # After a hang-up nobody may be there to read it.
            _tell("Stopped. No half-written file was left behind.")
        return 128 + stopped.number


def _tell(message: str) -> None:
    print(without_controls(message), file=sys.stderr)


def describe(error: OSError) -> str:
    """Return what the system refused, in a sentence."""
    what = error.strerror or str(error)
    where = f": {error.filename}" if error.filename else ""
    return f"{what}{where}. Check the path, its permissions and the free space."
