"""A format that is put into the table is there everywhere, from one entry."""

from __future__ import annotations

from contextlib import redirect_stdout
from io import StringIO

import av
import numpy as np
import pytest
import soundfile
from pipeline.classes import SHORT_CLASS

from cuetrack.cli.main import main
from cuetrack.output.track.formats import FORMATS, Ffmpeg, Libsndfile, TrackFormat

RAW = TrackFormat(
    extension="au",
    good_for="old machines",
    lossless=True,
    encoding=Libsndfile(container="AU", subtype="PCM_24"),
    tagging=None,
)
SMALL = TrackFormat(
    extension="mka",
    good_for="collectors",
    lossless=False,
    encoding=Ffmpeg(
        encoder="libopus",
        decoder="opus",
        container="matroska",
        bits_per_second=(64_000, 128_000),
        decoder_skips=True,
    ),
    tagging=None,
)


@pytest.fixture(scope="module", params=[RAW, SMALL], ids=["au", "mka"])
def made(request, tmp_path_factory):
    """Register a format, and make track and page of a short class in it once."""
    plan = tmp_path_factory.mktemp("made") / "short.yaml"
    plan.write_text(SHORT_CLASS, encoding="utf-8")
    extension = request.param.extension
    told = StringIO()
    with pytest.MonkeyPatch.context() as patch:
        patch.setitem(FORMATS, extension, request.param)
        with redirect_stdout(told):
            assert main(["make", str(plan), "--format", extension]) == 0
            assert main(["handout", "follow-page", str(plan)]) == 0
        yield request.param, plan.with_suffix(f".{extension}"), told.getvalue()


def test_a_new_format_is_measured_like_any_other(made, capsys):
    """The written track passes its own verification, every cue in its place."""
    _, track, _ = made
    assert main(["verify", str(track)]) == 0
    assert "are on time" in capsys.readouterr().out


@pytest.mark.outside
def test_a_new_format_is_what_its_entry_says(made):
    """FFmpeg finds the codec in it, and libsndfile the very samples of a raw one."""
    track_format, track, _ = made
    with av.open(str(track)) as container:
        codec = container.streams.audio[0].codec_context.name
    assert codec == {"au": "pcm_s24be", "mka": "opus"}[track_format.extension]
    if track_format is RAW:
        sound, rate_hz = soundfile.read(track)
        assert (rate_hz, len(sound)) == (48_000, soundfile.info(track).frames)
        assert 0.05 < np.abs(sound).max() < 1


def test_nobody_is_told_of_chapters_that_are_not_there(made):
    """A format without tags is made, and the report says so."""
    _, _, told = made
    assert "without title and chapters" in told


def test_a_new_format_plays_in_the_page(made):
    """Whatever the format of the track, the page carries its sound in one all play."""
    _, track, _ = made
    page = track.with_suffix(".follow.html").read_text("utf-8")
    assert "data:audio/mp4;base64," in page
    assert track.name not in page


def test_a_new_format_is_offered_with_its_use(made, capsys):
    """The help of the command names it and what it is good for."""
    track_format, _, _ = made
    with pytest.raises(SystemExit):
        main(["make", "--help"])
    told = " ".join(capsys.readouterr().out.split())
    assert f"{track_format.extension} for {track_format.good_for}" in told
