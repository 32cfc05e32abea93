"""Where sounds lie in finished files, by decoders that are not cuetrack's.

libsndfile (with mpg123 for MP3), the FFmpeg inside PyAV, and a program of another
FFmpeg version. Bound: 0 frames where nothing is lost, 1 frame otherwise.
"""

from __future__ import annotations

import numpy as np
import pytest

from cuetrack.output.track.formats import FORMATS
from cuetrack.sound.decoding import open_sound
from tests.output.readers import READERS, readers_of
from tests.output.sounds import TRACK_FRAMES, bursts, offsets, written

pytestmark = pytest.mark.outside

CASES = [
    (extension, reader, channels)
    for extension in FORMATS
    for reader in readers_of(extension)
    for channels in (1, 2)
]


@pytest.fixture(scope="module")
def tracks(tmp_path_factory):
    folder = tmp_path_factory.mktemp("tracks")
    return {
        (extension, channels): written(
            folder / f"{channels}.{extension}", bursts(channels)
        )
        for extension in FORMATS
        for channels in (1, 2)
    }


@pytest.mark.parametrize(("extension", "reader", "channels"), CASES)
def test_every_burst_lies_on_its_frame(tracks, extension, reader, channels):
    """Each decoder finds each burst on its frame, within one in a lossy format."""
    decoded = READERS[reader](tracks[extension, channels])
    late = offsets(decoded)
    bound = 0 if FORMATS[extension].lossless else 1
    assert max(map(abs, late)) <= max(bound, 1e-3), late


@pytest.mark.parametrize(("extension", "reader", "channels"), CASES)
def test_the_length_is_exact(tracks, extension, reader, channels):
    """Each decoder gives as many frames as were written.

    FFmpeg before version 9 keeps the padding of the last AAC packet.
    """
    frames = len(READERS[reader](tracks[extension, channels]))
    if (extension, reader) == ("m4a", "PyAV"):
        assert 0 <= frames - TRACK_FRAMES < 1024
    else:
        assert frames == TRACK_FRAMES


@pytest.mark.parametrize("channels", [1, 2])
@pytest.mark.parametrize("reader", READERS)
@pytest.mark.parametrize(
    "extension", [name for name, one in FORMATS.items() if one.lossless]
)
def test_lossless_files_hold_the_very_samples(tracks, extension, reader, channels):
    """Nothing is changed but the rounding to 24 bits."""
    decoded = READERS[reader](tracks[extension, channels])
    wanted = np.rint(bursts(channels) * np.float32(2**23)) / 2**23
    assert np.array_equal(decoded, wanted.astype(np.float32))


@pytest.mark.parametrize(("extension", "reader", "channels"), CASES)
def test_our_decoder_gives_what_others_give(tracks, extension, reader, channels):
    """Position by position, our blocks are the other decoder's samples.

    Decoders of lossy formats may differ by rounding: by less than a 16-bit step.
    """
    path = tracks[extension, channels]
    ours = np.concatenate(list(open_sound(path).blocks()))
    theirs = READERS[reader](path)[:TRACK_FRAMES]
    assert ours.shape == (TRACK_FRAMES, channels)
    assert np.abs(ours - theirs).max() < 2**-15
