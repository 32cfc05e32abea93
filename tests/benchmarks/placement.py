"""How long placement takes for classes of growing length.

Run ``python tests/benchmarks/placement.py``. The class is as talkative as
classes get: each minute has a work of 40 s with eight floating cues that do not
all fit, five fixed calls and a spoken countdown, and a rest with a preview that
must be said and four more cues that need not be.
"""

from __future__ import annotations

import random
import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from cues.placement_cases import cue, segment, sheet, tone

from cuetrack import cuekinds
from cuetrack.cues.model import AnchorPoint, QuietRule, SegmentKind
from cuetrack.cues.placement.placing import place

MINUTE_MS = 60_000
REST_MS = 20_000


def lengths(rng, longest_ms):
    full = rng.randint(longest_ms // 2, longest_ms)
    return [full, full * 2 // 3, full // 3]


def rest_cues(rng, at_ms, name):
    rest = (at_ms, at_ms + REST_MS)
    own = {"segment": f"rest{name}"}
    yield cue(
        f"preview{name}",
        rest,
        lengths(rng, 8000),
        kind=cuekinds.PREVIEW,
        priority=90,
        essential=True,
        **own,
    )
    for number in range(4):
        yield cue(
            f"rest{name}-{number}",
            rest,
            lengths(rng, 4000),
            priority=rng.randint(10, 60),
            wanted_ms=at_ms + rng.randint(0, REST_MS),
            **own,
        )
    for word in range(3):
        yield cue(
            f"in{name}-{word}",
            rest,
            [450],
            beats=[90],
            kind=cuekinds.COUNT_IN,
            anchor_ms=at_ms + REST_MS - 3000 + word * 1000,
            anchor_point=AnchorPoint.BEAT,
            priority=100,
            essential=True,
            **own,
        )


def work_cues(rng, at_ms, end_ms, name):
    work = (at_ms, end_ms)
    own = {"segment": f"work{name}"}
    yield cue(
        f"go{name}",
        (at_ms - 200, end_ms),
        [500],
        beats=[80],
        kind=cuekinds.START,
        anchor_ms=at_ms,
        anchor_point=AnchorPoint.BEAT,
        priority=100,
        essential=True,
        **own,
    )
    for number in range(8):
        yield cue(
            f"work{name}-{number}",
            work,
            lengths(rng, 5000),
            priority=rng.randint(10, 60),
            wanted_ms=at_ms + (number + 1) * (end_ms - at_ms) // 9,
            **own,
        )
    for left_ms in (20_000, 15_000, 10_000):
        yield cue(
            f"left{name}-{left_ms}",
            work,
            [1500, 900],
            kind=cuekinds.TIME_LEFT,
            anchor_ms=end_ms - left_ms,
            priority=70,
            **own,
        )
    for word in range(3):
        yield cue(
            f"out{name}-{word}",
            work,
            [450],
            beats=[90],
            kind=cuekinds.COUNTDOWN,
            anchor_ms=end_ms - 3000 + word * 1000,
            anchor_point=AnchorPoint.BEAT,
            priority=80,
            **own,
        )


def talkative_class(minutes):
    rng = random.Random(7)
    segments, cues, tones = [], [], []
    for name in range(minutes):
        at_ms = name * MINUTE_MS
        work_ms = at_ms + REST_MS
        end_ms = at_ms + MINUTE_MS
        for kind, start, end in (("rest", at_ms, work_ms), ("work", work_ms, end_ms)):
            segments.append(
                segment(
                    start,
                    end,
                    id=f"{kind}{name}",
                    activity=f"{kind}{name}",
                    kind=SegmentKind(kind),
                )
            )
        cues += [*rest_cues(rng, at_ms, name), *work_cues(rng, work_ms, end_ms, name)]
        tones.append(tone(end_ms - 500, 400))
    return sheet(segments, cues, tones, QuietRule())


def main():
    print("minutes   cues   said   shortened   left out   CPU seconds")  # noqa: T201
    for minutes in (10, 20, 60, 180):
        made, timings = talkative_class(minutes)
        start = time.process_time()
        placed = place(made, timings)
        took = time.process_time() - start
        short = sum(each.wording_index > 0 for each in placed.placed)
        print(  # noqa: T201
            f"{minutes:7} {len(made.cues):6} {len(placed.placed):6} {short:11}"
            f" {len(placed.left_out):10} {took:9.2f}"
        )


if __name__ == "__main__":
    main()
