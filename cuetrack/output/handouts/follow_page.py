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
from typing import TYPE_CHECKING
from urllib.parse import quote

from jinja2 import Environment, FunctionLoader, StrictUndefined

from cuetrack.errors import OutputError
from cuetrack.languages.folders import is_right_to_left
from cuetrack.languages.phrases import load_phrases
from cuetrack.output.handouts.follow_data import page_data
from cuetrack.output.track.captions import captions, to_webvtt
from cuetrack.output.track.chapters import plain_line
from cuetrack.output.track.formats import track_format

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from pathlib import Path

    from cuetrack.languages.phrases import Phrases
    from cuetrack.output.handouts.follow_data import SegmentDetails
    from cuetrack.output.track.cuefile import CueFile

SCRIPTS = (
    "words.js", "moments.js", "view.js", "stage.js",
    "sound.js", "player.js", "panel.js", "begin.js",
)  # fmt: skip

LARGEST_EMBEDDED_BYTES = 96 * 2**20
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
    bring: Sequence[str] = (),
    phrases: Phrases | None = None,
) -> str:
    """Return a page that plays the track and shows what to do at each moment.

    Parameters
    ----------
    cue_file
        The cue sheet of the track.
    sound
        The track, by the name it has beside the page, or embedded.
    details
        What the plan knows more of each segment, by the segment's id; see
        `cuetrack.output.handouts.follow_data.details_of`.
    bring
        What people need, as the plan lists it.
    phrases
        The words of the page; those of the cue sheet's language if None.
    """
    words = phrases or load_phrases(cue_file.language)
    data = page_data(cue_file, details or {}, words)
    sources = _sources(sound)
    data["sources"] = [
        {key: source[key] for key in ("role", "name", "url", "type")}
        for source in sources
    ]
    script = _script()
    style = _part("page.css")
    vtt = to_webvtt(captions(cue_file, words), cue_file)
    return (
        _environment()
        .get_template("page.html")
        .render(
            title=plain_line(cue_file.title),
            language=cue_file.language,
            direction="rtl" if is_right_to_left(cue_file.language) else "ltr",
            words=words.page,
            length=words.length(cue_file.duration_ms),
            bring=[plain_line(thing) for thing in bring],
            safety=_safety(words),
            stop_signs=words.sheet_lists["stop sign list"],
            data=as_script_data(data),
            captions=_data_uri("text/vtt;charset=utf-8", vtt.encode()),
            embedded=[source for source in sources if source["base64"]],
            script=script,
            style=style,
            script_hash=_hash(script),
            style_hash=_hash(style),
        )
    )


def embedded_sound(path: Path) -> str:
    """Return a sound file as the data URI that puts it inside the page.

    Raises
    ------
    OutputError
        When the file cannot be read, is of a kind browsers do not play, or is so
        large that phones would not open the page.
    """
    kind = track_format(path.suffix).mime
    try:
        if path.stat().st_size > LARGEST_EMBEDDED_BYTES:
            raise OutputError(
                "is too large to be put inside a page.",
                "Make an m4a, or leave the sound beside the page.",
                file=path,
            )
        return _data_uri(kind, path.read_bytes())
    except OSError as error:
        raise OutputError(
            f"cannot be read ({error.strerror}).", "Check that it is a file.", file=path
        ) from error


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
    # A colon would make a scheme of what stands before it.
    return _row(role, name=given, url=quote(given), type=None, base64=None)


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
