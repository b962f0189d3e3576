"""Verdict, reasons, order, Pareto set and filters of a list of candidates."""

from __future__ import annotations

import functools

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from core.catalogue.parts_file import load_demo_parts
from core.errors import AmpturnError
from core.evaluate import evaluate_candidate
from core.numeric import FloatArray
from core.sentences import as_text
from core.shortlist.choices import choices_of
from core.shortlist.chunk_result import ABSENT, EXCLUDED, MET, MISSED, NOT_CHECKED, OBJECTIVES
from core.shortlist.filters import Filter
from core.shortlist.listing import Listing, ListingInProgress
from core.shortlist.pareto import pareto_set
from core.shortlist.reasons import first_reason, governing_reason, tie, why
from core.shortlist.runner import Task, run
from tests.core.projects import project, random_duty

# Few values, so that ties are the rule.
NUMBER = st.sampled_from([0.0, 1.0, 2.0, 3.5, float("inf"), -float("inf"), float("nan")])


@functools.cache
def listed() -> tuple[Task, Listing]:
    demo = load_demo_parts()
    few = replace(demo, motors=demo.motors[:6:2], brakes=(), drives=demo.drives[:2], designation=None)
    application = project(*random_duty(4)).application
    task = Task(application, choices_of([few], application))
    found = ListingInProgress()
    for _, result in run(task, chunk=17):
        found.add(result)
    return task, found.listing()


def test_verdict_and_what_governs_are_those_of_the_single_evaluation() -> None:
    task, listing = listed()
    assert len(listing) == len(task.choices)
    for number in range(0, len(listing), 7):
        alone = evaluate_candidate(task.application, task.choices.candidate(number), 0)
        statuses = {margin.status for margin in alone.margins if margin.required}
        worst = next(
            (one for one in ("excluded", "missed", "not checked") if one in statuses), "met"
        )  # worst first
        assert ("met", "missed", "not checked", "excluded")[listing.verdict[number]] == worst
        first = int(listing.first.column[number])
        if first == ABSENT:
            assert alone.governing is not None
            assert listing.criteria[listing.governing.column[number]].code == alone.governing.criterion
        else:
            margin = alone.margin(listing.criteria[first].code)
            assert margin is not None
            assert margin.status in ("missed", "excluded")
            if margin.demand is not None:
                assert listing.first.numbers["demand"][number] == pytest.approx(margin.demand, rel=1e-9)


def test_the_best_stand_first_and_every_loser_has_a_reason() -> None:
    _, listing = listed()
    order = listing.ranking()
    assert sorted(order.tolist()) == list(range(len(listing)))
    place = {MET: 0, NOT_CHECKED: 1, MISSED: 2, EXCLUDED: 3}
    margin = np.nan_to_num(listing.objectives["smallest_margin"], nan=-np.inf)
    keys = [(place[int(listing.verdict[k])], -float(margin[k])) for k in order]
    assert keys == sorted(keys)
    losers = int(np.isin(listing.verdict, (MISSED, EXCLUDED)).sum())
    assert losers > 0
    assert sum(listing.losers_by_reason().values()) == losers


def test_reasons_carry_label_and_numbers() -> None:
    _, listing = listed()
    out = np.flatnonzero(listing.first.column != ABSENT)
    assert out.size
    number = int(out[0])
    label = listing.criteria[listing.first.column[number]].label
    reason = first_reason(listing, number)
    assert reason is not None
    assert as_text(reason).startswith(label)
    assert as_text(why(listing, number)).count(label) >= 1
    assert all(as_text(why(listing, k)) for k in range(len(listing)))
    met = int(np.flatnonzero(listing.first.column == ABSENT)[0])
    governing = governing_reason(listing, met)
    assert governing is not None
    assert "%" in as_text(governing)


def test_ties_are_told_and_differences_are_not_called_ties() -> None:
    _, listing = listed()
    margin, verdict = listing.objectives["smallest_margin"], listing.verdict
    for one in range(20):
        for other in range(one + 1, 20):
            same = margin[one] == margin[other] and verdict[one] == verdict[other]
            assert (tie(listing, one, other) is not None) == same


@pytest.mark.parametrize("count", [2, 3])
@given(rows=st.lists(st.tuples(NUMBER, NUMBER, NUMBER), max_size=30))
def test_the_pareto_set_is_that_of_brute_force(count: int, rows: list[tuple[float, ...]]) -> None:
    values = np.array(rows, dtype=np.float64).reshape(len(rows), 3)[:, :count]

    def beaten(one: FloatArray) -> bool:
        return any((other <= one).all() and (other < one).any() for other in values)

    expected = [not np.isnan(one).any() and not beaten(one) for one in values]
    assert pareto_set(*values.T).tolist() == expected


def test_a_filter_lets_pass_what_it_says() -> None:
    task, listing = listed()
    choices = task.choices
    assert Filter().passes(listing, choices).all()
    met = Filter(verdicts=frozenset({"met"})).passes(listing, choices)
    np.testing.assert_array_equal(met, listing.verdict == MET)
    low, high = np.quantile(listing.objectives["mass"], [0.2, 0.6]).tolist()
    bound = Filter(bounds={"mass": (low, high)}).passes(listing, choices)
    inside = [low <= mass <= high for mass in listing.objectives["mass"]]
    assert bound.tolist() == inside
    text = Filter(text="ENCLOSED six-step").passes(listing, choices)
    for number in range(len(listing)):
        one = choices.candidate(number)
        assert text[number] == (one.variant == "enclosed" and one.commutation == "six-step")
    code = next(iter(listing.losers_by_reason()))
    for number in np.flatnonzero(Filter(reasons=frozenset({code})).passes(listing, choices)).tolist():
        assert listing.criteria[listing.reason()[number]].code == code


def test_a_filter_on_an_unknown_objective_is_refused() -> None:
    task, listing = listed()
    with pytest.raises(AmpturnError, match=r"one of smallest_margin, .* got price"):
        Filter(bounds={"price": (0.0, 1.0)}).passes(listing, task.choices)


def test_no_chunks_are_an_empty_list() -> None:
    empty = ListingInProgress().listing()
    assert len(empty) == 0
    assert empty.ranking().size == 0
    assert set(empty.objectives) == set(OBJECTIVES)
    assert empty.losers_by_reason() == {}
