"""Losses, supply power and efficiency: balances, both directions, limits."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.errors import InputRangeError
from core.physics.drag import DragLaw
from core.physics.losses import (
    SeriesPath,
    best_efficiency_point,
    copper_loss,
    drive_conduction_loss,
    efficiency,
    electromagnetic_torque,
    lead_loss,
    motor_current,
    power_balance,
)
from core.physics.machine_constants import Commutation, EmfShape, MachineConstants
from tests.core.waveforms import ANGLE, PHASE_SHIFT, block_wave, mean_power, sine_wave, unit_phase_emf

BOTH: list[Commutation] = ["six-step", "sinusoidal"]
MACHINE = MachineConstants(0.030, 0.8, 0.35e-3, 8)
DRAG = DragLaw(2e-3, 1e-5, 1e-7)
PATH = SeriesPath(lead_resistance=0.03, switch_resistance=0.01, device_drop=0.5)
TORQUES = st.floats(-0.5, 0.5)
SPEEDS = st.floats(-900.0, 900.0)
TEMPS = st.floats(-20.0, 180.0)


@pytest.mark.parametrize("commutation", BOTH)
def test_drive_and_lead_loss_from_the_waves(commutation: Commutation) -> None:
    wave = block_wave if commutation == "six-step" else sine_wave
    current = [7.0 * wave(ANGLE - n * PHASE_SHIFT) for n in range(3)]
    squares = sum(float(np.mean(i * i)) for i in current)
    # each of the two devices in the path drops half of the pair's voltage while its phase conducts
    drops = sum(0.25 * float(np.mean(np.abs(i))) for i in current)
    # the waves are sampled, the edges of the blocks fall between samples
    assert float(drive_conduction_loss(commutation, 7.0, 0.01, 0.5)) == pytest.approx(
        0.01 * squares + drops, rel=1e-5
    )
    assert float(lead_loss(commutation, 7.0, 0.03)) == pytest.approx(0.03 * squares, rel=1e-5)


@pytest.mark.parametrize("commutation", BOTH)
@given(torque=TORQUES, speed=SPEEDS, winding=TEMPS, magnet=TEMPS)
def test_scalar_equals_array_and_mirror(
    commutation: Commutation, torque: float, speed: float, winding: float, magnet: float
) -> None:
    torques, speeds = np.array([torque, -torque]), np.array([speed, -speed])
    both = power_balance(MACHINE, commutation, DRAG, torques, speeds, winding, magnet, PATH, 1.0)
    one = power_balance(MACHINE, commutation, DRAG, torque, speed, winding, magnet, PATH, 1.0)
    for name in ("shaft_power", "drag_power", "copper_loss", "lead_loss", "drive_loss", "supply_power"):
        assert getattr(both, name) == pytest.approx(
            np.full(2, float(getattr(one, name))), rel=1e-12, abs=1e-15
        )
    eta = efficiency(both)
    assert ((eta >= 0.0) & (eta < 1.0)).all()


@pytest.mark.parametrize("shape", ["sinusoidal", "trapezoidal"])
@pytest.mark.parametrize("commutation", BOTH)
def test_current_times_emf_is_the_mechanical_power(commutation: Commutation, shape: EmfShape) -> None:
    machine = MachineConstants(0.030, 0.8, 0.35e-3, 8, emf_shape=shape)
    wave = block_wave if commutation == "six-step" else sine_wave
    current = float(motor_current(machine, commutation, 0.2, 85.0))
    phases = [current * wave(ANGLE - n * PHASE_SHIFT) for n in range(3)]
    # magnets at 85 degC: 1 - 0.0011 * 60
    emf = [0.030 * 0.934 * 300.0 * e for e in unit_phase_emf(None if shape == "sinusoidal" else 120.0)]
    assert mean_power(emf, phases) == pytest.approx(0.2 * 300.0, rel=1e-6)


def test_copper_loss_limits() -> None:
    assert float(copper_loss(MACHINE, "six-step", 0.0, 100.0, 80.0)) == 0.0
    cold, hot = (float(copper_loss(MACHINE, "sinusoidal", 0.1, t, 25.0)) for t in (25.0, 125.0))
    assert hot / cold == pytest.approx(360 / 260)
    weak = float(copper_loss(MACHINE, "sinusoidal", 0.1, 25.0, 85.0))
    assert weak / cold == pytest.approx(1 / 0.934**2)


def test_drag_helps_while_braking_and_vanishes_at_rest() -> None:
    torques = electromagnetic_torque(
        np.array([0.1, -0.1, 0.1, -0.1, 0.1]), np.array([300.0, 300, -300, -300, 0]), DRAG
    )
    drag = 2e-3 + 3e-3 + 1e-7 * 300.0**1.5
    assert torques == pytest.approx([0.1 + drag, -0.1 + drag, 0.1 - drag, -0.1 - drag, 0.1])


def test_braking_returns_power_or_consumes_it() -> None:
    returning = power_balance(MACHINE, "sinusoidal", DRAG, -0.1, 600.0, 25.0, 25.0)
    assert float(returning.supply_power) < 0.0
    assert float(efficiency(returning)) == pytest.approx(float(returning.supply_power) / -60.0)
    plugging = power_balance(MACHINE, "sinusoidal", DRAG, -0.3, 10.0, 25.0, 25.0)
    assert float(plugging.supply_power) > 0.0
    assert float(efficiency(plugging)) == 0.0
    holding = power_balance(MACHINE, "sinusoidal", DRAG, 0.1, 0.0, 25.0, 25.0)
    assert float(holding.supply_power) == float(holding.copper_loss) > 0.0
    assert float(efficiency(holding)) == 0.0


def test_sum_of_the_parts_is_the_supply_power() -> None:
    b = power_balance(MACHINE, "six-step", DRAG, 0.2, 400.0, 90.0, 60.0, PATH, 2.0)
    parts = b.shaft_power + b.drag_power + b.copper_loss + b.lead_loss + b.drive_loss
    assert float(b.supply_power) == pytest.approx(float(parts))
    assert float(b.lead_loss) == pytest.approx(float(b.copper_loss) * 0.06 / (0.8 * 325 / 260))


@pytest.mark.parametrize("name", ["lead_resistance", "switch_resistance", "device_drop"])
@pytest.mark.parametrize("value", [-0.1, float("nan"), float("inf")])
def test_impossible_paths_are_refused(name: str, value: float) -> None:
    with pytest.raises(InputRangeError, match=name):
        SeriesPath(**{name: value})


def test_other_refusals() -> None:
    with pytest.raises(InputRangeError, match="idle_power"):
        power_balance(MACHINE, "six-step", DRAG, 0.1, 10.0, 25.0, 25.0, idle_power=-1.0)
    with pytest.raises(InputRangeError, match="switch_resistance"):
        drive_conduction_loss("six-step", 1.0, -0.1)
    with pytest.raises(InputRangeError, match="lead_resistance"):
        lead_loss("six-step", 1.0, -0.1)
    with pytest.raises(InputRangeError, match="stall_current"):
        best_efficiency_point(1.0, 0.5)
