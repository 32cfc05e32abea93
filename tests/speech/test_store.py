"""The store never gives a wrong clip, whatever happens to its files."""

from __future__ import annotations

import io
import os
import signal
import subprocess
import sys
import tempfile
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from cuetrack.errors import SpeechError
from cuetrack.speech import store
from cuetrack.speech.clips import FinishedSpeech, whole_24_bit
from cuetrack.speech.records import MAGIC, default_folder, path_of
from cuetrack.speech.store import NOTE_SUFFIX, ClipStore

KEY = "ab" * 32
PRUNE = """
import sys
from pathlib import Path
from cuetrack.speech.store import ClipStore
for _ in range(50):
    ClipStore(Path(sys.argv[1])).prune(0)
"""


def finished(frames=1000, seed=1):
    draw = np.random.default_rng(seed)
    return FinishedSpeech(
        samples=whole_24_bit(draw.uniform(-1, 1, frames).astype(np.float32)),
        speech_start=10,
        speech_end=frames - 10,
        beat=50,
    )


def key(number: int) -> str:
    return f"{number:064x}"


def test_what_is_put_comes_back(tmp_path) -> None:
    """Another store on the same folder gives the same clip and samples."""
    clip = ClipStore(tmp_path).put(KEY, "Auf die Plätze!", finished())
    other = ClipStore(tmp_path)
    assert other.meta(KEY) == clip
    assert other.holds(KEY) == clip
    np.testing.assert_array_equal(other.samples(KEY), finished().samples)


@given(st.lists(st.integers(1 - 2**23, 2**23 - 1), min_size=1, max_size=300))
def test_every_24_bit_number_comes_back_to_the_bit(steps) -> None:
    """Loud or faint, tone or noise; what has more bits is refused, not rounded."""
    samples = (np.array(steps) / 2**23).astype(np.float32)
    sound = FinishedSpeech(samples=samples, speech_start=0, speech_end=1, beat=0)
    with tempfile.TemporaryDirectory() as folder:
        store = ClipStore(Path(folder), kept_bytes=0)
        store.put(KEY, "x", sound)
        assert store.samples(KEY).tobytes() == samples.tobytes()
        finer = replace(sound, samples=samples + np.float32(2**-25))
        if (finer.samples != samples).any():
            with pytest.raises(ValueError, match="24 bits"):
                store.put(KEY, "x", finer)


def test_long_texts_are_kept_too(tmp_path) -> None:
    """A record longer than the first read is read whole."""
    text = "Feet flat on the floor. " * 400
    clip = ClipStore(tmp_path).put(KEY, text, finished())
    assert ClipStore(tmp_path).meta(KEY) == clip


def test_missing_clip_is_none_and_its_samples_an_error(tmp_path) -> None:
    """An unknown key has no clip; asking for its samples says what to do."""
    store = ClipStore(tmp_path / "not there yet")
    assert store.meta(KEY) is None
    assert store.holds(KEY) is None
    with pytest.raises(SpeechError, match="Make the track again"):
        store.samples(KEY)


@pytest.mark.parametrize("odd", ["ab\0cd", "k" * 5000])
def test_a_key_that_no_file_can_be_called_has_no_clip(tmp_path, odd) -> None:
    """A key from elsewhere, whatever is in it, is only not found."""
    assert ClipStore(tmp_path).holds(odd) is None


@pytest.mark.parametrize(
    "record", [b"[" * 1500 + b"\n", b"[" * 100_000 + b"\n", b"x" * 3_000_000]
)
def test_a_record_that_nobody_here_wrote_is_no_clip(tmp_path, record) -> None:
    """Nested or long beyond sense, it is told from a clip without harm."""
    path = path_of(tmp_path, KEY)
    path.parent.mkdir()
    path.write_bytes(MAGIC + record)
    assert ClipStore(tmp_path).holds(KEY) is None


@settings(
    max_examples=150,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(place=st.floats(0, 1, exclude_max=True), flip=st.integers(1, 255))
def test_no_altered_byte_gives_other_sound(tmp_path, place, flip) -> None:
    """Any changed byte is noticed, or changes nothing that is given back."""
    clip = ClipStore(tmp_path).put(KEY, "Stop.", finished(200))
    path = path_of(tmp_path, KEY)
    content = bytearray(path.read_bytes())
    content[int(place * len(content))] ^= flip
    path.write_bytes(content)
    damaged = ClipStore(tmp_path)
    assert damaged.meta(KEY) in {None, clip}
    if damaged.holds(KEY) is not None:
        np.testing.assert_array_equal(damaged.samples(KEY), finished(200).samples)


@settings(
    max_examples=50,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(kept=st.floats(0, 1, exclude_max=True))
def test_cut_file_counts_as_missing(tmp_path, kept) -> None:
    """A file cut anywhere is not even listed."""
    ClipStore(tmp_path).put(KEY, "Stop.", finished(200))
    path = path_of(tmp_path, KEY)
    content = path.read_bytes()
    path.write_bytes(content[: int(kept * len(content))])
    assert ClipStore(tmp_path).meta(KEY) is None


def test_file_of_another_key_counts_as_missing(tmp_path) -> None:
    """A clip copied under another name is not taken for it."""
    ClipStore(tmp_path).put(KEY, "Stop.", finished())
    path = path_of(tmp_path, KEY)
    path.with_name(f"{'ab' * 31}cd.clip").write_bytes(path.read_bytes())
    assert ClipStore(tmp_path).meta("ab" * 31 + "cd") is None


def test_putting_again_repairs_and_replaces(tmp_path) -> None:
    """A damaged clip is whole after its text was put again, in the same store."""
    store = ClipStore(tmp_path)
    store.put(KEY, "Stop.", finished(seed=1))
    store.samples(KEY)
    path_of(tmp_path, KEY).write_bytes(b"rubbish")
    store.put(KEY, "Stop.", finished(seed=2))
    np.testing.assert_array_equal(store.samples(KEY), finished(seed=2).samples)


def test_many_writers_leave_whole_clips_and_no_scraps(tmp_path) -> None:
    """Eight threads putting and reading the same clips never meet half a clip."""

    def work(number: int) -> bool:
        store = ClipStore(tmp_path)
        which = number % 5
        store.put(key(which), f"text {which}", finished(5000, seed=which))
        same = np.array_equal(
            store.samples(key(which)), finished(5000, seed=which).samples
        )
        return same and store.holds(key(which)) is not None

    with ThreadPoolExecutor(8) as pool:
        assert all(pool.map(work, range(80)))
    assert len([path for path in tmp_path.rglob("*") if path.is_file()]) == 5


def test_failed_write_leaves_nothing_and_says_so(tmp_path) -> None:
    """Where a file stands instead of the folder, the error names store and remedy."""
    blocked = tmp_path / "file"
    blocked.write_text("in the way")
    with pytest.raises(SpeechError, match="CUETRACK_STORE"):
        ClipStore(blocked).put(KEY, "Stop.", finished())


def test_interrupted_write_leaves_no_scrap(tmp_path, monkeypatch) -> None:
    """When the last step fails, the half-made file is gone and the old one stays."""
    store = ClipStore(tmp_path)
    store.put(KEY, "Stop.", finished(seed=1))

    def refuse(*_):
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr("pathlib.Path.replace", refuse)
        with pytest.raises(SpeechError, match="No space left"):
            store.put(KEY, "Stop.", finished(seed=2))
    assert [path.name for path in tmp_path.rglob("*.part")] == []
    np.testing.assert_array_equal(store.samples(KEY), finished(seed=1).samples)


def test_ctrl_c_while_a_clip_is_read_or_kept_takes_effect(monkeypatch) -> None:
    """What is raised inside the callbacks of a C library would be lost there."""

    class Interrupted(io.BytesIO):
        def tell(self):
            signal.raise_signal(signal.SIGINT)
            return super().tell()

    samples = np.zeros(480, np.float32)
    packed = store._packed(samples)
    monkeypatch.setattr(store.io, "BytesIO", Interrupted)
    with pytest.raises(KeyboardInterrupt):
        store._unpacked(memoryview(packed))
    with pytest.raises(KeyboardInterrupt):
        store._packed(samples)


def test_memory_stays_within_its_bound(tmp_path) -> None:
    """However many clips are read, only so many bytes of them are kept."""
    store = ClipStore(tmp_path, kept_bytes=40_000)
    for number in range(20):
        store.put(key(number), "x", finished(2000, seed=number))
    for number in range(20):
        store.samples(key(number))
        assert sum(kept.nbytes for kept in store._kept.values()) <= 40_000
        assert store._kept_now == sum(kept.nbytes for kept in store._kept.values())


def test_recent_clip_is_not_read_twice(tmp_path) -> None:
    """A clip in memory is given again even when its file is gone."""
    store = ClipStore(tmp_path)
    store.put(KEY, "Stop.", finished())
    first = store.samples(KEY)
    path_of(tmp_path, KEY).unlink()
    assert store.samples(KEY) is first


def test_given_samples_cannot_be_written_to(tmp_path) -> None:
    """Nobody changes a clip for everybody else."""
    store = ClipStore(tmp_path)
    store.put(KEY, "Stop.", finished())
    with pytest.raises(ValueError, match="read-only"):
        store.samples(KEY)[0] = 1


def test_prune_keeps_what_was_used_last(tmp_path) -> None:
    """Pruning deletes the clips unused for longest, and no more than needed."""
    store = ClipStore(tmp_path)
    for number in range(4):
        store.put(key(number), "x", finished(1000))
        path = path_of(tmp_path, key(number))
        os.utime(path, (1_000_000 + number, 1_000_000 + number))
    size = path_of(tmp_path, key(0)).stat().st_size
    ClipStore(tmp_path).samples(key(0))
    assert store.prune(2 * size, in_use_s=0) == 2
    assert [store.meta(key(n)) is not None for n in range(4)] == [
        True,
        False,
        False,
        True,
    ]
    assert store.prune(0, in_use_s=0) == 2


def test_prune_never_deletes_what_was_used_today(tmp_path) -> None:
    """A store too small for the clips in use keeps them all, and drops old ones."""
    store = ClipStore(tmp_path)
    for number in range(3):
        store.put(key(number), "x", finished(1000))
    os.utime(path_of(tmp_path, key(1)), (1_000_000, 1_000_000))
    assert store.prune(0) == 1
    assert [store.meta(key(n)) is not None for n in range(3)] == [True, False, True]


def test_two_processes_may_prune_and_use_a_store_at_once(tmp_path) -> None:
    """What one uses the other leaves, though the limit asks for it; old clips go."""
    for number in range(40):
        ClipStore(tmp_path).put(key(number), "x", finished())
        os.utime(path_of(tmp_path, key(number)), (1_000_000, 1_000_000))
    user = ClipStore(tmp_path, kept_bytes=0)
    assert all(user.holds(key(number)) for number in range(20))
    other = subprocess.Popen([sys.executable, "-c", PRUNE, str(tmp_path)])
    while other.poll() is None:
        for number in range(20):
            assert user.samples(key(number)).size == 1000
    assert other.returncode == 0
    assert [user.meta(key(n)) is not None for n in range(40)] == [True] * 20 + [
        False
    ] * 20


def test_a_note_is_given_back_or_not_at_all(tmp_path) -> None:
    """A note that was damaged is none, and notes are pruned as clips are."""
    store = ClipStore(tmp_path)
    assert store.note(KEY) is None
    store.put_note(KEY, b"twenty numbers\nand a line")
    assert store.note(KEY) == b"twenty numbers\nand a line"
    path = path_of(tmp_path, KEY, NOTE_SUFFIX)
    path.write_bytes(path.read_bytes().replace(b"twenty", b"thirty"))
    assert store.note(KEY) is None
    assert store.prune(0, in_use_s=0) == 1


def test_prune_sweeps_scraps_of_killed_writers_only(tmp_path) -> None:
    """A scrap from long ago goes, one that may still be written stays."""
    store = ClipStore(tmp_path)
    store.put(KEY, "x", finished())
    folder = path_of(tmp_path, KEY).parent
    old, new = folder / ".old.part", folder / ".new.part"
    for scrap in (old, new):
        scrap.write_bytes(b"half")
    os.utime(old, (1_000_000, 1_000_000))
    assert store.prune(10**9) == 0
    assert (old.exists(), new.exists()) == (False, True)


def test_store_is_where_the_environment_says(monkeypatch, tmp_path) -> None:
    """CUETRACK_STORE moves the store; without it the user's cache is used."""
    monkeypatch.setenv("CUETRACK_STORE", str(tmp_path))
    assert default_folder() == tmp_path
    assert ClipStore().folder == tmp_path
    monkeypatch.delenv("CUETRACK_STORE")
    assert default_folder().name == "clips"
