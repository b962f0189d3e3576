"""Turns and ratios sought in a process: the outcome against the single evaluation, ends, cancel, refusals."""

from __future__ import annotations

import multiprocessing
from contextlib import closing
from threading import Event

import pytest

from core.errors import AmpturnError, InputRangeError
from core.evaluate import evaluate_candidate
from core.shortlist.chunk_result import STATUSES
from core.shortlist.free_values import (
    SPAN,
    Ends,
    FreeKind,
    FreeValue,
    each_free_value,
    families,
    free_value,
    no_free_ratio,
)
from core.shortlist.runner import Task
from core.shortlist.special_winding import six_step_constant
from tests.core.test_shortlist_free import listed, margin


def sought(kind: FreeKind, sample: str, ends: Ends, most: int) -> list[FreeValue]:
    application, choices, listing = listed(sample)
    numbers = families(kind, listing, choices)[:most]
    with closing(each_free_value(kind, Task(application, choices), numbers, ends, Event())) as values:
        return [one for one in values if one is not None]


@pytest.mark.parametrize(("kind", "sample"), [("turns", "sample_carousel"), ("ratio", "museum_turntable")])
def test_the_outcome_is_that_of_the_single_evaluation(kind: FreeKind, sample: str) -> None:
    application = listed(sample)[0]
    found = sought(kind, sample, (None, None), 2)
    assert found
    assert not multiprocessing.active_children()
    for one in found:
        result = evaluate_candidate(application, one.candidate, 0)
        governing = result.governing
        assert governing is not None
        column = one.outcome.criteria[int(one.outcome.governing.column[0])]
        assert column.code == governing.criterion
        smallest = float(one.outcome.objectives["smallest_margin"][0])
        assert smallest == pytest.approx(margin(application, one.candidate)[1], abs=1e-9)
        assert (STATUSES[int(one.outcome.verdict[0])] == "met") == (
            margin(application, one.candidate)[0] == 0
        )


def test_an_open_end_lies_a_span_from_the_listed_value_and_a_given_one_holds() -> None:
    application, choices, listing = listed("sample_carousel")
    task, number = Task(application, choices), families("turns", listing, choices)[0]
    own = six_step_constant(application, choices.candidate(number))
    assert own is not None
    usual = free_value("turns", task, number, (None, None))
    assert usual is not None
    assert own / SPAN <= usual.value <= own * SPAN
    # an end beyond the listed value by more than the span: the open one goes with it
    far = free_value("turns", task, number, (10.0 * own, None))
    assert far is not None
    assert 10.0 * own * (1.0 - 1e-9) <= far.value <= 10.0 * own * SPAN
    near = free_value("turns", task, number, (None, 0.1 * own))
    assert near is not None
    assert near.value <= 0.1 * own * (1.0 + 1e-9)


def test_the_torque_constant_is_that_of_the_candidate_made() -> None:
    application = listed("sample_carousel")[0]
    (found,) = sought("turns", "sample_carousel", (None, None), 1)
    assert six_step_constant(application, found.candidate) == pytest.approx(found.value, rel=1e-12)


def test_a_cancel_ends_the_process_at_once() -> None:
    application, choices, listing = listed("sample_carousel")
    cancel = Event()
    cancel.set()
    numbers = families("turns", listing, choices)
    assert not list(each_free_value("turns", Task(application, choices), numbers, (None, None), cancel))
    assert not multiprocessing.active_children()


def test_ends_that_are_no_range_are_refused_before_a_process_starts() -> None:
    application, choices, _ = listed("sample_carousel")
    for ends, words in (
        ((0.02, 0.01), "upper end must be above"),
        ((-0.01, None), "lower end must be positive"),
    ):
        with pytest.raises(InputRangeError, match=words):
            next(each_free_value("turns", Task(application, choices), [0], ends, Event()))


def test_a_refusal_in_the_process_is_told_here() -> None:
    _, choices, _ = listed("museum_turntable")
    alone = next(k for k in range(len(choices)) if choices.chosen(k).transmission is not None)
    shaft = listed("sample_carousel")[0]  # its duty is given at the motor shaft
    with pytest.raises(AmpturnError, match="needs the duty from a load"):
        list(each_free_value("ratio", Task(shaft, choices), [alone], (None, None), Event()))
    assert not multiprocessing.active_children()


def test_why_no_ratio_is_free_is_told() -> None:
    application, choices, _ = listed("sample_carousel")
    assert "at the motor shaft" in no_free_ratio(application, choices)
    application, choices, _ = listed("museum_turntable")
    assert not no_free_ratio(application, choices)
