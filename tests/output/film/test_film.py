"""A short film, read back by FFmpeg's own decoders, shows all at its time."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import av
import numpy as np
import pytest

from cuetrack.languages.phrases import load_phrases
from cuetrack.output.film import tiles
from cuetrack.output.film.frames import FRAME_MS, Reel
from cuetrack.output.film.shots import Showing, shots_of
from cuetrack.output.film.writing import write_film
from cuetrack.output.handouts.strip import strip_of
from cuetrack.output.track.captions import captions
from cuetrack.output.track.chapters import chapters_of
from cuetrack.output.track.metadata import Tags
from cuetrack.sound.decoding import open_sound
from tests.pages.shortclass import CUE_FILE, DETAILS, FIGURES, SEGMENTS, write_sound

PHRASES = load_phrases("en")
CAPTIONS = captions(CUE_FILE, PHRASES)
SHOTS = shots_of(CUE_FILE, DETAILS, FIGURES, PHRASES)
DRAWN_ANEW = 40
"""Levels of 255 by which a pixel differs that is drawn anew, not just coded so."""


def written(folder, *, drawn):
    sound = folder / "sound.wav"
    write_sound(sound)
    reel = Reel(
        shots=SHOTS,
        blocks=strip_of(SEGMENTS, [row.section for row in SEGMENTS]),
        captions=CAPTIONS if drawn else None,
        end_ms=CUE_FILE.duration_ms,
        phrases=PHRASES,
    )
    path = folder / "film.mp4"
    write_film(
        path,
        reel,
        sound,
        captions=CAPTIONS,
        chapters=chapters_of(CUE_FILE),
        tags=Tags(title=CUE_FILE.title, language="en"),
    )
    return path


@pytest.fixture(scope="module")
def film(tmp_path_factory):
    return written(tmp_path_factory.mktemp("film"), drawn=True)


@pytest.fixture(scope="module")
def light(film):
    """The light of every frame, at half size, and the time of each in ms."""
    frames, times = [], []
    with av.open(str(film)) as container:
        for frame in container.decode(container.streams.video[0]):
            frames.append(frame.to_ndarray()[: tiles.TALL : 2, ::2].copy())
            times.append(float(frame.time) * 1000)
    return np.stack(frames), np.array(times)


def changes_ms(light, area):
    """Return when a part of the picture is another than a frame before."""
    frames, times = light
    rows = slice(area.y // 2, (area.y + area.tall) // 2)
    part = frames[:, rows, area.x // 2 : (area.x + area.wide) // 2].astype(float)
    inner = part.reshape(len(part), -1)
    steps = np.abs(np.diff(inner, axis=0))
    return times[1:][(steps > DRAWN_ANEW).mean(axis=1) > 0.001]


def test_every_frame_is_there_and_on_its_time(light):
    """25 pictures a second from the first to the last moment of the class."""
    frames, times = light
    assert len(frames) == CUE_FILE.duration_ms / FRAME_MS
    assert np.allclose(np.diff(times), FRAME_MS)
    assert times[0] == 0


def test_words_change_within_one_frame_of_the_cue_sheet(light):
    """What is to be done changes at each segment's start, and at no other time."""
    found = changes_ms(light, tiles.layout(captions=True).words)
    wanted = [row.start_ms for row in SEGMENTS[1:]]
    assert len(found) == len(wanted)
    assert np.max(np.abs(found - wanted)) <= FRAME_MS


def test_the_seconds_change_within_one_frame_of_their_second(light):
    """Each second before a segment's end, and at its start, the number changes."""
    found = changes_ms(light, tiles.layout(captions=True).count)
    wanted = sorted(
        {
            at
            for row in SEGMENTS
            for at in [row.start_ms, *range(row.end_ms, row.start_ms, -1000)]
            if 0 < at < CUE_FILE.duration_ms
        }
    )
    assert all(min(abs(at - one) for one in wanted) <= FRAME_MS for at in found)
    shown = [-(-(row.end_ms - row.start_ms) // 1000) for row in SEGMENTS]
    same = sum(after == 1 for after in shown[1:])
    assert len(wanted) - same - 3 <= len(found) <= len(wanted)


def test_captions_come_and_go_within_one_frame(light):
    """The drawn captions are those of the text track, at the same times."""
    found = changes_ms(light, tiles.layout(captions=True).caption)
    edges = sorted({at for one in CAPTIONS for at in (one.start_ms, one.end_ms)})
    wanted = [at for at in edges if FRAME_MS / 2 < at < CUE_FILE.duration_ms]
    assert len(found) == len(wanted)
    assert np.max(np.abs(found - wanted)) <= FRAME_MS


def test_the_figure_moves_at_work_and_stands_in_a_rest(light):
    """A phase is told by more than a word."""
    found = changes_ms(light, tiles.layout(captions=True).figure)
    for row, shot in zip(SEGMENTS, SHOTS, strict=True):
        inside = [at for at in found if row.start_ms + 80 < at < row.end_ms - 40]
        assert bool(inside) == (shot.showing is Showing.MOVING), row.id


def test_the_picture_plays_everywhere(film):
    """H.264 High at level 3.1, 4:2:0, BT.709, and AAC-LC, the index in front."""
    with av.open(str(film)) as container:
        picture, sound = container.streams.video[0], container.streams.audio[0]
        assert (picture.width, picture.height) == (1280, 720)
        assert picture.average_rate == 25
        assert picture.codec_context.name == "h264"
        assert picture.codec_context.profile == "High"
        assert picture.codec_context.pix_fmt == "yuv420p"
        assert picture.codec_context.colorspace == 1
        assert sound.codec_context.profile == "LC"
        assert sound.metadata["language"] == "eng"
        assert container.metadata["title"] == CUE_FILE.title
    content = film.read_bytes()
    assert content.index(b"moov") < content.index(b"mdat")


def test_the_sound_is_that_of_the_track_to_the_frame(film):
    """Decoded, it is as long as the class, and its hum in the same phase."""
    sound = np.concatenate(list(open_sound(film).blocks()))[:, 0]
    assert len(sound) == CUE_FILE.duration_ms * 48
    hum = np.sin(2 * np.pi * 220 * np.arange(len(sound)) / 48_000)
    quarter = np.cos(2 * np.pi * 220 * np.arange(len(sound)) / 48_000)
    angle = np.arctan2(sound @ quarter, sound @ hum)
    assert abs(angle) < 2 * np.pi * 220 / 48_000


def test_captions_and_chapters_are_in_the_file(film):
    """A player that can shows each caption as long as it is, and the chapters."""
    with av.open(str(film)) as container:
        stream = container.streams.subtitles[0]
        assert stream.codec_context.name == "mov_text"
        packets = [
            (float(p.pts * p.time_base) * 1000, p.duration, bytes(p)[2:].decode())
            for p in container.demux(stream)
            if p.pts is not None and len(bytes(p)) > 2
        ]
        chapters = [one["metadata"]["title"] for one in container.chapters()]
    assert packets == [
        (one.start_ms, one.end_ms - one.start_ms, "\n".join(one.lines))
        for one in CAPTIONS
    ]
    assert chapters == [one.title for one in chapters_of(CUE_FILE)]


def test_a_film_without_drawn_captions_has_a_taller_figure():
    """Their room goes to the figure and the words."""
    with_them, without = tiles.layout(captions=True), tiles.layout(captions=False)
    assert without.caption is None
    assert without.figure.tall > with_them.figure.tall + 50
    for areas in (with_them, without):
        used = [areas.strip, areas.line, areas.figure, areas.caption]
        tops = [(area.y, area.y + area.tall) for area in used if area is not None]
        assert all(end <= start for (_, end), (start, _) in pairwise(tops))
        assert tops[-1][1] <= tiles.TALL


@pytest.mark.parametrize(
    "what", ["Wide-knee, slow and very long shoulder-blade circle"]
)
def test_a_long_name_is_never_cut(what):
    """The longest name that a plan may give is drawn whole, over several lines."""
    shot = replace(SHOTS[4], what=what)
    area = tiles.layout(captions=True).words
    short, long = (
        np.asarray(tiles.words_tile(area, one).convert("L"), dtype=float)
        for one in (replace(shot, what=what.rpartition(" ")[0]), shot)
    )
    assert np.abs(short - long).max() > 100
