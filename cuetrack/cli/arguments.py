"""The words of the command line; each command brings its own arguments."""

from __future__ import annotations

import argparse
from functools import partial
from importlib.metadata import version
from typing import Any, NoReturn

from cuetrack.cli import (
    batch,
    check,
    desk,
    fit,
    handout,
    hear,
    listening_test,
    make,
    movements,
    new,
    variant,
    verify,
    voices,
    weeks,
    words,
)
from cuetrack.cli.help_text import ProseAndExamples
from cuetrack.cli.plain import without_controls

COMMANDS = (
    new,
    words,
    check,
    desk,
    make,
    batch,
    handout,
    hear,
    verify,
    listening_test,
    voices,
    movements,
    fit,
    weeks,
    variant,
)


class _Parser(argparse.ArgumentParser):
    """Shows help as prose and examples, and what was typed as plain text."""

    def __init__(self, **options: Any) -> None:  # noqa: ANN401 - of argparse
        super().__init__(**{"formatter_class": ProseAndExamples} | options)

    def error(self, message: str) -> NoReturn:
        super().error(without_controls(message))


STORY = """\
The usual way:

  cuetrack new my-class.yaml       answer a few questions, get a plan
  cuetrack check my-class.yaml     see the times, and what would be left out
  cuetrack make my-class.yaml      speak it, mix it, write the track
  cuetrack verify my-class.mp3     measure that every cue is where it belongs

A plan of six lines is enough:

  title: Morning class at Larkfield Hall
  warm-up: [shoulder roll, ankle pump, easy march]
  intervals: {work: 30 s, rest: 30 s, movements: [heel dig, straight punch]}
  cool-down: [easy march, chest stretch, calf stretch]
"""


def parser() -> argparse.ArgumentParser:
    """Return the parser of the whole command line."""
    top = _Parser(
        prog="cuetrack",
        description="From a timed plan of a seated exercise class to one spoken "
        "track whose cues are measured to be on time.",
        epilog=STORY,
    )
    top.add_argument(
        "--version", action="version", version=f"cuetrack {version('cuetrack')}"
    )
    commands = top.add_subparsers(title="commands", metavar="COMMAND", required=False)
    top.set_defaults(run=partial(show_help, top))
    for command in COMMANDS:
        command.add_to(commands)
    return top


def show_help(parser: argparse.ArgumentParser, _: argparse.Namespace) -> int:
    """Show what there is to do, when nothing was asked for."""
    parser.print_help()
    return 0
