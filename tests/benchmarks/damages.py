"""What verification catches and what it leaves: a table of damages, and one of makes.

Run it by hand: ``python -m tests.benchmarks.damages --folder FOLDER``. It makes four
short tracks (speech alone, over a bed of our own, over a dense tune, another voice
with tones), damages each in over eighty ways at three sizes, stores them in three
formats, and writes for each file a line into ``FOLDER/damages.jsonl``: whether it was
caught, and under the right name. A run that was stopped goes on from there, unless
the code has changed; so does one with ``--kinds``, ``--tracks``, ``--formats`` or
``--sizes``. ``--honest`` takes
tracks with nothing wrong instead, in all formats and at low rates, with what does no
harm; ``--fresh`` the same for tracks on which no limit was fitted. ``--summary``
prints the tables of what there is. The whole table takes about 40 minutes of the
processor.
"""
# ruff: noqa: T201 - printing is what it is for

from __future__ import annotations

import argparse
import hashlib
import json
import multiprocessing
import os
import re
import tempfile
from collections import Counter, defaultdict
from functools import cache
from itertools import product
from pathlib import Path
from typing import TYPE_CHECKING

from cuetrack import verification
from cuetrack.speech.store import ClipStore
from cuetrack.verification import verify_track
from tests.benchmarks import damaged_cues, damaged_files, damaged_on_the_way
from tests.benchmarks.damage_tracks import (
    FORMATS,
    FRESH,
    HONEST,
    TRACKS,
    encoded,
    make_tracks,
    places_in,
)
from tests.benchmarks.damaged_files import HARMLESS
from tests.benchmarks.damaged_places import DAMAGES

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from cuetrack.verification import Report

GROUPS = {
    "cues and tones": damaged_cues,
    "whole files": damaged_files,
    "on the way": damaged_on_the_way,
}
HARMLESS_FORMATS = ("flac", "mp3")

Row = dict[str, object]


def words_of(report: Report) -> str:
    """All that a report says is wrong, in one string."""
    rows = [f"{row.verdict}: {row.note}" for row in report.rows if row.note]
    checks = [check.sentence for check in report.checks if check.passed is not True]
    return "\n".join([report.headline, *rows, *checks])


def processor_s() -> float:
    """Return what this process and the encoders it waited for have taken."""
    return sum(os.times()[:4])


@cache
def all_places(folder: Path, *, fresh: bool):
    return places_in(folder, fresh=fresh)


def damaged_rows(folder: Path, kind: str, number: int, track: str, forms) -> list[Row]:
    """Return what became of one damage of one track in each format."""
    place = all_places(folder, fresh=False)[track]
    function, sizes, words = DAMAGES[kind]
    start, sound = processor_s(), function(place, sizes[number])
    rows = []
    for form in forms:
        report = judged(sound, FORMATS[form], place)
        caught = not report.passed
        rows.append(
            {
                "kind": kind,
                "size": number,
                "track": track,
                "format": form,
                "caught": caught,
                "named": caught and any(word in words_of(report) for word in words),
                "said": report.headline[:200],
                "seconds": round(processor_s() - start, 2),
            }
        )
        start = processor_s()
    return rows


def honest_rows(folder: Path, kind: str, track: str, *, fresh: bool) -> list[Row]:
    """Return what is said of one track in which nothing is wrong."""
    place = all_places(folder, fresh=fresh)[track]
    name, _, form = kind.partition(" as ")
    sound = HARMLESS[name](place, 0) if name else place.sound
    report = judged(sound, HONEST[form], place)
    said = "" if report.passed else report.headline[:200]
    return [{"kind": kind, "track": track, "passed": report.passed, "said": said}]


def judged(sound, form: tuple[str, tuple[str, ...]], place) -> Report:
    suffix, options = form
    with tempfile.TemporaryDirectory() as folder:
        path = encoded(sound, Path(folder) / f"track{suffix}", options)
        return verify_track(path, place.sheet, ClipStore())


def damage_tasks(arguments, done) -> Iterator[tuple]:
    """Yield what is still to be damaged, and how."""
    kinds = [kind for kind in DAMAGES if re.search(arguments.kinds, kind)]
    for number, kind, track in product(arguments.sizes, kinds, arguments.tracks):
        forms = [
            form
            for form in arguments.formats
            if (kind, number, track, form) not in done
        ]
        if forms:
            yield damaged_rows, (arguments.folder, kind, number, track, forms), {}


def honest_tasks(arguments, done) -> Iterator[tuple]:
    """Yield what is still to be looked at."""
    kinds = [f" as {form}" for form in HONEST]
    kinds += [f"{name} as {form}" for name in HARMLESS for form in HARMLESS_FORMATS]
    for track, kind in product(FRESH if arguments.fresh else TRACKS, kinds):
        if (kind, track) not in done and re.search(arguments.kinds, kind):
            options = {"fresh": arguments.fresh}
            yield honest_rows, (arguments.folder, kind, track), options


def one_task(task) -> list[Row]:
    function, given, options = task
    return function(*given, **options)


def run(path: Path, tasks: Iterable, processes: int) -> None:
    """Do the tasks, and add a line to the file for each row."""
    with (
        multiprocessing.Pool(processes) as pool,
        path.open("a", encoding="utf-8") as to,
    ):
        for rows in pool.imap_unordered(one_task, tasks):
            to.writelines(json.dumps(row) + "\n" for row in rows)
            to.flush()


def read(path: Path) -> list[Row]:
    """Return the whole lines of a file, none when it is not there."""
    lines = path.read_text("utf-8").split("\n")[:-1] if path.exists() else []
    return [json.loads(line) for line in lines]


def refuse_other_code(folder: Path) -> None:
    """Stop where rows are there that other code has measured."""
    sources = [
        *Path(verification.__file__).parent.rglob("*.py"),
        *Path(__file__).parent.glob("damage*.py"),
    ]
    whole = b"".join(source.read_bytes() for source in sorted(sources))
    code, kept = hashlib.sha256(whole).hexdigest(), folder / "code.txt"
    if list(folder.glob("*.jsonl")) and (
        not kept.exists() or kept.read_text("utf-8") != code
    ):
        raise SystemExit(
            f"The rows in {folder} were measured by other code and cannot be gone on "
            "with. Take another folder, or print them with --summary."
        )
    kept.write_text(code, "utf-8")


def print_damages(rows: list[Row]) -> None:
    """Print for each kind how many of how many were caught and rightly named."""
    by_kind = defaultdict(list)
    for row in rows:
        by_kind[row["kind"]].append(row)
    groups = {name: [0, 0, 0, 0, 0] for name in GROUPS}
    print(f"{'damage':52} of | caught by size | named | not caught in; not named in")
    for kind, (function, _, _) in DAMAGES.items():
        found = by_kind.get(kind, [])
        if not found:
            continue
        caught = [sum(r["caught"] for r in found if r["size"] == n) for n in range(3)]
        named = sum(row["named"] for row in found)
        print(
            f"{kind[:50]:52} {len(found):2} | {' '.join(f'{n:4}' for n in caught)} | "
            f"{named:5} | {_where(found, 'caught')}; "
            f"{_where([row for row in found if row['caught']], 'named')}"
        )
        group = next(
            n
            for n, module in GROUPS.items()
            if module.__name__ == function.damages.__module__
        )
        whole = sum(caught) == len(found)
        sums = (1, whole, len(found), sum(caught), named)
        groups[group] = [
            one + more for one, more in zip(groups[group], sums, strict=True)
        ]
    for name, (kinds, whole, files, caught, named) in groups.items():
        print(
            f"{name}: {kinds} kinds, {whole} of them always caught; {files} files, "
            f"{caught} caught, {named} rightly named"
        )
    seconds = sum(row["seconds"] for row in rows)
    print(f"{len(rows)} files in {seconds / 60:.0f} minutes of the processor")


def _where(rows: list[Row], key: str) -> str:
    counts = Counter(f"{row['track']}/{row['format']}" for row in rows if not row[key])
    few = ", ".join(place for place, _ in counts.most_common(3))
    return f"{few}{' ...' if len(counts) > 3 else ''}"


def print_honest(rows: list[Row]) -> None:
    """Print what is complained of where nothing is wrong."""
    alarms = [row for row in rows if not row["passed"]]
    for row in alarms:
        print(f"false alarm: {row['track']},{row['kind']}: {row['said']}")
    print(f"{len(alarms)} false alarms in {len(rows)} honest files")


def main() -> None:
    """Run what is asked for and print its table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--folder", type=Path, required=True, help="keeps all of it")
    parser.add_argument("--kinds", default="", help="a pattern")
    parser.add_argument("--tracks", nargs="+", choices=TRACKS, default=list(TRACKS))
    parser.add_argument("--formats", nargs="+", choices=FORMATS, default=list(FORMATS))
    parser.add_argument("--sizes", nargs="+", type=int, default=[1, 0, 2])
    parser.add_argument("--honest", action="store_true", help="only what is not wrong")
    parser.add_argument("--fresh", action="store_true", help="the same, other tracks")
    parser.add_argument("--summary", action="store_true", help="run nothing")
    parser.add_argument("--processes", type=int, choices=(1, 2), default=1)
    arguments = parser.parse_args()
    honest = arguments.honest or arguments.fresh
    table = "fresh" if arguments.fresh else "honest" if honest else "damages"
    path = arguments.folder / f"{table}.jsonl"
    if not arguments.summary:
        arguments.folder.mkdir(parents=True, exist_ok=True)
        refuse_other_code(arguments.folder)
        make_tracks(arguments.folder, fresh=arguments.fresh)
        rows = read(path)
        if honest:
            done = {(row["kind"], row["track"]) for row in rows}
            tasks = honest_tasks(arguments, done)
        else:
            keys = ("kind", "size", "track", "format")
            done = {tuple(row[key] for key in keys) for row in rows}
            tasks = damage_tasks(arguments, done)
        run(path, tasks, arguments.processes)
    (print_honest if honest else print_damages)(read(path))


if __name__ == "__main__":
    main()
