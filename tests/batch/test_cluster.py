"""A Dask cluster does the same work, also when its workers are killed."""

from __future__ import annotations

import os
import signal
import sys

import pytest
from pipeline.classes import SHORTEST_CLASS

from cuetrack.batch.cluster import done_by_cluster
from cuetrack.batch.doing import WorkState
from cuetrack.batch.work import plans_of, works_of
from cuetrack.errors import UsageError

distributed = pytest.importorskip(
    "distributed", reason="needs the extra: pip install 'cuetrack[cluster]'"
)


@pytest.mark.slow
@pytest.mark.skipif(sys.platform == "win32", reason="kills as POSIX does")
@pytest.mark.filterwarnings("ignore::ResourceWarning", "ignore::DeprecationWarning")
def test_a_cluster_whose_workers_are_killed_makes_every_track(tmp_path):
    """Both workers die when the first track is done; all are made in the end."""
    for name in ("Ash", "Birch", "Cedar"):
        text = SHORTEST_CLASS.replace("Short class", f"{name} class")
        (tmp_path / f"{name}.yaml").write_text(text, encoding="utf-8")
    (tmp_path / "bad.yaml").write_text("titel: x\n", encoding="utf-8")
    works = works_of(
        plans_of(tmp_path), out=tmp_path / "out", formats=["wav"], voices=[None]
    )
    states = {}
    with distributed.LocalCluster(
        n_workers=2, threads_per_worker=1, dashboard_address=None
    ) as cluster:
        for outcome in done_by_cluster(works, cluster.scheduler_address):
            if (
                WorkState.MADE not in states.values()
                and outcome.state == WorkState.MADE
            ):
                for worker in cluster.workers.values():
                    os.kill(worker.pid, signal.SIGKILL)
            states[outcome.plan.rpartition("/")[2]] = outcome.state
    assert states.pop("bad.yaml") == WorkState.FAILED
    assert set(states.values()) <= {WorkState.MADE, WorkState.UNCHANGED}
    assert len(list((tmp_path / "out").glob("*.wav"))) == len(states) == 3


def test_a_scheduler_that_is_no_address_is_refused():
    """The command was wrong, and says what an address looks like."""
    with pytest.raises(UsageError, match="tcp://"):
        list(done_by_cluster([], "no address"))


def test_without_dask_its_extra_is_named(monkeypatch):
    """Whoever did not install it is told how."""
    monkeypatch.setitem(sys.modules, "distributed", None)
    with pytest.raises(UsageError, match=r"pip install 'cuetrack\[cluster\]'"):
        list(done_by_cluster([], "tcp://127.0.0.1:1"))
