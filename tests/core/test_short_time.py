"""Short-time torque against time integration by scipy and closed forms."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from core.errors import InputRangeError
from core.numeric import FloatArray
from core.physics.continuous_torque import continuous_torque, steady_temperatures
from core.physics.heat_network import HeatNetwork
from core.physics.heat_pieces import CopperLaw
from core.physics.operating_heat import OperatingHeat, operating_heat, resting_temperatures
from core.physics.short_time import overload_times, time_to_limit, torque_for_time
from tests.core.example_networks import CONSTANT_COPPER, one_node, random_motor

LIMIT = np.array([125.0, np.inf, 90.0])
SPEEDS = np.array([0.0, 100.0, 400.0])


def heat_of(
    seed: int, alpha: float = 0.0, speeds: FloatArray = SPEEDS, phase_factor: float = 1.0
) -> OperatingHeat:
    fixed = np.zeros((speeds.size, 3))
    fixed[:, 1] = 0.01 * speeds
    return operating_heat(
        random_motor(seed),
        speeds,
        limit=LIMIT,
        copper_per_torque_squared=55.0,
        drag_torque=0.01,
        fixed_heat=fixed,
        extra_copper=0.4,
        phase_factor=phase_factor,
        copper_law=CopperLaw(magnet_temp_coefficient=alpha),
    )


def integrated_time(heat: OperatingHeat, row: int, torque: float, start: FloatArray, alpha: float) -> float:
    """Return the time to the first limit, every feedback followed step by step. [s]"""

    def rate(_: float, temps: FloatArray) -> FloatArray:
        flow: FloatArray = heat.inflow[row] - heat.matrix[row] @ temps
        mu = 1.0 + alpha * (temps[2] - 25.0)
        flow[0] += (55.0 * torque**2 + 0.4) * (235.0 + temps[0]) / 260.0 / mu**2
        return flow / heat.capacity

    def over(_: float, temps: FloatArray) -> float:
        return float((temps - LIMIT).max())

    event: Callable[[float, FloatArray], float] = over
    event.terminal = True  # type: ignore[attr-defined]
    solved = solve_ivp(rate, (0.0, 1e5), start, method="LSODA", events=event, rtol=1e-10, atol=1e-9)
    assert solved.t_events is not None
    ends = solved.t_events[0]
    return float(ends[0]) if ends.size else np.inf


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("warm", [False, True])
def test_time_to_limit_agrees_with_integration(seed: int, warm: bool) -> None:
    heat = heat_of(seed)
    continuous = continuous_torque(heat).em_torque
    start = np.full((3, 3), 25.0)
    if warm:
        start = steady_temperatures(heat, 0.6 * continuous).node_temp
    torque = np.array([[0.95], [1.05], [1.5], [3.0], [8.0]]) * continuous
    times = time_to_limit(heat, torque, start)
    for k, row in np.ndindex(5, 3):
        expected = integrated_time(heat, row, float(torque[k, row]), start[row], 0.0)
        assert times[k, row] == pytest.approx(expected, rel=1e-6)


@pytest.mark.parametrize("seed", range(4))
def test_magnets_at_their_mean_flux_cost_little_accuracy(seed: int) -> None:
    # tolerance: the flux of the mean magnet temperature stands for the flux of every instant, so a long
    # overload ends up to 2 % early or late, a short one not at all
    alpha = -0.0011
    heat = heat_of(seed, alpha)
    torque = np.array([[1.2], [2.0], [5.0]]) * continuous_torque(heat).em_torque
    times = time_to_limit(heat, torque, np.full(3, 25.0))
    for (k, row), tolerance in zip(np.ndindex(3, 3), np.repeat([2e-2, 5e-3, 1e-3], 3), strict=True):
        expected = integrated_time(heat, row, float(torque[k, row]), np.full(3, 25.0), alpha)
        assert times[k, row] == pytest.approx(expected, rel=tolerance)


@pytest.mark.parametrize("alpha", [0.0, -0.0011])
@pytest.mark.parametrize("duration", [0.05, 3.0, 60.0, 900.0])
def test_torque_for_time_is_the_inverse_of_time_to_limit(alpha: float, duration: float) -> None:
    heat = heat_of(3, alpha)
    start = np.array([60.0, 50.0, 45.0])
    torque = torque_for_time(heat, duration, start)
    assert time_to_limit(heat, torque, start) == pytest.approx(np.full(3, duration), rel=2e-3)
    # the stated tolerance is on the torque: a ten-thousandth either way brackets the duration
    early, late = (time_to_limit(heat, torque * f, start) for f in (1.0001, 0.9999))
    assert (early <= duration * (1.0 + 1e-9)).all()
    assert (late >= duration * (1.0 - 1e-9)).all()


def test_torque_for_ever_is_the_continuous_torque() -> None:
    heat = heat_of(2, -0.0011)
    continuous = continuous_torque(heat).em_torque
    assert torque_for_time(heat, np.inf, np.full(3, 25.0)) == pytest.approx(continuous)
    assert torque_for_time(heat, 1e6, np.full(3, 25.0)) == pytest.approx(continuous, rel=2e-3)
    mixed = torque_for_time(heat, np.array([np.inf, 10.0, np.inf]), np.full(3, 25.0))
    assert mixed[[0, 2]] == pytest.approx(continuous[[0, 2]])
    assert mixed[1] > continuous[1]


def test_overload_times_of_one_node_follow_the_closed_form() -> None:
    heat = operating_heat(
        one_node(),
        np.array([0.0]),
        limit=np.array([125.0]),
        copper_per_torque_squared=50.0,
        copper_law=CONSTANT_COPPER,
    )
    multiples = np.array([0.5, 0.999, 1.5, 2.0, 4.0])
    times = overload_times(heat, multiples, np.array([25.0]))[:, 0]
    tau = 60.0 / 0.5
    assert times[:2].tolist() == [np.inf, np.inf]
    square = multiples[2:] ** 2
    assert times[2:] == pytest.approx(tau * np.log(square / (square - 1.0)), rel=1e-8)
    # warm from three quarters of the rise: tau ln((m^2 - 0.75)/(m^2 - 1))
    warm = overload_times(heat, multiples[2:], np.array([100.0]))[:, 0]
    assert warm == pytest.approx(tau * np.log((square - 0.75) / (square - 1.0)), rel=1e-8)


def test_running_away_still_ends_at_a_finite_time() -> None:
    # K0 T^2 = 260 W at 25 degC doubles the 0.5 W/K: C dT/dt = 0.5 (T - 25) + 260 W, 100 K after
    # 120 s ln(1 + 100*0.5/260)
    heat = operating_heat(one_node(), np.zeros(1), limit=np.array([125.0]), copper_per_torque_squared=65.0)
    time = time_to_limit(heat, np.array([2.0]), np.array([25.0]))
    assert time[0] == pytest.approx(120.0 * np.log(1.0 + 50.0 / 260.0), rel=1e-9)


def test_neither_growing_nor_decaying_mode_is_a_straight_line() -> None:
    # K0 T^2 = 130 W at 25 degC: the feedback of 0.5 W/K cancels the cooling
    heat = operating_heat(one_node(), np.zeros(1), limit=np.array([125.0]), copper_per_torque_squared=130.0)
    time = time_to_limit(heat, np.array([1.0]), np.array([25.0]))
    assert time[0] == pytest.approx(100.0 * 60.0 / 130.0, rel=1e-6)


def test_hot_start_leaves_no_time_and_no_torque() -> None:
    heat = heat_of(1)
    start = np.array([130.0, 60.0, 50.0])
    assert time_to_limit(heat, np.full(3, 0.1), start).tolist() == [0.0, 0.0, 0.0]
    assert torque_for_time(heat, 10.0, start).tolist() == [0.0, 0.0, 0.0]


def test_other_losses_alone_leave_no_short_time_torque() -> None:
    heat = operating_heat(
        one_node(), np.zeros(1), limit=np.array([125.0]), copper_per_torque_squared=50.0, fixed_heat=60.0
    )
    assert torque_for_time(heat, 1e4, np.array([25.0])).tolist() == [0.0]
    assert torque_for_time(heat, 10.0, np.array([25.0]))[0] > 0.0


def test_frozen_phases_heat_as_three_separate_windings() -> None:
    """Three phases with a third of the winding each, loaded 2/3, 1/6, 1/6: an independent network."""
    motor = random_motor(2)
    heat = operating_heat(
        motor,
        np.zeros(1),
        limit=np.array([125.0, np.inf, np.inf]),
        copper_per_torque_squared=55.0,
        phase_factor=2.0,
        copper_law=CONSTANT_COPPER,
    )
    time = float(time_to_limit(heat, np.array([1.0]), np.full(3, 25.0))[0])
    assert np.isfinite(time)
    matrix, w = heat.matrix[0], heat.matrix[0, 0, 0]
    share = np.array([2 / 3, 1 / 6, 1 / 6])

    def rate(_: float, temps: FloatArray) -> FloatArray:
        phases, others = temps[:3], temps[3:]
        into_phase = 55.0 * share - w / 3.0 * (phases - others[0])
        # the mean of the phases stands for the winding in the rows of stator and rotor
        rest = heat.inflow[0, 1:] - matrix[1:, 1:] @ others - matrix[1:, 0] * phases.mean()
        flow: FloatArray = np.concatenate([into_phase / (heat.capacity[0] / 3.0), rest / heat.capacity[1:]])
        return flow

    solved = solve_ivp(rate, (0.0, time), np.full(5, 25.0), method="LSODA", rtol=1e-10, atol=1e-9)
    assert solved.y[0, -1] == pytest.approx(125.0, abs=1e-5)


@given(st.integers(0, 30), st.floats(0.1, 2000.0), st.lists(st.floats(0.0, 900.0), min_size=2, max_size=5))
def test_array_equals_one_by_one(seed: int, duration: float, speeds: list[float]) -> None:
    array = np.array(speeds)
    together = torque_for_time(heat_of(seed, -0.0011, array), duration, np.full(3, 30.0))
    for row, speed in enumerate(speeds):
        alone = torque_for_time(heat_of(seed, -0.0011, np.array([speed])), duration, np.full(3, 30.0))
        assert alone[0] == pytest.approx(together[row], rel=2e-4)  # both to 1e-4


@given(st.integers(0, 30), st.floats(0.1, 500.0), st.floats(1.1, 10.0))
def test_longer_never_carries_more(seed: int, duration: float, factor: float) -> None:
    heat = heat_of(seed)
    short, long = (torque_for_time(heat, t, np.full(3, 25.0)) for t in (duration, duration * factor))
    assert (long <= short * 1.0002).all()


def test_cold_start_with_two_sinks_lies_between_them() -> None:
    network = HeatNetwork(
        ("winding", "housing"),
        np.array([10.0, 90.0]),
        ("air", "plate"),
        np.array([20.0, 50.0]),
        np.array([0, 1, 1]),
        np.array([1, 2, 3]),
        np.array([1.0, 0.2, 0.1]),
        np.zeros(3),
        np.zeros(3),
        np.ones(3),
        0,
        1,
        1,
        1,
    )
    # (0.2*20 + 0.1*50)/0.3
    assert resting_temperatures(network) == pytest.approx([30.0, 30.0])


def test_bad_input_names_the_quantity() -> None:
    heat = heat_of(0)
    with pytest.raises(InputRangeError, match="duration"):
        torque_for_time(heat, 0.0, np.full(3, 25.0))
    with pytest.raises(InputRangeError, match="em_torque"):
        time_to_limit(heat, np.zeros(2), np.full(3, 25.0))
    with pytest.raises(InputRangeError, match="multiple"):
        overload_times(heat, np.array([-1.0]), np.full(3, 25.0))
