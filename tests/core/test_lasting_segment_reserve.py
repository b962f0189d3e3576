"""One lasting segment: the torque reserve of the cycle and of the continuous torque are the same number."""

from __future__ import annotations

import numpy as np
import pytest

from core.physics.continuous_torque import torque_reserve as lasting_reserve
from core.physics.heat_pieces import CopperLaw, HeatPieces
from core.physics.operating_heat import operating_heat
from core.physics.torque_reserve import torque_reserve as cycle_reserve
from tests.core.example_networks import random_motor

LAW = CopperLaw(magnet_temp_coefficient=-0.0011)
LIMIT = np.array([125.0, np.inf, 90.0])


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize(
    ("speed", "torque", "factor"), [(300.0, 0.2, 1.0), (300.0, -0.15, 1.0), (0.0, 0.2, 2.0)]
)
def test_both_ways_to_the_reserve_agree(seed: int, speed: float, torque: float, factor: float) -> None:
    network, drag, ripple = random_motor(seed), 0.02, 0.4
    heat = operating_heat(
        network,
        np.array([speed]),
        limit=LIMIT,
        copper_per_torque_squared=55.0,
        drag_torque=drag,
        fixed_heat=np.array([[0.0, drag * speed, 0.0]]),
        extra_copper=ripple,
        phase_factor=factor,
        copper_law=LAW,
    )
    moving = drag if speed else 0.0
    pieces = HeatPieces(
        duration=np.array([10.0]),
        segment=np.array([0]),
        conductance=heat.matrix,
        inflow=heat.inflow,
        copper=np.array([[55.0 * moving**2 + ripple, 55.0 * torque * moving, 55.0 * torque**2]]),
        stall_phase_factor=np.array([factor]),
    )
    cycle = cycle_reserve(network, pieces, LAW, LIMIT)
    assert lasting_reserve(heat, np.array([torque]))[0] == pytest.approx(cycle.factor, rel=1e-4)
