"""Field weakening: where it begins and ends, agreement with the plain voltage limit, bad input."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.errors import InputRangeError
from core.physics.drag import DragLaw, drag_torque
from core.physics.field_weakening import (
    emf_without_drive,
    largest_weakened_speed,
    weakened_field,
    weakened_limit_torque,
)
from core.physics.losses import SeriesPath
from core.physics.machine_constants import MachineConstants, torque_constant
from core.physics.voltage import required_voltage, voltage_limit_torque

MACHINE = MachineConstants(0.030, 0.8, 0.35e-3, 8)
DIODES = SeriesPath(0.01, 0.0, device_drop=1.2)
AVAILABLE = 13.0


@given(st.floats(-0.3, 0.3), st.floats(0.0, 700.0))
def test_no_current_against_the_magnets_where_the_voltage_suffices(torque: float, speed: float) -> None:
    plain = float(required_voltage(MACHINE, "sinusoidal", torque, speed, 80.0, 60.0, DIODES))
    point = weakened_field(MACHINE, torque, speed, AVAILABLE, 80.0, 60.0, DIODES)
    if plain < AVAILABLE * (1.0 - 1e-9):
        assert float(point.d_current) == 0.0
        assert float(point.voltage) == pytest.approx(plain, rel=1e-12)
        assert float(point.extra_copper_loss) == 0.0
    elif bool(point.reachable):
        assert float(point.d_current) <= 0.0
        assert float(point.voltage) == pytest.approx(AVAILABLE, rel=1e-9)


@pytest.mark.parametrize("speed", [10.0, 300.0, 600.0])
def test_weakening_never_costs_torque(speed: float) -> None:
    plain = float(voltage_limit_torque(MACHINE, "sinusoidal", speed, AVAILABLE, 80.0, 60.0, DIODES))
    weakened = float(weakened_limit_torque(MACHINE, speed, AVAILABLE, math.inf, 80.0, 60.0, DIODES))
    assert weakened >= plain * (1.0 - 1e-12)


@pytest.mark.parametrize("speed", [50.0, 700.0, 1200.0, 2500.0])
@pytest.mark.parametrize("limit", [8.0, 30.0, math.inf])
def test_limit_torque_is_the_last_reachable_one(speed: float, limit: float) -> None:
    torque = float(weakened_limit_torque(MACHINE, speed, AVAILABLE, limit, 80.0, 60.0, DIODES))
    if torque == 0.0:
        return
    inside, beyond = (
        weakened_field(MACHINE, torque * factor, speed, AVAILABLE, 80.0, 60.0, DIODES)
        for factor in (1.0 - 1e-7, 1.0 + 1e-7)
    )
    assert bool(inside.reachable)
    assert float(inside.current) <= limit * (1.0 + 1e-6)
    assert not bool(beyond.reachable) or float(beyond.current) > limit


def test_torque_at_rest_is_that_of_the_current_limit_or_the_resistance() -> None:
    k_t = torque_constant(MACHINE, "sinusoidal")
    assert float(weakened_limit_torque(MACHINE, 0.0, AVAILABLE, 5.0, 25.0, 25.0)) == pytest.approx(5.0 * k_t)
    stalled = float(weakened_limit_torque(MACHINE, 0.0, AVAILABLE, math.inf, 25.0, 25.0))
    assert stalled == pytest.approx(AVAILABLE / 0.4 * k_t)
    assert not bool(weakened_field(MACHINE, 1.01 * stalled, 0.0, AVAILABLE, 25.0, 25.0).reachable)


def test_largest_speed_lies_where_the_torque_ends() -> None:
    """Lossless: E = v + X I gives w = v/(psi' - p L I) with EMF per rad/s psi' = 0.030/sqrt3."""
    lossless = MachineConstants(0.030, 1e-9, 0.35e-3, 8)
    current = 6.0
    expected = AVAILABLE / (0.030 / math.sqrt(3.0) - 8 * 0.175e-3 * current)
    speed = largest_weakened_speed(lossless, AVAILABLE, current, 25.0, 25.0, 5000.0)
    assert speed == pytest.approx(expected, rel=1e-6)


def test_drag_ends_the_speed_sooner() -> None:
    drag = DragLaw(0.004, 8e-6)
    speed = largest_weakened_speed(MACHINE, AVAILABLE, 8.0, 25.0, 25.0, 5000.0, drag)
    left = float(weakened_limit_torque(MACHINE, speed, AVAILABLE, 8.0, 25.0, 25.0))
    assert left == pytest.approx(float(drag_torque(drag, speed)), rel=1e-6)
    assert speed < largest_weakened_speed(MACHINE, AVAILABLE, 8.0, 25.0, 25.0, 5000.0)


def test_current_above_the_short_circuit_current_holds_any_speed() -> None:
    characteristic = 0.030 / math.sqrt(3.0) / (8 * 0.175e-3)  # psi/L, 12.4 A
    limit = 20_000.0
    assert largest_weakened_speed(MACHINE, AVAILABLE, 1.05 * characteristic, 25.0, 25.0, limit) == limit
    assert largest_weakened_speed(MACHINE, AVAILABLE, 0.9 * characteristic, 25.0, 25.0, limit) < limit


def test_unreachable_point_shows_the_current_of_the_lowest_voltage() -> None:
    point = weakened_field(MACHINE, 0.3, 3000.0, AVAILABLE, 25.0, 25.0)
    assert not bool(point.reachable)
    assert float(point.voltage) > AVAILABLE
    k, x, r = 0.030 / math.sqrt(3.0), 8 * 3000.0 * 0.175e-3, 0.4
    i_q = float(point.q_current)
    scan = np.linspace(-20.0, 0.0, 20_001)
    volts = np.hypot(r * scan - x * i_q, k * 3000.0 + r * i_q + x * scan)
    assert float(point.d_current) == pytest.approx(float(scan[volts.argmin()]), abs=1e-3)


def test_cold_magnets_make_the_higher_voltage_without_drive() -> None:
    speeds = np.array([-1000.0, 1000.0])
    assert emf_without_drive(MACHINE, speeds, 25.0) == pytest.approx([30.0, 30.0])
    cold = float(emf_without_drive(MACHINE, 1000.0, -15.0))
    assert cold == pytest.approx(30.0 * 1.044)


def test_arrays_equal_single_values() -> None:
    torque, speed = np.array([0.05, -0.02, 0.1]), np.array([900.0, 1100.0, -400.0])
    every = weakened_field(MACHINE, torque, speed, AVAILABLE, 60.0, 40.0)
    for n in range(3):
        one = weakened_field(MACHINE, float(torque[n]), float(speed[n]), AVAILABLE, 60.0, 40.0)
        assert every.d_current[n] == float(one.d_current)
        assert every.voltage[n] == float(one.voltage)


@pytest.mark.parametrize(
    ("call", "name"),
    [
        (lambda: weakened_field(MACHINE, 0.1, 100.0, 0.0, 25.0, 25.0), "voltage"),
        (lambda: weakened_limit_torque(MACHINE, 100.0, 13.0, 0.0, 25.0, 25.0), "current limit"),
        (lambda: largest_weakened_speed(MACHINE, 13.0, 5.0, 25.0, 25.0, 0.0), "speed limit"),
    ],
)
def test_bad_input_is_refused(call: object, name: str) -> None:
    with pytest.raises(InputRangeError, match=name):
        call()  # type: ignore[operator]
