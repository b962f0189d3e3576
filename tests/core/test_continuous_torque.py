"""Continuous torque against the nonlinear balance solved by scipy, and its limit cases."""

from __future__ import annotations

from functools import partial

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import fsolve

from core.errors import InputRangeError
from core.numeric import FloatArray
from core.physics.continuous_torque import (
    WEAKENING_MAGNETS,
    continuous_torque,
    steady_response,
    steady_temperatures,
    torque_reserve,
)
from core.physics.heat_network import HeatNetwork, link_conductance, node_matrices
from core.physics.heat_pieces import CopperLaw
from core.physics.operating_heat import OperatingHeat, operating_heat
from tests.core.example_networks import one_node, random_motor

LAW = CopperLaw(magnet_temp_coefficient=-0.0011)
SPEEDS = np.array([0.0, 50.0, 200.0, 500.0])
LIMIT = np.array([125.0, np.inf, 90.0])


def heat_of(network: HeatNetwork, speeds: FloatArray = SPEEDS, law: CopperLaw = LAW) -> OperatingHeat:
    fixed = np.zeros((speeds.size, len(network.nodes)))
    fixed[:, network.core] = 0.01 * np.abs(speeds)
    return operating_heat(
        network,
        speeds,
        limit=LIMIT,
        copper_per_torque_squared=55.0,
        drag_torque=0.01,
        fixed_heat=fixed,
        extra_copper=0.4,
        copper_law=law,
    )


def balance(heat: OperatingHeat, row: int, temps: FloatArray, torque: float) -> FloatArray:
    """Return the heat that fails to balance at each node, written without the code under test. [W]"""
    rho = (235.0 + temps[0]) / 260.0
    mu = 1.0 + heat.copper_law.magnet_temp_coefficient * (temps[2] - 25.0)
    flow: FloatArray = heat.inflow[row] - heat.matrix[row] @ temps
    flow[0] += (55.0 * torque**2 + 0.4) * rho / mu**2
    return flow


def steady(heat: OperatingHeat, row: int, torque: float) -> FloatArray:
    start = np.full(3, 30.0)
    for share in np.linspace(0.1, 1.0, 10):  # follow the stable branch from no torque
        start = np.asarray(fsolve(partial(balance, heat, row, torque=share * torque), start, xtol=1e-10))
    return start


@pytest.mark.parametrize("seed", range(6))
def test_first_limit_is_met_exactly_in_the_nonlinear_balance(seed: int) -> None:
    heat = heat_of(random_motor(seed))
    result = continuous_torque(heat)
    for row in range(SPEEDS.size):
        torque = float(result.em_torque[row])
        temps = steady(heat, row, torque)
        assert (temps - LIMIT).max() == pytest.approx(0.0, abs=1e-6)
        assert (steady(heat, row, 1.0001 * torque) - LIMIT).max() > 0.0
        assert result.node_temp[row] == pytest.approx(temps, abs=1e-4)
        assert result.limiting[row] == np.argmax(temps - LIMIT)


def test_drag_comes_off_while_driving_and_helps_while_braking() -> None:
    result = continuous_torque(heat_of(random_motor(1)))
    assert result.motoring[1:] == pytest.approx(result.em_torque[1:] - 0.01)
    assert result.braking[1:] == pytest.approx(result.em_torque[1:] + 0.01)
    # friction at rest is no load on the motor
    assert result.motoring[0] == result.braking[0] == result.em_torque[0]


def test_magnets_that_weaken_limit_the_torque_before_any_temperature_does() -> None:
    limit = np.array([5000.0, np.inf, np.inf])
    law = CopperLaw(magnet_temp_coefficient=-0.004)
    heat = operating_heat(
        random_motor(2), np.array([0.0]), limit=limit, copper_per_torque_squared=55.0, copper_law=law
    )
    result = continuous_torque(heat)
    base, gain = steady_response(heat)
    loss = np.linspace(0.0, 60.0, 600_001)
    mu = 1.0 - 0.004 * (base[0, 2] + gain[0, 2] * loss - 25.0)
    rho = (235.0 + base[0, 0] + gain[0, 0] * loss) / 260.0
    square = np.where(mu > 0.0, loss * mu**2 / rho / 55.0, 0.0)
    assert result.limiting[0] == WEAKENING_MAGNETS
    assert result.em_torque[0] == pytest.approx(np.sqrt(square.max()), rel=1e-9)
    assert result.copper_loss[0] == pytest.approx(loss[square.argmax()], abs=2e-3)
    # beyond the maximum there is no steady state at all
    torque = result.em_torque * np.array([[0.999], [1.001]])
    assert steady_temperatures(heat, torque).runaway[:, 0].tolist() == [False, True]


def test_drag_that_takes_everything_leaves_no_shaft_torque() -> None:
    heat = operating_heat(
        one_node(),
        np.array([100.0]),
        limit=np.array([125.0]),
        copper_per_torque_squared=50.0,
        drag_torque=2.0,
    )
    result = continuous_torque(heat)
    assert result.motoring[0] == 0.0
    assert bool(result.drag_alone[0])
    assert not result.too_hot_idle[0]


def test_a_motor_too_hot_without_current_carries_nothing() -> None:
    heat = operating_heat(
        one_node(),
        np.array([100.0]),
        limit=np.array([125.0]),
        copper_per_torque_squared=50.0,
        fixed_heat=51.0,
    )
    result = continuous_torque(heat)
    assert bool(result.too_hot_idle[0])
    assert result.motoring[0] == result.braking[0] == 0.0
    assert result.node_temp[0, 0] == pytest.approx(25.0 + 51.0 / 0.5)
    assert torque_reserve(heat, np.array([0.1]))[0] == 0.0


def test_ripple_alone_can_take_the_whole_copper_loss() -> None:
    # 65 W of cold ripple: P = 65 (260 + 2P)/260 -> 130 W and 285 degC, above the limit of 125
    heat = operating_heat(
        one_node(),
        np.array([100.0]),
        limit=np.array([125.0]),
        copper_per_torque_squared=50.0,
        extra_copper=65.0,
    )
    result = continuous_torque(heat)
    assert bool(result.too_hot_idle[0])
    assert result.node_temp[0, 0] == pytest.approx(285.0)


def test_node_without_limit_never_limits_and_an_inner_limit_can() -> None:
    network = random_motor(3)
    limits = [np.array([125.0, np.inf, np.inf]), np.array([125.0, 60.0, np.inf])]
    results = [
        continuous_torque(operating_heat(network, SPEEDS, limit=x, copper_per_torque_squared=55.0))
        for x in limits
    ]
    assert set(results[0].limiting.tolist()) == {0}
    assert set(results[1].limiting.tolist()) == {1}
    assert results[1].node_temp[:, 1] == pytest.approx(np.full(4, 60.0))
    assert (results[1].em_torque < results[0].em_torque).all()


def test_hottest_phase_limits_a_standing_motor() -> None:
    network = random_motor(4)
    limit = np.array([125.0, np.inf, np.inf])
    heat = operating_heat(
        network, np.zeros(2), limit=limit, copper_per_torque_squared=55.0, phase_factor=np.array([1.0, 2.0])
    )
    result = continuous_torque(heat)
    assert result.limiting.tolist() == [0, 3]
    # the winding of this motor meets the stator only, so that the phase rises twice as far over it
    over_stator = result.node_temp[1, 0] - result.node_temp[1, 1]
    assert result.node_temp[1, 0] + over_stator == pytest.approx(125.0)


@pytest.mark.parametrize("seed", range(4))
def test_run_away_is_where_the_smallest_eigenvalue_crosses_zero(seed: int) -> None:
    network = random_motor(seed)
    heat = operating_heat(
        network, np.array([0.0]), limit=np.array([125.0, np.inf, np.inf]), copper_per_torque_squared=55.0
    )
    torque = np.linspace(0.5, 6.0, 200)[:, None]
    state = steady_temperatures(heat, torque)
    root = np.sqrt(network.capacity)
    for row, value in enumerate(torque[:, 0]):
        stiff = heat.matrix[0].copy()
        stiff[0, 0] -= 55.0 * value**2 / 260.0
        smallest = np.linalg.eigvalsh(stiff / np.outer(root, root))[0]
        assert state.runaway[row, 0] == (smallest <= 0.0)
    assert 0 < np.count_nonzero(state.runaway) < 200


@pytest.mark.parametrize("seed", range(4))
def test_steady_temperatures_balance_every_node(seed: int) -> None:
    heat = heat_of(random_motor(seed))
    torque = np.linspace(0.0, 0.6, 7)[:, None] * np.ones(SPEEDS.size)
    state = steady_temperatures(heat, torque)
    assert not state.runaway.any()
    for k, row in np.ndindex(7, SPEEDS.size):
        assert balance(heat, row, state.node_temp[k, row], float(torque[k, row])) == pytest.approx(
            np.zeros(3), abs=1e-9
        )


def test_reserve_multiplies_the_shaft_torque_but_not_the_drag() -> None:
    heat = heat_of(random_motor(5))
    torque = np.array([0.1, 0.1, -0.1, 0.2])
    reserve = torque_reserve(heat, torque)
    em = reserve * torque + np.array([0.0, 0.01, 0.01, 0.01])
    hottest = (steady_temperatures(heat, em).node_temp - LIMIT).max(axis=1)
    assert hottest == pytest.approx(np.zeros(4), abs=1e-6)
    assert torque_reserve(heat, np.zeros(4)).tolist() == [np.inf] * 4


@given(st.integers(0, 40), st.floats(-20.0, 70.0), st.floats(0.0, 60.0), st.floats(0.0, 800.0))
def test_more_ambient_never_carries_more(seed: int, ambient: float, more: float, speed: float) -> None:
    cool, warm = (
        continuous_torque(heat_of(random_motor(seed, ambient=t), np.array([speed])))
        for t in (ambient, ambient + more)
    )
    assert warm.em_torque[0] <= cool.em_torque[0] * (1.0 + 1e-12)


@given(st.integers(0, 40), st.lists(st.floats(-900.0, 900.0), min_size=1, max_size=6))
def test_array_equals_one_by_one(seed: int, speeds: list[float]) -> None:
    network, array = random_motor(seed), np.array(speeds)
    together = continuous_torque(heat_of(network, array))
    for row, speed in enumerate(speeds):
        alone = continuous_torque(heat_of(network, np.array([speed])))
        assert alone.motoring[0] == pytest.approx(together.motoring[row], rel=1e-12)
        assert alone.limiting[0] == together.limiting[row]


@given(st.integers(0, 40))
def test_ventilated_motor_without_iron_loss_carries_more_the_faster_it_turns(seed: int) -> None:
    heat = operating_heat(
        random_motor(seed), np.linspace(0.0, 800.0, 30), limit=LIMIT, copper_per_torque_squared=55.0
    )
    assert (np.diff(continuous_torque(heat).em_torque) > 0.0).all()


def test_curve_of_an_unventilated_motor_falls_with_iron_loss() -> None:
    heat = heat_of(random_motor(1, rotating=False), np.linspace(0.0, 800.0, 20))
    assert (np.diff(continuous_torque(heat).motoring) < 0.0).all()


def test_bad_input_names_the_quantity() -> None:
    network, limit = one_node(), np.array([125.0])
    with pytest.raises(InputRangeError, match="copper loss per torque squared"):
        operating_heat(network, SPEEDS, limit=limit, copper_per_torque_squared=0.0)
    build = partial(operating_heat, copper_per_torque_squared=50.0)
    with pytest.raises(InputRangeError, match="drag torque"):
        build(network, SPEEDS, limit=limit, drag_torque=-0.1)
    with pytest.raises(InputRangeError, match="limit of the winding"):
        build(network, SPEEDS, limit=np.array([np.inf]))
    with pytest.raises(InputRangeError, match="one per node"):
        build(network, SPEEDS, limit=np.array([125.0, 90.0]))
    with pytest.raises(InputRangeError, match="hottest phase"):
        build(network, SPEEDS, limit=limit, phase_factor=0.5)
    with pytest.raises(InputRangeError, match="speed"):
        build(network, np.array([np.nan]), limit=limit)
    with pytest.raises(InputRangeError, match="magnets"):
        build(network, SPEEDS, limit=limit, copper_law=CopperLaw(magnet_temp_coefficient=0.001))
    with pytest.raises(InputRangeError, match="em_torque"):
        steady_temperatures(build(network, SPEEDS, limit=limit), np.zeros(3))


def test_rows_carry_the_conductances_of_the_network() -> None:
    network = random_motor(0)
    matrix, inflow = node_matrices(network, link_conductance(network, SPEEDS))
    heat = operating_heat(network, SPEEDS, limit=LIMIT, copper_per_torque_squared=55.0)
    assert np.array_equal(heat.matrix, matrix)
    assert np.array_equal(heat.inflow, inflow)
    assert np.array_equal(heat.rows(np.array([2, 2])).matrix, matrix[[2, 2]])
