"""The follow page: one HTML file that plays a track and shows what to do now.

Everything is inside the file: layout, script, words, captions, and the sound too
where it is handed in as a data URI. Nothing is fetched from anywhere. Its script
is the parts in ``templates/follow`` in the order of `SCRIPTS`, in one scope.
"""

from __future__ import annotations

import base64
import hashlib
import json
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING, Any
from urllib.parse import quote

from jinja2 import Environment, FunctionLoader, StrictUndefined

from cuetrack.languages.folders import is_right_to_left
from cuetrack.languages.phrases import load_phrases
from cuetrack.output.handouts.follow_data import page_data
from cuetrack.output.handouts.follow_figures import (
    figure_rules,
    figure_variables,
    page_figures,
)
from cuetrack.output.handouts.follow_text import text_sections
from cuetrack.output.handouts.page_sound import small_sound
from cuetrack.output.track.captions import captions, to_webvtt
from cuetrack.output.track.chapters import plain_line

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from pathlib import Path

    from cuetrack.languages.phrases import Phrases
    from cuetrack.output.handouts.follow_data import SegmentDetails
    from cuetrack.output.handouts.segment_figures import SegmentFigure
    from cuetrack.output.track.cuefile import CueFile
    from cuetrack.output.track.metadata import Tags

SCRIPTS = (
    "words.js", "moments.js", "kept.js", "view.js", "figure.js", "stage.js",
    "sound.js", "player.js", "panel.js", "begin.js",
)  # fmt: skip

CHOICES = {
    "captions": ("page", "browser", "off"),
    "letters": ("usual", "large", "largest"),
    "theme": ("device", "light", "dark"),
    "figure": ("moves", "still"),
}
"""What whoever watches may choose; the first of each is chosen for them."""

LARGEST_EMBEDDED_BYTES = 64 * 2**20
_DATA_URI = "data:audio/"
_BASE64 = ";base64,"


@dataclass(frozen=True, slots=True, kw_only=True)
class PageSound:
    """What the page plays: names of files beside it, or data URIs.

    ``track`` is the finished track. With both ``voice`` and ``bed``, two files
    as long as the track, the page plays these in its place, each with a volume
    of its own.
    """

    track: str
    voice: str | None = None
    bed: str | None = None


def follow_page(
    cue_file: CueFile,
    sound: PageSound,
    *,
    details: Mapping[str, SegmentDetails] | None = None,
    figures: Mapping[str, SegmentFigure] | None = None,
    bring: Sequence[str] = (),
    phrases: Phrases | None = None,
) -> str:
    """Return a page that plays the track and shows what to do at each moment.

    Parameters
    ----------
    sound
        The track, by the name it has beside the page, or embedded.
    details
        What the plan knows more of each segment, by the segment's id; see
        `cuetrack.output.handouts.follow_data.details_of`.
    figures
        What is drawn while each segment lasts, by its id; see
        `cuetrack.output.handouts.segment_figures.figures_of`.
    phrases
        The words of the page; those of the cue sheet's language if None.
    """
    words = phrases or load_phrases(cue_file.language)
    drawn = page_figures(figures or {})
    data = page_data(cue_file, details or {}, words, figures or {}, drawn)
    sources = _sources(sound)
    data["sources"] = [
        {key: source[key] for key in ("role", "name", "url", "type")}
        for source in sources
    ]
    return (
        _environment()
        .get_template("page.html")
        .render(
            **_code(),
            **_words(cue_file, words),
            bring=[plain_line(thing) for thing in bring],
            strip=data["strip"],
            plain_sections=text_sections(cue_file, details or {}, drawn, words),
            plain_sound=_address(sound.track),
            drawings=drawn.drawings,
            data=as_script_data(data),
            embedded=[s for s in sources if s["base64"] and s["role"] != "track"],
        )
    )


def _code() -> dict[str, str]:
    """Return the scripts and the style, with the hashes that the policy allows."""
    code = {"first": _part("first.js"), "script": _script(), "style": _style()}
    return code | {f"{name}_hash": _hash(text) for name, text in code.items()}


def _words(cue_file: CueFile, words: Phrases) -> dict[str, Any]:
    """Return all that is said on the page but for the class itself."""
    vtt = to_webvtt(captions(cue_file, words), cue_file)
    return {
        "title": plain_line(cue_file.title),
        "language": cue_file.language,
        "direction": "rtl" if is_right_to_left(cue_file.language) else "ltr",
        "words": words.page,
        "choices": CHOICES,
        "length": words.length(cue_file.duration_ms),
        "safety": _safety(words),
        "stop_signs": words.sheet_lists["stop sign list"],
        "captions": _data_uri("text/vtt;charset=utf-8", vtt.encode()),
    }


def embedded_sound(track: Path, tags: Tags) -> str | None:
    """Return the sound of a track as the data URI that puts it inside the page.

    None where it would be so large that phones would not open the page.

    Raises
    ------
    TrackError
        When the track cannot be read.
    """
    content = small_sound(track, tags)
    if len(content) > LARGEST_EMBEDDED_BYTES:
        return None
    return _data_uri("audio/mp4", content)


def as_script_data(value: object) -> str:
    r"""Return JSON that may stand inside a script element, whatever texts it holds.

    >>> as_script_data("</script>")
    '"\\u003c/script\\u003e"'
    """
    text = json.dumps(value, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
    for mark in "<>&\N{LINE SEPARATOR}\N{PARAGRAPH SEPARATOR}":
        text = text.replace(mark, f"\\u{ord(mark):04x}")
    return text


def _sources(sound: PageSound) -> list[dict[str, str | None]]:
    """Return what is played, the one that keeps the time first."""
    if sound.voice is not None and sound.bed is not None:
        return [_source("voice", sound.voice), _source("bed", sound.bed)]
    return [_source("track", sound.track)]


def _source(role: str, given: str) -> dict[str, str | None]:
    if given.startswith(_DATA_URI):
        kind, _, content = given.removeprefix("data:").partition(_BASE64)
        return _row(role, name=None, url=None, type=kind, base64=content)
    return _row(role, name=given, url=_address(given), type=None, base64=None)


def _address(given: str) -> str:
    """Return a data URI as it is, and the name of a file as an address."""
    # A colon would make a scheme of what stands before it.
    return given if given.startswith(_DATA_URI) else quote(given)


def _row(role: str, **more: str | None) -> dict[str, str | None]:
    return {"role": role, **more}


def _safety(words: Phrases) -> list[str]:
    keys = ("safety chair", "safety stop signs", "safety rest", "safety own advice")
    return [words.variants(key)[0][0] for key in keys]


def _data_uri(kind: str, content: bytes) -> str:
    return f"data:{kind}{_BASE64}{base64.b64encode(content).decode('ascii')}"


def _hash(content: str) -> str:
    digest = hashlib.sha256(content.encode()).digest()
    return f"'sha256-{base64.b64encode(digest).decode('ascii')}'"


@cache
def _script() -> str:
    parts = "\n".join(_part(name) for name in SCRIPTS)
    return f'(() => {{\n"use strict";\n{parts}}})();\n'


@cache
def _style() -> str:
    """Return the style, with the dark theme for a choice and for the device's."""
    dark = "color-scheme: dark;\n" + _part("dark.css") + figure_variables(dark=True)
    themes = (
        f":root {{\n{figure_variables(dark=False)}}}\n"
        "@media (prefers-color-scheme: dark) {\n"
        f":root:not([data-theme]) {{\n{dark}}}\n}}\n"
        f'[data-theme="dark"] {{\n{dark}}}\n{figure_rules()}\n'
    )
    return _part("page.css").replace("/* the dark theme */", themes)


@cache
def _part(name: str) -> str:
    folder = files("cuetrack.output.handouts").joinpath("templates", "follow")
    return folder.joinpath(name).read_text(encoding="utf-8")


@cache
def _environment() -> Environment:
    return Environment(
        loader=FunctionLoader(_part),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
