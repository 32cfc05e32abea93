"""Music of the user: any kind of file comes out as measured 48 kHz stereo."""

from __future__ import annotations

import av
import numpy as np
import pytest
import soundfile

from cuetrack.errors import MusicError
from cuetrack.sound.cache import keep_notes, kept_notes
from cuetrack.sound.loudness import measure
from cuetrack.sound.music import prune_music, ready_tune
from tests.sound.damage import damage
from tests.sound.sounds import music, sine


@pytest.fixture
def ready(tmp_path):
    """Make a file ready, in a folder of the test's own."""
    return lambda path: ready_tune(path, tmp_path / "ready")


def samples_of(tune):
    with soundfile.SoundFile(tune.path) as file:
        assert (file.samplerate, file.channels) == (48_000, 2)
        file.seek(tune.first_frame)
        return file.read(tune.frames, dtype="float32")


def write(path, sound, rate_hz=48_000, **kind):
    soundfile.write(path, sound, rate_hz, **kind)
    return path


def write_m4a(path, sound, rate_hz):
    with av.open(str(path), "w") as container:
        stream = container.add_stream("aac", rate=rate_hz, layout="stereo")
        frame = av.AudioFrame.from_ndarray(
            np.ascontiguousarray(sound.T, np.float32), format="fltp", layout="stereo"
        )
        frame.sample_rate = rate_hz
        container.mux([*stream.encode(frame), *stream.encode(None)])
    return path


@pytest.mark.parametrize("kind", ["wav", "flac", "ogg", "mp3", "m4a"])
@pytest.mark.parametrize("rate_hz", [22_050, 44_100, 48_000])
def test_any_kind_of_file_becomes_48_khz_stereo(tmp_path, ready, kind, rate_hz):
    """Length and loudness survive the way from file to ready tune."""
    tone_hz = 440
    sound = np.stack([sine(tone_hz, 4, 0.2, rate_hz=rate_hz)] * 2, 1).astype(np.float32)
    path = tmp_path / f"song.{kind}"
    if kind == "m4a":
        write_m4a(path, sound, rate_hz)
    else:
        write(path, sound, rate_hz)
    tune = ready(path)
    assert tune.frames == pytest.approx(4 * 48_000, abs=2400)
    assert tune.lufs == pytest.approx(
        measure([sound], 2, rate_hz).integrated_lufs, abs=0.1
    )
    middle = samples_of(tune)[48_000 : 3 * 48_000, 0]
    power = np.abs(np.fft.rfft(middle * np.hanning(len(middle))))
    assert np.argmax(power) == pytest.approx(2 * tone_hz, abs=1)


@pytest.mark.parametrize("rate_hz", [8_000, 11_025, 88_200, 192_000])
def test_rates_far_from_ours_are_played_in_time(tmp_path, ready, rate_hz):
    """Four seconds stay four seconds, a note its pitch."""
    sound = sine(330, 4, 0.2, rate_hz=rate_hz)
    tune = ready(write(tmp_path / "song.flac", sound, rate_hz))
    assert tune.frames == pytest.approx(4 * 48_000, abs=480)
    middle = samples_of(tune)[48_000 : 3 * 48_000, 0]
    power = np.abs(np.fft.rfft(middle * np.hanning(len(middle))))
    assert np.argmax(power) == pytest.approx(2 * 330, abs=1)


def write_with_av(path, sound, codec, rate_hz=48_000):
    with av.open(str(path), "w") as container:
        stream = container.add_stream(codec, rate=rate_hz, layout="stereo")
        frame = av.AudioFrame.from_ndarray(
            sound.astype(np.float32).reshape(1, -1), format="flt", layout="stereo"
        )
        frame.sample_rate = rate_hz
        container.mux([*stream.encode(frame), *stream.encode(None)])
    return path


def test_opus_is_played(tmp_path, ready):
    """The length and the loudness survive."""
    sound = np.stack([sine(440, 4, 0.2)] * 2, 1)
    tune = ready(write_with_av(tmp_path / "song.opus", sound, "libopus"))
    assert tune.frames == pytest.approx(4 * 48_000, abs=2400)
    lufs = measure([sound.astype(np.float32)], 2).integrated_lufs
    assert tune.lufs == pytest.approx(lufs, abs=0.3)


def test_copy_protected_music_is_refused(tmp_path, ready):
    """The file says that its sound is sealed."""
    plain = write_m4a(tmp_path / "plain.m4a", np.stack([sine(440, 4)] * 2, 1), 48_000)
    sealed = tmp_path / "bought.m4a"
    sealed.write_bytes(plain.read_bytes().replace(b"mp4a", b"drms", 1))
    with pytest.raises(MusicError, match="locked by copy protection"):
        ready(sealed)


def test_mono_is_played_on_both_sides(tmp_path, ready):
    """A mono file sounds the same left and right."""
    path = write(tmp_path / "mono.wav", music(4), subtype="FLOAT")
    samples = samples_of(ready(path))
    assert np.array_equal(samples[:, 0], samples[:, 1])
    assert np.array_equal(samples[:, 0], music(4))


@pytest.mark.outside
@pytest.mark.parametrize(
    ("channel", "left", "right"),
    [
        (0, 1, 0),
        (1, 0, 1),
        (2, 0.7071, 0.7071),
        (3, 0, 0),
        (4, 0.7071, 0),
        (5, 0, 0.7071),
    ],
    ids=["L", "R", "C", "LFE", "Ls", "Rs"],
)
def test_surround_is_folded_down_as_the_standard_says(
    tmp_path, ready, channel, left, right
):
    """5.1 to stereo: ITU-R BS.775-3, annex 4, table 2 (from memory): 0.7071."""
    sound = np.zeros((4 * 48_000, 6), np.float32)
    sound[:, channel] = 0.5 * sine(300, 4)
    if channel == 3:
        sound[:, 0] = 0.25 * sine(500, 4)
        left = 0.5
    path = write(tmp_path / "surround.wav", sound, subtype="FLOAT")
    samples = samples_of(ready(path))
    assert np.abs(samples).max(axis=0) == pytest.approx(
        [0.5 * left, 0.5 * right], abs=1e-3
    )


def test_silence_at_either_end_is_cut_off(tmp_path, ready):
    """A tune starts with its first sound and ends with its last, to 10 ms."""
    sound = np.concatenate([np.zeros(72_000), music(5), np.zeros(120_000)])
    tune = ready(write(tmp_path / "padded.wav", sound))
    assert tune.first_frame == pytest.approx(72_000, abs=480)
    assert tune.end_frame == pytest.approx(72_000 + 240_000, abs=480)
    assert tune.first_frame <= 72_000
    assert tune.end_frame >= 72_000 + 240_000 - 480


def test_second_time_only_reads(tmp_path, ready, monkeypatch):
    """What was made ready is found by content, under another name too."""
    path = write(tmp_path / "one.wav", music(4))
    first = ready(path)
    other = tmp_path / "two.wav"
    other.write_bytes(path.read_bytes())
    monkeypatch.setattr("cuetrack.sound.music._made", None)
    assert ready(other) == first


@pytest.mark.parametrize("state", ["short", "gone", "no numbers"])
def test_damaged_ready_music_is_made_again(tmp_path, ready, state):
    """A cut, missing or unreadable copy counts as not there."""
    path = write(tmp_path / "one.wav", music(4), subtype="FLOAT")
    tune = ready(path)
    if state == "short":
        tune.path.write_bytes(tune.path.read_bytes()[:1000])
    elif state == "gone":
        tune.path.unlink()
    else:
        tune.path.with_suffix(".notes").write_text("{]")
    assert ready(path) == tune
    assert np.array_equal(samples_of(tune)[:, 0], music(4))


@pytest.mark.parametrize("suffix", [".wav", ".notes"])
def test_flipped_bits_are_never_played(tmp_path, ready, suffix):
    """Forty bits from the head to the end of each file: each time it is made anew."""
    path = write(tmp_path / "one.wav", music(4), subtype="FLOAT")
    tune = ready(path)
    kept = tune.path.with_suffix(suffix)
    for place in range(40):
        damaged = damage(kept, place, 40)
        assert ready(path) == tune
        assert kept.read_bytes() != damaged
    assert np.array_equal(samples_of(tune)[:, 0], music(4))


@pytest.mark.parametrize(
    "change",
    [
        {"lufs": float("nan")},
        {"lufs": float("inf")},
        {"lufs": "loud"},
        {"first_frame": -1},
        {"first_frame": 10**9},
        {"end_frame": 10**9},
        {"end_frame": None},
        {"unheard_of": 1},
    ],
)
def test_notes_that_make_no_sense_are_made_again(tmp_path, ready, change):
    """Even under a good seal, notes are taken only where they can be true."""
    path = write(tmp_path / "one.wav", music(4))
    tune = ready(path)
    notes = tune.path.with_suffix(".notes")
    keep_notes(notes, kept_notes(notes) | change, "one.wav")
    assert ready(path) == tune


def test_notes_without_a_key_are_made_again(tmp_path, ready):
    """Each thing that was noted is needed."""
    path = write(tmp_path / "one.wav", music(4))
    tune = ready(path)
    notes = tune.path.with_suffix(".notes")
    for key in ("sound", "lufs", "first_frame", "end_frame"):
        content = kept_notes(notes)
        del content[key]
        keep_notes(notes, content, "one.wav")
        assert ready(path) == tune
        assert kept_notes(notes).keys() > {key}


def test_clipped_music_is_told(tmp_path, ready):
    """Music driven far over full scale is marked; music at full scale is not."""
    loud = music(4) / np.abs(music(4)).max()
    assert not ready(write(tmp_path / "full.wav", loud)).clipped
    assert ready(write(tmp_path / "over.wav", np.clip(6 * loud, -1, 1))).clipped


@pytest.mark.parametrize(
    ("name", "content", "words"),
    [
        ("silent.wav", np.zeros(5 * 48_000), "silent from beginning to end"),
        ("jingle.wav", music(2.9), "is shorter than 3 s"),
        (
            "mostly silent.wav",
            np.concatenate([np.zeros(96_000), music(2), np.zeros(96_000)]),
            "is shorter than 3 s, without silence",
        ),
        ("seven.wav", np.tile(music(4)[:, np.newaxis], 7), "has 7 channels"),
        ("song.mp3", b"Dear all, the music is attached.\n" * 40, "is text, not sound"),
        ("broken.flac", b"fLaC" + bytes(range(1, 256)) * 20, "broken.flac"),
        ("empty.mp3", b"", "is empty"),
        ("missing.mp3", None, "no such file"),
    ],
)
def test_useless_music_is_refused_in_words(tmp_path, ready, name, content, words):
    """Each kind of useless file has its message, and leaves nothing behind."""
    path = tmp_path / name
    if isinstance(content, bytes):
        path.write_bytes(content)
    elif content is not None:
        write(path, content)
    with pytest.raises(MusicError, match=words):
        ready(path)
    assert not list((tmp_path / "ready").glob("*"))


def test_file_that_breaks_off_is_refused(tmp_path, ready):
    """Half a file is noticed while it is made ready."""
    path = write(tmp_path / "whole.flac", music(8))
    path.write_bytes(path.read_bytes()[: path.stat().st_size // 2])
    with pytest.raises(MusicError, match=r"whole\.flac"):
        ready(path)
    assert not list((tmp_path / "ready").glob("*"))


def test_folder_that_cannot_be_written_is_told(tmp_path):
    """A file where the folder should be is a message, not a traceback."""
    path = write(tmp_path / "one.wav", music(4))
    (tmp_path / "ready").write_text("in the way")
    with pytest.raises(MusicError, match="cannot be made ready"):
        ready_tune(path, tmp_path / "ready")


def test_ready_music_is_pruned_from_the_oldest(tmp_path, ready):
    """Pruning keeps what was used last and fits."""
    tunes = [ready(write(tmp_path / f"{n}.wav", music(4, seed=n))) for n in range(3)]
    ready(tmp_path / "0.wav")
    size = tunes[0].path.stat().st_size
    assert prune_music(2 * size, tmp_path / "ready") == 1
    assert [tune.path.exists() for tune in tunes] == [True, False, True]
