"""``cuetrack desk``: the whole job in a browser, on this computer alone."""

from __future__ import annotations

import webbrowser
from pathlib import Path
from typing import TYPE_CHECKING

from cuetrack.cli.show import console

if TYPE_CHECKING:
    from argparse import Namespace

    from cuetrack.cli.subcommands import Commands

ABOUT = """\
Plan, hear and make classes in your browser, without typing a plan. The page is served
to this computer only; nothing leaves it, and no account is needed. The folder holds
your plans and what was made of them.

Stop it with Ctrl-C. What you did is saved as you go.
"""


def add_to(commands: Commands) -> None:
    """Add this command to the command line."""
    command = commands.add_parser(
        "desk",
        help="plan, hear and make classes in the browser",
        description=ABOUT,
    )
    command.add_argument(
        "folder",
        type=Path,
        nargs="?",
        default=Path(),
        metavar="FOLDER",
        help="where your plans are (default: this folder)",
    )
    command.add_argument(
        "--port", type=int, default=0, metavar="N", help="a port of your choice"
    )
    command.add_argument(
        "--no-browser", action="store_true", help="only print the address"
    )
    command.set_defaults(run=run)


def run(arguments: Namespace) -> int:
    """Serve the desk until it is stopped."""
    from cuetrack.desk.hold import OpenElsewhereError
    from cuetrack.desk.serving import serve, started

    try:
        start = started(arguments.folder, arguments.port)
    except OpenElsewhereError as open_elsewhere:
        return _led_there(open_elsewhere.address, browser=not arguments.no_browser)
    console().print(start.address, soft_wrap=True)
    serve(start, browser=not arguments.no_browser)
    return 0


def _led_there(address: str, *, browser: bool) -> int:
    """Show the desk that has this folder open already."""
    console().print("This folder is open at a desk already:", soft_wrap=True)
    console().print(address, soft_wrap=True)
    if browser:
        webbrowser.open(address)
    return 0
