"""Work handed to any executor and taken back in order; processes of this machine, and workers of a cluster."""

from __future__ import annotations

import multiprocessing
import os
import pickle
import signal
from collections import deque
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import Executor, ProcessPoolExecutor
from functools import lru_cache
from typing import Any, TypeVar

from ledcalc.errors import FileProblem
from ledcalc.fixture import Fixture
from ledcalc.variants.engine import Engine
from ledcalc.variants.inputs import Base

__all__ = ["cluster", "engine_of", "in_order", "packed", "processes"]

Job = TypeVar("Job")
Done = TypeVar("Done")

CONNECT_S = 10.0
TRIES_MORE = 3
# One process does one block at a time: threads of its own would only get in the others' way.
ONE_THREAD = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS")


def in_order(
    function: Callable[[Job], Done], jobs: Iterable[Job], *, executor: Executor | None = None, ahead: int = 8
) -> Iterator[Done]:
    """Yield what a function makes of each job, in their order.

    Parameters
    ----------
    function : of a module, so that it can be sent
    jobs : taken one by one; never more than ``ahead`` are held
    executor : None: here and now
    ahead : how many jobs are handed out before the first is waited for
    """
    if executor is None:
        yield from map(function, jobs)
        return
    waiting: deque[Any] = deque()
    try:
        for job in jobs:
            waiting.append(executor.submit(function, job))
            if len(waiting) >= ahead:
                yield waiting.popleft().result()
        while waiting:
            yield waiting.popleft().result()
    finally:
        for future in waiting:
            future.cancel()


def packed(fixture: Fixture) -> bytes:
    """Return a fixture as it is sent to other processes."""
    return pickle.dumps(fixture)


@lru_cache(maxsize=2)
def engine_of(fixture: bytes) -> Engine:
    """Return the engine of a packed fixture; a process keeps it for the next block."""
    return Engine(base=Base.of(pickle.loads(fixture)))


def processes(workers_count: int) -> ProcessPoolExecutor:
    """Return processes on this machine, each fresh, so that no lock or thread of this one is inherited."""
    for name in ONE_THREAD:
        os.environ.setdefault(name, "1")
    fresh = multiprocessing.get_context("spawn")
    # The keyboard stops the process that was started, which stops these.
    return ProcessPoolExecutor(workers_count, fresh, signal.signal, (signal.SIGINT, signal.SIG_IGN))


def cluster(address: str) -> tuple[Executor, int]:
    """Return the workers of a Dask cluster as an executor, and how many blocks they can do at a time.

    A block whose worker ends is done again by another.

    Parameters
    ----------
    address : of the scheduler, such as ``tcp://192.0.2.1:8786``

    Raises
    ------
    FileProblem: Dask distributed is not installed, nobody answers there, or no worker is there
    """
    try:
        from distributed import Client
    except ImportError:
        raise FileProblem("a cluster needs Dask distributed: pip install 'ledcalc[cluster]'") from None
    try:
        client = Client(address, timeout=CONNECT_S, set_as_default=False)
    except (OSError, TimeoutError, ValueError) as problem:
        told = " ".join(str(problem).split()) or type(problem).__name__
        raise FileProblem(
            f"{address}: no scheduler answers within {CONNECT_S:.0f} s ({told}); start one there, or leave "
            "--cluster out"
        ) from None
    threads_count = sum(client.nthreads().values())
    if not threads_count:
        client.close()
        raise FileProblem(f"{address}: the scheduler has no workers; start some, each with ledcalc installed")
    return client.get_executor(pure=False, retries=TRIES_MORE), threads_count
