"""What halving the ramps would change, estimated, against halving and solving."""

from __future__ import annotations

import numpy as np
import pytest

from core.physics.cycle_heat import cycle_cut
from core.physics.drag import DragLaw
from core.physics.heat_pieces import CopperLaw
from core.physics.ramp_halving import change_by_halving, course, places_within
from core.physics.shaft_duty import ShaftDuty, shaft_duty
from core.physics.temperatures import RepeatingState, repeating_state
from tests.core.example_networks import random_motor

DRAG = DragLaw(0.01, 2e-5, 0.0)


def duty_of(scale: float) -> ShaftDuty:
    """Speeding up under growing torque, running, braking, holding: 12 s times a scale."""
    return shaft_duty(
        np.array([2.0, 4.0, 1.0, 5.0]) * scale,
        np.array([0.5, 0.2, -0.4, 0.1]),
        np.array([0.0, 300.0, 300.0, 0.0]),
        np.array([300.0, 300.0, 0.0, 0.0]),
        2e-5,
    )


def of_state(state: RepeatingState) -> tuple[np.ndarray, np.ndarray]:
    return state.peak, state.mean


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("scale", [0.03, 0.1, 0.3])
@pytest.mark.parametrize("magnets", [0.0, -0.0011])
def test_the_estimate_is_what_halving_changes(seed: int, scale: float, magnets: float) -> None:
    network, law = random_motor(seed), CopperLaw(magnet_temp_coefficient=magnets)
    whole, halves = (cycle_cut(duty_of(scale), DRAG, 40.0, count).on(network) for count in (1, 2))
    state, finer = repeating_state(network, whole, law), repeating_state(network, halves, law)
    assert isinstance(state, RepeatingState)
    assert isinstance(finer, RepeatingState)
    estimate = change_by_halving(
        network, law, whole, halves, course(state.piece_start, state.piece_mean, state.piece_end)
    )
    change = max(float(np.abs(finer.peak - state.peak).max()), float(np.abs(finer.mean - state.mean).max()))
    assert change < estimate < 1.1 * change


def test_halves_lie_in_their_pieces() -> None:
    network = random_motor(1)
    whole, thirds = (cycle_cut(duty_of(1.0), DRAG, 40.0, count).on(network) for count in (1, 3))
    piece, low, high = places_within(whole, thirds)
    assert piece.tolist() == [0, 0, 0, 1, 2, 2, 2, 3]
    np.testing.assert_allclose(low, [0.0, 1 / 3, 2 / 3, 0.0, 0.0, 1 / 3, 2 / 3, 0.0], atol=1e-12)
    np.testing.assert_allclose(high, [1 / 3, 2 / 3, 1.0, 1.0, 1 / 3, 2 / 3, 1.0, 1.0], atol=1e-12)
