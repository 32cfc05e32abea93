"""``cuetrack voices script``: what to read aloud for a voice of your own."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from cuetrack.cli.plain import in_quotes
from cuetrack.cli.show import console
from cuetrack.errors import UsageError

if TYPE_CHECKING:
    from argparse import Namespace

    from cuetrack.cli.subcommands import Commands
    from cuetrack.takes.reading_script import ReadingScript

ABOUT = """\
Write what you read aloud so that your own voice speaks these classes: a sheet in
large print (PDF), captions with an id for each line (WebVTT), and a click for the
count words (WAV). The first part is enough for a whole class; the rest makes it
fuller.

  cuetrack voices script my-class.yaml
  cuetrack voices script monday.yaml friday.yaml --out reading
  cuetrack voices script my-class.yaml --missing-from mary
  cuetrack voices script --whole-pack

--whole-pack is for all movements of the library: some hours. Titles, your own words
and cautions for a group come only with a plan.
"""


def add_to(steps: Commands) -> None:
    """Add this step to the command for voices."""
    step = steps.add_parser(
        "script",
        help="what to read aloud for a voice of your own",
        description=ABOUT,
    )
    step.add_argument("plans", type=Path, nargs="*", metavar="PLAN", help="in YAML")
    step.add_argument(
        "--whole-pack", action="store_true", help="all movements of the library"
    )
    step.add_argument(
        "--language", default="en", metavar="CODE", help="of a whole pack (en)"
    )
    step.add_argument(
        "--missing-from",
        metavar="FOLDER",
        help="only lines that the plans lack in the voice in this folder",
    )
    step.add_argument(
        "--paper", choices=("a4", "letter"), default="a4", help="of the sheet (a4)"
    )
    step.add_argument(
        "--out", type=Path, metavar="FOLDER", help="where to write (beside the plan)"
    )
    step.add_argument(
        "--overwrite", action="store_true", help="replace files that are there"
    )
    step.set_defaults(run=run)


def run(arguments: Namespace) -> int:
    """Write the script, and say how much there is to read."""
    from cuetrack.pipeline.reading_aloud import ScriptFiles, write_script

    script = _script(arguments)
    screen = console()
    if not script.lines:
        screen.print("Nothing is missing: these classes can be spoken as they are.")
        return 0
    plans: list[Path] = arguments.plans
    name = plans[0].stem if len(plans) == 1 else "reading"
    if arguments.missing_from:
        name += ".missing"
    folder = arguments.out or (plans[0].parent if plans else Path())
    files = ScriptFiles.called(folder, name, script)
    write_script(
        script,
        files,
        _title(plans),
        paper=arguments.paper,
        overwrite=arguments.overwrite,
    )
    _show(script, missing=bool(arguments.missing_from))
    for path, use in files.uses():
        screen.print(f"  {path}  ({use})", soft_wrap=True)
    _show_next(files.captions, arguments.missing_from)
    return 0


def _show_next(captions: Path, voice: str | None) -> None:
    """Show what is typed once it is recorded."""
    screen = console()
    known = (
        f"--out {in_quotes(voice)}"
        if voice
        else '--out NAME --who "WHO" --consent "USE"'
    )
    if not voice:
        screen.print("Read for half a minute first, and ask if it sounds good enough:")
        screen.print("  cuetrack voices record RECORDING --first")
    screen.print("When it is read, in one recording or several:")
    screen.print(
        f"  cuetrack voices record RECORDING --script {in_quotes(captions)} {known}",
        soft_wrap=True,
    )


def _title(plans: list[Path]) -> str:
    if not plans:
        return "Every movement of the library"
    return ", ".join(path.stem for path in plans)


def _script(arguments: Namespace) -> ReadingScript:
    from cuetrack.pipeline.checking import read_plan
    from cuetrack.pipeline.reading_aloud import (
        script_for,
        script_of_missing,
        script_of_pack,
    )

    if arguments.whole_pack == bool(arguments.plans):
        raise UsageError(
            "Name plans or --whole-pack, one of the two.",
            "For example: cuetrack voices script my-class.yaml",
        )
    if arguments.whole_pack:
        if arguments.missing_from:
            raise UsageError("What is missing is told of plans: name some.")
        return script_of_pack(arguments.language)
    plans = [read_plan(path, any_voice=True) for path in arguments.plans]
    if arguments.missing_from:
        return script_of_missing(plans, arguments.missing_from)
    return script_for(plans)


def _show(script: ReadingScript, *, missing: bool) -> None:
    from cuetrack.takes.reading_script import ReadingPart

    screen = console()
    lines = script.lines
    screen.print(
        f"{len(lines)} lines to read, about {_minutes(script.length_ms)}.", style="bold"
    )
    first = [
        number
        for number, line in enumerate(lines, start=1)
        if line.part in {ReadingPart.COUNTS, ReadingPart.ENOUGH}
    ]
    if first and first[-1] < len(lines):
        until = _minutes(lines[first[-1] - 1].end_ms)
        use = "must be read" if missing else "are enough for a whole class"
        which = f"Lines 1 to {first[-1]}" if first[1:] else "Line 1"
        screen.print(f"{which}, about {until}, {use}; the others make it fuller.")


def _minutes(length_ms: int) -> str:
    minutes = max(1, round(length_ms / 60_000))
    return "a minute" if minutes == 1 else f"{minutes} minutes"
