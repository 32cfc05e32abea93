"""``cuetrack new``: a sound plan to start from, after a few questions."""

from __future__ import annotations

import re
import sys
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from rich.text import Text

from cuetrack.cli.plain import in_quotes
from cuetrack.cli.show import console
from cuetrack.errors import CuetrackError, UsageError
from cuetrack.movements.group_reading import (
    GroupSaid,
    asks,
    echo,
    joined,
    other_words,
)
from cuetrack.output.track.files import write_text
from cuetrack.planning import answers
from cuetrack.planning.request import ClassRequest, Level
from cuetrack.times import duration

if TYPE_CHECKING:
    from argparse import Namespace
    from collections.abc import Callable

    from rich.console import Console

    from cuetrack.cli.subcommands import Commands

ABOUT = """\
Write a plan to start from: complete, with notes, and ending on your slot. It asks a
few questions; press Enter for the answer in brackets. Or give the answers as options,
and --yes to be asked nothing.

  cuetrack new thursday.yaml
  cuetrack new --minutes 30 --who "new hip" --equipment weights --yes
"""

TITLE: Final = "title"
NOT_ASKED: Final = "not asked"
QUESTIONS: Final[tuple[tuple[str, str, str, Callable[[str], Any]], ...]] = (
    ("minutes", "How many minutes is your slot?", "30", answers.slot),
    ("level", "Is the group new, usual or experienced?", "usual", answers.level),
    (
        "who",
        "Who needs care: a new hip, bad knees, dizziness, home alone...? Or: nobody",
        NOT_ASKED,
        answers.who,
    ),
    (
        "equipment",
        "What is at hand: weights, band, ball, towel?",
        "nothing",
        answers.equipment,
    ),
    (
        "regions",
        "What should be worked most, such as legs or arms?",
        "the whole body",
        answers.regions,
    ),
    (
        "coaching",
        "Who coaches: the voice (everything), or you (clock)?",
        "everything",
        answers.coaching,
    ),
)
"""Option, question, usual answer, and what understands the answer."""


def add_to(commands: Commands) -> None:
    """Add this command to the command line."""
    command = commands.add_parser(
        "new",
        help="write a plan to start from",
        description=ABOUT,
    )
    command.add_argument(
        "file", type=Path, nargs="?", metavar="FILE", help="the plan (from its title)"
    )
    for name, question, usual, _ in QUESTIONS:
        command.add_argument(
            f"--{name}", metavar="ANSWER", help=f"{question} [{usual}]"
        )
    command.add_argument(f"--{TITLE}", help="what the class is called")
    command.add_argument(
        "--another",
        type=int,
        default=0,
        metavar="NUMBER",
        help="another choice of movements for the same answers",
    )
    command.add_argument(
        "--yes", action="store_true", help="ask nothing; take the usual answers"
    )
    command.add_argument(
        "--overwrite", action="store_true", help="replace a plan of that name"
    )
    command.set_defaults(run=run)


def run(arguments: Namespace) -> int:
    """Ask, write the plan, and say what comes next."""
    from cuetrack.pipeline.checking import nothing_to_mend
    from cuetrack.planning.generating import generate
    from cuetrack.planning.unmet_wishes import why_unused

    screen = console()
    asking = not arguments.yes and sys.stdin.isatty()
    path: Path | None = arguments.file
    if path is not None and path.suffix.casefold() not in {".yaml", ".yml"}:
        path = path.with_name(f"{path.name}.yaml")
    if path is not None and path.exists() and not arguments.overwrite:
        raise CuetrackError(
            f"{path}: there is a plan of this name already. Choose another name, or "
            "add --overwrite to replace it."
        )
    wishes = _wishes(arguments, screen, asking=asking)
    path = path or Path(f"{_file_name(wishes.title)}.yaml")
    text = generate(wishes, arguments.another, partial(nothing_to_mend, path=path))
    write_text(path, text, overwrite=arguments.overwrite)
    for thing in wishes.equipment:
        if f"  - {thing}\n" not in text:
            told = f"Not used: {thing}; {why_unused(wishes, thing)}."
            screen.print(Text(told), soft_wrap=True)
    screen.print(
        f"\nWritten: {path}, {duration(wishes.slot_ms)} to the second.\n"
        f"Next: cuetrack check {in_quotes(path)}\n"
        f"Then: cuetrack make {in_quotes(path)}",
        soft_wrap=True,
    )
    return 0


def _wishes(arguments: Namespace, screen: Console, *, asking: bool) -> ClassRequest:
    said: dict[str, Any] = {}
    for name, question, usual, understand in QUESTIONS:
        given: str | None = getattr(arguments, name)
        if name == "who":
            said[name] = _who(screen, question, given, asking=asking)
        elif given is not None:
            said[name] = _option(name, given, understand)
        elif asking:
            said[name] = _asked(screen, question, usual, understand)
        else:
            said[name] = understand(usual)
    who: GroupSaid = said["who"]
    coaching = answers.who_coaches(who, said["coaching"])
    if coaching is not said["coaching"]:
        screen.print("Nobody coaches at home, so the voice says everything.")
    usual_title = f"{duration(said['minutes']).replace(' min', ' minutes')} on chairs"
    title = arguments.title
    if title is None and asking:
        title = _asked(screen, "What is the class called?", usual_title, _title)
    return ClassRequest(
        slot_ms=said["minutes"],
        title=_option(TITLE, title or usual_title, _title),
        level=Level(said["level"]),
        facts=tuple(map(str, who.facts)),
        denied=tuple(map(str, who.denied)),
        equipment=said["equipment"],
        regions=said["regions"],
        coaching=coaching,
    )


def _who(
    screen: Console, question: str, given: str | None, *, asking: bool
) -> GroupSaid:
    """Return who comes; what is not understood is asked again, then warned of."""
    said, unknown = GroupSaid(), ""
    if given is None and asking:
        screen.print(f"{question} [{NOT_ASKED}]")
    while given is not None or asking:
        answer = given if given is not None else _typed()
        given = None
        if not answer:
            break
        more = answers.who(answer)
        said, unknown = joined(said, more), " ".join(more.unknown)
        screen.print(Text(f"  {echo(said)}".rstrip()), soft_wrap=True)
        if not unknown or not asking:
            break
        screen.print(Text(f'  Not understood: "{unknown}". {other_words()}'))
        screen.print("  Enter alone goes on without it.")
    if unknown:
        if not said and not asking:
            raise UsageError(f'--who: "{unknown}" is not understood. {other_words()}')
        screen.print(Text(f'  Nothing is left out for "{unknown}": ask, and watch.'))
    elif not said:
        screen.print("  Not asked, so every caution stays.")
    for fact, ask in asks(said):
        screen.print(Text(f"  There is no rule for {fact}: ask {ask}."))
    return said


def _title(answer: str) -> str:
    plain = " ".join(answer.split())
    if not plain or len(plain) > 100:
        raise ValueError("Please write a title of up to 100 letters.")
    return plain


def _option(name: str, answer: str, understand: Callable[[str], Any]) -> Any:  # noqa: ANN401
    try:
        return understand(answer)
    except ValueError as error:
        raise UsageError(f"--{name}: {error}") from error


def _asked(
    screen: Console, question: str, usual: str, understand: Callable[[str], Any]
) -> Any:  # noqa: ANN401
    """Ask until the answer is understood; an empty one is the usual one."""
    while True:
        screen.print(f"{question} [{usual}]")
        answer = _typed() or usual
        try:
            return understand(answer)
        except ValueError as error:
            screen.print(f"  {error}")


def _typed() -> str:
    """Return a line typed, empty where there is none."""
    try:
        return input("> ").strip()
    except EOFError:
        return ""


def _file_name(title: str) -> str:
    """Return a file name for a title.

    >>> _file_name("Easy Thursday, at the hall!")
    'easy-thursday-at-the-hall'
    """
    words = re.sub(r"[^\w]+", "-", title.casefold()).strip("-_")
    return words[:60].rstrip("-") or "plan"
