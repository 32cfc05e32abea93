"""The sound inside a page is small, and every cue in it is where it was."""

from __future__ import annotations

import io

import av
import numpy as np
import pytest
import soundfile

from cuetrack.output.handouts.page_sound import MUSIC, VOICE, small_sound
from cuetrack.output.track.metadata import Tags

RATE_HZ = 48_000
SECONDS = 20
TAGS = Tags(title="Bursts", language="en")
BURSTS_S = (0.5, 3.25, 7.001, 12.345, 18.75)


@pytest.fixture(scope="module", params=[1, 2])
def track(request, tmp_path_factory):
    """Bursts of noise in the range of speech at known places, over a soft hiss."""
    rng = np.random.default_rng(6)
    sound = 0.001 * rng.standard_normal((SECONDS * RATE_HZ, request.param))
    for at_s in BURSTS_S:
        start = round(at_s * RATE_HZ)
        sound[start : start + burst().size] += burst()[:, None]
    path = tmp_path_factory.mktemp("bursts") / "bursts.flac"
    soundfile.write(path, sound, RATE_HZ)
    return path


def burst(rate_hz=RATE_HZ):
    """Return a tenth of a second of a rising tone."""
    t = np.arange(round(0.1 * rate_hz)) / rate_hz
    return 0.4 * np.sin(2 * np.pi * (500 + 12_000 * t) * t) * np.hanning(t.size)


def decoded(content):
    """Return the first channel as FFmpeg decodes it, and the rate."""
    with av.open(io.BytesIO(content)) as container:
        stream = container.streams.audio[0]
        pieces = [frame.to_ndarray()[0] for frame in container.decode(stream)]
        return np.concatenate(pieces), stream.rate, stream.codec_context.profile


def test_every_burst_is_where_it_was(track):
    """Decoded by FFmpeg, each is found within a frame of its place."""
    channels = soundfile.info(track).channels
    sound, rate_hz, _ = decoded(small_sound(track, TAGS))
    assert rate_hz == (VOICE if channels == 1 else MUSIC).rate_hz
    assert len(sound) == pytest.approx(SECONDS * rate_hz, abs=1024)
    wanted = burst(rate_hz)
    for at_s in BURSTS_S:
        start = round(at_s * rate_hz)
        around = sound[start - 400 : start + wanted.size + 400]
        found = int(np.argmax(np.correlate(around, wanted))) - 400
        assert abs(found) <= 1


def test_it_is_small_and_of_the_plainest_kind(track):
    """At most the bits it was given, and AAC-LC, which every phone plays."""
    channels = soundfile.info(track).channels
    content = small_sound(track, TAGS)
    most = (VOICE if channels == 1 else MUSIC).bits_per_second * SECONDS / 8
    assert len(content) < 1.1 * most + 4000
    assert decoded(content)[2] == "LC"


def test_twenty_minutes_fit_the_limit_of_a_page():
    """Base64 takes four bytes for three: 10 MB for a voice, 16 MB with music."""
    for size, most_bytes in ((VOICE, 10e6), (MUSIC, 16e6)):
        assert size.bits_per_second / 8 * 20 * 60 * 4 / 3 < most_bytes
