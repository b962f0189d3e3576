"""A duty derived from load, motion and transmission, against the same duty entered by hand."""

from __future__ import annotations

import numpy as np
import pytest
from msgspec.structs import replace

from core.errors import InputRangeError
from core.evaluate import evaluate
from core.evaluation.duty import as_segments, derived_duty, duty_trace
from core.evaluation.load_side import LoadDuty, load_duty
from core.evaluation.no_duty import NoDuty
from core.physics.rms_torque import rms_of_segments
from core.project import edits
from core.project.load import Load
from core.project.mechanism import BeltDrive, DirectRotaryLoad, DrumWinch, RotaryFriction
from core.project.motion import DwellStep, FrictionRange, MotionLimits, MoveStep, RampStep, RunStep
from core.project.project import Project
from core.project.transmission import Transmission
from core.results import DutyTrace
from tests.core.projects import candidate, project, segment

FLYWHEEL = Load(
    mechanism=DirectRotaryLoad(inertia=1e-4, steady_torque=0.0, friction=RotaryFriction(constant=0.01)),
    motion=(
        RampStep(end_speed=150.0, duration=0.3),
        RunStep(duration=0.5),
        RampStep(end_speed=0.0, duration=0.2),
        DwellStep(duration=1.0),
    ),
)


def with_load(load: Load, transmission: Transmission | None = None) -> Project:
    chosen = candidate(transmission=transmission)
    return edits.change_application(project(candidates=(chosen,)), duty_from="load", load=load)


def test_ramps_and_runs_give_the_torque_of_newton() -> None:
    result = evaluate(with_load(FLYWHEEL))
    duty = result.duty
    assert duty.names == ("accelerate", "run", "decelerate", "hold")
    torque = duty.shaft_torque.reshape(-1, 2).mean(axis=1)
    np.testing.assert_allclose(torque, [1e-4 * 500 + 0.01, 0.01, -1e-4 * 750 + 0.01, 0.0], atol=1e-12)
    np.testing.assert_allclose(duty.edges, [0.0, 0.3, 0.8, 1.0, 2.0])


def test_the_same_duty_by_hand_has_the_same_margins() -> None:
    derived = evaluate(with_load(FLYWHEEL)).candidates[0]
    by_hand = evaluate(
        project(
            segment(0.3, 0.06, 0.0, 150.0),
            segment(0.5, 0.01, 150.0),
            segment(0.2, -0.065, 150.0, 0.0),
            segment(1.0, 0.0, 0.0),
            candidates=(candidate(),),
        )
    ).candidates[0]
    for one, other in zip(derived.margins, by_hand.margins, strict=True):
        assert one.criterion == other.criterion
        if one.margin is not None:
            assert one.margin == pytest.approx(other.margin, abs=1e-9)


def test_a_transmission_reflects_torque_speed_and_inertia() -> None:
    gear = Transmission(ratio=5.0, efficiency=0.8, input_inertia=2e-6)
    derived = derived_duty(FLYWHEEL, gear)
    assert not isinstance(derived, NoDuty)
    torque = derived.trace.shaft_torque.reshape(-1, 2).mean(axis=1)
    assert torque[0] == pytest.approx(0.06 / 5.0 / 0.8 + 2e-6 * 2500.0)
    assert derived.trace.speed.max() == pytest.approx(750.0)
    result = evaluate(with_load(FLYWHEEL, transmission=gear)).candidates[0]
    speed = result.margin("gear_speed")
    assert speed is not None
    assert speed.status == "not checked"  # no limit is stated
    limited = replace(gear, largest_input_speed=1000.0, intermittent_torque=0.1)
    checked = evaluate(with_load(FLYWHEEL, transmission=limited)).candidates[0]
    margins = {code: checked.margin(code) for code in ("gear_speed", "gear_peak_torque")}
    assert margins["gear_speed"] is not None
    assert margins["gear_speed"].margin == pytest.approx(0.25)
    assert margins["gear_peak_torque"] is not None
    assert margins["gear_peak_torque"].margin == pytest.approx(1.0 - 0.065 / 0.1)


def test_detaching_keeps_heat_and_ends_and_the_way_back() -> None:
    hoist = Load(
        mechanism=DrumWinch(mass=0.5, drum_radius=0.015, inclination=np.pi / 2, efficiency=0.9),
        motion=(MoveStep(distance=0.4, duration=1.0, profile="cycloid"), DwellStep(duration=0.5),
                MoveStep(distance=-0.4, duration=1.2), DwellStep(duration=0.5)),
    )  # fmt: skip
    attached = with_load(hoist)
    duty = evaluate(attached).duty
    detached = edits.detach_duty(attached, as_segments(duty))
    assert len(detached.application.duty_cycle) == duty.edges.size - 1
    pieces = duty.shaft_torque.reshape(-1, 2)
    rms = rms_of_segments(np.diff(duty.time.reshape(-1, 2)).ravel(), pieces[:, 0], pieces[:, 1])
    copy = duty_trace(detached.application.duty_cycle)
    torque = copy.shaft_torque[::2]
    assert rms_of_segments(np.diff(copy.edges), torque, torque) == pytest.approx(rms, rel=1e-9)
    result = evaluate(detached)
    assert isinstance(result.ghost, DutyTrace)
    np.testing.assert_array_equal(result.ghost.shaft_torque, duty.shaft_torque)
    assert evaluate(edits.follow_load(detached)).ghost is None
    assert (
        evaluate(edits.follow_load(detached)).candidates[0].margins
        == evaluate(attached).candidates[0].margins
    )


def test_gravity_is_asked_for_and_held() -> None:
    lift = Load(
        mechanism=BeltDrive(mass=1.0, pulley_radius=0.02, inclination=np.pi / 2),
        motion=(MoveStep(distance=0.2, duration=0.5), DwellStep(duration=0.5),
                MoveStep(distance=-0.2, duration=0.5), DwellStep(duration=0.5, held=False)),
    )  # fmt: skip
    duty = load_duty(lift)
    assert isinstance(duty, LoadDuty)
    course = evaluate(with_load(lift)).load
    assert course is not None
    assert course.torque["gravity"].max() == pytest.approx(9.81 * 0.02, rel=1e-6)
    shaft = evaluate(with_load(lift)).duty
    held, released = (shaft.shaft_torque[shaft.segment == k] for k in (3, 7))
    np.testing.assert_allclose(held, 9.81 * 0.02, rtol=1e-6)
    np.testing.assert_allclose(released, 0.0)


def test_a_motion_that_does_not_fit_together_is_named_not_computed() -> None:
    open_end = replace(FLYWHEEL, motion=(RampStep(end_speed=150.0, duration=0.3), DwellStep(duration=1.0)))
    result = evaluate(with_load(open_end))
    assert "fits together" in result.candidates[0].missing[0]
    assert {m.status for m in result.candidates[0].margins if m.criterion == "torque_reserve"} == {
        "not checked"
    }
    assert (
        evaluate(with_load(replace(FLYWHEEL, motion=()))).candidates[0].missing[0] == "a motion of the load"
    )


def test_more_friction_costs_reserve() -> None:
    spread = replace(FLYWHEEL, friction_range=FrictionRange(low=0.5, high=3.0))
    low, usual, high = (load_duty(replace(spread, friction_factor=f)) for f in (0.5, 1.0, 3.0))
    peaks = [float(d.terms.total.max()) for d in (low, usual, high) if isinstance(d, LoadDuty)]
    assert peaks == pytest.approx([0.055, 0.06, 0.08])


def test_a_transmission_beside_entered_segments_is_said_to_be_unused() -> None:
    geared = candidate(transmission=Transmission(ratio=5.0))
    result = evaluate(project(segment(1.0, 0.02, 100.0), candidates=(geared,))).candidates[0]
    assert "transmission_not_used" in {finding.code for finding in result.findings}


def test_findings_about_a_step_or_a_torque_point_at_its_segment() -> None:
    up = MoveStep(distance=0.2, duration=1.0)
    down = MoveStep(distance=-0.2, duration=1.0)
    winch = Load(
        mechanism=DrumWinch(mass=1.0, drum_radius=0.02, inclination=0.5 * np.pi, resisting_force=1.0),
        motion=(up, DwellStep(duration=1.0), down, DwellStep(duration=1.0, held=False)),
        limits=MotionLimits(speed=0.25),
    )
    gear = Transmission(name="gear", ratio=10.0, efficiency=0.9, intermittent_torque=0.1)
    result = evaluate(with_load(winch, gear))
    # three segments of each move, one of each dwell; going up takes most torque while it accelerates
    assert result.duty.names[3] == "hold"
    assert len(result.duty.names) == 8
    found = {one.code: one for one in result.candidates[0].findings}
    assert found["released_under_gravity"].segment == 7
    assert found["gear_intermittent_torque_exceeded"].segment == 0
    fast = [one for one in result.candidates[0].findings if one.code == "move_exceeds_speed_limit"]
    assert [one.segment for one in fast] == [0, 4]
    # 0.2 m in 1 s by thirds: 1.5 times the mean speed
    assert str(fast[1].text) == "Step 3 of the motion reaches a speed of 0.300\xa0m/s, limit 0.250\xa0m/s."


def test_a_load_that_gravity_moves_is_a_caution_with_its_torques() -> None:
    winch = Load(
        mechanism=DrumWinch(mass=2.0, drum_radius=0.05, inclination=0.5 * np.pi, resisting_force=1.0),
        motion=(MoveStep(distance=0.2, duration=1.0), MoveStep(distance=-0.2, duration=1.0)),
    )
    caution = next(
        one
        for one in evaluate(with_load(winch)).candidates[0].cautions
        if one.code == "load_moves_without_power"
    )
    # 2 kg at 0.05 m: 0.981 N m with g = 9.81 m/s2
    assert caution.values["gravity_torque_Nm"] == pytest.approx(0.981, rel=1e-3)
    assert "brake" in str(caution.text)


def test_segments_that_are_not_the_duty_raise_no_caution() -> None:
    entered = project(segment(1.0, 0.05, 0.0), candidates=(candidate(),))
    assert "held_by_current" in {one.code for one in evaluate(entered).candidates[0].cautions}
    level = edits.change_application(entered, duty_from="load", load=FLYWHEEL)
    codes = {one.code for one in evaluate(level).candidates[0].cautions}
    assert not codes & {"held_by_current", "load_moves_without_power"}


def test_a_friction_range_upside_down_is_refused() -> None:
    with pytest.raises(InputRangeError, match="low friction factor must be at most the high one, 1, got 2"):
        FrictionRange(low=2.0, high=1.0)
