"""Many cycles side by side: each has the state and the peaks that it has alone; a march in time agrees."""

from __future__ import annotations

import numpy as np
import pytest

from core.numeric import FloatArray
from core.physics.cycle_peaks import cycle_peaks
from core.physics.cycle_rounds import CycleProblem
from core.physics.heat_network import HeatNetwork
from core.physics.heat_pieces import CopperLaw, HeatPieces
from core.physics.many_peaks import many_cycle_peaks, many_phase_excess
from core.physics.repeating_cycle import CycleSolution, solve_cycles
from core.physics.segment_maps import temperatures_within
from core.physics.temperatures import cycle_problem
from tests.core.heat_cycles import random_cycle

Cycle = tuple[HeatNetwork, HeatPieces, CopperLaw]


def cycles(nodes: int, pieces: int, count: int) -> list[Cycle]:
    """Random cycles of one size, each with a law of its own, the loss of some so large that they run away."""
    found = []
    for seed in range(count):
        network, cycle, _ = random_cycle(seed, nodes, pieces)
        rng = np.random.default_rng(seed)
        law = CopperLaw(
            magnet_temp_coefficient=float(rng.uniform(-2e-3, -2e-4)), winding_ref_temp=20.0 + seed
        )
        scale = 40.0 if seed % 7 == 3 else float(rng.uniform(0.2, 1.2))
        factor = np.where(rng.random(pieces) < 0.4, rng.uniform(1.0, 2.0, pieces), 1.0)
        found.append((network, HeatPieces(
            cycle.duration, cycle.segment, cycle.conductance, cycle.inflow, scale * cycle.copper, factor
        ), law))  # fmt: skip
    return found


def together(made: list[Cycle]) -> CycleProblem:
    def column(name: str) -> FloatArray:
        return np.array([[getattr(law, name)] for _, _, law in made])

    law = CopperLaw(*(column(name) for name in (
        "copper_constant", "winding_ref_temp", "magnet_ref_temp", "magnet_temp_coefficient"
    )))  # type: ignore[arg-type]  # fmt: skip
    return CycleProblem(
        np.array([cycle.conductance for _, cycle, _ in made]),
        np.array([cycle.inflow for _, cycle, _ in made]),
        np.array([cycle.copper_at_reference() for _, cycle, _ in made]),
        np.array([cycle.duration for _, cycle, _ in made]),
        np.array([network.capacity for network, _, _ in made])[:, None],
        made[0][0].winding,
        made[0][0].magnets,
        law,
    )


def alone(one: Cycle) -> CycleSolution:
    network, cycle, law = one
    return solve_cycles(cycle_problem(network, cycle, law, cycle.copper_at_reference()[None]))


@pytest.mark.parametrize(("nodes", "pieces"), [(1, 3), (2, 9), (3, 6), (4, 12)])
def test_company_does_not_change_a_cycle(nodes: int, pieces: int) -> None:
    made = cycles(nodes, pieces, 24)
    solution = solve_cycles(together(made))
    assert 0 < solution.settled.sum() < len(made)
    for k, one in enumerate(made):
        own = alone(one)
        assert own.settled[0] == solution.settled[k]
        assert own.linear_run_away[0] == solution.linear_run_away[k]
        if own.settled[0]:
            np.testing.assert_allclose(solution.means[k], own.means[0], rtol=1e-12, atol=1e-10)
            np.testing.assert_allclose(solution.magnet_mean[k], own.magnet_mean[0], rtol=1e-12, atol=1e-10)


@pytest.mark.parametrize(("nodes", "pieces"), [(1, 3), (2, 9), (3, 6), (4, 12)])
def test_peaks_of_many_are_those_of_each(nodes: int, pieces: int) -> None:
    made = cycles(nodes, pieces, 24)
    problem = together(made)
    solution = solve_cycles(problem)
    there = solution.settled
    factor = np.array([cycle.stall_phase_factor for _, cycle, _ in made])[there]
    found = many_cycle_peaks(problem.only(there), solution.only(there), factor)
    for value, loss, k in zip(found.value, found.copper_loss, np.flatnonzero(there).tolist(), strict=True):
        network, cycle, law = made[k]
        own = cycle_peaks(network, cycle, law, alone(made[k]), cycle.copper_at_reference(), 0)
        np.testing.assert_allclose(value[:-1], own.nodes.value, rtol=1e-12, atol=1e-10)
        np.testing.assert_allclose(value[-1], own.hot_phase.value[0], rtol=1e-12, atol=1e-10)
        np.testing.assert_allclose(loss, own.copper_loss, rtol=1e-12)


def test_no_instant_of_any_cycle_is_hotter_than_its_peak() -> None:
    made = cycles(3, 8, 20)
    problem = together(made)
    solution = solve_cycles(problem)
    there = solution.settled
    kept = solution.only(there)
    found = many_cycle_peaks(problem.only(there), kept, np.ones((int(there.sum()), 8)))
    instants = temperatures_within(kept.modes, kept.starts, np.linspace(0.0, 1.0, 4001))
    highest = instants.max(axis=(1, 2))
    assert (found.value[:, :-1] >= highest - 1e-5).all()
    np.testing.assert_allclose(found.value[:, :-1], highest, atol=2e-3)
    np.testing.assert_array_equal(found.value[:, -1], found.value[:, 0])


def test_the_excess_of_a_hot_phase_meets_a_march_in_small_steps() -> None:
    rng = np.random.default_rng(4)
    rate, heating = rng.uniform(0.02, 0.2, (5, 6)), rng.uniform(0.0, 2.0, (5, 6))
    duration = rng.uniform(1.0, 20.0, (5, 6))
    excess = many_phase_excess(rate, heating, duration)
    value, steps = excess[:, 0].copy(), 20_000
    for k in range(6):
        np.testing.assert_allclose(value, excess[:, k], rtol=1e-6)
        step = duration[:, k] / steps
        for _ in range(steps):  # midpoint rule
            middle = value + 0.5 * step * (heating[:, k] - rate[:, k] * value)
            value = value + step * (heating[:, k] - rate[:, k] * middle)
    np.testing.assert_allclose(value, excess[:, 0], rtol=1e-6)
