"""Fault facts: run-away, jam, run-down and wrong angles against integrated motion and closed forms."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from core.errors import InputRangeError
from core.numeric import FloatArray
from core.physics.drag import DragLaw, drag_torque
from core.physics.fault_facts import (
    frozen_angle_swing,
    locked_rotor_time,
    misaligned_torque,
    run_away,
    run_away_speed,
    run_down,
)
from core.physics.losses import SeriesPath
from core.physics.machine_constants import Commutation, MachineConstants
from core.physics.operating_heat import operating_heat
from core.physics.voltage import required_voltage
from tests.core.example_networks import CONSTANT_COPPER, one_node

MACHINE = MachineConstants(0.030, 0.8, 0.35e-3, 8)
DRAG = DragLaw(0.002, 6e-6, 2e-8, 1.8)
PATH = SeriesPath(0.02, 0.005)


@pytest.mark.parametrize("commutation", ["six-step", "sinusoidal"])
def test_run_away_speed_takes_the_whole_voltage_for_the_drag(commutation: Commutation) -> None:
    voltage = 24.0 if commutation == "six-step" else 13.8
    speed = run_away_speed(MACHINE, commutation, voltage, DRAG, 90.0, 70.0, PATH)
    needed = required_voltage(MACHINE, commutation, drag_torque(DRAG, speed), speed, 90.0, 70.0, PATH)
    assert float(needed) == pytest.approx(voltage, rel=1e-9)


def test_hot_magnets_run_faster_and_drag_holds_back() -> None:
    free = run_away_speed(MACHINE, "sinusoidal", 13.8, DragLaw(), 25.0, 25.0)
    assert free == pytest.approx(13.8 * math.sqrt(3.0) / 0.030, rel=1e-9)
    hot = run_away_speed(MACHINE, "sinusoidal", 13.8, DragLaw(), 25.0, 85.0)
    assert hot == pytest.approx(free / 0.934, rel=1e-9)
    assert run_away_speed(MACHINE, "sinusoidal", 13.8, DRAG, 25.0, 25.0) < free


def test_run_away_is_soonest_at_constant_torque() -> None:
    run = run_away(800.0, 0.4, 2e-4)
    assert run.time == pytest.approx(0.4)
    assert run.turns == pytest.approx(0.5 * 2000.0 * 0.4**2 / (2.0 * math.pi))
    assert run.energy == pytest.approx(0.4 * run.turns * 2.0 * math.pi)  # work of the torque
    assert run_away(0.0, 0.0, 2e-4).time == 0.0
    assert math.isinf(run_away(1.0, 0.0, 2e-4).time)


def test_locked_rotor_heats_the_worst_phase() -> None:
    """One node, constant resistance: the mean rises as tau, the worst phase carries twice the mean loss."""
    conductance, capacity, limit, torque = 0.5, 60.0, 155.0, 1.6
    heat = operating_heat(
        one_node(conductance, capacity),
        np.zeros(1),
        limit=np.array([limit]),
        copper_per_torque_squared=50.0,
        copper_law=CONSTANT_COPPER,
    )
    time = locked_rotor_time(heat, "sinusoidal", np.array([torque]), np.array([25.0]))
    # with a single node the phase shares nothing with its neighbours: twice the loss, the same constants
    final = 2.0 * 50.0 * torque**2 / conductance
    expected = -capacity / conductance * math.log(1.0 - (limit - 25.0) / final)
    assert float(time[0]) == pytest.approx(expected, rel=1e-6)


def integrated_run_down(friction: float, inertia: float, start: float, end: float) -> tuple[float, float]:
    def slope(t: float, y: FloatArray) -> list[float]:
        w = max(float(y[1]), 0.0)
        return [w, -(0.002 + 6e-6 * w + 2e-8 * w**1.8 + friction) / inertia]

    def stopped(t: float, y: FloatArray) -> float:
        return float(y[1]) - end

    stopped.terminal = True  # type: ignore[attr-defined]
    run = solve_ivp(slope, (0.0, 1e4), [0.0, start], events=stopped, rtol=1e-10, atol=1e-10)
    return float(run.t[-1]), float(run.y[0, -1])


@pytest.mark.parametrize(("start", "end"), [(700.0, 0.0), (700.0, 50.0), (20.0, 0.0)])
def test_run_down_against_the_equation_of_motion(start: float, end: float) -> None:
    time, angle = run_down(DRAG, 0.003, 1.5e-4, start, end)
    expected = integrated_run_down(0.003, 1.5e-4, start, end)
    assert (time, angle) == pytest.approx(expected, rel=1e-7)


@pytest.mark.parametrize("friction", [1e-2, 1e-5, 1e-8])
def test_run_down_keeps_its_digits_with_little_friction(friction: float) -> None:
    """Closed form for friction and linear drag, c w at the start 1e-2 N m; the promise is 1e-5."""
    c, inertia, start = 2e-5, 1e-4, 500.0
    time, angle = run_down(DragLaw(linear=c), friction, inertia, start)
    expected = inertia / c * math.log1p(c * start / friction)
    assert time == pytest.approx(expected, rel=1e-5)
    assert angle == pytest.approx(inertia / c * start - friction / c * expected, rel=1e-5)


def test_run_down_without_dry_friction_never_ends() -> None:
    assert run_down(DragLaw(linear=1e-5), 0.0, 1e-4, 100.0) == (math.inf, math.inf)
    time, angle = run_down(DragLaw(linear=1e-5), 0.0, 1e-4, 100.0, 50.0)
    assert time == pytest.approx(10.0 * math.log(2.0))
    assert angle == pytest.approx(500.0)
    assert run_down(DragLaw(), 0.0, 1e-4, 0.0) == (0.0, 0.0)


def test_misaligned_current_makes_the_cosine_of_its_torque() -> None:
    """Power of three sine EMFs with currents that lag by the error, over a turn."""
    angle = np.linspace(0.0, 2.0 * np.pi, 361)[:-1]
    shift = np.array([0.0, 2.0, 4.0])[:, None] * np.pi / 3.0
    for error in (0.0, 0.4, 1.5, 2.5, math.pi):
        power = (np.sin(angle - shift) * np.sin(angle - shift - error)).sum(axis=0).mean() / 1.5
        assert float(misaligned_torque(1.0, error)) == pytest.approx(power, abs=1e-12)


def test_frozen_angle_swings_like_a_pendulum() -> None:
    torque, pairs, inertia = 0.3, 7, 4e-5
    angle, speed = frozen_angle_swing(torque, pairs, inertia)
    run = solve_ivp(
        lambda t, y: [y[1], torque * math.sin(pairs * y[0]) / inertia],
        (0.0, 0.3),
        [1e-3 / pairs, 0.0],  # a hair from the upper balance
        rtol=1e-9,
        atol=1e-12,
        max_step=1e-4,
    )
    assert run.y[0].max() == pytest.approx(angle, rel=1e-3)
    assert run.y[1].max() == pytest.approx(speed, rel=1e-5)


@pytest.mark.parametrize(
    ("call", "name"),
    [
        (lambda: run_away_speed(MACHINE, "six-step", 0.0, DRAG, 25.0, 25.0), "voltage"),
        (lambda: run_away(-1.0, 1.0, 1e-4), "speed"),
        (lambda: run_away(1.0, 1.0, 0.0), "inertia"),
        (lambda: run_down(DRAG, -1.0, 1e-4, 10.0), "load friction"),
        (lambda: run_down(DRAG, 0.0, 1e-4, 10.0, 20.0), "start speed"),
        (lambda: run_down(DRAG, 0.0, 1e-4, math.inf), "start speed"),
        (lambda: frozen_angle_swing(1.0, 0, 1e-4), "pole pairs"),
    ],
)
def test_bad_input_is_refused(call: object, name: str) -> None:
    with pytest.raises(InputRangeError, match=name):
        call()  # type: ignore[operator]
