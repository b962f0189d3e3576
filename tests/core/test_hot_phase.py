"""The hottest phase of a motor that holds still, against its differential equation solved piece by piece."""

from __future__ import annotations

import numpy as np
import pytest

from core.numeric import FloatArray
from core.physics.hot_phase import phase_excess, with_hot_phase
from core.physics.segment_maps import chain, piece_ends, piece_maps, piece_modes, temperatures_within
from core.physics.segment_peaks import node_curves, peaks
from tests.core.heat_cycles import random_cycle

SHARES = np.linspace(0.0, 1.0, 4001)


def excess_within(
    rate: FloatArray, steady: FloatArray, start: FloatArray, duration: FloatArray
) -> FloatArray:
    """Exponential approach to the steady excess at all shares of each piece, shape (m, shares). [K]"""
    left = np.exp(-rate[:, None] * duration[:, None] * SHARES)
    return steady[:, None] + (start - steady)[:, None] * left


@pytest.mark.parametrize("seed", range(40))
def test_peaks_equal_those_of_dense_samples(seed: int) -> None:
    nodes, pieces = 1 + seed % 4, 5
    network, cycle, law = random_cycle(seed, nodes, pieces)
    loss, rng = cycle.copper_at_reference(), np.random.default_rng(seed)
    factor = rng.choice([1.0, 1.5, 2.0], pieces)
    modes = piece_modes(
        cycle.conductance, cycle.inflow, loss, cycle.duration, network.capacity, network.winding, law
    )
    starts, _ = piece_ends(chain(piece_maps(modes)), rng.uniform(20.0, 150.0, nodes))
    heat = (cycle.conductance[:, 0, 0], float(network.capacity[0]), loss, factor)
    excess = phase_excess(*heat, cycle.duration)
    curves = with_hot_phase(node_curves(modes, starts), network.winding, excess, *heat)
    assert (np.diff(curves.rate, axis=-1) >= 0.0).all()

    rate, steady = heat[0] / heat[1], (factor - 1.0) * loss / heat[0]
    above = excess_within(rate, steady, excess, cycle.duration)
    assert above[:, -1] == pytest.approx(np.roll(excess, -1), abs=1e-9)  # it repeats
    course = temperatures_within(modes, starts, SHARES)
    dense = np.append(course.reshape(-1, nodes).max(axis=0), (course[..., 0] + above).max())
    # 4000 samples miss at most (d / 8000)^2 / 2 of the curvature: far below 1e-4 K here
    assert peaks(curves).value == pytest.approx(dense, abs=1e-4)


def test_a_short_cycle_keeps_its_digits() -> None:
    """A billionth of the time constant: the excess is that of the mean heat, 10 W over 0.5 W/K, both ways."""
    one = np.ones(2)
    excess = phase_excess(0.5 * one, 8.0, 20.0 * one, np.array([2.0, 1.0]), 8e-9 * one)
    assert excess == pytest.approx(20.0 * one, rel=1e-8)
