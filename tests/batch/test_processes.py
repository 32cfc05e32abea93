"""Several processes: every track is made, whatever becomes of those that make it."""

from __future__ import annotations

import json
import multiprocessing
import os
import signal
import subprocess
import sys

import pytest
from pipeline.classes import SHORTEST_CLASS

from cuetrack.batch.doing import WorkState
from cuetrack.batch.processes import done_by_processes
from cuetrack.batch.work import plans_of, works_of

pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(sys.platform == "win32", reason="kills as POSIX does"),
]

SPEAK = """
import sys
from pathlib import Path
from cuetrack.speech.speaker import StoredSpeaker
from cuetrack.speech.store import ClipStore
from cuetrack.speech.voices import voice_named
speaker = StoredSpeaker(voice_named("espeak-en"), ClipStore(Path(sys.argv[1])))
sys.stdin.read(1)
speaker.speak(f"Lift your left heel {n} times." for n in range(60))
print(speaker.rendered)
"""


@pytest.fixture
def plans(tmp_path):
    """Three short classes and one that is no plan, in a folder."""
    folder = tmp_path / "plans"
    folder.mkdir()
    for name in ("Ash", "Birch", "Cedar"):
        text = SHORTEST_CLASS.replace("Short class", f"{name} class")
        (folder / f"{name}.yaml").write_text(text, encoding="utf-8")
    (folder / "bad.yaml").write_text("titel: x\n", encoding="utf-8")
    return folder


def test_a_process_that_dies_and_a_plan_that_fails_stop_no_other(plans, tmp_path):
    """Killed at its work, a process is replaced and the work done by another."""
    out = tmp_path / "out"
    works = works_of(plans_of(plans), out=out, formats=["wav"], voices=[None])
    outcomes = []
    for outcome in done_by_processes(works, 2):
        if not outcomes:
            os.kill(multiprocessing.active_children()[0].pid, signal.SIGKILL)
        outcomes.append(outcome)
    states = {one.plan.rpartition("/")[2]: one.state for one in outcomes}
    assert states.pop("bad.yaml") == WorkState.FAILED
    assert [*states.values()] == [WorkState.MADE] * 3
    assert not multiprocessing.active_children()


def test_a_batch_that_was_killed_goes_on(plans, tmp_path):
    """What was made stays, the rest is made, and nothing is left half written."""
    out = tmp_path / "out"
    words = [sys.executable, "-m", "cuetrack", "batch", str(plans), "--out", str(out)]
    words += ["--format", "wav", "--json", "--processes", "1"]
    for number in (signal.SIGKILL, signal.SIGTERM):
        broken = subprocess.Popen(words, stdout=subprocess.PIPE, stderr=subprocess.PIPE)
        while b'"made"' not in broken.stdout.readline():
            assert broken.poll() is None
        broken.send_signal(number)
        broken.communicate(timeout=60)
    last = subprocess.run(words, capture_output=True, text=True, check=False)
    states = [json.loads(line)["state"] for line in last.stdout.splitlines()]
    assert states.count("failed") == 1
    assert states.count("unchanged") in {2, 3}  # the last may be made by an orphan
    assert last.returncode == 1
    assert len(list(out.iterdir())) == 9


def test_each_clip_is_spoken_once_by_many(tmp_path):
    """Processes that want the same clips at the same time share the work."""
    speakers = [
        subprocess.Popen(
            [sys.executable, "-c", SPEAK, str(tmp_path)],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
        )
        for _ in range(3)
    ]
    for speaker in speakers:
        speaker.stdin.write(b"!")
        speaker.stdin.flush()
    spoken = [int(speaker.communicate()[0]) for speaker in speakers]
    assert sum(spoken) == 60
