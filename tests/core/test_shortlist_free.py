"""Turns and ratio that are free: against a fine search with the single evaluation; exact scaling."""

from __future__ import annotations

import functools
from pathlib import Path

import numpy as np
import pytest
from msgspec.structs import replace

from core.catalogue.parts_file import load_demo_parts
from core.errors import AmpturnError, InputRangeError
from core.evaluate import evaluate_candidate
from core.evaluation.motor_model import motor_of
from core.physics.winding import rewound
from core.project.application import Application
from core.project.candidate import Candidate
from core.project.project_file import read_project
from core.shortlist.choices import Choices, choices_of
from core.shortlist.free_ratio import free_ratios, ratio_families, with_ratio
from core.shortlist.listing import Listing, ListingInProgress
from core.shortlist.runner import Task, run
from core.shortlist.special_winding import special_windings, winding_families, with_turns
from tests.core.projects import sheet_motor

SAMPLES = Path(__file__).parents[2] / "sample_projects"
DEMO = load_demo_parts()


@functools.cache
def listed(sample: str, torque: float = 1.0) -> tuple[Application, Choices, Listing]:
    project = read_project(SAMPLES / f"{sample}.json")
    duty = project.application.duty_cycle
    lighter = tuple(replace(one, shaft_torque=torque * one.shaft_torque) for one in duty)
    application = replace(project.application, duty_cycle=lighter)
    belts = tuple(one for one in DEMO.transmissions if not one.on_motor)
    parts = replace(DEMO, motors=(sheet_motor(),), drives=DEMO.drives[3:4], feedback=DEMO.feedback[:1],
                    transmissions=belts, brakes=(), designation=None)  # fmt: skip
    choices = choices_of([parts], application, project.chosen_candidate)
    found = ListingInProgress()
    for _, result in run(Task(application, choices)):
        found.add(result)
    return application, choices, found.listing()


def margin(application: Application, candidate: Candidate) -> tuple[int, float]:
    """Return what the best is chosen by, from the single evaluation."""
    margins = evaluate_candidate(application, candidate, 0).margins
    bad = sum(m.status != "met" for m in margins if m.required)
    above = [m.margin - m.target for m in margins if m.required and m.margin is not None]
    return -min(bad, 1), min(above)


@pytest.mark.parametrize("turns", [0.37, 1.0, 2.4])
def test_turns_scale_the_constants_as_rewinding_does(turns: float) -> None:
    application, choices, _ = listed("sample_carousel")
    candidate = choices.candidate(0)
    before, after = motor_of(application, candidate), motor_of(application, with_turns(candidate, turns))
    assert before is not None
    assert after is not None
    wanted = rewound(before.constants, turns)
    for name in ("back_emf_constant", "resistance", "inductance"):
        assert getattr(after.constants, name) == pytest.approx(getattr(wanted, name), rel=1e-12)


def test_the_turns_found_are_those_of_a_fine_search() -> None:
    application, choices, listing = listed("sample_carousel")
    number = winding_families(listing, choices, 1)
    (found,) = special_windings(application, choices, number, (0.01, 0.08))
    fine = [with_turns(found.listed, turns) for turns in np.geomspace(0.3, 3.0, 120).tolist()]
    best = max(margin(application, one) for one in fine)
    mine = margin(application, with_turns(found.listed, found.exact_factor))
    assert mine[0] == best[0]
    assert mine[1] >= best[1] - 1e-3
    assert found.best.smallest_margin == pytest.approx(mine[1], abs=1e-9)
    whole = found.listed.chosen_winding
    assert whole is not None
    if whole.turns_per_coil is not None:
        assert found.turns_factor * whole.turns_per_coil == pytest.approx(found.turns_per_coil, abs=1e-9)


def test_all_is_met_inside_the_range_of_torque_constants_and_not_beside_it() -> None:
    application, choices, listing = listed("sample_carousel", 0.4)
    found = next(
        iter(special_windings(application, choices, winding_families(listing, choices, 1), (0.005, 0.2)))
    )
    assert found.met is not None
    constant = found.torque_constant / found.turns_factor
    for factor, meets in ((1.01, True), (0.99, False)):
        low = with_turns(found.listed, found.met[0] * factor / constant)
        assert (margin(application, low)[0] == 0) == meets
        high = with_turns(found.listed, found.met[1] / factor / constant)
        assert (margin(application, high)[0] == 0) == meets


def test_the_ratio_found_is_that_of_a_fine_search() -> None:
    application, choices, listing = listed("museum_turntable")
    number = ratio_families(listing, choices, 1)
    (found,) = free_ratios(application, choices, number, (5.0, 200.0))
    fine = [with_ratio(found.listed, ratio) for ratio in np.geomspace(5.0, 200.0, 120).tolist()]
    best = max(margin(application, one) for one in fine)
    mine = margin(application, found.candidate)
    assert mine[0] == best[0]
    assert mine[1] >= best[1] - 1e-3


def test_what_cannot_be_free_is_refused() -> None:
    application, choices, listing = listed("sample_carousel")
    with pytest.raises(AmpturnError, match="needs the duty from a load"):
        next(free_ratios(application, choices, [0], (1.0, 2.0)))
    with pytest.raises(InputRangeError, match="upper end must be above"):
        next(special_windings(application, choices, [0], (0.02, 0.01)))
    with pytest.raises(InputRangeError, match="lower end must be positive"):
        next(special_windings(application, choices, [0], (0.0, 0.01)))
    assert len(winding_families(listing, choices, 3)) <= 3
