"""``cuetrack words``: every word a plan may use, and what may stand behind it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from cuetrack.errors import UsageError

if TYPE_CHECKING:
    from argparse import Namespace

    from cuetrack.cli.subcommands import Commands

ABOUT = """\
Show the words that a plan may use: what each means, what may be written behind it,
what counts when it is not said, and other words that are taken for it. Name a part
of a plan, such as intervals, movement or music, for its words alone.
"""


def add_to(commands: Commands) -> None:
    """Add this command to the command line."""
    command = commands.add_parser(
        "words", help="show every word a plan may use", description=ABOUT
    )
    command.add_argument(
        "part", nargs="*", metavar="PART", help="a part of a plan; all when not given"
    )
    command.set_defaults(run=run)


def run(arguments: Namespace) -> int:
    """Show the words of one part, or of all."""
    from cuetrack.documents.names import key_form
    from cuetrack.documents.reading import suggestion
    from cuetrack.documents.reference import reference, tables_by_word
    from cuetrack.plan.model import PLAN

    if not arguments.part:
        print("\n".join(map(reference, PLAN.reachable())), end="")
        return 0
    part = " ".join(arguments.part)
    tables = tables_by_word(PLAN)
    found = {key_form(word): table for word, table in tables.items()}
    table = found.get(key_form(part))
    if table is None:
        remedy = suggestion(part, sorted(tables))
        raise UsageError(f"A plan has no part called {part!r}. {remedy}")
    print(reference(table), end="")
    return 0
