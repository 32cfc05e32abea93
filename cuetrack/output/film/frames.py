"""The picture of each frame of a film: tiles are drawn only when they change.

A frame shows what is so at its middle, so that a change comes at most half a frame
from its time. Between changes the same frame is given again.
"""

from __future__ import annotations

import math
from collections import OrderedDict
from dataclasses import dataclass, field
from fractions import Fraction
from typing import TYPE_CHECKING, Final

import av
import numpy as np
from av.video.reformatter import ColorRange, Colorspace

from cuetrack.output.film import tiles
from cuetrack.output.film.shots import Showing
from cuetrack.times import clock

if TYPE_CHECKING:
    from collections.abc import Callable, Hashable, Iterator

    import numpy.typing as npt
    from PIL import Image

    from cuetrack.languages.phrases import Phrases
    from cuetrack.output.film.shots import Shot
    from cuetrack.output.film.tiles import Area, Layout
    from cuetrack.output.handouts.strip import StripBlock
    from cuetrack.output.track.captions import Caption

FRAMES_PER_SECOND: Final = 25
FRAME_MS: Final = 1000 // FRAMES_PER_SECOND

POSES_PER_SECOND: Final = 12.5
"""How often the figure takes a new pose: each is seen for two frames."""

MOST_KEPT: Final = 96
"""How many tiles are kept to be shown again; a figure's cycle is about as many."""

Planes = tuple["npt.NDArray[np.uint8]", ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Reel:
    """All that the frames of a film show; ``captions`` None where none are drawn."""

    shots: tuple[Shot, ...]
    blocks: tuple[StripBlock, ...]
    captions: tuple[Caption, ...] | None
    end_ms: int
    phrases: Phrases

    @property
    def frames(self) -> int:
        """How many frames the film has."""
        return -(-self.end_ms // FRAME_MS)


def frames_of(reel: Reel) -> Iterator[av.VideoFrame]:
    """Yield every frame in order; one that is as the last is the same object."""
    picture = _Picture(tiles.layout(captions=reel.captions is not None))
    where = _Where(reel)
    frame: av.VideoFrame | None = None
    for number in range(reel.frames):
        now_ms = (number + 0.5) * FRAME_MS
        changed = _draw(picture, where, now_ms)
        if changed or frame is None:
            frame = picture.frame()
        frame.pts = number
        frame.time_base = Fraction(1, FRAMES_PER_SECOND)
        yield frame


@dataclass(slots=True)
class _Where:
    """Which shot and caption are on; time only goes forward."""

    reel: Reel
    shot: int = 0
    caption: int = 0

    def go_to(self, now_ms: float) -> None:
        shots, shown = self.reel.shots, self.reel.captions or ()
        while self.shot + 1 < len(shots) and shots[self.shot].end_ms <= now_ms:
            self.shot += 1
        while self.caption < len(shown) and shown[self.caption].end_ms <= now_ms:
            self.caption += 1

    def lines(self, now_ms: float) -> tuple[str, ...]:
        shown = self.reel.captions or ()
        if self.caption == len(shown) or shown[self.caption].start_ms > now_ms:
            return ()
        return shown[self.caption].lines


def _draw(picture: _Picture, where: _Where, now_ms: float) -> bool:
    """Draw what has changed; return whether anything has."""
    where.go_to(now_ms)
    reel, at, areas = where.reel, where.shot, picture.areas
    shot = reel.shots[at]
    seconds = max(0, math.ceil((shot.end_ms - now_ms) / 1000))
    second_ms = shot.end_ms - 1000 * seconds
    lines = where.lines(now_ms)
    time = _time(reel, now_ms)
    place = " · ".join(shot.place)
    phase = phase_of(shot, now_ms)
    count, unit = _count(seconds, reel.phrases)
    draw = picture.draw
    changes = [
        draw(
            areas.strip,
            (at, seconds),
            lambda area: tiles.strip_tile(
                area, reel.blocks, reel.shots, max(second_ms, shot.start_ms)
            ),
        ),
        draw(
            areas.line,
            (place, time),
            lambda area: tiles.line_tile(area, place, time),
        ),
        draw(
            areas.figure,
            (at, phase),
            lambda area: tiles.figure_tile(area, shot, phase),
            keep=shot.showing is Showing.MOVING,
        ),
        draw(areas.words, at, lambda area: tiles.words_tile(area, shot)),
        draw(
            areas.count, (count, unit), lambda area: tiles.count_tile(area, count, unit)
        ),
        draw(areas.foot, at, lambda area: tiles.foot_tile(area, shot)),
    ]
    if areas.caption is not None:
        changes.append(
            draw(areas.caption, lines, lambda area: tiles.caption_tile(area, lines))
        )
    return any(changes)


def phase_of(shot: Shot, now_ms: float) -> float:
    """Return the phase of the figure's cycle, in whole steps of it, so that it repeats.

    0 where it does not move.
    """
    if shot.figure is None or shot.showing is not Showing.MOVING:
        return 0.0
    cycle_s = shot.figure.cadence.cycle_s
    steps = max(1, round(cycle_s * POSES_PER_SECOND))
    within = ((now_ms - shot.start_ms) / 1000 / cycle_s) % 1.0
    return math.floor(within * steps) / steps


def _count(seconds: int, phrases: Phrases) -> tuple[str, str]:
    words = phrases.page
    if seconds >= 60:
        return clock(seconds * 1000), words["minutes left"]
    return str(seconds), words["second left" if seconds == 1 else "seconds left"]


def _time(reel: Reel, now_ms: float) -> str:
    done, total = clock(int(now_ms) // 1000 * 1000), clock(reel.end_ms)
    return reel.phrases.page["clock"].format(done=done, total=total)


@dataclass(slots=True)
class _Picture:
    """The picture as video holds it, and what is drawn where in it."""

    areas: Layout
    planes: Planes = field(init=False)
    shown: dict[Area, Hashable] = field(default_factory=dict)
    kept: OrderedDict[Hashable, Planes] = field(default_factory=OrderedDict)

    def __post_init__(self) -> None:
        whole = tiles.Area(x=0, y=0, wide=tiles.WIDE, tall=tiles.TALL)
        self.planes = as_planes(tiles.blank(whole))

    def draw(
        self,
        area: Area,
        key: Hashable,
        drawn: Callable[[Area], Image.Image],
        *,
        keep: bool = False,
    ) -> bool:
        """Draw a tile unless it is there; return whether it was drawn."""
        if area in self.shown and self.shown[area] == key:
            return False
        self.shown[area] = key
        tile = self.kept.get((area, key))
        if tile is None:
            tile = as_planes(drawn(area))
            if keep:
                self.kept[area, key] = tile
                if len(self.kept) > MOST_KEPT:
                    self.kept.popitem(last=False)
        for plane, part, step in zip(self.planes, tile, (1, 2, 2), strict=True):
            rows = slice(area.y // step, (area.y + area.tall) // step)
            plane[rows, area.x // step : (area.x + area.wide) // step] = part
        return True

    def frame(self) -> av.VideoFrame:
        """Return the picture as it is now."""
        whole = np.concatenate([plane.reshape(-1, tiles.WIDE) for plane in self.planes])
        return av.VideoFrame.from_ndarray(whole, format="yuv420p")


def as_planes(picture: Image.Image) -> Planes:
    """Return light and both colours of a picture, as ITU-R BT.709 has them."""
    pixels = np.asarray(picture, dtype=np.uint8)
    frame = av.VideoFrame.from_ndarray(pixels, format="rgb24").reformat(
        format="yuv420p",
        dst_colorspace=Colorspace.ITU709,
        dst_color_range=ColorRange.MPEG,
    )
    whole = np.asarray(frame.to_ndarray(), dtype=np.uint8)
    wide, tall = picture.size
    half = (tall // 2, wide // 2)
    flat = whole.reshape(-1)
    light, part = tall * wide, tall * wide // 4
    return (
        flat[:light].reshape(tall, wide),
        flat[light : light + part].reshape(half),
        flat[light + part :].reshape(half),
    )
