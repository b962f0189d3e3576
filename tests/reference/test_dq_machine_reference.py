"""Shorted winding and weakened field against the machine equations in time and a general optimiser."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.optimize import NonlinearConstraint, minimize

from core.physics.field_weakening import weakened_field, weakened_limit_torque
from core.physics.losses import SeriesPath, copper_loss
from core.physics.machine_constants import MachineConstants, phase_emf_fundamental, torque_constant
from core.physics.short_circuit import short_circuit, short_circuit_run_down

# k_e 0.030 V s/rad, 0.8 ohm and 0.35 mH line-line, 8 pole pairs
MACHINE = MachineConstants(0.030, 0.8, 0.35e-3, 8)
PATH = SeriesPath(lead_resistance=0.02, switch_resistance=0.01)
HOT, WARM = 105.0, 65.0
SHIFT = np.array([0.0, 2.0, 4.0]) * np.pi / 3.0

# resistance and EMF written out once more: 235 degC and -0.11 %/K
RESISTANCE = 0.5 * 0.8 * (235.0 + HOT) / (235.0 + 25.0) + 0.03
EMF = 0.030 / math.sqrt(3.0) * (1.0 - 0.0011 * (WARM - 25.0))
INDUCTANCE = 0.5 * 0.35e-3
PAIRS = 8


def phases(angle: float) -> np.ndarray:
    return np.sin(PAIRS * angle - SHIFT)


@pytest.mark.parametrize("speed", [30.0, 300.0, 1000.0])
def test_sudden_short_of_three_phases(speed: float) -> None:
    """Phase currents from rest at constant speed: steady amplitude, mean torque, highest vector."""

    def slope(t: float, i: np.ndarray) -> np.ndarray:
        return np.asarray((-EMF * speed * phases(speed * t) - RESISTANCE * i) / INDUCTANCE)

    turn = 2.0 * math.pi / (PAIRS * speed)
    settled = math.ceil(25.0 * INDUCTANCE / RESISTANCE / turn) * turn
    time = np.append(np.linspace(0.0, settled, 20_000), settled + np.linspace(0.0, turn, 722)[1:])
    span = (0.0, float(time[-1]))
    run = solve_ivp(slope, span, np.zeros(3), rtol=1e-9, atol=1e-9, t_eval=time, max_step=turn / 40)
    length = np.sqrt(2.0 / 3.0 * (run.y**2).sum(axis=0))  # of the current vector, as a phase peak
    last = run.y[:, -721:]
    torque = np.array([EMF * phases(speed * t) @ i for t, i in zip(run.t[-721:], last.T, strict=True)])
    short = short_circuit(MACHINE, speed, HOT, WARM, PATH)
    assert float(short.current) == pytest.approx(last.max(), rel=1e-4)
    assert float(short.current) == pytest.approx(length[-721:].mean(), rel=1e-6)
    assert float(short.torque) == pytest.approx(-torque.mean(), rel=1e-6)
    assert float(short.first_peak) == pytest.approx(length.max(), rel=1e-5)


def test_run_down_of_the_shorted_machine() -> None:
    """Equation of motion with the currents in rotor axes, which lag a little behind their steady state."""
    inertia, start, end = 2e-3, 900.0, 20.0

    def slope(t: float, y: np.ndarray) -> list[float]:
        w, i_d, i_q = y[1:]
        x = PAIRS * w * INDUCTANCE
        d = (-RESISTANCE * i_d + x * i_q) / INDUCTANCE
        q = (-RESISTANCE * i_q - x * i_d - EMF * w) / INDUCTANCE
        return [w, 1.5 * EMF * i_q / inertia, d, q]

    def slow(t: float, y: np.ndarray) -> float:
        return float(y[1]) - end

    slow.terminal = True  # type: ignore[attr-defined]
    # begin with the steady currents of the start, so that only the run-down is compared
    x = PAIRS * start * INDUCTANCE
    steady = -EMF * start * np.array([x, RESISTANCE]) / (RESISTANCE**2 + x**2)
    begin = np.concatenate([[0.0, start], steady])
    run = solve_ivp(slope, (0.0, 20.0), begin, method="LSODA", events=slow, rtol=1e-7, atol=1e-8)
    time, angle = short_circuit_run_down(MACHINE, inertia, start, end, HOT, WARM, PATH)
    # L/R is 0.3 ms, a thousandth of the run-down
    assert time == pytest.approx(run.t[-1], rel=2e-3)
    assert angle == pytest.approx(run.y[0, -1], rel=2e-3)


@pytest.mark.parametrize("torque", [0.05, -0.05, 0.0])
@pytest.mark.parametrize("speed", [900.0, 1300.0, -1300.0])
def test_weakened_currents_flow_under_their_voltage(torque: float, speed: float) -> None:
    """Feed the phases with the voltage of the point and integrate: the torque and the copper loss follow."""
    available = 13.0
    point = weakened_field(MACHINE, torque, speed, available, HOT, WARM, PATH)
    assert bool(point.reachable)
    assert float(point.voltage) <= available * (1.0 + 1e-9)
    # below zero speed the phase sequence is reversed and everything else is the same
    w, i_d, i_q = abs(speed), float(point.d_current), float(point.q_current)
    x = PAIRS * w * INDUCTANCE
    v_d, v_q = RESISTANCE * i_d - x * i_q, EMF * w + RESISTANCE * i_q + x * i_d
    assert math.hypot(v_d, v_q) == pytest.approx(float(point.voltage), rel=1e-9)

    def wave(t: float, d: float, q: float) -> np.ndarray:
        # the EMF, a sine, lies on the q axis; the d axis is where the magnets' flux links the phase
        return q * phases(w * t) - d * np.cos(PAIRS * w * t - SHIFT)

    def slope(t: float, y: np.ndarray) -> np.ndarray:
        i, e = y[:3], EMF * w * phases(w * t)
        return np.concatenate([(wave(t, v_d, v_q) - e - RESISTANCE * i) / INDUCTANCE, [e @ i, i @ i]])

    turn = 2.0 * math.pi / (PAIRS * w)
    settled = math.ceil(20.0 * INDUCTANCE / RESISTANCE / turn) * turn
    run = solve_ivp(
        slope,
        (0.0, settled + turn),
        np.zeros(5),
        rtol=1e-8,
        atol=1e-9,
        t_eval=[settled, settled + turn],
        max_step=turn / 40,
    )
    power, squares = (run.y[3:, 1] - run.y[3:, 0]) / turn
    assert power / w * math.copysign(1.0, speed) == pytest.approx(torque, rel=1e-5, abs=1e-6)
    winding = squares * (RESISTANCE - 0.03)
    plain = float(copper_loss(MACHINE, "sinusoidal", torque, HOT, WARM))
    assert winding == pytest.approx(plain + float(point.extra_copper_loss), rel=1e-5)


def voltage_at(w: float, i: np.ndarray) -> float:
    x = PAIRS * w * INDUCTANCE
    return math.hypot(RESISTANCE * i[0] - x * i[1], EMF * w + RESISTANCE * i[1] + x * i[0])


@pytest.mark.parametrize("limit", [6.0, 14.0, 60.0])
@pytest.mark.parametrize("speed", [100.0, 600.0, 800.0, 1000.0, 1500.0, 4000.0])
def test_limit_torque_against_a_numerical_optimum(speed: float, limit: float) -> None:
    """Largest i_q within both discs, from many starts by a general optimiser."""
    available, best = 13.0, -math.inf

    def up(i: np.ndarray) -> float:
        return float(-i[1])

    shares = NonlinearConstraint(
        lambda i: np.array([voltage_at(speed, i) / available, math.hypot(i[0], i[1]) / limit]), -math.inf, 1.0
    )
    for start in ([0.0, 0.0], [-0.5 * limit, 0.1], [-0.9 * limit, 0.0], [-EMF / INDUCTANCE / PAIRS, 0.0]):
        found = minimize(up, np.array(start), method="SLSQP", constraints=shares, tol=1e-12).x
        if max(voltage_at(speed, found) / available, math.hypot(*found) / limit) <= 1.0 + 1e-6:
            best = max(best, float(found[1]))
    expected = max(best, 0.0) * 1.5 * EMF
    torque = float(weakened_limit_torque(MACHINE, speed, available, limit, HOT, WARM, PATH))
    assert torque == pytest.approx(expected, rel=1e-5, abs=1e-9)


@pytest.mark.parametrize("torque", [0.0, 0.04, 0.1, -0.1])
def test_weakening_takes_the_least_current(torque: float) -> None:
    """Scan the current along the magnet axis: none smaller holds the voltage."""
    speed, available = 1000.0, 13.0
    point = weakened_field(MACHINE, torque, speed, available, HOT, WARM, PATH)
    i_q = torque / (1.5 * EMF)
    scan = -np.linspace(0.0, 60.0, 60_001)
    holds = np.array([voltage_at(speed, np.array([i_d, i_q])) <= available for i_d in scan])
    assert bool(point.reachable) == bool(holds.any())
    if holds.any():
        assert float(point.d_current) == pytest.approx(float(scan[holds.argmax()]), abs=0.0011)


def test_constants_written_out_here_are_those_of_the_machine() -> None:
    flux = 1.0 - 0.0011 * 40.0
    assert pytest.approx(phase_emf_fundamental(MACHINE) * flux) == EMF
    assert torque_constant(MACHINE, "sinusoidal") * flux == pytest.approx(1.5 * EMF)
