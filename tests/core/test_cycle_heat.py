"""Pieces of the cycle carry exactly the heat of the cycle, however finely ramps are cut."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad

from core.errors import InputRangeError
from core.numeric import FloatArray
from core.physics.cycle_heat import cycle_cut, mean_square_torque
from core.physics.drag import DragLaw, core_drag_torque, drag_torque
from core.physics.shaft_duty import ShaftDuty, shaft_duty
from tests.core.example_networks import random_motor
from tests.core.test_shaft_duty import cycle

DRAG = DragLaw(constant=0.02, linear=3e-4, windage=2e-5)
FINE = (np.arange(16000) + 0.5) / 16000.0  # of the brute force, which is to be better than 1e-5


def fine(duty: ShaftDuty) -> tuple[FloatArray, FloatArray]:
    """Torque and speed of each part at 16000 midpoints: the integrals done by brute force."""
    torque = duty.torque_start[:, None] + (duty.torque_end - duty.torque_start)[:, None] * FINE
    speed = duty.speed_start[:, None] + (duty.speed_end - duty.speed_start)[:, None] * FINE
    return torque, speed


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 5000), st.integers(1, 5))
def test_heat_of_the_pieces_is_the_integral_over_the_cycle(seed: int, per_ramp: int) -> None:
    duty = shaft_duty(*cycle(seed), rotor_inertia=1e-3)
    network = random_motor(seed)
    pieces = cycle_cut(duty, DRAG, 3.0, per_ramp).on(network)
    torque, speed = fine(duty)
    drag = np.asarray(drag_torque(DRAG, np.abs(speed))) * np.sign(speed)
    for factor in (0.0, 1.0, 1.7):
        expected = 3.0 * ((factor * torque + drag) ** 2).mean(axis=1) @ duty.duration
        assert pieces.copper_at_reference(factor) @ pieces.duration == pytest.approx(expected, rel=1e-4)
    idle = cycle_cut(duty, DragLaw(), 3.0, per_ramp).on(network)
    core = (np.asarray(core_drag_torque(DRAG, np.abs(speed))) * np.abs(speed)).mean(axis=1) @ duty.duration
    added = (pieces.inflow - idle.inflow)[:, network.core] @ pieces.duration
    assert added == pytest.approx(core, rel=1e-6, abs=1e-9)
    assert pieces.duration.sum() == pytest.approx(duty.cycle_time)


@settings(max_examples=30, deadline=None)
@given(st.integers(0, 5000))
def test_mean_square_and_mean_drag_of_each_part(seed: int) -> None:
    duty = shaft_duty(*cycle(seed), rotor_inertia=0.0)
    square, drag = mean_square_torque(duty, DRAG)
    torque, speed = fine(duty)
    law = np.asarray(drag_torque(DRAG, np.abs(speed)))
    law = np.where(speed == 0.0, 0.0, law)
    np.testing.assert_allclose(
        square, ((torque + law * np.sign(speed)) ** 2).mean(axis=1), rtol=1e-4, atol=1e-9
    )
    np.testing.assert_allclose(drag, law.mean(axis=1), rtol=1e-4, atol=1e-12)


@pytest.mark.parametrize("exponent", [1.5, 1.8])
@pytest.mark.parametrize("ends", [(0.0, 500.0), (500.0, 0.0), (-1e-3, -900.0), (300.0, 300.0 * (1 + 1e-9))])
def test_torque_that_changes_while_windage_rises_from_rest(
    exponent: float, ends: tuple[float, float]
) -> None:
    """Torque and speed both change: against adaptive quadrature, with windage that has no slope at rest."""
    drag = DragLaw(constant=0.0, linear=0.0, windage=1e-5, windage_exponent=exponent)
    torques = (-0.3, 0.5)
    one = np.ones(1)
    duty = shaft_duty(one, np.array([torques]), ends[0] * one, ends[1] * one, 0.0)

    def square_at(share: float) -> float:
        speed = ends[0] + share * (ends[1] - ends[0])
        torque = torques[0] + share * (torques[1] - torques[0])
        return float((torque + np.sign(speed) * drag_torque(drag, abs(speed))) ** 2)

    exact, _ = quad(square_at, 0.0, 1.0, epsabs=1e-13, epsrel=1e-13, limit=200)
    assert mean_square_torque(duty, drag)[0] @ duty.duration == pytest.approx(exact, rel=1e-9)


def test_friction_at_rest_is_no_load_and_standing_factors_apply_to_their_part_only() -> None:
    rest = np.zeros(2)
    duty = shaft_duty(np.ones(2), np.array([0.5, 0.5]), rest, rest, 0.0)
    factor = np.array([2.0, 1.0])
    pieces = cycle_cut(duty, DRAG, 4.0, 8, phase_factor=factor, copper_factor=factor).on(random_motor(1))
    assert pieces.duration.size == 2  # parts at constant speed and torque stay whole
    np.testing.assert_allclose(pieces.copper_at_reference(), [2.0, 1.0])
    assert pieces.stall_phase_factor.tolist() == [2.0, 1.0]


def test_less_than_one_piece_is_refused() -> None:
    duty = shaft_duty(np.ones(1), np.zeros(1), np.zeros(1), np.zeros(1), 0.0)
    with pytest.raises(InputRangeError, match="pieces_per_ramp"):
        cycle_cut(duty, DRAG, 1.0, 0).on(random_motor(1))
