"""What a class needs beside its track: sheets, page, film, notice, captions."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum
from typing import TYPE_CHECKING

from cuetrack.errors import OutputError
from cuetrack.languages.phrases import load_phrases
from cuetrack.output.handouts.class_picture import class_picture
from cuetrack.output.handouts.follow_data import details_of
from cuetrack.output.handouts.follow_page import (
    PageSound,
    embedded_sound,
    follow_page,
)
from cuetrack.output.handouts.glance_sheet import glance_sheet_pdf
from cuetrack.output.handouts.home_sheet import home_sheet_pdf
from cuetrack.output.handouts.notice import notice
from cuetrack.output.handouts.picture import timeline_png, timeline_svg
from cuetrack.output.handouts.run_sheet import run_sheet_html, run_sheet_pdf
from cuetrack.output.handouts.segment_figures import figures_of
from cuetrack.output.track.captions import captions, chapters_webvtt, to_srt
from cuetrack.output.track.chapters import chapters_of
from cuetrack.output.track.cuefile import read_cue_file
from cuetrack.output.track.file_set import replacing_set
from cuetrack.output.track.files import explained, replacing, safe_name
from cuetrack.output.track.formats import FORMATS
from cuetrack.output.track.metadata import Tags
from cuetrack.pipeline.checking import placed_unspoken
from cuetrack.pipeline.filming import film
from cuetrack.pipeline.watching import unwatched

if TYPE_CHECKING:
    from collections.abc import Iterable
    from pathlib import Path

    from cuetrack.cues.model import PlacedSheet, Timeline
    from cuetrack.languages.phrases import Phrases
    from cuetrack.output.track.cuefile import CueFile
    from cuetrack.pipeline.watching import Watcher
    from cuetrack.plan.model import Plan


class Handout(StrEnum):
    """Something a class is given beside the track."""

    GLANCE_SHEET = "glance-sheet"
    HOME_SHEET = "home-sheet"
    PICTURE = "picture"
    NOTICE = "notice"
    RUN_SHEET = "run-sheet"
    FOLLOW_PAGE = "follow-page"
    CAPTIONS = "captions"
    PLOT = "plot"
    FILM = "film"


ENDINGS = {
    Handout.GLANCE_SHEET: (".glance.a4.pdf", ".glance.letter.pdf"),
    Handout.HOME_SHEET: (".home.a4.pdf", ".home.letter.pdf"),
    Handout.PICTURE: (".picture.svg", ".picture.png"),
    Handout.RUN_SHEET: (
        ".run-sheet.a4.pdf",
        ".run-sheet.letter.pdf",
        ".run-sheet.html",
    ),
    Handout.FOLLOW_PAGE: (".follow.html",),
    Handout.PLOT: (".timeline.svg", ".timeline.png"),
    Handout.NOTICE: (".notice.txt",),
    Handout.CAPTIONS: (".srt", ".chapters.vtt"),
    Handout.FILM: (".mp4",),
}
"""How the files of each are called, after the name of the track."""

IN_ALL = (
    Handout.GLANCE_SHEET,
    Handout.HOME_SHEET,
    Handout.PICTURE,
    Handout.NOTICE,
    Handout.FOLLOW_PAGE,
    Handout.CAPTIONS,
)
"""Those that most classes want; the others are made when they are asked for."""

NEED_A_TRACK = frozenset(
    {Handout.FOLLOW_PAGE, Handout.CAPTIONS, Handout.PLOT, Handout.FILM}
)
"""Those that are made from the cue sheet of a finished track."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ClassMaterial:
    """All that handouts are made of; ``track`` is the finished file.

    ``cue_file`` and ``track`` are None before there is a track. ``captions_drawn`` is
    whether the picture of a film has them in it; its text track has them always.
    """

    plan: Plan
    placed: PlacedSheet
    cue_file: CueFile | None = None
    track: Path | None = None
    captions_drawn: bool = True


def handout_files(folder: Path, base: str, wanted: Iterable[Handout]) -> list[Path]:
    """Return the files that these handouts are written to."""
    return [folder / f"{base}{ending}" for what in wanted for ending in ENDINGS[what]]


def hand_out(
    material: ClassMaterial,
    wanted: Iterable[Handout],
    folder: Path,
    base: str,
    watch: Watcher = unwatched,
) -> None:
    """Write these handouts into a folder that has none of them.

    Raises OutputError when a file is there already or cannot be written.
    """
    for what in wanted:
        paths = handout_files(folder, base, (what,))
        if what is Handout.FILM:
            _write_film(material, paths[0], watch)
            continue
        for path, content in zip(paths, _contents(what, material), strict=True):
            with replacing(path, overwrite=False) as temporary, explained(path):
                temporary.write_bytes(content)


def _write_film(material: ClassMaterial, path: Path, watch: Watcher) -> None:
    if material.cue_file is None or material.track is None:
        raise OutputError(
            "cannot be made without the track it is the film of.",
            "Make the track first, or name its folder with --out.",
            file=path,
        )
    film(
        path,
        material.cue_file,
        material.track,
        material.placed.sheet.timeline,
        captions_drawn=material.captions_drawn,
        watch=watch,
    )


def _contents(what: Handout, material: ClassMaterial) -> tuple[bytes, ...]:
    """Return the content of each file of a handout, in the order of `ENDINGS`."""
    plan, placed = material.plan, material.placed
    phrases = load_phrases(plan.language)
    if what in NEED_A_TRACK:
        if material.cue_file is None:
            raise ValueError(f"{what} is made from the cue sheet of a track")
        return _of_track(what, material, material.cue_file, phrases)
    if what is Handout.RUN_SHEET:
        return (
            run_sheet_pdf(plan, placed, phrases, paper="a4"),
            run_sheet_pdf(plan, placed, phrases, paper="letter"),
            run_sheet_html(plan, placed, phrases, paper="a4").encode(),
        )
    return _of_timeline(what, plan, placed.sheet.timeline, phrases)


def _of_timeline(
    what: Handout, plan: Plan, timeline: Timeline, phrases: Phrases
) -> tuple[bytes, ...]:
    if what is Handout.GLANCE_SHEET:
        return (
            glance_sheet_pdf(plan, timeline, phrases, paper="a4"),
            glance_sheet_pdf(plan, timeline, phrases, paper="letter"),
        )
    if what is Handout.HOME_SHEET:
        return (
            home_sheet_pdf(plan, timeline, phrases, paper="a4"),
            home_sheet_pdf(plan, timeline, phrases, paper="letter"),
        )
    if what is Handout.PICTURE:
        return (
            class_picture(plan, timeline, phrases, as_="svg"),
            class_picture(plan, timeline, phrases, as_="png"),
        )
    return (notice(plan, timeline, phrases).encode(),)


def _of_track(
    what: Handout, material: ClassMaterial, cue_file: CueFile, phrases: Phrases
) -> tuple[bytes, ...]:
    if what is Handout.FOLLOW_PAGE:
        page = follow_page(
            cue_file,
            PageSound(track=_page_sound(material.track, cue_file)),
            details=details_of(material.placed.sheet.timeline),
            figures=figures_of(material.placed.sheet.timeline),
            bring=material.plan.bring,
            phrases=phrases,
        )
        return (page.encode(),)
    if what is Handout.PLOT:
        return (
            timeline_svg(cue_file, phrases).encode(),
            timeline_png(cue_file, phrases),
        )
    shown = captions(cue_file)
    return (
        to_srt(shown).encode(),
        chapters_webvtt(chapters_of(cue_file), cue_file).encode(),
    )


def _page_sound(track: Path | None, cue_file: CueFile) -> str:
    """Return the sound itself, so that the page needs no file beside it.

    The file is named instead where it is too long to be carried inside.
    """
    if track is None:
        return ""
    tags = Tags(title=cue_file.title, language=cue_file.language)
    return embedded_sound(track, tags) or track.name


def hand_out_alone(
    plan: Plan,
    name: str,
    what: Handout,
    folder: Path,
    *,
    overwrite: bool = False,
    captions_drawn: bool = True,
    watch: Watcher = unwatched,
) -> list[Path]:
    """Write one handout of a plan, without making its track again.

    Cues are placed by stored clips and estimates. ``captions_drawn`` is for a film.
    Raises OutputError when a
    file is there already, or when there is no track that the handout is made from.
    """
    with explained(folder):
        folder.mkdir(parents=True, exist_ok=True)
    base = safe_name(name)
    material = ClassMaterial(
        plan=plan, placed=placed_unspoken(plan), captions_drawn=captions_drawn
    )
    if what in NEED_A_TRACK:
        cues = folder / f"{base}.cues.json"
        if not cues.exists():
            raise OutputError(
                f"is not there, and the {what} is made from it.",
                "Make the track first, or name its folder with --out.",
                file=cues,
            )
        material = replace(
            material, cue_file=read_cue_file(cues), track=_track_beside(folder, base)
        )
    paths = handout_files(folder, base, (what,))
    with replacing_set(paths, overwrite=overwrite) as aside:
        hand_out(material, (what,), aside, base, watch)
    return paths


def _track_beside(folder: Path, base: str) -> Path | None:
    """Return the track of this name, of several formats the first."""
    paths = (folder / f"{base}.{extension}" for extension in FORMATS)
    return next((path for path in paths if path.exists()), None)
