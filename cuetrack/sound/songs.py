"""The music a user brings, made ready for the bed, and what to tell of it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from cuetrack.errors import MusicError
from cuetrack.sound.beats import EXTRA, beats_of, tracker_is_there
from cuetrack.sound.bed import MusicSpan
from cuetrack.sound.music import ready_tune
from cuetrack.sound.playlist import playlist
from cuetrack.sound.stretch import (
    MOST_CHANGE,
    is_clean,
    speed_for,
    stretcher_is_there,
    tune_at,
)

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from cuetrack.plan.model import Music
    from cuetrack.sound.beats import Beats
    from cuetrack.sound.music import Tune
    from cuetrack.sound.playlist import Playlist
    from cuetrack.sound.stretch import Speed

LICENCE_CAUTION = (
    "Playing recorded music to a group usually needs permission for the composition "
    "and for the recording; a private subscription or purchase seldom gives it, and "
    "handing on a track with music in it needs more. Ask your venue what it holds. "
    "This is no legal advice."
)
"""Stands wherever music of the user is reported."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Song:
    """A music file made ready, at the speed it is played.

    ``brought`` is the tune before any change of speed. ``beats`` are of ``tune``,
    None where none are known; ``note`` tells why a wanted tempo was not reached.
    """

    file: Path
    brought: Tune
    tune: Tune
    beats: Beats | None
    note: str | None = None

    @property
    def bpm(self) -> float | None:
        """Beats a minute as played, None where they are not sure."""
        return self.beats.bpm if self.beats and self.beats.sure else None


def ready_songs(music: Music, watch: Callable[[int, int], None]) -> tuple[Song, ...]:
    """Return the files of some music made ready, in order.

    Parameters
    ----------
    music
        Its files, and the tempo wanted of them, if any.
    watch
        Told how many files are ready of how many.

    Raises
    ------
    MusicError
        For a file that is no use, or too far from the tempo that is wanted.
    """
    songs = []
    for place, name in enumerate(music.files):
        watch(place, len(music.files))
        songs.append(_song(Path(name), music.tempo_bpm))
    watch(len(songs), len(songs))
    return tuple(songs)


def proven_tune(file: Path, wanted_bpm: int | None) -> Tune:
    """Return the tune of a file that can be played at a tempo, if one is wanted.

    Its beat is looked for only where a tempo is wanted. Raises MusicError for every
    file that `ready_songs` would refuse.
    """
    tune = ready_tune(file)
    if wanted_bpm is not None and tracker_is_there() and stretcher_is_there():
        beats = beats_of(tune)
        if beats and beats.sure:
            _clean_speed(file, beats.bpm, wanted_bpm)
    return tune


def span_of(songs: Sequence[Song], start_frame: int, end_frame: int) -> MusicSpan:
    """Return songs laid under a stretch of the track, meeting on the beat if sure."""
    order = order_of(songs)
    return MusicSpan(
        start_frame=start_frame,
        end_frame=end_frame,
        tunes=order.tunes,
        crossfades=order.crossfades,
    )


def order_of(songs: Sequence[Song]) -> Playlist:
    """Return how the songs follow each other."""
    return playlist([song.tune for song in songs], [song.beats for song in songs])


def song_notes(songs: Sequence[Song], frames: int) -> tuple[str, ...]:
    """Return what to tell of songs that play for so many frames, a line for each."""
    order = order_of(songs)
    is_joined = order.tunes[0].frames < frames
    lines = []
    for song, on_beat in zip(songs, order.on_beat, strict=True):
        parts = [_of_the_beat(song)]
        if is_joined and song.bpm:
            way = "on the beat" if on_beat else "by a plain crossfade"
            parts.append(f"The next music follows {way}.")
        elif is_joined:
            parts.append("It is joined by plain crossfades.")
        if song.note:
            parts.append(song.note)
        if song.brought.clipped:
            parts.append(
                "It is clipped: so loud in the file that its peaks are cut off, which "
                "sounds harsh and cannot be mended here. Look for a better copy."
            )
        lines.append(f"{song.file.name}: {' '.join(parts)}")
    return tuple(lines)


def _of_the_beat(song: Song) -> str:
    beats = song.beats
    if beats is None and not tracker_is_there():
        return f"Its beat was not looked for; that needs {EXTRA}."
    if beats is None:
        return "No beat was found in it."
    found = (
        f"{beats.coverage * 100:.0f} % of them found, "
        f"{beats.residual_ms:.0f} ms off on average"
    )
    if not beats.sure:
        return f"Its beat is not sure (about {beats.bpm:.0f} a minute; {found})."
    return f"{beats.bpm:.1f} beats a minute ({found})."


def _song(file: Path, wanted_bpm: int | None) -> Song:
    tune = ready_tune(file)
    beats = beats_of(tune)
    plain = Song(file=file, brought=tune, tune=tune, beats=beats)
    if wanted_bpm is None:
        return plain
    if not (tracker_is_there() and stretcher_is_there()):
        return _as_it_is(plain, f"changing it to {wanted_bpm} needs {EXTRA}")
    if plain.bpm is None or beats is None:
        return _as_it_is(plain, "its beat is not sure enough to change it")
    speed = _clean_speed(file, beats.bpm, wanted_bpm)
    played = tune_at(tune, speed)
    shift = 0 if played is tune else tune.first_frame
    return Song(
        file=file, brought=tune, tune=played, beats=beats.moved(-shift, speed.ratio)
    )


def _clean_speed(file: Path, bpm: float, wanted_bpm: int) -> Speed:
    speed = speed_for(bpm, wanted_bpm)
    if not is_clean(speed):
        raise MusicError(_too_far(file, bpm, wanted_bpm))
    return speed


def _as_it_is(song: Song, why: str) -> Song:
    note = f"It keeps its own tempo: {why}."
    return Song(
        file=song.file,
        brought=song.brought,
        tune=song.tune,
        beats=song.beats,
        note=note,
    )


def _too_far(file: Path, bpm: float, wanted_bpm: int) -> str:
    """Return the message that says which tempos the file can take."""
    tempos = [bpm * times for times in (0.5, 1, 2) if 20 <= bpm * times <= 220]
    ranges = [
        f"{tempo * (1 - MOST_CHANGE):.0f} to {tempo * (1 + MOST_CHANGE):.0f}"
        for tempo in tempos
    ]
    return (
        f"{file}: has {bpm:.0f} beats a minute, too far from the {wanted_bpm} that are "
        f"wanted. Music stays clean up to {MOST_CHANGE * 100:.0f} % faster or slower: "
        f"write a tempo of {' or '.join(ranges)}, choose other music, or leave "
        "the tempo out."
    )
