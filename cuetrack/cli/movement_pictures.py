"""Pictures of movements: one sheet of all that fit, or a folder with each."""

from __future__ import annotations

from typing import TYPE_CHECKING

from cuetrack.errors import UsageError

if TYPE_CHECKING:
    from collections.abc import Iterable
    from pathlib import Path

    from cuetrack.movements.positions.motion import Motion


def write_pictures(names: Iterable[str], to: Path, *, overwrite: bool) -> list[str]:
    """Write pictures of these movements and return the names that have none.

    Parameters
    ----------
    to
        A file ending in .png (one long sheet) or .pdf (pages), or else a folder
        that gets an SVG drawing of each movement's positions.

    Raises
    ------
    UsageError
        When the ending of the file is another one, or nothing can be drawn.
    OutputError
        When a file is there already, or cannot be written.
    """
    from cuetrack.movements.strains import motion_of

    found = {name: motion_of(name) for name in names}
    drawn = [motion for motion in found.values() if motion]
    if not drawn:
        raise UsageError("There is no picture of any of these movements yet.")
    match to.suffix.lower():
        case ".png" | ".pdf":
            _write_sheet(drawn, to, overwrite=overwrite)
        case "":
            _write_each(drawn, to, overwrite=overwrite)
        case other:
            raise UsageError(
                f'Pictures cannot be written as "{other}".',
                "Name a file ending in .png or .pdf, or a folder.",
            )
    return [name for name, motion in found.items() if motion is None]


def _write_sheet(drawn: list[Motion], to: Path, *, overwrite: bool) -> None:
    from cuetrack.movements.figure.contact_sheet import one_sheet, pages_of
    from cuetrack.output.track.files import explained, replacing

    with replacing(to, overwrite=overwrite) as temporary, explained(to):
        if to.suffix.lower() == ".png":
            one_sheet(drawn).save(temporary, format="PNG")
        else:
            first, *more = pages_of(drawn)
            first.save(
                temporary,
                format="PDF",
                save_all=True,
                append_images=more,
                resolution=225,
            )


def _write_each(drawn: list[Motion], folder: Path, *, overwrite: bool) -> None:
    from cuetrack.movements.figure.sketch import panels_of
    from cuetrack.movements.figure.svg import svg_of
    from cuetrack.output.track.files import explained, refuse_taken, write_text

    with explained(folder):
        folder.mkdir(parents=True, exist_ok=True)
    files = {
        folder / f"{motion.name} {number}.svg": panel
        for motion in drawn
        for number, panel in enumerate(panels_of(motion), start=1)
    }
    if not overwrite:
        refuse_taken(files)
    for path, panel in files.items():
        write_text(path, svg_of(panel), overwrite=overwrite)
