"""Can people tell from its pictures which movement is meant?

Writes one picture for each movement, numbered in a shuffled order, with six names
below: its own and those of the five movements whose positions are nearest to its
own. Somebody who has not seen the code writes down a letter for each number; the
second form of the command counts what was right and lists what was mistaken::

    python tests/benchmarks/recognition.py make FOLDER --key KEY.json
    python tests/benchmarks/recognition.py count ANSWERS.txt --key KEY.json

ANSWERS.txt has a line for each picture, such as ``12 c``. Movements whose positions
are the same, which only their pace tells apart, are never offered against each other;
they are listed when the pictures are made. The pictures are seen in grey with --grey.
"""

from __future__ import annotations

import argparse
import json
import random
import sys
from itertools import combinations
from pathlib import Path

from PIL import Image, ImageDraw

from cuetrack.movements.figure.contact_sheet import _face, panels_in_a_row
from cuetrack.movements.figure.trails import moving_parts
from cuetrack.movements.library import library_entries
from cuetrack.movements.positions.motion import skeletons
from cuetrack.movements.positions.reading import motions
from cuetrack.movements.positions.vectors import along, distance

WIDE, TALL, LINE = 900, 460, 40
SHOWN_TOGETHER = 6
TWINS = 0.035
"""Movements none of whose joints is farther apart than this have the same positions."""


def _points(skeleton):
    arms = [p for a in skeleton.arms for p in (a.elbow, a.palm, a.tip)]
    grips = [along(a.palm, a.grip, 0.06) for a in skeleton.arms]
    legs = [p for g in skeleton.legs for p in (g.knee, g.ankle, g.toe)]
    trunk = skeleton.trunk
    nose = along(trunk.head, trunk.head_frame.front, 0.1)
    return [*arms, *grips, *legs, nose, trunk.neck, trunk.waist]


def _gaps(one, other):
    """Return how far each joint of a posture is from the other's."""
    return [distance(a, b) for a, b in zip(_points(one), _points(other), strict=True)]


def _apart(one, other):
    """Return how different two movements are: the farthest and the mean joint."""
    ends = [skeletons(motion)[: len(motion.keys) + 1] for motion in (one, other)]
    farthest = mean = 0.0
    for mine, theirs in ((ends[0], ends[1]), (ends[1], ends[0])):
        for skeleton in mine:
            gaps = min((_gaps(skeleton, s) for s in theirs), key=max)
            farthest = max(farthest, *gaps)
            mean += sum(gaps) / len(gaps) / len(mine) / 2
    kinds = [(moving_parts(m), m.held, m.rounded) for m in (one, other)]
    same = kinds[0] == kinds[1]
    return (farthest if same else 1.0), mean + 0.02 * (not same)


def _say(*words):
    print(*words)  # noqa: T201


def _make(folder, key_file, seed, *, grey):
    every = {e.name: motions()[e.name] for e in library_entries()}
    names = sorted(every)
    far = {
        frozenset(pair): _apart(every[pair[0]], every[pair[1]])
        for pair in combinations(names, 2)
    }
    twins = sorted(sorted(pair) for pair, gap in far.items() if gap[0] < TWINS)
    shuffle = random.Random(seed)
    order = names.copy()
    shuffle.shuffle(order)
    folder.mkdir(parents=True, exist_ok=True)
    key, cells = {}, []
    for number, name in enumerate(order, start=1):
        near = sorted(
            (other for other in names if other != name),
            key=lambda other: far[frozenset((name, other))][1],
        )
        near = [other for other in near if far[frozenset((name, other))][0] >= TWINS]
        offered = [name, *near[:5]]
        shuffle.shuffle(offered)
        key[str(number)] = {"name": name, "offered": offered}
        cells.append(_cell(number, every[name], offered, grey=grey))
    for first in range(0, len(cells), SHOWN_TOGETHER):
        _sheet(cells[first : first + SHOWN_TOGETHER]).save(
            folder / f"pictures-{first // SHOWN_TOGETHER + 1:02}.png"
        )
    key_file.write_text(json.dumps(key, indent=1), encoding="utf-8")
    _say(f"{len(cells)} pictures in {folder}; the key is in {key_file}")
    for pair in twins:
        _say("told apart by pace alone:", " / ".join(pair))


def _cell(number, motion, offered, *, grey):
    cell = Image.new("RGB", (WIDE, TALL + 4 * LINE), "white")
    cell.paste(panels_in_a_row(motion, WIDE - 120, TALL), (110, 8))
    if grey:
        cell = cell.convert("L").convert("RGB")
    draw = ImageDraw.Draw(cell)
    draw.text((14, 8), str(number), fill="black", font=_face(46))
    for place, name in enumerate(offered):
        column, row = divmod(place, 3)
        at = (30 + column * WIDE // 2, TALL + 16 + row * LINE)
        draw.text(at, f"{'abcdef'[place]}  {name}", fill="black", font=_face(27))
    draw.rectangle((0, 0, cell.width - 1, cell.height - 1), outline="#888888")
    return cell


def _sheet(cells):
    rows = -(-len(cells) // 2)
    sheet = Image.new("RGB", (2 * WIDE, rows * cells[0].height), "white")
    for place, cell in enumerate(cells):
        row, column = divmod(place, 2)
        sheet.paste(cell, (column * WIDE, row * cell.height))
    return sheet


def _count(answers_file, key_file):
    key = json.loads(key_file.read_text(encoding="utf-8"))
    said = {}
    for line in answers_file.read_text(encoding="utf-8").splitlines():
        words = line.replace(".", " ").replace(":", " ").split()
        if len(words) >= 2 and words[0] in key and words[1].lower() in "abcdef":
            said[words[0]] = key[words[0]]["offered"]["abcdef".index(words[1].lower())]
    right = sum(said.get(number) == one["name"] for number, one in key.items())
    _say(f"{right} of {len(key)} right, {len(key) - len(said)} without an answer")
    for number, one in key.items():
        if said.get(number) != one["name"]:
            _say(f"  {one['name']}  was taken for  {said.get(number, 'nothing')}")


def main():
    """Make the pictures, or count the answers."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("what", choices=["make", "count"])
    parser.add_argument("path", type=Path)
    parser.add_argument("--key", type=Path, required=True)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--grey", action="store_true")
    said = parser.parse_args()
    if said.what == "make":
        _make(said.path, said.key, said.seed, grey=said.grey)
    else:
        _count(said.path, said.key)


if __name__ == "__main__":
    sys.exit(main())
