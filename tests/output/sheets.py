"""Classes placed for the tests of what is printed, and pages read back."""

from __future__ import annotations

import re
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path

import pypdfium2

from cuetrack import cuekinds
from cuetrack.cues.estimate import estimate_ms
from cuetrack.cues.model import (
    AnchorPoint,
    Cue,
    CueSheet,
    PlacedCue,
    PlacedSheet,
    QuietRule,
    Wording,
)
from cuetrack.cues.placement.placing import place
from cuetrack.cues.timeline import lay_out
from cuetrack.cues.writing.cuesheet import write_cues
from cuetrack.languages.phrases import load_phrases
from cuetrack.movements.library import load_library
from cuetrack.plan.model import Coaching
from cuetrack.plan.reading import read_plan
from tests.cues.builders import HEEL_DIG, PUNCH, close, intervals, plan, welcome

EXAMPLES = Path(__file__).parents[2] / "examples"
WORDS = load_phrases("en")

HOSTILE = {
    "markup": "<script>alert(\"1\")</script> & 'q' #set text(2pt) $x$ *b* `c` {page}",
    "templates": "{{ sheet }} {% if %} #{sheet} //x @part <row-end> %(a)s {0}",
    "overrides": "\u202eabc \u2067\u05e9\u05dc\u05d5\u05dd \u202e end",
    "stray closers": "a\u202c\u2069b \u05e9\u05dc\u05d5\u05dd\u200f",
    "emoji": "\U0001f9d8\u200d\u2640\ufe0f wave \U0001f44b \u65e5\u672c\u8a9e",
    "controls": "a\x00b\x1b[31m\ud800c\u2028d\uffff\r\ne\x85f",
    "many words": "word " * 2000,
    "one word": "x" * 10_000,
}
"""Texts that would break a page that trusted them."""


def placed_with_estimates(plan_):
    """Return a plan placed by estimated lengths of speech."""
    sheet = write_cues(plan_, lay_out(plan_), WORDS, lambda text: text)
    texts = {w.spoken for cue in sheet.cues for w in cue.wordings}
    return place(sheet, {text: estimate_ms(text, "en") for text in texts})


def example(name):
    """Return an example and its placed cue sheet."""
    read = read_plan(EXAMPLES / f"{name}.yaml", library=load_library)
    return read, placed_with_estimates(read)


def said_by_hand(plan_, text_of):
    """Return a placed sheet with one preview in each segment, its text given."""
    timeline = lay_out(plan_)
    cues = []
    for number, segment in enumerate(timeline.segments):
        text = text_of(segment)
        wording = Wording(text=text, spoken=text)
        cue = Cue(
            id=f"cue{number}",
            kind=cuekinds.PREVIEW,
            segment=segment.id,
            window_start_ms=segment.start_ms,
            window_end_ms=segment.end_ms,
            variants=((wording,),),
            priority=90,
            essential=True,
        )
        cues.append(
            PlacedCue(
                cue=cue,
                wording=wording,
                wording_index=0,
                pin_ms=segment.start_ms,
                pin_point=AnchorPoint.START,
                start_ms=segment.start_ms,
                end_ms=segment.start_ms + 1000,
            )
        )
    sheet = CueSheet(
        title=plan_.title,
        language="en",
        timeline=timeline,
        cues=(),
        tones=(),
        quiet=QuietRule(),
    )
    return PlacedSheet(sheet=sheet, placed=tuple(cues), left_out=())


def hostile_class(text):
    """Return a class in which a text stands wherever a plan may have one."""
    movement = replace(
        PUNCH,
        name=text,
        how=text,
        how_short=text,
        easier=text,
        harder=text,
        equipment=text,
        caution=text,
        sides=(text, f"{text}2"),
    )
    class_ = plan(
        replace(welcome(90, says=(text,)), title=text),
        replace(intervals(movement, HEEL_DIG, rounds=2), title=text),
        close(60),
        bring=(text,),
        coaching=Coaching.CLOCK,
    )
    class_ = replace(class_, title=text)
    return class_, said_by_hand(class_, lambda _: text)


def pages_of(pdf):
    """Return the text of each page as PDFium reads it, gaps between words single."""
    document = pypdfium2.PdfDocument(pdf)
    try:
        texts = [page.get_textpage().get_text_bounded() for page in document]
    finally:
        document.close()
    return [" ".join(text.replace("\u200b", "").split()) for text in texts]


def run_together(text):
    """Return a text without the gaps and hyphens that a line's end may swallow."""
    return re.sub(r"[\s\x02\ufffe-]", "", text)


class Page(HTMLParser):
    """An HTML file read back: its elements in order, and the text that is shown."""

    VOID = frozenset({"meta", "br", "link", "img", "hr"})

    def __init__(self, html):
        super().__init__(convert_charrefs=True)
        self.elements = []
        self.texts = []
        self._open = []
        self.feed(html)
        self.close()
        assert not self._open, f"never closed: {self._open}"

    def handle_starttag(self, tag, attrs):
        self.elements.append((tag, dict(attrs)))
        if tag not in self.VOID:
            self._open.append(tag)

    def handle_endtag(self, tag):
        assert self._open.pop() == tag

    def handle_data(self, data):
        if self._open and self._open[-1] not in {"style", "script"}:
            self.texts.append(data)

    @property
    def text(self):
        return " ".join("".join(self.texts).split())

    def all(self, tag):
        return [attrs for name, attrs in self.elements if name == tag]
