"""The brake: drop and stop against the integrated equation of motion, holding, heat."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from core.errors import InputRangeError
from core.physics.brake import brake_stop, coil_heat, holding_brake_torque, stops_per_hour


def integrated_stop(
    brake: float, load: float, inertia: float, speed: float, delay: float
) -> tuple[float, float, float, float, float]:
    """Integrate fall and stop: angle and speed after the delay, further angle, time, work of the brake."""
    falling = solve_ivp(
        lambda t, y: [y[1], load / inertia], (0.0, delay), [0.0, speed], rtol=1e-10, atol=1e-12
    )
    angle, engaged = falling.y[:, -1]
    sign = math.copysign(1.0, engaged)

    def standstill(t: float, y: np.ndarray) -> float:
        return float(y[1])

    standstill.terminal = True  # type: ignore[attr-defined]
    standstill.direction = -sign  # type: ignore[attr-defined]
    braked = solve_ivp(
        lambda t, y: [y[1], (load - sign * brake) / inertia, brake * abs(y[1])],
        (0.0, 100.0),
        [0.0, engaged, 0.0],
        events=standstill,
        rtol=1e-10,
        atol=1e-12,
    )
    assert braked.status == 1
    return angle, engaged, braked.y[0, -1], braked.t[-1], braked.y[2, -1]


@pytest.mark.parametrize(
    ("brake", "load", "speed", "delay"),
    [
        (0.6, 0.25, 0.0, 0.040),  # held load, power lost
        (0.6, 0.25, 150.0, 0.040),  # while it is lowered
        (0.6, 0.25, -150.0, 0.040),  # while it is lifted
        (0.6, 0.25, -5.0, 0.040),  # lifted slowly: it turns round during the delay
        (0.6, 0.0, 300.0, 0.025),  # level axis
    ],
)
def test_stop_against_the_equation_of_motion(brake: float, load: float, speed: float, delay: float) -> None:
    inertia = 4e-4
    stop = brake_stop(brake, load, inertia, speed, delay)
    angle, engaged, further, time, work = integrated_stop(brake, load, inertia, speed, delay)
    assert float(stop.delay_angle) == pytest.approx(angle, rel=1e-6)
    assert float(stop.engaged_speed) == pytest.approx(engaged, rel=1e-6)
    assert float(stop.brake_angle) == pytest.approx(further, rel=1e-6)
    assert float(stop.angle) == pytest.approx(angle + further, rel=1e-6)
    assert float(stop.brake_time) == pytest.approx(time, rel=1e-6)
    assert float(stop.brake_energy) == pytest.approx(work, rel=1e-6)


def test_drop_is_half_g_t_squared() -> None:
    """A mass on a drum without any other inertia falls freely: 50 ms, 12.3 mm."""
    mass, radius, delay = 2.0, 0.03, 0.050
    stop = brake_stop(5.0, mass * 9.81 * radius, mass * radius**2, 0.0, delay)
    assert float(stop.delay_angle) * radius == pytest.approx(0.5 * 9.81 * delay**2)
    assert float(stop.engaged_speed) * radius == pytest.approx(9.81 * delay)


def test_brake_takes_kinetic_energy_and_the_work_of_gravity() -> None:
    stop = brake_stop(0.5, 0.2, 1e-3, np.array([-50.0, 50.0]), 0.0)
    kinetic = 0.5 * 1e-3 * 50.0**2
    assert stop.brake_energy == pytest.approx(kinetic + 0.2 * stop.brake_angle)
    assert stop.brake_energy[0] < kinetic < stop.brake_energy[1]


@pytest.mark.parametrize("speed", [-100.0, 0.0, 100.0])
def test_brake_weaker_than_the_load_never_stops_it(speed: float) -> None:
    stop = brake_stop(0.19, 0.2, 1e-3, speed)
    assert math.isinf(float(stop.brake_angle))
    assert math.isinf(float(stop.brake_energy))
    assert float(stops_per_hour(stop.brake_energy, 5.0)) == 0.0


def test_a_brake_that_just_holds_keeps_a_load_at_rest() -> None:
    stop = brake_stop(0.2, 0.2, 1e-3, np.array([0.0, 1.0]))
    assert stop.brake_angle.tolist() == [0.0, math.inf]
    assert stop.brake_energy.tolist() == [0.0, math.inf]


def test_holding_torque_takes_no_credit_for_a_gear() -> None:
    assert float(holding_brake_torque(-30.0, ratio=-15.0, factor=1.5)) == pytest.approx(3.0)


def test_coil_heat_follows_the_voltage() -> None:
    times = np.array([0.0, 0.2, 10.0])
    heat = coil_heat(8.0, times, pull_in_time=0.5, hold_voltage_share=0.5)
    assert heat.tolist() == pytest.approx([0.0, 1.6, 23.0])
    assert coil_heat(8.0, 10.0) == pytest.approx(80.0)


def test_stops_per_hour() -> None:
    assert stops_per_hour(np.array([0.0, 60.0]), 2.0).tolist() == [math.inf, 120.0]


@pytest.mark.parametrize(
    ("call", "name"),
    [
        (lambda: brake_stop(-1.0, 0.1, 1e-3, 0.0), "brake torque"),
        (lambda: brake_stop(1.0, -0.1, 1e-3, 0.0), "load torque"),
        (lambda: brake_stop(1.0, 0.1, 0.0, 0.0), "inertia"),
        (lambda: brake_stop(1.0, 0.1, 1e-3, math.nan), "speed"),
        (lambda: brake_stop(1.0, 0.1, 1e-3, 0.0, -0.1), "engage delay"),
        (lambda: holding_brake_torque(1.0, 0.0), "ratio"),
        (lambda: holding_brake_torque(1.0, 1.0, 0.9), "factor"),
        (lambda: stops_per_hour(1.0, 0.0), "heat power"),
        (lambda: coil_heat(8.0, 1.0, hold_voltage_share=1.1), "hold voltage share"),
    ],
)
def test_bad_input_is_refused(call: object, name: str) -> None:
    with pytest.raises(InputRangeError, match=name):
        call()  # type: ignore[operator]
