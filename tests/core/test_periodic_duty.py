"""Periodic duty against time integration until the cycle repeats, and its limit cases."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from core.errors import InputRangeError
from core.numeric import FloatArray
from core.physics.continuous_torque import continuous_torque
from core.physics.heat_pieces import CopperLaw
from core.physics.operating_heat import OperatingHeat, operating_heat
from core.physics.periodic_duty import duty_factor_torque, no_load_copper, periodic_torque
from tests.core.example_networks import CONSTANT_COPPER, one_node, random_motor

LIMIT = np.array([125.0, np.inf, 90.0])


def stretch(seed: int, speed: float, law: CopperLaw | None = None) -> OperatingHeat:
    fixed = np.array([[0.0, 0.01 * speed, 0.0]])
    return operating_heat(
        random_motor(seed),
        np.array([speed]),
        limit=LIMIT,
        copper_per_torque_squared=55.0,
        drag_torque=0.01,
        fixed_heat=fixed,
        copper_law=law,
    )


def hottest_in_repeating_state(
    stretches: list[tuple[OperatingHeat, float, float]], start: FloatArray, cycles: int
) -> float:
    """Return the largest excess over a limit in the last of many cycles. [K]

    A stretch is its heat, its duration [s] and its copper loss at 25 degC [W].
    """
    temps = start
    excess = -np.inf
    for number in range(cycles):
        for heat, duration, loss in stretches:

            def rate(_: float, t: FloatArray, h: OperatingHeat = heat, p: float = loss) -> FloatArray:
                flow: FloatArray = h.inflow[0] - h.matrix[0] @ t
                flow[0] += p * (235.0 + t[0]) / 260.0
                return flow / h.capacity

            solved = solve_ivp(rate, (0.0, duration), temps, method="LSODA", rtol=1e-9, atol=1e-8)
            temps = solved.y[:, -1]
            if number == cycles - 1:
                excess = max(excess, float((solved.y.T - LIMIT).max()))
    return excess


@pytest.mark.parametrize("seed", range(3))
@pytest.mark.parametrize("still_turning", [False, True])
def test_torque_brings_the_repeating_cycle_to_its_limit(seed: int, still_turning: bool) -> None:
    loaded, unloaded = stretch(seed, 200.0), stretch(seed, 200.0 if still_turning else 0.0)
    idle = no_load_copper(unloaded) if still_turning else np.zeros(1)
    torque = float(periodic_torque(loaded, unloaded, 40.0, 60.0, idle)[0])
    stretches = [(loaded, 40.0, 55.0 * torque**2), (unloaded, 60.0, float(idle[0]))]
    start = np.array([100.0, 80.0, 70.0])
    # tolerance: 1e-4 of the torque is 0.02 % of 100 K, twice that with feedback
    assert hottest_in_repeating_state(stretches, start, 120) == pytest.approx(0.0, abs=0.05)


def test_long_load_is_continuous_duty_and_long_rest_a_cold_start() -> None:
    law = CopperLaw(magnet_temp_coefficient=-0.0011)
    loaded, unloaded = stretch(1, 200.0, law), stretch(1, 0.0, law)
    continuous = continuous_torque(loaded).em_torque
    assert periodic_torque(loaded, unloaded, 1e6, 1.0) == pytest.approx(continuous, rel=2e-3)
    assert (periodic_torque(loaded, unloaded, 60.0, 60.0) > continuous).all()


def test_a_cycle_far_shorter_than_the_motor_follows_the_rms_rule() -> None:
    heat = operating_heat(
        one_node(),
        np.zeros(1),
        limit=np.array([125.0]),
        copper_per_torque_squared=50.0,
        copper_law=CONSTANT_COPPER,
    )
    shares = np.array([0.1, 0.25, 0.6])
    rows = heat.rows(np.zeros(3, dtype=np.int64))
    torque = duty_factor_torque(rows, rows, shares, 1e-3)
    assert torque == pytest.approx(continuous_torque(heat).em_torque / np.sqrt(shares), rel=2e-4)


def test_standing_load_takes_the_hottest_phase_into_account() -> None:
    even = stretch(2, 0.0)
    worst = operating_heat(
        random_motor(2), np.zeros(1), limit=LIMIT, copper_per_torque_squared=55.0, phase_factor=2.0
    )
    lasting = continuous_torque(worst).em_torque
    assert periodic_torque(worst, even, 1e5, 0.001) == pytest.approx(lasting, rel=1e-3)
    assert (periodic_torque(worst, even, 30.0, 30.0) < periodic_torque(even, even, 30.0, 30.0)).all()


def test_nothing_is_left_where_the_other_losses_alone_pass_the_limit() -> None:
    heat = operating_heat(
        one_node(), np.zeros(1), limit=np.array([125.0]), copper_per_torque_squared=50.0, fixed_heat=60.0
    )
    assert periodic_torque(heat, heat, 10.0, 10.0).tolist() == [0.0]


def test_no_load_copper_counts_drag_and_ripple() -> None:
    heat = operating_heat(
        one_node(),
        np.array([10.0]),
        limit=np.array([125.0]),
        copper_per_torque_squared=50.0,
        drag_torque=0.1,
        extra_copper=0.25,
    )
    assert no_load_copper(heat) == pytest.approx([0.75])


def test_bad_input_names_the_quantity() -> None:
    heat = stretch(0, 100.0)
    with pytest.raises(InputRangeError, match="duration under load"):
        periodic_torque(heat, heat, 0.0, 1.0)
    with pytest.raises(InputRangeError, match="duration without load"):
        periodic_torque(heat, heat, 1.0, -1.0)
    with pytest.raises(InputRangeError, match="copper loss without load"):
        periodic_torque(heat, heat, 1.0, 1.0, -1.0)
    with pytest.raises(InputRangeError, match="cyclic duration factor"):
        duty_factor_torque(heat, heat, 1.0, 600.0)
    with pytest.raises(InputRangeError, match="unloaded rows"):
        periodic_torque(heat, heat.rows(np.zeros(2, dtype=np.int64)), 1.0, 1.0)
