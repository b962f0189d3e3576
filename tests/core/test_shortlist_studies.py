"""The worst of candidates over conditions, against each condition evaluated alone."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest
from msgspec.structs import replace

from core.catalogue.parts_file import load_demo_parts
from core.errors import AmpturnError
from core.evaluate import evaluate_candidate
from core.project.application import Application
from core.shortlist.choices import choices_of
from core.shortlist.chunk_result import EXCLUDED, MET, MISSED, NOT_CHECKED
from core.shortlist.listing import Listing, ListingInProgress
from core.shortlist.runner import Task, run
from core.shortlist.studies import WorstCase, conditions, named_conditions, worst_case, worst_listing
from tests.core.projects import project, random_duty

RANK = {"met": 0, "not checked": 1, "missed": 2, "excluded": 3}


def listed(task: Task) -> Listing:
    found = ListingInProgress()
    for _, result in run(task):
        found.add(result)
    return found.listing()


def worst_status(task: Task, number: int) -> int:
    margins = evaluate_candidate(task.application, task.choices.candidate(number), 0).margins
    return max(RANK[margin.status] for margin in margins if margin.required)


def test_every_combination_of_conditions_is_there_and_the_rest_stays() -> None:
    application = project(*random_duty(4)).application
    made = conditions(application, ambients=(20.0, 60.0), lowest_voltages=(18.0, 21.0, 24.0))
    assert [(one.site.ambient, one.supply.lowest_voltage) for one in made] == [
        (20.0, 18.0), (20.0, 21.0), (20.0, 24.0), (60.0, 18.0), (60.0, 21.0), (60.0, 24.0),
    ]  # fmt: skip
    assert all(one.duty_cycle == application.duty_cycle for one in made)
    assert conditions(application) == (application,)


def test_the_worst_is_that_of_the_conditions_one_by_one() -> None:
    demo = load_demo_parts()
    few = replace(demo, motors=demo.motors[3:5], brakes=(), drives=demo.drives[:1], designation=None)
    base = project(*random_duty(4)).application
    tasks = [
        Task(one, choices_of([few], one))
        for one in conditions(base, ambients=(10.0, 40.0), lowest_voltages=(16.0, 24.0))
    ]  # fmt: skip
    listings = [listed(task) for task in tasks]
    for pair in ((0, 3), (3, 0), (1, 2), (0, 1, 3)):
        assert_worst([tasks[k] for k in pair], [listings[k] for k in pair])


def assert_worst(tasks: list[Task], listings: list[Listing]) -> None:
    found = worst_case(listings)
    margins = np.stack([one.objectives["smallest_margin"] for one in listings])
    for number in range(0, len(tasks[0].choices), 25):
        alone = [worst_status(task, number) for task in tasks]
        assert alone[found.condition[number]] == max(alone)
        equal = [k for k, rank in enumerate(alone) if rank == max(alone)]
        assert found.smallest_margin[number] == np.nanmin(margins[equal, number])
    assert sum(found.verdicts().values()) == len(tasks[0].choices)


def made_by_hand(verdict: list[int], margin: list[float]) -> Listing:
    empty = ListingInProgress().listing()
    objectives = {**empty.objectives, "smallest_margin": np.array(margin)}
    return dataclasses.replace(empty, verdict=np.array(verdict), objectives=objectives)


def test_the_verdict_decides_before_the_margin_and_the_earlier_condition_before_an_equal_one() -> None:
    one = made_by_hand([MET, MET, MISSED, MET, EXCLUDED], [0.1, 0.3, 0.2, 0.1, np.nan])
    other = made_by_hand([MET, MET, MET, NOT_CHECKED, MISSED], [0.2, 0.2, 0.1, np.nan, -9.0])
    found = worst_case([one, other])
    assert found.condition.tolist() == [0, 1, 0, 1, 0]
    assert found.verdict.tolist() == [MET, MET, MISSED, NOT_CHECKED, EXCLUDED]
    np.testing.assert_array_equal(found.smallest_margin, [0.1, 0.2, 0.2, np.nan, np.nan])
    assert worst_case([one, one]).condition.tolist() == [0] * 5


def test_listings_of_other_candidates_are_refused() -> None:
    empty = ListingInProgress().listing()
    application = Application()
    few = replace(load_demo_parts(), motors=load_demo_parts().motors[:1], designation=None)
    some = listed(Task(application, choices_of([few], application)))
    with pytest.raises(AmpturnError, match=f"got 0, {len(some)}"):
        worst_case([empty, some])
    with pytest.raises(AmpturnError, match="got none"):
        worst_case([])


def test_the_worst_list_has_each_candidate_under_its_worst_condition() -> None:
    demo = load_demo_parts()
    few = replace(demo, motors=demo.motors[3:5], brakes=(), drives=demo.drives[:1], designation=None)
    base = project(*random_duty(4)).application
    made = named_conditions([base], ambients=(10.0, 60.0), lowest_voltages=(16.0, 24.0))
    assert str(made[0].words).replace("\N{NO-BREAK SPACE}", " ") == "ambient 10.0 °C, lowest voltage 16.0 V"
    made = (made[0], made[3])  # cold on little voltage, warm on more
    listings = [listed(Task(one.application, choices_of([few], base))) for one in made]
    # as if every other one had its worst under the second condition
    turn = np.arange(len(listings[0])) % 2
    verdict = np.where(turn == 0, listings[0].verdict, listings[1].verdict)
    worst = WorstCase(turn, verdict, np.zeros(len(turn)))
    joint = worst_listing(listings, worst)
    np.testing.assert_array_equal(joint.verdict, verdict)
    for number in range(len(joint)):
        own = listings[worst.condition[number]]
        for kind in ("governing", "first"):
            one, other = getattr(joint, kind), getattr(own, kind)
            codes = (
                [*(each.code for each in joint.criteria), None],
                [*(each.code for each in own.criteria), None],
            )
            assert codes[0][one.column[number]] == codes[1][other.column[number]]
            np.testing.assert_equal(one.numbers["demand"][number], other.numbers["demand"][number])
        for name, values in joint.objectives.items():
            np.testing.assert_equal(values[number], own.objectives[name][number])


def test_duties_at_the_shaft_and_from_a_load_are_not_mixed() -> None:
    base = project(*random_duty(4)).application
    with pytest.raises(AmpturnError, match="all be given at the motor shaft or none"):
        named_conditions([base, replace(base, duty_from="load")])
