"""Slow running in an evaluation: swing by cogging against the small-swing formula, loop, unpowered shaft."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import pytest
from msgspec.structs import replace

from core.evaluate import evaluate
from core.evaluation.duty import DerivedDuty, derived_duty
from core.project.application import Requirements
from core.project.feedback import MotionQuality
from core.project.project import Project
from core.project.project_file import read_project
from core.project.transmission import Transmission
from core.results import CandidateResult, Margin
from tests.core.projects import candidate, project, segment

SAMPLES = Path(__file__).parents[2] / "sample_projects"
COGGING, INERTIA, PERIODS = 2.7e-3, 5e-5, 48  # 12 slots and 16 poles: their least common multiple


def asked(one: Project, motion: MotionQuality) -> Project:
    return replace(one, application=replace(one.application, requirements=Requirements(motion=motion)))


def slowly(motion: MotionQuality, transmission: Transmission | None = None, **motor: Any) -> CandidateResult:
    frame = candidate().motor
    assert frame is not None
    variants = tuple(replace(one, rotor_inertia=INERTIA) for one in frame.variants)
    known = replace(frame, cogging_torque=COGGING, slots=12, variants=variants)
    one = candidate(motor=replace(known, **motor), transmission=transmission)
    return evaluate(asked(project(segment(10.0, 0.02, 100.0), candidates=(one,)), motion)).candidates[0]


def smooth(result: CandidateResult) -> Margin:
    found = result.margin("smooth_running")
    assert found is not None
    return found


def small_swing(inertia: float, speed: float) -> float:
    """Return highest less lowest speed over the mean: 2 T / (J n w^2), first principles, small swings."""
    return 2.0 * COGGING / (inertia * PERIODS * speed**2)


def test_swing_of_the_rotor_alone() -> None:
    row = smooth(slowly(MotionQuality(lowest_speed=20.0, speed_ripple=0.01)))
    assert row.demand == pytest.approx(small_swing(INERTIA, 20.0), rel=1e-3)
    assert row.limit == 0.01
    assert row.status == "met"
    assert "rotor alone" in str(row.equation)


def test_gear_makes_the_motor_faster_and_adds_its_inertia() -> None:
    gear = Transmission(ratio=5.0, input_inertia=1e-5)
    row = smooth(slowly(MotionQuality(lowest_speed=4.0, speed_ripple=0.01), gear))
    assert row.demand == pytest.approx(small_swing(INERTIA + 1e-5, 20.0), rel=1e-3)


def test_lowest_smooth_speed_is_where_the_margin_ends() -> None:
    lowest = math.sqrt(2.0 * COGGING / (INERTIA * PERIODS * 0.01))  # of a small swing
    just = smooth(slowly(MotionQuality(lowest_speed=1.01 * lowest, speed_ripple=0.01)))
    below = smooth(slowly(MotionQuality(lowest_speed=0.99 * lowest, speed_ripple=0.01)))
    assert (just.status, below.status) == ("met", "missed")


def test_a_loop_faster_than_the_cogging_makes_it_a_wish() -> None:
    frequency = PERIODS * 5.0 / (2.0 * math.pi)  # 38.2 Hz
    motion = MotionQuality(lowest_speed=5.0, speed_ripple=0.001)
    alone = smooth(slowly(motion))
    slower = smooth(slowly(replace(motion, loop_bandwidth=0.9 * frequency)))
    faster = smooth(slowly(replace(motion, loop_bandwidth=1.1 * frequency)))
    assert alone.status == slower.status == faster.status == "missed"
    assert (alone.required, slower.required, faster.required) == (True, True, False)
    assert "does not help" in str(slower.why)
    assert "evens out part" in str(faster.why)


def test_the_inertia_of_a_load_smooths() -> None:
    sample = read_project(SAMPLES / "museum_turntable.json")
    one = asked(sample, MotionQuality(lowest_speed=0.05, speed_ripple=0.5))
    row = smooth(evaluate(one).candidates[0])
    assert "rotor and load" in str(row.equation)
    first = one.candidates[0]
    derived = derived_duty(one.application.load, first.transmission)
    assert isinstance(derived, DerivedDuty)
    assert first.motor is not None
    assert first.transmission is not None
    load = float(derived.load.terms.inertia.min()) / first.transmission.ratio**2
    total = first.rotor_inertia + first.transmission.input_inertia + load
    speed = 0.05 * first.transmission.ratio
    # 9 slots, 10 poles: 90 periods a turn
    swing = 2.0 * (first.motor.cogging_torque or 0.0) / (total * 90 * speed**2)
    assert row.demand == pytest.approx(swing, rel=0.02)


def test_what_is_missing_is_named_and_what_is_not_asked_is_silent() -> None:
    motion = MotionQuality(lowest_speed=5.0, speed_ripple=0.01)
    for field, words in (("cogging_torque", "cogging torque"), ("slots", "number of slots")):
        row = smooth(slowly(motion, **{field: None}))
        assert row.status == "not checked"
        assert words in str(row.why)
    assert slowly(MotionQuality()).margin("smooth_running") is None


def test_without_a_wanted_ripple_the_swing_is_a_note() -> None:
    result = slowly(MotionQuality(lowest_speed=20.0))
    assert result.margin("smooth_running") is None
    note = next(one for one in result.findings if one.code == "low_speed_swing")
    assert note.values["speed_ripple"] == pytest.approx(small_swing(INERTIA, 20.0), rel=1e-3)
    assert note.values["cogging_Hz"] == pytest.approx(PERIODS * 20.0 / (2.0 * math.pi))


def test_torque_that_turns_the_shaft_without_power() -> None:
    frame = candidate().motor
    assert frame is not None
    variants = tuple(replace(one, no_load=()) for one in frame.variants)  # no drag at all
    note = next(
        one
        for one in slowly(MotionQuality(), variants=variants).findings
        if one.code == "torque_to_turn_unpowered"
    )
    assert note.values["turning_torque_Nm"] == pytest.approx(COGGING)
    assert note.values["rest_positions"] == PERIODS
