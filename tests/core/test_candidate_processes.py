"""Candidates evaluated in other processes: the same results, and none is lost when a process is."""

from __future__ import annotations

import os
import pickle
import signal
import time
from collections.abc import Iterator
from dataclasses import fields
from pathlib import Path

import pytest
from msgspec.structs import replace

from core.candidate_processes import CandidateProcesses, _answers
from core.carried_result import arrived, carried
from core.errors import InputRangeError
from core.evaluate import evaluate, evaluate_candidate
from core.project import edits
from core.project.project import Project
from core.project.project_file import read_project
from core.result_json import encode_result
from core.results import CandidateResult, Result
from core.shared_parts import sharing

FOLDER = Path(__file__).resolve().parents[2] / "sample_projects"
# a measured trace is evaluated in one process: its rows are not sent about
SAMPLES = sorted(path for path in FOLDER.glob("*.json") if "measured" not in path.stem)
CAROUSEL = next(path for path in SAMPLES if path.stem == "sample_carousel")


def text(result: Result) -> bytes:
    return encode_result(result, result.candidates)


def wait_until_ready(processes: CandidateProcesses) -> None:
    end = time.monotonic() + 60.0
    while processes.ready < processes.started:
        assert time.monotonic() < end, "a process does not start"
        time.sleep(0.01)


@pytest.fixture(scope="module")
def two() -> Iterator[CandidateProcesses]:
    made = CandidateProcesses(2)
    made.prepare(3)
    assert made.started == 2
    wait_until_ready(made)
    yield made
    made.close()


def with_candidates(project: Project, count: int) -> Project:
    """Return a project with more of its candidates, by other names."""
    first = project.candidates
    more = tuple(replace(first[k % len(first)], name=f"candidate {k}") for k in range(count))
    return replace(project, candidates=more, chosen=None)


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_results_are_those_of_one_process(two: CandidateProcesses, path: Path) -> None:
    project = read_project(path)
    assert project.application.duty_from != "trace"
    project = with_candidates(project, 5)
    for warmer in range(3):
        site = replace(project.application.site, ambient=25.0 + warmer)
        now = edits.change_application(project, site=site)
        assert text(two.evaluate(now)) == text(evaluate(now))
    assert two.ready == 2


def test_what_is_deferred_is_computed_where_it_is_asked_for(two: CandidateProcesses) -> None:
    project = read_project(CAROUSEL)
    there, here = two.evaluate(project).candidates[1], evaluate(project).candidates[1]
    assert there.band_later is not None
    assert not there.band_later.known
    for name in ("band", "heating_up", "flows", "faults", "feedback_table", "supply_detail"):
        assert pickle.dumps(getattr(there, name)) == pickle.dumps(getattr(here, name)), name


def test_a_carried_result_has_every_value_that_it_had() -> None:
    project = read_project(CAROUSEL)
    result = evaluate(project).candidates[0]
    sent = carried(result)
    back = arrived(pickle.loads(pickle.dumps(sent)), lambda: result)
    for field in fields(result):
        assert (getattr(back, field.name) is None) == (getattr(result, field.name) is None), field.name
    assert set(sent.later) == {f.name for f in fields(result) if f.name.endswith("_later")}


def test_what_stays_is_not_sent_again(two: CandidateProcesses) -> None:
    project = read_project(CAROUSEL)
    first = two.evaluate(project).candidates[1]
    other = edits.change_segment(project, 0, shaft_torque=0.05)
    second = two.evaluate(other).candidates[1]
    assert second.curves is first.curves
    assert second.cycle is not first.cycle
    once, again = evaluate(project).candidates[1], evaluate(other).candidates[1]
    assert len(pickle.dumps(carried(again, once))) < 0.8 * len(pickle.dumps(carried(again)))


def test_an_ended_process_is_done_without() -> None:
    processes = CandidateProcesses(1)
    processes.prepare(2)
    wait_until_ready(processes)
    project = read_project(CAROUSEL)
    expected = text(evaluate(project))
    (process,) = processes._processes
    process._process.kill()
    process._process.join()
    assert text(processes.evaluate(project)) == expected
    assert (processes.started, processes.ready) == (0, 0)
    assert text(processes.evaluate(project)) == expected
    processes.close()


def test_a_process_that_does_not_answer_is_given_up(monkeypatch: pytest.MonkeyPatch) -> None:
    if not hasattr(signal, "SIGSTOP"):
        pytest.skip("processes cannot be stopped here")
    monkeypatch.setattr("core.candidate_processes._PATIENCE", 0.1)
    processes = CandidateProcesses(1)
    processes.prepare(2)
    wait_until_ready(processes)
    (process,) = processes._processes
    pid = process._process.pid
    assert pid is not None
    os.kill(pid, signal.SIGSTOP)
    project = read_project(CAROUSEL)
    assert text(processes.evaluate(project)) == text(evaluate(project))
    assert processes.started == 0


def test_a_refused_value_is_left_to_whoever_asked(monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_arguments: object) -> CandidateResult:
        raise InputRangeError("resistance", -1.0, "ohm", "> 0")

    project = read_project(CAROUSEL)
    monkeypatch.setattr("core.candidate_processes.evaluate_candidate", refuse)
    assert _answers(project.application, ((0, project.candidates[0]),), {}) is None


def test_processes_that_end_are_replaced_but_not_for_ever() -> None:
    processes = CandidateProcesses(1)
    for _ in range(14):
        processes.prepare(2)
        for process in processes._processes:
            process.close()
    processes.prepare(2)
    assert processes.started == 0
    assert processes._starts_left == 0


def test_no_more_processes_than_candidates_are_worth() -> None:
    processes = CandidateProcesses(3)
    processes.prepare(1)
    assert processes.started == 0
    none = CandidateProcesses(0)
    none.prepare(4)
    assert none.started == 0


def test_a_copy_shares_what_an_edit_would_have_left_alone() -> None:
    project = read_project(CAROUSEL)
    before = project.application
    after = edits.change_segment(project, 0, shaft_torque=0.123).application
    copy = pickle.loads(pickle.dumps(after))
    assert copy.site is not before.site
    shared = sharing(copy, before)
    assert shared == after
    assert shared.site is before.site
    assert shared.supply is before.supply
    assert shared.duty_cycle[0] is not before.duty_cycle[0]
    assert all(one is other for one, other in zip(shared.duty_cycle[1:], before.duty_cycle[1:], strict=True))
    assert evaluate_candidate(shared, project.candidates[0], 0).torque_reserve is not None
