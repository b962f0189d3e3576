"""The samples whose duty is derived tell the story they were made for; torques worked out by hand beside."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

from core.catalogue.demo_loads import CART, TURNTABLE, WINCH
from core.evaluate import evaluate
from core.project.project_file import read_project
from core.results import CandidateResult, LoadCourse, Result

FOLDER = Path(__file__).resolve().parents[2] / "sample_projects"
NAMES = (WINCH, TURNTABLE, CART)
GRAVITY = 9.81  # rounded, as the load equations take it [m/s2]


def result_of(name: str) -> Result:
    return evaluate(read_project(FOLDER / name))


def by_variant(result: Result) -> tuple[CandidateResult, CandidateResult]:
    """Return the open and the enclosed candidate."""
    variants = [candidate.variant for candidate in result.project.candidates]
    found = dict(zip(variants, result.candidates, strict=True))
    return found["open rotor"], found["enclosed"]


def statuses(candidate: CandidateResult) -> dict[str, str]:
    return {margin.criterion: margin.status for margin in candidate.margins}


def course(result: Result) -> LoadCourse:
    assert result.load is not None
    return result.load


def codes(candidate: CandidateResult) -> set[str]:
    return {finding.code for finding in candidate.findings}


@pytest.mark.parametrize("name", NAMES)
def test_the_duty_is_derived_and_the_chosen_candidate_meets_every_target(name: str) -> None:
    result = result_of(name)
    assert result.project.application.duty_from == "load"
    assert result.project.application.duty_cycle == ()
    chosen = result.chosen_candidate
    assert chosen is not None
    assert set(statuses(chosen).values()) == {"met"}
    assert chosen.governing is not None
    assert chosen.governing.above_target is not None
    # neither on the edge nor a motor several sizes too large
    assert 0.0 < chosen.governing.above_target < 0.25


@pytest.mark.parametrize("name", NAMES)
def test_the_payload_comes_back_to_where_it_began(name: str) -> None:
    load = course(result_of(name))
    way = load.position[-1] - load.position[0]
    turn = 2.0 * math.pi  # a turntable is where it was after a whole turn
    assert way == pytest.approx(0.0 if load.linear else turn, abs=1e-9)


@pytest.mark.parametrize("name", NAMES)
def test_the_ratio_is_one_that_can_be_had(name: str) -> None:
    for candidate in read_project(FOLDER / name).candidates:
        assert candidate.transmission is not None
        assert candidate.transmission.ratio in candidate.transmission.available_ratios


def test_the_winch_hauls_holds_and_lowers_against_gravity() -> None:
    result = result_of(WINCH)
    load = course(result)
    gravity = load.torque["gravity"][load.segment <= 6]
    np.testing.assert_allclose(gravity, 2.8 * GRAVITY * 0.030, rtol=1e-12)  # all the way, at rest too
    # hauling: 2.4 m in 8 s, 15 % of the time each for speeding up and slowing down
    hauling = load.speed.max()
    assert hauling == pytest.approx(2.4 / (8.0 * 0.85), rel=1e-9)
    chosen = result.chosen_candidate
    assert chosen is not None
    assert chosen.duty is not None
    run = np.flatnonzero(chosen.duty.segment == 5)
    at_drum = (2.8 * GRAVITY + 1.5) * 0.030 / 0.94
    at_shaft = at_drum / (18.0 * 0.82) + 1.5e-3
    np.testing.assert_allclose(chosen.duty.shaft_torque[run], at_shaft, rtol=1e-6)
    assert {"gravity_dominates", "released_under_gravity", "load_returns_energy"} <= codes(chosen)


def test_at_the_tide_pool_the_open_rotor_carries_the_load_and_is_ruled_out() -> None:
    result = result_of(WINCH)
    bare, closed = by_variant(result)
    assert result.chosen_candidate is closed
    assert {key for key, status in statuses(bare).items() if status != "met"} == {
        "liquid",
        "reach_of_fingers",
    }
    assert set(statuses(closed).values()) == {"met"}


def test_in_the_museum_only_the_open_rotor_is_flat_enough() -> None:
    result = result_of(TURNTABLE)
    bare, closed = by_variant(result)
    assert result.chosen_candidate is bare
    assert {key for key, status in statuses(closed).items() if status != "met"} == {"length"}
    assert set(statuses(bare).values()) == {"met"}


def test_the_leaning_turntable_feels_its_figure() -> None:
    load = course(result_of(TURNTABLE))
    # 6 kg, 140 mm off an axis that leans by 12 degrees; it peaks a quarter of a turn from the lowest place
    peak = 6.0 * GRAVITY * 0.140 * math.sin(math.radians(12.0))
    assert np.abs(load.torque["gravity"]).max() == pytest.approx(peak, rel=2e-3)
    held = load.torque["gravity"][load.segment == 2]
    np.testing.assert_allclose(held, 0.0, atol=1e-9)  # it rests where gravity asks for nothing
    # half a turn in 6 s on the 3-4-5 polynomial, whose speed factor is 15/8 (from its derivative)
    assert load.speed.max() == pytest.approx(1.875 * math.pi / 6.0, rel=1e-3)


def test_the_cart_climbs_and_brakes_on_the_way_down() -> None:
    result = result_of(CART)
    load = course(result)
    slope = math.atan(0.03)
    per_wheel = 0.10 / 2.0  # radius over driven wheels
    climb = 85.0 * GRAVITY * math.sin(slope) * per_wheel
    roll = 0.025 * 85.0 * GRAVITY * math.cos(slope) * per_wheel
    up, down = load.segment == 1, load.segment == 5
    np.testing.assert_allclose(load.torque["gravity"][up], climb, rtol=1e-12)
    np.testing.assert_allclose(load.torque["friction"][up], roll, rtol=1e-12)
    np.testing.assert_allclose(load.torque["friction"][down], -roll, rtol=1e-12)
    assert not load.torque["process"].any()  # too slow for air to matter
    bare, closed = by_variant(result)
    assert result.chosen_candidate is closed
    excluded = {key for key, status in statuses(bare).items() if status == "excluded"}
    assert excluded == {"dust", "liquid", "reach_of_fingers"}
    assert closed.supply is not None
    assert closed.supply.energy_back > 0.0
