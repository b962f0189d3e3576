"""Saturation, demagnetisation and the shorted winding: limit cases, inverses, bad input."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.errors import InputRangeError
from core.physics.machine_constants import MachineConstants
from core.physics.peak_limits import (
    DemagnetisationLimit,
    SaturationLaw,
    demagnetisation_current,
    saturated_current,
    saturated_torque,
    saturation_from_point,
)
from core.physics.short_circuit import short_circuit, short_circuit_run_down, strongest_short_circuit

MACHINE = MachineConstants(0.030, 0.8, 0.35e-3, 8)


@given(st.floats(0.0, 20.0), st.floats(-100.0, 100.0))
def test_saturation_and_its_inverse(bend: float, current: float) -> None:
    law = SaturationLaw(10.0, bend)
    torque = saturated_torque(law, 0.05, current)
    assert float(saturated_current(law, 0.05, torque)) == pytest.approx(current, rel=1e-9, abs=1e-12)


@pytest.mark.parametrize("bend", [0.05, 0.5, 3.0])
def test_torque_per_ampere_starts_to_fall_smoothly(bend: float) -> None:
    """Same value and slope on both sides of the linear current, then concave, below the asymptote."""
    law, k_t = SaturationLaw(10.0, bend), 0.05
    current = np.linspace(0.0, 60.0, 6001)
    slope = np.diff(saturated_torque(law, k_t, current)) / np.diff(current)
    assert slope[:1000] == pytest.approx(k_t)
    assert slope[1000] == pytest.approx(k_t, rel=2e-3 * (1.0 + bend))
    assert np.all(np.diff(slope[1000:]) < 0.0)
    most = k_t * 10.0 * (1.0 + 1.0 / bend)
    assert float(saturated_torque(law, k_t, 1e9)) == pytest.approx(most, rel=1e-6)
    assert math.isinf(float(saturated_current(law, k_t, most * 1.0001)))


@given(st.floats(1.01, 10.0), st.floats(0.01, 1.0))
def test_law_passes_through_its_point(over: float, share: float) -> None:
    torque = 0.5 * (1.0 + share * (over - 1.0))
    law = saturation_from_point(0.05, 10.0, 10.0 * over, torque)
    assert float(saturated_torque(law, 0.05, 10.0 * over)) == pytest.approx(torque, rel=1e-9)


def test_a_point_of_the_linear_machine_gives_the_linear_machine() -> None:
    law = saturation_from_point(0.05, 10.0, 30.0, 1.5)
    assert law.bend == pytest.approx(0.0, abs=1e-12)
    assert float(saturated_torque(law, 0.05, 80.0)) == pytest.approx(4.0)


def test_demagnetisation_line_never_promises_more_than_was_stated() -> None:
    neodymium, ferrite = DemagnetisationLimit(20.0, 60.0, 120.0, 20.0), DemagnetisationLimit(80, 30, -20, 10)
    temps = np.array([-40.0, 20.0, 70.0, 120.0, 170.0, 300.0])
    assert demagnetisation_current(neodymium, temps).tolist() == [60.0, 60.0, 40.0, 20.0, 0.0, 0.0]
    assert demagnetisation_current(ferrite, np.array([-70.0, -20.0, 30.0, 80.0, 150.0])).tolist() == [
        0.0,
        10.0,
        20.0,
        30.0,
        30.0,
    ]


def test_largest_short_circuit_torque_lies_where_it_says() -> None:
    speed, torque = strongest_short_circuit(MACHINE, 25.0, 25.0)
    scan = np.linspace(1.0, 3000.0, 200_001)
    torques = short_circuit(MACHINE, scan, 25.0, 25.0).torque
    assert float(scan[torques.argmax()]) == pytest.approx(float(speed), abs=0.03)
    assert float(torques.max()) == pytest.approx(float(torque), rel=1e-9)


def test_short_circuit_at_rest_and_at_great_speed() -> None:
    short = short_circuit(MACHINE, np.array([0.0, 1e-6, 1e6, -1e6]), 25.0, 25.0)
    characteristic = 0.030 / math.sqrt(3.0) / (8 * 0.175e-3)
    assert short.current[0] == short.torque[0] == short.first_peak[0] == 0.0
    assert short.current[2:] == pytest.approx(characteristic, rel=1e-6)
    assert short.first_peak[1] == pytest.approx(short.current[1])
    assert short.first_peak[2:] == pytest.approx(2.0 * characteristic, rel=1e-2)
    assert np.all(short.first_peak <= 2.0 * short.current)


@pytest.mark.parametrize("speed", [5.0, 60.0, 285.0, 900.0, 5000.0])
def test_first_swing_against_a_dense_scan(speed: float) -> None:
    short = short_circuit(MACHINE, speed, 25.0, 25.0)
    ratio = 0.4 / (8 * speed * 0.175e-3)
    swing = np.abs(1.0 - np.exp(-(ratio + 1j) * np.linspace(0.0, 7.0, 700_001)))
    assert float(short.first_peak / short.current) == pytest.approx(swing.max(), rel=1e-9)


def test_shorted_power_is_all_copper() -> None:
    short = short_circuit(MACHINE, 700.0, 100.0, 60.0)
    copper = 0.75 * float(short.current) ** 2 * 0.8 * (235.0 + 100.0) / 260.0
    assert float(short.torque) * 700.0 == pytest.approx(copper)


@pytest.mark.parametrize(
    ("call", "name"),
    [
        (lambda: SaturationLaw(0.0, 1.0), "linear current"),
        (lambda: SaturationLaw(1.0, -0.1), "bend"),
        (lambda: saturation_from_point(0.05, 10.0, 10.0, 0.5), "current of the point"),
        (lambda: saturation_from_point(0.05, 10.0, 20.0, 1.01), "torque of the saturation point"),
        (lambda: saturation_from_point(0.05, 10.0, 20.0, 0.5), "torque of the saturation point"),
        (lambda: DemagnetisationLimit(20.0, 0.0, 120.0, 20.0), "first demagnetisation current"),
        (lambda: DemagnetisationLimit(20.0, 60.0, 20.0, 20.0), "second magnet temperature"),
        (lambda: short_circuit_run_down(MACHINE, 0.0, 10.0, 1.0, 25.0, 25.0), "inertia"),
        (lambda: short_circuit_run_down(MACHINE, 1e-3, 1.0, 10.0, 25.0, 25.0), "start speed"),
        (lambda: short_circuit_run_down(MACHINE, 1e-3, 1.0, 0.0, 25.0, 25.0), "end speed"),
    ],
)
def test_bad_input_is_refused(call: object, name: str) -> None:
    with pytest.raises(InputRangeError, match=name):
        call()  # type: ignore[operator]
