"""The torque reserve against bisection by brute force, closed forms and its limit cases."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from core.numeric import FloatArray
from core.physics.heat_network import HeatNetwork
from core.physics.heat_pieces import CopperLaw, HeatPieces
from core.physics.temperatures import RepeatingState, RunAway, repeating_state
from core.physics.torque_reserve import torque_reserve
from tests.core.heat_cycles import chain_network, one_node_cycle, random_cycle

NONE = np.inf


def feasible(
    network: HeatNetwork, cycle: HeatPieces, law: CopperLaw, limits: FloatArray, factor: float
) -> bool:
    state = repeating_state(network, cycle, law, factor)
    if isinstance(state, RunAway):
        return False
    hottest = state.hot_phase_peak <= limits[network.winding]
    return bool((state.peak <= limits).all() and hottest)


def by_bisection(
    network: HeatNetwork, cycle: HeatPieces, law: CopperLaw, limits: FloatArray, low: float, high: float
) -> float:
    for _ in range(45):
        middle = 0.5 * (low + high)
        if feasible(network, cycle, law, limits, middle):
            low = middle
        else:
            high = middle
    return low


@pytest.mark.parametrize("seed", range(40))
def test_equals_brute_force(seed: int) -> None:
    nodes, pieces = 2 + seed % 3, 1 + seed % 12
    network, cycle, law = random_cycle(seed, nodes, pieces)
    rng = np.random.default_rng(seed)
    limits = rng.uniform(90.0, 160.0, nodes)
    limits[rng.integers(nodes)] = NONE if nodes > 2 else 120.0
    if seed % 4 == 0:
        cycle = replace(cycle, stall_phase_factor=rng.choice([1.0, 2.0], pieces))
    if seed % 5 == 0:
        law = CopperLaw()
    low = 1.0 if feasible(network, cycle, law, limits, 1.0) else 0.0
    reserve = torque_reserve(network, cycle, law, limits)
    if low == 0.0 and not feasible(network, cycle, law, limits, 0.0):
        assert (reserve.factor, reserve.end) == (0.0, "drag alone")
        return
    expected = by_bisection(network, cycle, law, limits, low, 40.0 if low else 1.0)
    assert reserve.factor == pytest.approx(expected, rel=1e-4)
    assert reserve.end in {"limit", "run-away"}
    if reserve.end == "limit":
        assert reserve.peak[reserve.node] == pytest.approx(limits[reserve.node], abs=0.05)
        assert (reserve.peak <= limits + 0.05).all()
    state = repeating_state(network, cycle, law)
    if isinstance(state, RepeatingState):
        known = torque_reserve(network, cycle, law, limits, state)
        assert known.factor == pytest.approx(reserve.factor, rel=2e-4)
        assert (known.end, known.node) == (reserve.end, reserve.node)


def test_constant_duty_of_one_node_is_the_closed_form() -> None:
    """1 W/K, limit 100 degC at ambient 0: P_ref (235 + 100)/260 = 100 W, so lambda = sqrt(77.612/10)."""
    one = np.ones(1)
    network = chain_network(60.0 * one, ambient=0.0)
    cycle = one_node_cycle(50.0 * one, one, 10.0 * one)
    reserve = torque_reserve(network, cycle, CopperLaw(), np.array([100.0]))
    assert reserve.factor == pytest.approx(math.sqrt(100.0 * 260.0 / 335.0 / 10.0), rel=1e-4)
    assert (reserve.end, reserve.node, reserve.hot_phase) == ("limit", 0, False)


def test_drag_is_not_multiplied() -> None:
    """(lambda T + d)^2 with T = 1, d = 0.5: the loss at the limit fixes lambda + 0.5."""
    one = np.ones(1)
    network = chain_network(60.0 * one, ambient=0.0)
    cycle = replace(one_node_cycle(50.0 * one, one, one), copper=10.0 * np.array([[0.25, 0.5, 1.0]]))
    reserve = torque_reserve(network, cycle, CopperLaw(), np.array([100.0]))
    assert reserve.factor == pytest.approx(math.sqrt(100.0 * 260.0 / 335.0 / 10.0) - 0.5, rel=1e-4)


def test_braking_that_carries_its_own_drag_counts_from_the_far_side() -> None:
    """(lambda T - d)^2 with T = 1, d = 3: too hot at 0 and at 6, cool between; the upper end is meant."""
    one = np.ones(1)
    network = chain_network(60.0 * one, ambient=0.0)
    cycle = replace(one_node_cycle(50.0 * one, one, one), copper=10.0 * np.array([[9.0, -3.0, 1.0]]))
    reserve = torque_reserve(network, cycle, CopperLaw(), np.array([100.0]))
    assert not feasible(network, cycle, CopperLaw(), np.array([100.0]), 0.0)
    assert reserve.factor == pytest.approx(3.0 + math.sqrt(100.0 * 260.0 / 335.0 / 10.0), rel=1e-4)


def test_without_limits_the_run_away_ends_it() -> None:
    """One node of 1 W/K runs away at P_ref = 260 W: lambda = sqrt(26)."""
    one = np.ones(1)
    network = chain_network(60.0 * one, ambient=0.0)
    cycle = one_node_cycle(50.0 * one, one, 10.0 * one)
    reserve = torque_reserve(network, cycle, CopperLaw(), np.array([NONE]))
    assert reserve.factor == pytest.approx(math.sqrt(26.0), rel=1.5e-4)
    assert (reserve.end, reserve.node) == ("run-away", -1)


def test_run_away_at_factor_one_leaves_less_than_one() -> None:
    one = np.ones(1)
    network = chain_network(60.0 * one, ambient=0.0)
    cycle = one_node_cycle(50.0 * one, one, 1000.0 * one)
    reserve = torque_reserve(network, cycle, CopperLaw(), np.array([100.0]))
    assert reserve.factor == pytest.approx(math.sqrt(100.0 * 260.0 / 335.0 / 1000.0), rel=1e-4)


def test_hot_drag_leaves_no_reserve() -> None:
    one = np.ones(1)
    network = chain_network(60.0 * one, ambient=0.0)
    cycle = one_node_cycle(50.0 * one, one, 10.0 * one, other=120.0 * one)
    reserve = torque_reserve(network, cycle, CopperLaw(), np.array([100.0]))
    assert (reserve.factor, reserve.end, reserve.node) == (0.0, "drag alone", 0)
    assert reserve.peak[0] == pytest.approx(120.0)


def test_a_limit_below_ambient_leaves_no_reserve() -> None:
    one = np.ones(1)
    network = chain_network(60.0 * one, ambient=40.0)
    cycle = one_node_cycle(50.0 * one, one, 10.0 * one, ambient=40.0)
    reserve = torque_reserve(network, cycle, CopperLaw(), np.array([39.0]))
    assert (reserve.factor, reserve.end) == (0.0, "drag alone")


def test_without_torque_there_is_no_end() -> None:
    one = np.ones(1)
    network = chain_network(60.0 * one, ambient=0.0)
    idle = one_node_cycle(50.0 * one, one, 0.0 * one, other=20.0 * one)
    reserve = torque_reserve(network, idle, CopperLaw(), np.array([100.0]))
    assert (reserve.factor, reserve.end, reserve.node) == (math.inf, "no torque", -1)
    reserve = torque_reserve(network, idle, CopperLaw(), np.array([10.0]))
    assert (reserve.factor, reserve.end, reserve.node) == (0.0, "drag alone", 0)


@pytest.mark.parametrize("scale", [1e-8, 1e-4, 1e4, 1e8])
def test_reserve_scales_with_the_torque(scale: float) -> None:
    network, cycle, law = random_cycle(3, 3, 6)
    copper = cycle.copper * np.array([0.0, 0.0, 1.0])
    limits = np.array([130.0, NONE, 110.0])
    one = torque_reserve(network, replace(cycle, copper=copper), law, limits)
    other = torque_reserve(network, replace(cycle, copper=copper * scale), law, limits)
    assert other.factor * math.sqrt(scale) == pytest.approx(one.factor, rel=2e-4)


def test_standstill_ends_it_at_the_hottest_phase() -> None:
    one = np.ones(1)
    network = chain_network(60.0 * one, ambient=0.0)
    cycle = replace(one_node_cycle(1e6 * one, one, 10.0 * one), stall_phase_factor=2.0 * one)
    reserve = torque_reserve(network, cycle, CopperLaw(), np.array([100.0]))
    # mean winding T with P (235 + T)/260 = T, hottest phase 2 T = 100: P_ref = 50 * 260 / 285
    assert reserve.factor == pytest.approx(math.sqrt(50.0 * 260.0 / 285.0 / 10.0), rel=1e-4)
    assert reserve.hot_phase


@pytest.mark.parametrize("seed", range(8))
def test_a_known_run_away_saves_the_search_for_it_and_changes_nothing(seed: int) -> None:
    network, cycle, law = random_cycle(seed, 3, 6)
    limits = np.array([130.0, NONE, 110.0])
    cycle = replace(cycle, copper=100.0 * cycle.copper)
    state = repeating_state(network, cycle, law)
    assert isinstance(state, RunAway)
    known, found = (torque_reserve(network, cycle, law, limits, given) for given in (state, None))
    assert known.factor == pytest.approx(found.factor, rel=2e-4)
    assert (known.end, known.node) == (found.end, found.node)
