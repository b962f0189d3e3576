"""All candidates evaluated chunk by chunk, in place or by a pool of workers, in order of their numbers."""

from __future__ import annotations

import contextlib
import pickle
from collections import deque
from collections.abc import Callable, Generator, Iterator
from concurrent.futures import BrokenExecutor, Future, wait
from functools import lru_cache
from threading import Event
from typing import TYPE_CHECKING, Final

from core.errors import AmpturnError
from core.project.application import Application
from core.records import dataclass
from core.shortlist.choices import Choices
from core.shortlist.chunk_result import ChunkResult
from core.shortlist.each_candidate import evaluate_each
from core.shortlist.workers import OpenPool, Pool

if TYPE_CHECKING:
    from core.trace_import import ImportedTrace

# Candidates of a chunk: enough to share their parts, below a second of work, few enough bytes to send; a
# small catalogue is cut so that every worker has its share.
LEAST, MOST, SHARES = 250, 1500, 12
AHEAD: Final = 3  # chunks handed over for each worker: it never waits, and a cancel waits for one of them
REPEATS: Final = 2  # of a chunk whose worker died
_LOOK: Final = 0.1  # how often a cancel is looked for [s]


@dataclass(frozen=True, slots=True)
class Task:
    """What all chunks share."""

    application: Application
    choices: Choices
    measured: ImportedTrace | None = None


def run(
    task: Task,
    open_pool: OpenPool | None = None,
    *,
    chunk: int | None = None,
    cancel: Event | None = None,
    report: Callable[[str], None] = lambda text: None,
) -> Generator[tuple[int, ChunkResult]]:
    """Yield each chunk as (number of its first candidate, result), always in the order of the numbers.

    Without `open_pool` chunks are evaluated here. After `cancel` is set, or when the iterator is closed, no
    more chunk is begun, those that run are waited for and dropped, and the pool is shut down.

    Raises
    ------
    AmpturnError
        If a chunk has ended its worker more often than it may be repeated. Each such end is told to `report`.
    """
    chunk = chunk or min(MOST, max(LEAST, len(task.choices) // SHARES))
    starts = range(0, len(task.choices), chunk)
    stop = cancel or Event()
    if open_pool is None:
        for start in starts:
            if stop.is_set():
                return
            yield start, _evaluated(task, start, start + chunk)
        return
    yield from _pooled(pickle.dumps(task), list(starts), chunk, open_pool, stop, report)


def _pooled(
    task: bytes,
    starts: list[int],
    chunk: int,
    open_pool: OpenPool,
    stop: Event,
    report: Callable[[str], None],
) -> Iterator[tuple[int, ChunkResult]]:
    """Yield chunks of a pool; whenever a worker dies, those without a result go to a new pool."""
    done, deaths = 0, 0
    while done < len(starts):
        try:
            with open_pool() as pool:
                ready = _in_order(pool, task, starts[done:], chunk, stop)
                with contextlib.closing(ready):  # takes back what is handed over before the pool is shut
                    for start, result in ready:
                        yield start, result
                        done, deaths = done + 1, 0
            return
        except BrokenExecutor as error:
            deaths += 1
            first, last = starts[done] + 1, starts[done] + chunk
            if deaths > REPEATS:
                text = f"candidates from {first} to {last}: the worker died {deaths} times"
                raise AmpturnError(text) from error
            report(f"a worker died; candidates from {first} on are evaluated again")


def _in_order(
    pool: Pool, task: bytes, starts: list[int], chunk: int, stop: Event
) -> Generator[tuple[int, ChunkResult]]:
    """Yield the chunks of one pool in order, a few handed over ahead; end when asked to stop."""
    left, ahead = deque(starts), deque[tuple[int, Future[ChunkResult]]]()
    try:
        while left or ahead:
            while left and len(ahead) < AHEAD * pool.workers:
                start = left.popleft()
                ahead.append((start, pool.executor.submit(_evaluated_there, task, start, start + chunk)))
            start, future = ahead[0]
            while not stop.is_set() and not future.done():
                wait([future], _LOOK)
            if stop.is_set():
                return
            result = future.result()
            ahead.popleft()
            yield start, result
    finally:
        for _, future in ahead:
            future.cancel()


def _evaluated(task: Task, start: int, stop: int) -> ChunkResult:
    return evaluate_each(task.application, task.choices.candidates(start, stop), task.measured)


def _evaluated_there(task: bytes, start: int, stop: int) -> ChunkResult:
    return _evaluated(_unpacked(task), start, stop)


@lru_cache(maxsize=2)
def _unpacked(task: bytes) -> Task:
    """Return the task, the same object for all chunks: what its parts mean is kept from one to the next."""
    made: Task = pickle.loads(task)
    return made
