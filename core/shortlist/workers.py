"""Where chunks are evaluated: in place, in processes of this computer, or at a cluster that runs already.

A pool is opened by a function, so that another one can be opened when a worker has died.
"""

from __future__ import annotations

import os
import signal
from collections.abc import Callable, Iterator
from concurrent.futures import Executor
from contextlib import AbstractContextManager, contextmanager
from importlib import import_module
from typing import Final

from core.errors import AmpturnError
from core.records import dataclass

_THREADS: Final = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS", "VECLIB_MAXIMUM_THREADS")


@dataclass(frozen=True, slots=True)
class Pool:
    """An executor of `concurrent.futures` and how many chunks it evaluates at a time."""

    executor: Executor
    workers: int


OpenPool = Callable[[], AbstractContextManager[Pool]]


def processes(count: int) -> OpenPool:
    """Return what opens a pool of so many processes, each with a single thread for its linear algebra."""

    @contextmanager
    def open_pool() -> Iterator[Pool]:
        from concurrent.futures import ProcessPoolExecutor  # slow to import, and seldom needed
        from multiprocessing import get_context

        # not forked: a process with a window or threads must not be copied
        spawn = get_context("spawn")
        executor = ProcessPoolExecutor(count, mp_context=spawn, initializer=leave_to_parent)
        with one_thread_each():
            try:
                yield Pool(executor, count)
            finally:
                executor.shutdown(wait=True, cancel_futures=True)

    return open_pool


def cluster(address: str) -> OpenPool:
    """Return what asks the scheduler of a dask cluster for its workers; the cluster itself is not ours.

    A worker that dies there is replaced, and its chunk repeated, by the scheduler. Whoever is given the pool
    gets an `AmpturnError` if the extra `cluster` is not installed, if nothing answers at the address, or
    if the scheduler has given a chunk up.
    """

    @contextmanager
    def open_pool() -> Iterator[Pool]:
        try:
            distributed = import_module("distributed")
        except ImportError as error:
            rule = "needs the package distributed, which comes with the extra 'cluster' of ampturn"
            raise AmpturnError(f"the scheduler at {address} {rule}") from error
        try:
            client = distributed.Client(address, timeout=10)
        except (OSError, ValueError, TimeoutError) as error:
            raise AmpturnError(f"no scheduler answers at {address} ({error})") from error
        with client:
            # impure: the same chunk asked for again is evaluated again, not taken from the cluster
            executor = client.get_executor(pure=False)
            try:
                yield Pool(executor, max(1, sum(client.nthreads().values())))
            except distributed.KilledWorker as error:
                raise AmpturnError(f"the cluster at {address} gave a chunk up ({error})") from error
            finally:
                executor.shutdown(wait=True)

    return open_pool


@contextmanager
def one_thread_each() -> Iterator[None]:
    """Let processes that start in the meantime use one thread for linear algebra: each has its own chunk.

    Libraries read this when they are loaded, so a process must find it in its environment.
    """
    before = {name: os.environ.get(name) for name in _THREADS}
    os.environ.update(dict.fromkeys(_THREADS, "1"))
    try:
        yield
    finally:
        for name, value in before.items():
            if value is None:
                del os.environ[name]
            else:
                os.environ[name] = value


def leave_to_parent() -> None:
    """Ignore Ctrl+C, which reaches every process of a terminal: the parent ends its workers in order."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
