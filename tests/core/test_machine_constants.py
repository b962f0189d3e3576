"""Canonical constants: limits, invariances and refusals."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from core.errors import InputRangeError, UnitError
from core.physics.commutation import commutation_torque_ripple, phase_rms_current
from core.physics.machine_constants import (
    Commutation,
    EmfShape,
    MachineConstants,
    copper_loss_coefficient,
    electrical_time_constant,
    fundamental_of_flat_top,
    mechanical_time_constant,
    motor_constant,
    no_load_speed,
    stall_current,
    stall_torque,
    torque_constant,
)
from tests.core.waveforms import (
    ANGLE,
    PHASE_SHIFT,
    block_wave,
    mean_power,
    sine_wave,
    trapezoid_wave,
    unit_phase_emf,
)

BOTH: list[Commutation] = ["six-step", "sinusoidal"]
GOOD: dict[str, Any] = {"back_emf_constant": 0.03, "resistance": 0.8, "inductance": 3.5e-4, "pole_pairs": 8}
MACHINE = MachineConstants(**GOOD)


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("back_emf_constant", 0.0),
        ("back_emf_constant", math.inf),
        ("resistance", -1.0),
        ("resistance", math.nan),
        ("inductance", 0.0),
        ("pole_pairs", 0),
        ("pole_pairs", 2.5),
        ("flat_top_deg", 119.0),
        ("flat_top_deg", 180.0),
        ("magnet_temp_coefficient", 0.001),
        ("resistance_ref_temp", -300.0),
        ("magnet_ref_temp", math.nan),
    ],
)
def test_impossible_constants_are_refused(name: str, value: float) -> None:
    with pytest.raises(InputRangeError, match=name):
        MachineConstants(**(GOOD | {name: value}))


def test_unknown_words_are_refused() -> None:
    with pytest.raises(UnitError, match="emf_shape"):
        MachineConstants(**(GOOD | {"emf_shape": "square"}))
    for function in (torque_constant, copper_loss_coefficient, commutation_torque_ripple):
        with pytest.raises(UnitError, match="commutation"):
            function(MACHINE, "block")  # type: ignore[arg-type]


@pytest.mark.parametrize("flat_top", [0.0, 60.0, 120.0, 150.0, 179.0])
def test_fundamental_is_the_fourier_integral(flat_top: float) -> None:
    wave = trapezoid_wave(ANGLE, flat_top)
    assert fundamental_of_flat_top(flat_top) == pytest.approx(
        2.0 * float(np.mean(wave * np.sin(ANGLE))), rel=1e-7
    )


@pytest.mark.parametrize("flat_top", [None, 120.0, 150.0])
@pytest.mark.parametrize("commutation", BOTH)
def test_copper_loss_and_ripple_from_the_waves(flat_top: float | None, commutation: Commutation) -> None:
    shape: EmfShape = "sinusoidal" if flat_top is None else "trapezoidal"
    machine = MachineConstants(1.0, 0.8, 1e-3, 1, emf_shape=shape, flat_top_deg=flat_top or 120.0)
    wave = block_wave if commutation == "six-step" else sine_wave
    current = [wave(ANGLE - n * PHASE_SHIFT) for n in range(3)]
    emf = unit_phase_emf(flat_top)
    loss = sum(0.4 * float(np.mean(i * i)) for i in current)
    torque = mean_power(emf, current)
    assert copper_loss_coefficient(machine, commutation) == pytest.approx(loss / torque**2, rel=1e-6)
    instant = sum(e * i for e, i in zip(emf, current, strict=True))
    ripple = float(np.ptp(instant)) / torque
    assert commutation_torque_ripple(machine, commutation) == pytest.approx(ripple, rel=1e-4, abs=1e-9)
    assert phase_rms_current(commutation, 1.0) == pytest.approx(
        float(np.sqrt(np.mean(current[0] ** 2))), rel=1e-5
    )


@pytest.mark.parametrize("commutation", BOTH)
def test_straight_line_from_stall_to_no_load(commutation: Commutation) -> None:
    """Run-up with the time constant: the initial slope would reach no-load speed after just that time."""
    inertia, voltage = 2e-5, 12.0
    slope = stall_torque(MACHINE, commutation, voltage) / inertia
    reached = slope * mechanical_time_constant(MACHINE, commutation, inertia)
    assert reached == pytest.approx(no_load_speed(MACHINE, commutation, voltage))


@pytest.mark.parametrize(("commutation", "phases"), [("six-step", 1.0), ("sinusoidal", 1.5)])
def test_stall_dissipates_all_input(commutation: Commutation, phases: float) -> None:
    current = stall_current(MACHINE, commutation, 12.0)
    torque = stall_torque(MACHINE, commutation, 12.0)
    loss = copper_loss_coefficient(MACHINE, commutation) * torque**2
    assert loss == pytest.approx(phases * 12.0 * current)


def test_arrays_equal_scalars() -> None:
    volts = np.array([6.0, 12.0, 48.0])
    for function in (no_load_speed, stall_current, stall_torque):
        together = function(MACHINE, "sinusoidal", volts)
        assert together == pytest.approx([float(function(MACHINE, "sinusoidal", float(v))) for v in volts])


def test_motor_and_electrical_time_constant() -> None:
    assert motor_constant(MACHINE) == pytest.approx(0.03 * 3 / math.pi / math.sqrt(0.8))
    assert electrical_time_constant(MACHINE) == pytest.approx(0.4375e-3)
    with pytest.raises(InputRangeError, match="inertia"):
        mechanical_time_constant(MACHINE, "six-step", -1e-6)
