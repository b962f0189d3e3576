"""Chunks at a local dask cluster of two workers: the results of one process, in the same order."""

from __future__ import annotations

import numpy as np
import pytest
from msgspec.structs import replace

from core.catalogue.parts_file import load_demo_parts
from core.errors import AmpturnError
from core.shortlist.choices import choices_of
from core.shortlist.runner import Task, run
from core.shortlist.workers import cluster
from tests.core.projects import project, random_duty

distributed = pytest.importorskip("distributed", reason="comes with the extra 'cluster'")


def test_two_workers_of_a_cluster_give_what_one_process_gives() -> None:
    parts = load_demo_parts()
    few = replace(parts, motors=parts.motors[:1], brakes=(), drives=parts.drives[:2], designation=None)
    application = project(*random_duty(4)).application
    task = Task(application, choices_of([few], application))
    alone = list(run(task, chunk=20))
    with distributed.LocalCluster(
        n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None
    ) as local:
        there = list(run(task, cluster(local.scheduler_address), chunk=20))
        results = run(task, cluster(local.scheduler_address), chunk=20)
        next(results)
        results.close()
        with distributed.Client(local.scheduler_address) as client:
            assert not client.who_has()  # nothing of ours is left there
    assert len(alone) > 4
    assert [start for start, _ in there] == [start for start, _ in alone]
    for (_, one), (_, other) in zip(there, alone, strict=True):
        for name in ("status", "margin", "governing", "ruled_out_by"):
            np.testing.assert_array_equal(getattr(one, name), getattr(other, name))


def test_where_nothing_answers_is_refused_with_the_address() -> None:
    application = project(*random_duty(4)).application
    task = Task(application, choices_of([load_demo_parts()], application))
    with pytest.raises(AmpturnError, match=r"no scheduler answers at tcp://127\.0\.0\.1:1 "):
        next(run(task, cluster("tcp://127.0.0.1:1")))
