"""Transmission: efficiency by the direction of power, exact splitting, balance of energy, findings."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad

from core.errors import InputRangeError
from core.numeric import FloatArray
from core.physics.gear_findings import gear_demand, gear_findings
from core.physics.linear_mechanisms import DrumWinch
from core.physics.mechanisms import load_terms
from core.physics.moves import Dwell, MoveBy, load_motion
from core.physics.transmission import (
    DIRECT,
    ShaftTimeline,
    Transmission,
    back_driving_torque,
    gear_work,
    shaft_timeline,
)

number = st.floats(-50.0, 50.0).map(lambda x: round(x, 3))
GEAR = Transmission(ratio=12.0, efficiency=0.8, drag_torque=0.004, input_inertia=2e-6)


def one_piece(speed: tuple[float, float], torque: tuple[float, float], gear: Transmission) -> ShaftTimeline:
    return shaft_timeline(np.array([0.0, 2.0]), np.array(speed), np.array([torque]), gear)


def test_power_turning_round_splits_where_the_torque_is_zero() -> None:
    line = one_piece((3.0, 3.0), (4.0, -1.0), Transmission(ratio=10.0, efficiency=0.8))
    assert line.duration.tolist() == pytest.approx([1.6, 0.4])
    # 4 / (10 * 0.8) going in, -1 * (2 - 1/0.8) / 10 coming back
    assert line.torque.ravel().tolist() == pytest.approx([0.5, 0.0, 0.0, -0.075])
    assert line.piece.tolist() == [0, 0]


def test_torque_and_speed_turning_round_give_three_parts() -> None:
    line = one_piece((-1.0, 3.0), (6.0, -2.0), Transmission(ratio=2.0, efficiency=0.5,
                                                           back_driving_efficiency=0.25))  # fmt: skip
    assert line.duration.tolist() == pytest.approx([0.5, 1.0, 0.5])
    assert line.speed.tolist() == [[-2.0, 0.0], [0.0, 4.0], [4.0, 6.0]]
    assert line.load_torque.tolist() == [[6.0, 4.0], [4.0, 0.0], [0.0, -2.0]]
    # back-driving 6/2*0.25, driving 4/2/0.5, back-driving -2/2*0.25: the torque jumps with the direction
    assert line.torque.tolist() == [[0.75, 0.5], [4.0, 0.0], [0.0, -0.25]]


def test_torque_and_speed_that_pass_zero_together_split_once() -> None:
    line = one_piece((-2.0, 6.0), (-1.0, 3.0), GEAR)
    assert line.piece.tolist() == [0, 0]
    assert line.duration.sum() == pytest.approx(2.0, rel=1e-15)


def test_friction_of_the_gear_helps_nothing_at_rest() -> None:
    line = one_piece((0.0, 0.0), (6.0, 6.0), GEAR)
    assert line.torque.tolist() == [[0.5, 0.5]]


def test_a_rest_that_is_not_held_asks_for_nothing() -> None:
    time, speed, torque = np.arange(3.0), np.zeros(3), np.full((2, 2), 6.0)
    line = shaft_timeline(time, speed, torque, GEAR, held=np.array([True, False]))
    assert line.torque.tolist() == [[0.5, 0.5], [0.0, 0.0]]


def test_self_locking_motor_drives_the_lowering() -> None:
    gear = Transmission(ratio=30.0, efficiency=0.4)  # 2 - 1/0.4 = -0.5
    assert gear.self_locking
    down = one_piece((-1.0, -1.0), (9.0, 9.0), gear)
    assert down.torque[0, 0] == pytest.approx(-0.15)
    assert (down.torque * down.speed > 0.0).all()
    assert back_driving_torque(gear) == math.inf


def test_negative_ratio_turns_everything_round() -> None:
    speed, torque = (-2.0, 5.0), (3.0, -4.0)
    one, other = one_piece(speed, torque, GEAR), one_piece(speed, torque, replace(GEAR, ratio=-12.0))
    assert np.array_equal(one.torque, -other.torque)
    assert np.array_equal(one.speed, -other.speed)
    assert np.array_equal(one.duration, other.duration)


def test_direct_drive_changes_nothing() -> None:
    line = one_piece((1.0, 5.0), (2.0, 3.0), DIRECT)
    assert line.torque.tolist() == [[2.0, 3.0]]
    assert line.speed.tolist() == [[1.0, 5.0]]


def loss_by_quadrature(speed: tuple[float, float], torque: tuple[float, float], gear: Transmission) -> float:
    """Integrate the heat in the gear from its definition, over 2 s."""

    def loss(x: float) -> float:
        w = speed[0] + (speed[1] - speed[0]) * x
        power = (torque[0] + (torque[1] - torque[0]) * x) * w
        share = 1.0 / gear.efficiency - 1.0 if power > 0.0 else gear.back_efficiency - 1.0
        return power * share + gear.drag_torque * abs(w * gear.ratio)

    roots = [a / (a - b) for a, b in (speed, torque) if a * b < 0.0]
    value, _ = quad(loss, 0.0, 1.0, points=sorted(roots) or None, epsabs=1e-12, epsrel=1e-12)
    return 2.0 * float(value)


@settings(max_examples=150, deadline=None)
@given(number, number, number, number, st.floats(0.3, 1.0), st.sampled_from([12.0, -7.0, 0.4]))
def test_input_less_output_work_is_the_loss(
    w0: float, w1: float, t0: float, t1: float, efficiency: float, ratio: float
) -> None:
    gear = replace(GEAR, efficiency=efficiency, ratio=ratio)
    if w0 == w1 == 0.0:
        return
    line = one_piece((w0, w1), (t0, t1), gear)
    work = gear_work(line, gear)
    scale = 1.0 + float(np.abs(work.at_input).sum() + np.abs(work.at_output).sum() + work.stored.sum())
    assert (work.loss >= -1e-12 * scale).all()
    assert work.loss.sum() == pytest.approx(loss_by_quadrature((w0, w1), (t0, t1), gear), abs=1e-9 * scale)
    assert line.duration.sum() == pytest.approx(2.0, rel=1e-12)
    assert (line.speed[:, 0] * line.speed[:, 1] >= 0.0).all()
    assert (line.load_torque[:, 0] * line.load_torque[:, 1] >= 0.0).all()


@settings(max_examples=60, deadline=None)
@given(number, number, number, number, st.sampled_from([12.0, -7.0, 0.4]))
def test_lossless_gear_keeps_power(w0: float, w1: float, t0: float, t1: float, ratio: float) -> None:
    line = one_piece((w0, w1), (t0, t1), Transmission(ratio=ratio))
    assert line.torque * line.speed == pytest.approx(line.load_torque * line.speed / ratio, abs=1e-9)


def random_motion(seed: int, pieces: int) -> tuple[FloatArray, FloatArray, FloatArray]:
    rng = np.random.default_rng(seed)
    time = np.concatenate(([0.0], np.cumsum(rng.uniform(0.1, 2.0, pieces))))
    return time, rng.normal(size=pieces + 1), rng.normal(size=(pieces, 2))


def test_many_pieces_equal_single_ones() -> None:
    time, speed, torque = random_motion(1, 60)
    whole = shaft_timeline(time, speed, torque, GEAR)
    for k in range(60):
        alone = shaft_timeline(time[k : k + 2], speed[k : k + 2], torque[k : k + 1], GEAR)
        mine = whole.piece == k
        assert whole.torque[mine] == pytest.approx(alone.torque)
        assert whole.duration[mine] == pytest.approx(alone.duration)


def test_closed_cycle_stores_nothing() -> None:
    time, speed, torque = random_motion(2, 40)
    speed[-1] = speed[0]
    work = gear_work(shaft_timeline(time, speed, torque, GEAR), GEAR)
    assert work.stored.sum() == pytest.approx(0.0, abs=1e-12)


def test_hoist_through_a_gear_loses_what_its_efficiencies_say() -> None:
    """5 kg, 0.4 m up, held, and down again: by hand (1/0.8 - 1 + 1 - 0.75) m g h is lost in the gear."""
    winch = DrumWinch(mass=5.0, drum_radius=0.05, inclination=0.5 * math.pi)
    cycle = load_motion([MoveBy(0.4, 1.5), Dwell(2.0), MoveBy(-0.4, 1.5), Dwell(1.0, held=False)])
    motion, terms, _ = load_terms(winch, cycle)
    gear = Transmission(ratio=20.0, efficiency=0.8)
    line = shaft_timeline(motion.time, motion.speed, terms.total, gear, motion.held)
    work = gear_work(line, gear)
    assert work.at_output.sum() == pytest.approx(0.0, abs=1e-9)
    assert work.at_input.sum() == pytest.approx(0.5 * 5.0 * 9.81 * 0.4, rel=1e-9)
    still = (line.speed == 0.0).all(axis=1)
    held = still & motion.held[line.piece]
    assert line.torque[held] == pytest.approx(5.0 * 9.81 * 0.05 / 20.0, rel=1e-9)
    assert (line.torque[still & ~held] == 0.0).all()
    assert line.duration[held].sum() == pytest.approx(2.0)


@pytest.mark.parametrize(
    ("change", "named"),
    [
        ({"ratio": 0.0}, "ratio"),
        ({"ratio": math.nan}, "ratio"),
        ({"efficiency": 0.0}, "efficiency"),
        ({"efficiency": 1.2}, "efficiency"),
        ({"back_driving_efficiency": 1.1}, "back-driving"),
        ({"back_driving_efficiency": math.nan}, "back-driving"),
        ({"drag_torque": -1.0}, "drag"),
        ({"input_inertia": math.inf}, "inertia"),
        ({"backlash": -0.1}, "backlash"),
        ({"continuous_torque": 0.0}, "continuous"),
        ({"largest_input_speed": -5.0}, "speed"),
    ],
)
def test_impossible_transmission_is_refused(change: dict[str, float], named: str) -> None:
    with pytest.raises(InputRangeError, match=named):
        Transmission(**change)


def test_bad_motion_is_refused() -> None:
    with pytest.raises(InputRangeError, match="duration"):
        shaft_timeline(np.array([0.0, 0.0]), np.zeros(2), np.zeros((1, 2)))
    with pytest.raises(InputRangeError, match="load torque"):
        shaft_timeline(np.array([0.0, 1.0]), np.zeros(2), np.full((1, 2), np.nan))
    with pytest.raises(InputRangeError, match="number of load torques"):
        shaft_timeline(np.array([0.0, 1.0]), np.zeros(2), np.zeros((2, 2)))


def codes(line: ShaftTimeline, gear: Transmission, **more: float) -> set[str]:
    return {finding.code for finding in gear_findings(line, gear, 1e-5, **more)}


def test_limits_are_found_with_their_piece() -> None:
    gear = Transmission(ratio=10.0, intermittent_torque=5.0, continuous_torque=3.0, largest_input_speed=40.0)
    time, speed = np.arange(3.0), np.array([1.0, 1.0, 5.0])
    line = shaft_timeline(time, speed, np.array([[6.0, 6.0], [1.0, 1.0]]), gear)
    found = {f.code: f for f in gear_findings(line, gear, 1e-5)}
    assert found["gear_intermittent_torque_exceeded"].segment == 0
    assert found["gear_input_speed_exceeded"].segment == 1
    assert found["gear_input_speed_exceeded"].values == {"value_rad_s": 50.0, "limit_rad_s": 40.0}
    # cubic mean by hand: ((1*216 + 3*1) / (1 + 3))^(1/3) = 3.797
    assert found["gear_continuous_torque_exceeded"].values["value_Nm"] == pytest.approx(54.75 ** (1 / 3))


def test_cubic_mean_of_a_torque_ramp() -> None:
    """At constant speed the cubic mean of 0..a is a 4^(-1/3)."""
    line = one_piece((2.0, 2.0), (0.0, 3.0), DIRECT)
    assert gear_demand(line).mean_torque == pytest.approx(3.0 / 4.0 ** (1.0 / 3.0))
    assert gear_demand(one_piece((0.0, 0.0), (0.0, 3.0), DIRECT)).mean_torque == pytest.approx(3.0**0.5)


def test_light_load_assumed_and_locking_findings() -> None:
    gear = Transmission(ratio=10.0, efficiency=0.7, continuous_torque=5.0)
    light = one_piece((1.0, 1.0), (0.5, 0.5), gear)
    assert codes(light, gear) == {"gear_light_load_efficiency"}
    assert codes(light, replace(gear, drag_torque=0.01)) == set()
    back = one_piece((-1.0, -1.0), (3.0, 3.0), gear)
    assert codes(back, gear) == {"gear_back_efficiency_assumed"}
    assert codes(back, replace(gear, back_driving_efficiency=0.6)) == set()
    assert codes(light, Transmission(ratio=10.0, efficiency=0.45)) == {"gear_self_locking"}


def test_rotor_inertia_that_dominates_is_named() -> None:
    gear = Transmission(ratio=10.0)  # 1e-5 * 100 = 1e-3 at the load
    line = one_piece((1.0, 1.0), (1.0, 1.0), gear)
    assert codes(line, gear, load_inertia=0.5e-3) == {"gear_rotor_inertia_dominates"}
    assert codes(line, gear, load_inertia=2e-3) == set()
    assert codes(line, DIRECT, load_inertia=0.0) == set()


def test_backlash_is_set_against_the_tolerance() -> None:
    gear = Transmission(ratio=10.0, backlash=2e-3)
    line = one_piece((1.0, 1.0), (1.0, 1.0), gear)
    assert codes(line, gear) == {"gear_backlash"}
    assert codes(line, gear, position_tolerance=3e-3) == {"gear_backlash"}
    assert codes(line, gear, position_tolerance=1e-3) == {"gear_backlash_exceeds_tolerance"}


def test_gear_that_is_hard_to_turn_from_the_load_is_named() -> None:
    gear = Transmission(ratio=50.0, continuous_torque=4.0, back_driving_efficiency=0.5, efficiency=0.9,
                        drag_torque=0.02)  # fmt: skip
    line = one_piece((1.0, 1.0), (3.0, 3.0), gear)  # 50 * (0.02 + 0.01) / 0.5 = 3 N m
    assert codes(line, gear, motor_drag=0.01) == {"gear_hard_to_back_drive"}
    assert codes(line, gear, motor_drag=0.0) == set()
