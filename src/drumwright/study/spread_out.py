"""One piece of work after the other, in several processes, or on a cluster: the answers are the same."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from importlib import import_module
from importlib.util import find_spec
from typing import Any, TypeVar

from drumwright.basis.catalogue import trouble
from drumwright.basis.errors import QuantityError

Task = TypeVar("Task")
Answer = TypeVar("Answer")


def spread_out(
    work: Callable[[Task], Answer], tasks: Sequence[Task], workers: int = 1, cluster: str | None = None
) -> Iterator[Answer]:
    """Do a piece of work for every task; answers come in the order of the tasks.

    Parameters
    ----------
    work : callable
        A function of a module, so that other processes find it.
    tasks : sequence
    workers : int
        Processes on this machine.
    cluster : str, optional
        Address of a Dask scheduler, or "local" for one on this machine with so many workers. Its workers
        need the same version of this project and the same files.

    Raises
    ------
    QuantityError
        If a cluster is asked for and its library is not installed, or it cannot be reached.
    """
    if cluster is not None:
        yield from _on_cluster(work, tasks, workers, cluster)
    elif workers < 2 or len(tasks) < 2:
        yield from map(work, tasks)
    else:
        with ProcessPoolExecutor(min(workers, len(tasks))) as pool:
            yield from pool.map(work, tasks)


def _on_cluster(
    work: Callable[[Task], Answer], tasks: Sequence[Task], workers: int, cluster: str
) -> Iterator[Answer]:
    if find_spec("distributed") is None:
        raise QuantityError(*trouble("SWP-001"))
    library: Any = import_module("distributed")
    try:
        if cluster == "local":
            with (
                library.LocalCluster(
                    n_workers=workers, threads_per_worker=1, dashboard_address=None, processes=True
                ) as own,
                library.Client(own) as client,
            ):
                yield from client.gather(client.map(work, tasks, pure=False))
            return
        with library.Client(cluster, timeout="10s") as client:
            yield from client.gather(client.map(work, tasks, pure=False))
    except (OSError, ValueError, TimeoutError) as error:
        raise QuantityError(*trouble("SWP-002", text=cluster, reason=str(error))) from None


def processors() -> int:
    """Processes that can work at once here."""
    return max(len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1, 1)
