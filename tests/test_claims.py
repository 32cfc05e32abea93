"""Claims: one at a time, and none outlives its holder."""

from __future__ import annotations

import subprocess
import sys

from cuetrack.claims import claimed

HOLD = """
import sys, time
from pathlib import Path
from cuetrack.claims import claimed
with claimed(Path(sys.argv[1]), "clip") as ours:
    print(ours, flush=True)
    time.sleep(60)
"""


def test_a_name_is_held_by_one_at_a_time(tmp_path):
    """A second claim is refused while the first is held, and granted afterwards."""
    with claimed(tmp_path, "clip") as first:
        with claimed(tmp_path, "clip", wait=False) as second:
            assert (first, second) == (True, False)
        with claimed(tmp_path, "another", wait=False) as other:
            assert other
    with claimed(tmp_path, "clip", wait=False) as third:
        assert third


def test_a_claim_ends_with_the_process_that_held_it(tmp_path):
    """However a holder dies, whoever waits goes on."""
    holder = subprocess.Popen(
        [sys.executable, "-c", HOLD, str(tmp_path)], stdout=subprocess.PIPE
    )
    assert holder.stdout.readline().strip() == b"True"
    with claimed(tmp_path, "clip", wait=False) as ours:
        assert not ours
    holder.kill()
    with claimed(tmp_path, "clip") as ours:
        assert ours
    holder.communicate()


def test_where_nothing_can_be_locked_work_goes_on(tmp_path):
    """A store that may not be written stops nobody."""
    (tmp_path / "file").write_text("x")
    with claimed(tmp_path / "file", "clip") as ours:
        assert ours
