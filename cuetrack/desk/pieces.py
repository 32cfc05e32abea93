"""What the desk has done in a process of its own: hear, verify, the room check."""

from __future__ import annotations

from pathlib import Path

from cuetrack.errors import CuetrackError, UsageError


def hear_piece(
    plan: str,
    start_ms: int,
    length_ms: int,
    one_cue: bool,  # noqa: FBT001 - handed to another process
    out: str,
) -> None:
    """Speak a piece of a class into a file."""
    from cuetrack.pipeline.checking import read_plan  # noqa: PLC0415 - loads the sound
    from cuetrack.pipeline.excerpt import ClassSpan, write_excerpt  # noqa: PLC0415

    span = ClassSpan(start_ms=start_ms, end_ms=start_ms + length_ms)
    write_excerpt(read_plan(Path(plan)), span, Path(out), one_cue=one_cue)


def verdict_of(track: str) -> str:
    """Return the verdict on a track, in a few sentences."""
    from cuetrack.pipeline.verifying import verify  # noqa: PLC0415 - loads the sound
    from cuetrack.verification.report import report_lines  # noqa: PLC0415

    return "\n".join(report_lines(verify(Path(track)), every_row=False))


def room_words(track: str, recording: str, plan: str) -> str:
    """Return what a recording of the hall says of who can follow there."""
    from cuetrack.pipeline.checking import read_plan  # noqa: PLC0415 - loads the sound
    from cuetrack.pipeline.verifying import hear_room  # noqa: PLC0415
    from cuetrack.verification.room import room_lines  # noqa: PLC0415

    group = read_plan(Path(plan)).group
    try:
        report = hear_room(Path(track), Path(recording), None, group)
    except CuetrackError as error:  # the file has a name that nobody gave it
        raise UsageError(str(error).replace(recording, "The recording")) from None
    return "\n".join(room_lines(report, every_row=False))
