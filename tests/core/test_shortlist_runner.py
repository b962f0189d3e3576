"""Chunks of candidates here and in processes: the same results, in the same order, nothing left running."""

from __future__ import annotations

import functools
import multiprocessing
import os
import threading
from collections.abc import Callable, Iterator
from concurrent.futures import Executor, Future
from contextlib import contextmanager
from threading import Event
from typing import Any

import numpy as np
import pytest
from msgspec.structs import replace

from core.catalogue.parts_file import load_demo_parts
from core.errors import AmpturnError
from core.shortlist.choices import choices_of
from core.shortlist.chunk_result import ChunkResult
from core.shortlist.runner import Task, run
from core.shortlist.workers import OpenPool, Pool, cluster, processes
from tests.core.projects import project, random_duty

PARTS = load_demo_parts()
CHUNK = 30


@functools.cache
def task() -> Task:
    few = replace(PARTS, motors=PARTS.motors[:1], brakes=(), drives=PARTS.drives[:1], designation=None)
    application = project(*random_duty(4)).application
    choices = choices_of([few], application)
    assert 2 * CHUNK < len(choices) <= 3 * CHUNK
    return Task(application, choices)


def assert_same(some: list[tuple[int, ChunkResult]], others: list[tuple[int, ChunkResult]]) -> None:
    assert [start for start, _ in some] == [start for start, _ in others]
    for (_, one), (_, other) in zip(some, others, strict=True):
        assert [column.code for column in one.columns] == [column.code for column in other.columns]
        for name in ("status", "margin", "demand", "limit", "governing", "ruled_out_by"):
            np.testing.assert_array_equal(getattr(one, name), getattr(other, name))


def here() -> list[tuple[int, ChunkResult]]:
    return list(run(task(), chunk=CHUNK))


class Backwards(Executor):
    """Completes three chunks, the last one first."""

    def __init__(self) -> None:
        self.waiting: list[tuple[Future[Any], Callable[[], Any]]] = []
        self.completed: list[Future[Any]] = []

    def submit(self, fn: Callable[..., Any], /, *args: Any, **kwargs: Any) -> Future[Any]:
        future: Future[Any] = Future()
        self.waiting.append((future, functools.partial(fn, *args, **kwargs)))
        if len(self.waiting) == 3:
            for one, work in reversed(self.waiting):
                one.set_result(work())
                self.completed.append(one)
        return future


@contextmanager
def backwards() -> Iterator[Pool]:
    yield Pool(Backwards(), 1)


def test_chunks_come_in_the_order_of_their_numbers_whichever_is_done_first() -> None:
    assert [start for start, _ in here()] == [0, CHUNK, 2 * CHUNK]
    assert sum(len(result) for _, result in here()) == len(task().choices)
    assert_same(list(run(task(), backwards, chunk=CHUNK)), here())


def test_processes_give_what_one_process_gives_with_one_thread_each() -> None:
    before = dict(os.environ)
    assert_same(list(run(task(), processes(2), chunk=CHUNK)), here())
    assert dict(os.environ) == before
    with processes(1)() as pool:
        assert pool.executor.submit(os.getenv, "OMP_NUM_THREADS").result() == "1"
    assert not multiprocessing.active_children()


def test_a_cancel_leaves_no_thread_and_no_process() -> None:
    threads, cancel, got = threading.active_count(), Event(), []
    for start, _ in run(task(), processes(1), chunk=3, cancel=cancel):
        got.append(start)
        cancel.set()
    assert got == [0]
    assert not multiprocessing.active_children()
    assert threading.active_count() == threads


def test_an_iterator_that_is_left_shuts_its_pool() -> None:
    results = run(task(), processes(1), chunk=3)
    next(results)
    assert multiprocessing.active_children()
    results.close()
    assert not multiprocessing.active_children()


def test_a_cancel_in_place_stops_after_the_chunk() -> None:
    cancel = Event()
    got = []
    for start, _ in run(task(), chunk=3, cancel=cancel):
        got.append(start)
        cancel.set()
    assert got == [0]


def dying(times: int) -> tuple[OpenPool, list[int]]:
    """Return pools of one process, of which so many end in the middle of their first work."""
    opened: list[int] = []

    @contextmanager
    def open_pool() -> Iterator[Pool]:
        with processes(1)() as pool:
            opened.append(1)
            if len(opened) <= times:
                pool.executor.submit(os._exit, 1)
            yield pool

    return open_pool, opened


def test_a_worker_that_dies_is_told_and_its_chunk_repeated() -> None:
    told: list[str] = []
    open_pool, opened = dying(1)
    assert_same(list(run(task(), open_pool, chunk=CHUNK, report=told.append)), here())
    assert told == ["a worker died; candidates from 1 on are evaluated again"]
    assert len(opened) == 2


def test_a_chunk_that_always_ends_its_worker_is_named() -> None:
    told: list[str] = []
    open_pool, opened = dying(99)
    with pytest.raises(AmpturnError, match="candidates from 1 to 30: the worker died 3 times"):
        list(run(task(), open_pool, chunk=CHUNK, report=told.append))
    assert len(opened) == 3
    assert len(told) == 2
    assert not multiprocessing.active_children()


def test_a_cluster_needs_its_package(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(__import__("sys").modules, "distributed", None)
    with pytest.raises(AmpturnError, match="extra 'cluster'"):
        list(run(task(), cluster("tcp://127.0.0.1:1"), chunk=CHUNK))
