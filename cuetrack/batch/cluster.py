"""Work done by a Dask cluster: the same work, wherever its workers run.

They share the folder of the tracks and the clip store, by CUETRACK_STORE. A worker
that is lost loses nothing but its time: what it was at is done by another.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from cuetrack.batch.doing import do, failed
from cuetrack.errors import UsageError

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from cuetrack.batch.doing import Outcome
    from cuetrack.batch.work import Work

RETRIES = 3
CONNECT_S = 30


def done_by_cluster(works: Sequence[Work], address: str) -> Iterator[Outcome]:
    """Yield what becomes of each piece of work, as the workers of a scheduler do it.

    Raises UsageError when Dask is not installed, or no scheduler answers.
    """
    try:
        from distributed import Client, as_completed  # noqa: PLC0415 - an extra
    except ImportError as error:
        raise UsageError(
            "A cluster needs the package distributed, which is not installed: "
            "pip install 'cuetrack[cluster]'"
        ) from error
    try:
        client = Client(address, timeout=CONNECT_S, set_as_default=False)
    except (OSError, ValueError) as error:
        raise UsageError(
            f"No Dask scheduler answers at {address} ({error}). Say its address, such "
            "as tcp://node1:8786."
        ) from error
    with client:
        keys = [f"track-{number}" for number in range(len(works))]
        by_key = dict(zip(keys, works, strict=True))
        futures = client.map(do, works, key=keys, retries=RETRIES, pure=False)
        for future in as_completed(futures, loop=client.loop):
            try:
                yield future.result()
            except Exception as error:  # noqa: BLE001 - whatever became of its worker
                yield failed(by_key[future.key], f"The cluster gave up on it: {error}")
