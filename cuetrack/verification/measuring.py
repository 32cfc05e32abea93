"""Everything measured on one pass over a file, before any of it is judged."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from cuetrack.sound.band_print import BandMeter
from cuetrack.sound.blocks import tapped
from cuetrack.sound.loudness import Meter, TrackLevels
from cuetrack.times import SAMPLE_RATE_HZ
from cuetrack.verification.background import background_of, listening_cells
from cuetrack.verification.bending import peaks_of
from cuetrack.verification.clicks import click_in
from cuetrack.verification.flat_tops import FlatTopMeter
from cuetrack.verification.hum import HumMeter
from cuetrack.verification.late_sound import AnswerMeter
from cuetrack.verification.limits import LOW_RATE_KBITS
from cuetrack.verification.overshoots import OvershootMeter
from cuetrack.verification.pairing import REACH_FRAMES, SAME_FRAMES, distinct, pair
from cuetrack.verification.pieces import pieces_of
from cuetrack.verification.search import Match, best_score, find, make_search_window
from cuetrack.verification.sides import StereoMeter, StereoSides
from cuetrack.verification.spectrum import THINNING
from cuetrack.verification.stream import PowerCurve, TrackSpan, mono, stretches
from cuetrack.verification.timbre import timbre_of
from cuetrack.verification.wavering import delays_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from cuetrack.arrays import Floats, Samples
    from cuetrack.sound.decoding import SoundFile
    from cuetrack.speech.model import Progress
    from cuetrack.verification.background import CueBackground
    from cuetrack.verification.bending import CuePeaks
    from cuetrack.verification.hum import Hum
    from cuetrack.verification.late_sound import LateSound
    from cuetrack.verification.pieces import CuePieces
    from cuetrack.verification.search import SearchWindow
    from cuetrack.verification.steps import Elsewhere
    from cuetrack.verification.targets import Beginnings, Target, Templates
    from cuetrack.verification.timbre import CueTimbre
    from cuetrack.verification.wavering import CueDelays

_INSTEAD_REACH = SAMPLE_RATE_HZ // 4
_INSTEAD_FRAMES = SAMPLE_RATE_HZ
_INSTEAD_SCORE = 0.6
_INSTEAD_NEIGHBOURS = 48
_MOST_INSTEAD_SEARCHES = 60
_MARGIN_FRAMES = SAMPLE_RATE_HZ // 100


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CloseLook:
    """A spoken cue where it was found: what sounds with it, its pieces, its peaks.

    ``click_ms`` is where a click stands out most, from the start of the cue; None
    where none does.
    """

    background: CueBackground
    pieces: CuePieces
    peaks: CuePeaks
    timbre: CueTimbre
    delays: CueDelays
    click_ms: int | None

    @property
    def whole(self) -> bool:
        """Whether all pieces are there, and nothing clicks."""
        return not self.pieces.faults and self.click_ms is None


@dataclass(frozen=True, slots=True, kw_only=True)
class Detection:
    """What the file holds for one target.

    ``match`` has its frame counted from the start of the track. ``instead`` is
    another target of the sheet whose sound is at this one's place. ``close`` is what
    a closer look at a spoken cue shows.
    """

    target: Target
    match: Match | None
    instead: Target | None = None
    close: CloseLook | None = None

    def at_low_rate(self) -> Detection:
        """Return the same, without what an encoder with few bits does."""
        if self.close is None:
            return self
        pieces = self.close.pieces.without_short_holes()
        return replace(self, close=replace(self.close, pieces=pieces))


@dataclass(frozen=True, slots=True, kw_only=True)
class Extra:
    """The sound of a target once more than planned, at a frame of the track."""

    target: Target
    frame: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """One file: every target looked for, levels, and power over time.

    ``extras`` are targets whose sound is there once more within reach of its place;
    ``elsewhere`` says of a file looked through again how far off its parts are.

    ``frames``, ``powers`` (each 20 ms) and the print ``bands_db`` are of the mono
    sound at 48 kHz, ``levels`` of the channels as they are in the file. ``kbits`` a
    second has each; ``flat_tops`` of one lie at its highest value, where the file keeps
    every sample: it is ``lossless``. ``coding`` is what it is coded in. Elsewhere
    ``overshoot`` is the share of its worst moment that lies over full scale.
    ``late_sound`` answers the voice.
    """

    detections: tuple[Detection, ...]
    levels: TrackLevels
    frames: int
    powers: Samples
    bands_db: Floats
    rate_hz: int
    channels: int
    sides: StereoSides
    offset: float
    hum: Hum | None
    kbits: float
    coding: str
    lossless: bool
    late_sound: LateSound | None
    flat_tops: int = 0
    overshoot: float | None = None
    extras: tuple[Extra, ...] = ()
    elsewhere: Elsewhere | None = None

    @property
    def low_rate(self) -> bool:
        """Whether an encoder had to throw away what a listener may notice."""
        return self.kbits < LOW_RATE_KBITS

    @property
    def delays(self) -> list[CueDelays]:
        """How far off an even pace the windows of each spoken cue are."""
        found = (one.close for one in self.detections)
        return [close.delays for close in found if close is not None]

    @property
    def timbres(self) -> list[CueTimbre]:
        """How the file colours its cues.

        Those with a fault of their own do not count, while most have none.
        """
        found = [one.close for one in self.detections if one.close is not None]
        whole = [close for close in found if close.whole]
        looks = whole if 2 * len(whole) > len(found) else found
        return [close.timbre for close in looks]


def measure_track(
    sound: SoundFile,
    targets: Sequence[Target],
    templates: Templates | Beginnings,
    progress: Progress | None = None,
    *,
    turned: bool = False,
) -> Measured:
    """Return what ``sound`` holds for every target, in one pass over the file.

    Parameters
    ----------
    sound
        The finished file, opened.
    targets
        What to look for, in order of planned time.
    templates
        The sounds of the targets.
    progress
        Told how many targets have been looked for.
    turned
        Whether the second of two channels is to be turned back first.

    Raises
    ------
    TrackError
        When the file turns out to be damaged, or a reference cannot be had.
    """
    meter, power = Meter(sound.channels, sound.rate_hz), PowerCurve()
    tops, overshoots = FlatTopMeter(sound.channels), OvershootMeter()
    sides, mains, bands = StereoMeter(), HumMeter(), BandMeter()
    peaks = tops.add if sound.lossless else overshoots.add
    shown = tapped(sound.blocks(), meter.add, sides.add, peaks)
    signs = np.array([1, -1 if turned else 1], np.float32)
    upright = (block * signs for block in shown) if turned else shown
    blocks = tapped(mono(upright, sound.rate_hz), power.add, mains.add, bands.add)
    search = _Matching(targets, templates)
    spans = [search.span(target) for target in targets]
    for done, (index, samples) in enumerate(stretches(blocks, spans), 1):
        search.look(index, samples, spans[index].start)
        if progress is not None:
            progress(done, len(targets))
    seconds = max(power.frames / SAMPLE_RATE_HZ, 1.0)
    kbits = sound.path.stat().st_size * 8e-3 / seconds / sound.channels
    detections = search.detections()
    if kbits < LOW_RATE_KBITS:
        detections = tuple(one.at_low_rate() for one in detections)
    return Measured(
        detections=detections,
        extras=search.extras(),
        levels=meter.levels(),
        frames=power.frames,
        powers=power.powers(),
        bands_db=bands.levels_db(),
        rate_hz=sound.rate_hz,
        channels=sound.channels,
        sides=sides.sides(sound.rate_hz),
        offset=power.offset,
        hum=mains.hum(),
        kbits=kbits,
        coding=sound.coding,
        lossless=sound.lossless,
        flat_tops=tops.tops(),
        overshoot=None if sound.lossless else overshoots.share(),
        late_sound=search.answer.late_sound(),
    )


class _Matching:
    """Collects what each stretch shows; pairs plans and finds at the end."""

    def __init__(
        self, targets: Sequence[Target], templates: Templates | Beginnings
    ) -> None:
        self._targets = targets
        self._templates = templates
        self._finds: dict[str, list[Match]] = {}
        self._instead: dict[int, Target] = {}
        self._close: dict[int, CloseLook] = {}
        self._instead_searches = 0
        self._turned: bool | None = None
        self.answer = AnswerMeter()

    def span(self, target: Target) -> TrackSpan:
        """Return the stretch of the track in which a target is looked for."""
        reach = REACH_FRAMES + _MARGIN_FRAMES
        start = round(target.sought) - reach
        return TrackSpan(start=start, end=start + 2 * reach + target.frames)

    def look(self, index: int, samples: Samples, start: int) -> None:
        """Search one target's stretch, which begins at frame ``start``."""
        target = self._targets[index]
        stretch = make_search_window(samples)
        expected = [
            other.sought - start
            for other in self._around(index)
            if other.sound == target.sound
        ]
        matches = [
            replace(match, frame=match.frame + start)
            for match in find(
                stretch,
                self._templates.of(target),
                expected,
                turned=None if target.is_speech else self._turned,
            )
        ]
        self._finds.setdefault(target.sound, []).extend(matches)
        if matches and target.is_speech:
            nearest = min(matches, key=lambda one: abs(one.frame - target.sought))
            self._turned = nearest.gain < 0
            place = max(0.0, nearest.frame - start)
            self._close[index] = self._look_closely(index, samples, stretch, place)
        away = [abs(match.frame - target.sought) for match in matches]
        near = min(away, default=REACH_FRAMES) < SAME_FRAMES
        if near or target.offset_frames:
            return
        if self._instead_searches < _MOST_INSTEAD_SEARCHES:
            self._instead_searches += 1
            close = zip(matches, away, strict=True)
            own_score = max(
                (m.score for m, d in close if d < _INSTEAD_REACH), default=0.0
            )
            place = round(target.sought) - start
            instead = self._look_instead(index, samples, place, own_score)
            if instead is not None:
                self._instead[index] = instead

    def detections(self) -> tuple[Detection, ...]:
        """Return one detection for each target, in their order."""
        plans: dict[str, list[int]] = {}
        for index, target in enumerate(self._targets):
            plans.setdefault(target.sound, []).append(index)
        matches: dict[int, Match | None] = {}
        for sound, indices in plans.items():
            sought = [self._targets[index].sought for index in indices]
            found = distinct(self._finds.get(sound, []))
            matches.update(zip(indices, pair(sought, found), strict=True))
        return tuple(
            Detection(
                target=target,
                match=matches[index],
                instead=self._instead.get(index),
                close=self._close.get(index),
            )
            for index, target in enumerate(self._targets)
        )

    def extras(self) -> tuple[Extra, ...]:
        """Return what was found more often than planned, but in no other's place."""
        plans: dict[str, list[Target]] = {}
        for target in self._targets:
            plans.setdefault(target.sound, []).append(target)
        extras = []
        for sound, targets in plans.items():
            found = distinct(self._finds.get(sound, []))
            paired = pair([target.sought for target in targets], found)
            used = {match.frame for match in paired if match is not None}
            extras += [
                Extra(
                    target=min(targets, key=lambda one: abs(one.sought - match.frame)),
                    frame=match.frame,
                )
                for match in found
                if match.frame not in used and not self._is_instead(sound, match.frame)
            ]
        return tuple(extras)

    def _is_instead(self, sound: str, frame: float) -> bool:
        """Whether a sound at this frame is what was found in place of a target."""
        return any(
            other.sound == sound
            and abs(self._targets[index].sought - frame) <= _INSTEAD_REACH
            for index, other in self._instead.items()
        )

    def _look_closely(
        self, index: int, samples: Samples, stretch: SearchWindow, place: float
    ) -> CloseLook:
        """Measure a spoken cue that was found at this frame of its stretch."""
        template = self._templates.of(self._targets[index])
        first = round(place)
        heard = samples[first : first + template.frames]
        known = template.samples[: heard.size]
        at = round(place / THINNING)
        narrow = stretch.sound[at:][: template.sound.size]
        self.answer.add(stretch.sound, at, template.sound)
        cells = listening_cells(heard, known)
        pieces = pieces_of(narrow, template.sound[: narrow.size])
        return CloseLook(
            background=background_of(cells),
            timbre=timbre_of(cells),
            delays=delays_of(narrow, template.sound[: narrow.size]),
            pieces=pieces,
            click_ms=None if pieces.faults else click_in(heard, known),
            peaks=peaks_of(heard, known),
        )

    def _around(self, index: int) -> Sequence[Target]:
        first = max(0, index - _INSTEAD_NEIGHBOURS)
        return self._targets[first : index + _INSTEAD_NEIGHBOURS + 1]

    def _look_instead(
        self, index: int, samples: Samples, place: int, own_score: float
    ) -> Target | None:
        """Return the other target whose beginning is at this one's place, if any."""
        first = max(0, place - _INSTEAD_REACH)
        last = place + _INSTEAD_REACH
        stretch = make_search_window(samples[first : last + _INSTEAD_FRAMES])
        best, there = max(_INSTEAD_SCORE, own_score), None
        for other in self._strangers(index):
            template = self._templates.of(other).beginning(_INSTEAD_FRAMES)
            score = best_score(stretch, template, within=last - first)
            if score > best:
                best, there = score, other
        return there

    def _strangers(self, index: int) -> Sequence[Target]:
        """Return one target for each sound that is planned nearby, but not here."""
        place = self._targets[index].planned
        around = self._around(index)
        here = {
            other.sound
            for other in around
            if abs(other.planned - place) < 2 * _INSTEAD_REACH
        }
        by_sound = {other.sound: other for other in around if other.sound not in here}
        return tuple(by_sound.values())
