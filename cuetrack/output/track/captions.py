"""Captions and chapters as WebVTT and SRT, from the cue sheet of a track.

A caption has at most two lines of 42 characters, stays at least a second, and
is read at no more than 17 characters a second wherever the cues leave the room:
it may appear a little before its words, and linger after them until the next.
The numbers are those captioners work by; WebVTT is that of the W3C.
"""

from __future__ import annotations

import re
import textwrap
from dataclasses import dataclass, replace
from math import ceil
from typing import TYPE_CHECKING

from msgspec import structs

from cuetrack import cuekinds
from cuetrack.cuekinds import CUE_KINDS
from cuetrack.cues.tonekinds import TONES
from cuetrack.documents.webvtt import escaped, timestamp
from cuetrack.languages.phrases import load_phrases
from cuetrack.output.track.chapters import plain_line

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence

    from cuetrack.cuekinds import CueKinds
    from cuetrack.languages.phrases import Phrases
    from cuetrack.output.track.chapters import Chapter
    from cuetrack.output.track.cue_rows import CueRow, ToneRow
    from cuetrack.output.track.cuefile import CueFile

LINE_CHARACTERS = 42
LINES = 2
CHARACTERS_PER_SECOND = 17
SHORTEST_MS = 1000
EARLIEST_MS = 500
"""How long before its words a caption may appear, where it is needed to read it."""
_SHORTEST_PART = CHARACTERS_PER_SECOND * SHORTEST_MS // 1000
"""A shorter part of a cue would be gone before it may be."""
_JOINING_GAP_MS = 160
"""A shorter gap between captions would be seen as a flicker."""
COUNT_STEP_MS = 1600
"""Count words further apart than this are not one count."""
_SPOKEN_NEAR_TONE_MS = 1500
_CLAUSE_ENDS = ",;:\N{EN DASH}\N{EM DASH}"
_SENTENCE_ENDS = ".!?\N{HORIZONTAL ELLIPSIS}"
_BREAKS = (rf"(?<=[{_SENTENCE_ENDS}])\s+", rf"(?<=[{_CLAUSE_ENDS}])\s+", r"\s+")
"""Where a long text is parted: sentences, then clauses, then words."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Caption:
    """What is shown from ``start_ms`` until ``end_ms``; ``kind`` is the cue's."""

    start_ms: int
    end_ms: int
    lines: tuple[str, ...]
    kind: str

    @property
    def characters(self) -> int:
        """Characters to be read, a line break counted as one."""
        return len("\n".join(self.lines))


def captions(
    cue_file: CueFile,
    phrases: Phrases | None = None,
    kinds: CueKinds = CUE_KINDS,
) -> tuple[Caption, ...]:
    """Return the captions of a track in order, none overlapping another.

    The words of one count are one caption, so that nothing flashes by. A tone
    that no word goes with is told in the words of ``phrases``, those of the cue
    file's language if None.
    """
    cues = sorted(cue_file.cues, key=lambda row: row.start_ms)
    spoken = [
        caption for cue in _counts_joined(cues, kinds) for caption in _parted(cue)
    ]
    words = phrases or load_phrases(cue_file.language)
    tones = _tone_captions(cue_file.tones, cues, _tone_texts(words))
    wanted = sorted([*spoken, *tones], key=lambda caption: caption.start_ms)
    return _timed(wanted, cue_file.duration_ms)


def _counts_joined(cues: Sequence[CueRow], kinds: CueKinds) -> Iterator[CueRow]:
    """Make one cue of each run of count words."""
    run: CueRow | None = None
    for cue in cues:
        counts = kinds.get(cue.kind, cuekinds.OTHER).counts
        if run is not None and counts and _goes_on(run, cue):
            text = f"{run.text.rstrip('.…')}… {cue.text.rstrip('.…')}…"
            run = structs.replace(run, text=text, end_ms=cue.end_ms)
            continue
        if run is not None:
            yield run
        run = cue
    if run is not None:
        yield run


def _goes_on(run: CueRow, cue: CueRow) -> bool:
    return (cue.kind, cue.segment) == (
        run.kind,
        run.segment,
    ) and cue.start_ms - run.end_ms < COUNT_STEP_MS


def _parted(cue: CueRow) -> Iterator[Caption]:
    """Part a cue into captions, its time shared out by their characters."""
    texts = parted(plain_line(cue.text))
    whole = sum(map(len, texts)) or 1
    length_ms = cue.end_ms - cue.start_ms
    done = 0
    for text in texts:
        start_ms = cue.start_ms + length_ms * done / whole
        done += len(text)
        yield Caption(
            start_ms=int(start_ms),
            end_ms=ceil(cue.start_ms + length_ms * done / whole),
            lines=lines_of(text),
            kind=cue.kind,
        )


def _tone_texts(phrases: Phrases) -> dict[str, str]:
    """Return what each tone is called that is not part of a count."""
    told = (kind for kind, shape in TONES.items() if not shape.counts)
    return {kind: phrases.page[f"tone {kind}"] for kind in told}


def _tone_captions(
    tones: Iterable[ToneRow], cues: Sequence[CueRow], texts: Mapping[str, str]
) -> Iterator[Caption]:
    for tone in tones:
        told = any(
            cue.start_ms < tone.end_ms + _SPOKEN_NEAR_TONE_MS
            and tone.start_ms - _SPOKEN_NEAR_TONE_MS < cue.end_ms
            for cue in cues
        )
        if tone.kind in texts and not told:
            yield Caption(
                start_ms=tone.start_ms,
                end_ms=tone.end_ms,
                lines=lines_of(texts[tone.kind]),
                kind="tone",
            )


def _timed(wanted: Sequence[Caption], track_ms: int) -> tuple[Caption, ...]:
    """Give each caption its time to be read, from the last backwards."""
    timed: list[Caption] = []
    next_start = max([track_ms, *(caption.end_ms for caption in wanted)])
    earliest = [0, *(caption.start_ms + 1 for caption in wanted)]
    for caption, floor in zip(reversed(wanted), reversed(earliest[:-1]), strict=True):
        needed = _reading_ms(caption)
        start = min(caption.start_ms, next_start - needed)
        start = max(start, caption.start_ms - EARLIEST_MS, min(floor, caption.start_ms))
        end = min(max(caption.end_ms, start + needed), next_start)
        if next_start - end < _JOINING_GAP_MS:
            end = next_start
        if start < end:
            timed.append(replace(caption, start_ms=start, end_ms=end))
            next_start = start
    return tuple(reversed(timed))


def _reading_ms(caption: Caption) -> int:
    return max(SHORTEST_MS, -(-caption.characters * 1000 // CHARACTERS_PER_SECOND))


def parted(text: str) -> list[str]:
    """Part a text so that each part fits a caption, at the best breaks there are.

    >>> parted("Sit tall. Feet flat.")
    ['Sit tall. Feet flat.']
    """
    parts: list[str] = []
    for part in _parted_at(text, _BREAKS):
        before = parts[-1] if parts else ""
        if parts and min(len(before), len(part)) < _SHORTEST_PART:
            parts[-1:] = _halved(f"{before} {part}")
        else:
            parts.append(part)
    return parts


def _parted_at(text: str, breaks: Sequence[str]) -> list[str]:
    """Part a text at the first of ``breaks``, at the others what is still too long."""
    if _fits(text):
        return [text] if text else []
    if not breaks:
        longest = LINE_CHARACTERS * LINES
        return [text[at : at + longest] for at in range(0, len(text), longest)]
    parts: list[str] = []
    waiting = ""
    for piece in re.split(breaks[0], text):
        joined = f"{waiting} {piece}".strip()
        if _fits(joined):
            waiting = joined
            continue
        if waiting:
            parts.append(waiting)
        *whole, waiting = _parted_at(piece, breaks[1:]) or [""]
        parts.extend(whole)
    return [*parts, waiting] if waiting else parts


def _halved(text: str) -> list[str]:
    """Return a text whole if it fits, else in two parts of about the same length."""
    if _fits(text):
        return [text]
    fitting = [pair for pair in _gaps(text) if all(map(_fits, pair))]
    long_enough = [pair for pair in fitting if min(map(len, pair)) >= _SHORTEST_PART]
    first, second = min(long_enough or fitting, key=_unevenness)
    return [first, second]


def _gaps(text: str) -> Iterator[tuple[str, str]]:
    for gap in re.finditer(r"\s+", text):
        yield text[: gap.start()], text[gap.end() :]


def _fits(text: str) -> bool:
    if len(text) <= LINE_CHARACTERS:
        return True
    return len(text) <= LINES * (LINE_CHARACTERS + 1) and len(_wrapped(text)) <= LINES


def _wrapped(text: str) -> list[str]:
    return textwrap.wrap(text, LINE_CHARACTERS, break_on_hyphens=False)


def lines_of(text: str) -> tuple[str, ...]:
    """Break a text that fits a caption into lines of about the same length.

    >>> lines_of("Fists at chest height. One arm forward and back, then the other.")
    ('Fists at chest height.', 'One arm forward and back, then the other.')
    """
    if len(text) <= LINE_CHARACTERS:
        return (text,)
    fitting = [pair for pair in _gaps(text) if max(map(len, pair)) <= LINE_CHARACTERS]
    if fitting:
        first, second = min(fitting, key=_unevenness)
        return (first, second)
    return tuple(_wrapped(text))


def _unevenness(pair: tuple[str, str]) -> float:
    """Return the difference of two lines, an eighth of it where a phrase ends."""
    difference = abs(len(pair[0]) - len(pair[1]))
    ends_phrase = pair[0][-1] in _SENTENCE_ENDS + _CLAUSE_ENDS
    return difference / 8 if ends_phrase else difference


def to_webvtt(captions: Sequence[Caption], cue_file: CueFile | None = None) -> str:
    """Return a WebVTT file; each caption's kind is the class of its text.

    A note names title and language, where the cue sheet is given.
    """
    blocks = [_head(cue_file)]
    for number, caption in enumerate(captions, start=1):
        text = "\n".join(map(escaped, caption.lines))
        name = re.sub(r"[^a-z0-9]+", "-", caption.kind.lower()).strip("-") or "cue"
        blocks.append(
            f"{number}\n{timestamp(caption.start_ms)} --> {timestamp(caption.end_ms)}\n"
            f"<c.{name}>{text}</c>"
        )
    return "\n\n".join(blocks) + "\n"


def chapters_webvtt(
    chapters: Sequence[Chapter], cue_file: CueFile | None = None
) -> str:
    """Return the chapters as a WebVTT file, for a chapters track on a page."""
    blocks = [_head(cue_file)]
    for number, chapter in enumerate(chapters, start=1):
        blocks.append(
            f"{number}\n{timestamp(chapter.start_ms)} --> {timestamp(chapter.end_ms)}\n"
            f"{escaped(plain_line(chapter.title))}"
        )
    return "\n\n".join(blocks) + "\n"


def to_srt(captions: Sequence[Caption]) -> str:
    """Return an SRT file, for players that know no WebVTT.

    SRT has no way to escape a mark, so that brackets of markup become look-alikes.
    """
    plain = str.maketrans(
        {
            "<": "\N{SINGLE LEFT-POINTING ANGLE QUOTATION MARK}",
            ">": "\N{SINGLE RIGHT-POINTING ANGLE QUOTATION MARK}",
            "{": "(",
            "}": ")",
        }
    )
    return "\n".join(
        f"{number}\n{timestamp(caption.start_ms, ',')} --> "
        f"{timestamp(caption.end_ms, ',')}\n"
        + "\n".join(line.translate(plain) for line in caption.lines)
        + "\n"
        for number, caption in enumerate(captions, start=1)
    )


def _head(cue_file: CueFile | None) -> str:
    if cue_file is None:
        return "WEBVTT"
    title, language = (
        escaped(plain_line(text)) for text in (cue_file.title, cue_file.language)
    )
    return f"WEBVTT\n\nNOTE\nTitle: {title}\nLanguage: {language}"
