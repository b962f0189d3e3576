"""The time to the first limit of a run-away, against scipy and against the march through every piece."""

from __future__ import annotations

import numpy as np
import pytest
from msgspec.structs import replace
from scipy.integrate import solve_ivp

from core.errors import InputRangeError
from core.evaluation.heat_model import HeatModel
from core.numeric import FloatArray
from core.physics.heat_network import link_conductance, node_matrices
from core.physics.heat_pieces import CopperLaw, HeatPieces
from core.physics.heating_up import heating_up
from core.physics.run_away_time import averaged_time_to_limit
from core.physics.temperatures import RunAway
from tests.core.example_networks import random_motor
from tests.core.projects import project, segment
from tests.core.test_studies import linear
from tests.reference.test_whole_cycle_integration import solved

LAW = CopperLaw(magnet_temp_coefficient=-0.0011)


@pytest.mark.parametrize("seed", [1, 4, 9])
def test_a_constant_overload_agrees_with_the_integrator(seed: int) -> None:
    network = random_motor(seed)
    matrix, inflow = node_matrices(network, link_conductance(network, np.array([50.0])))
    copper = 200.0
    pieces = HeatPieces(
        np.ones(1), np.zeros(1, dtype=np.int64), matrix, inflow, np.array([[0.0, 0.0, copper]]), np.ones(1)
    )
    limits = np.full(len(network.nodes), np.inf)
    limits[network.winding] = 145.0

    def slope(_time: float, temps: FloatArray) -> FloatArray:
        flow: FloatArray = inflow[0] - matrix[0] @ temps
        flux = 1.0 - 0.0011 * (temps[network.magnets] - 25.0)
        flow[network.winding] += copper * (235.0 + temps[network.winding]) / 260.0 / flux**2
        return flow / network.capacity

    def passed(_time: float, temps: FloatArray) -> float:
        return float(temps[network.winding] - 145.0)

    passed.terminal = True  # type: ignore[attr-defined]
    start = np.full(len(network.nodes), 25.0)
    course = solve_ivp(slope, (0.0, 1e6), start, method="LSODA", rtol=1e-9, atol=1e-9, events=passed)
    assert course.t_events is not None
    found = averaged_time_to_limit(network, pieces, LAW, limits, start)
    assert found == pytest.approx(float(course.t_events[0][0]), rel=5e-3)


def test_a_short_cycle_agrees_with_the_march_through_every_piece() -> None:
    of = project(
        segment(0.1, 0.35, 0.0, 200.0), segment(0.3, 0.2, 200.0), segment(0.1, -0.3, 200.0, 0.0),
        segment(0.2, 0.0, 0.0),
    )  # fmt: skip
    for one in of.candidates:
        # linear: with saturation no current makes this torque, and the limit is passed within a cycle
        alone = linear(replace(of, candidates=(one,), chosen=None))
        _duty, _motor, heat, temps = solved(alone, 0)
        assert isinstance(heat, HeatModel)
        assert isinstance(temps.state, RunAway)
        start = np.full(len(heat.network.nodes), 40.0)
        march = heating_up(heat.network, temps.pieces, heat.law, start, heat.limit, temps.state)
        quick = averaged_time_to_limit(heat.network, temps.pieces, heat.law, heat.limit, start)
        assert quick == pytest.approx(float(march.time_to_limit.min()), rel=0.05)


def test_a_start_beyond_the_limit_and_no_limit_at_all() -> None:
    network = random_motor(1)
    matrix, inflow = node_matrices(network, link_conductance(network, np.zeros(1)))
    nothing = HeatPieces(
        np.ones(1), np.zeros(1, dtype=np.int64), matrix, inflow, np.zeros((1, 3)), np.ones(1)
    )
    hot = np.full(len(network.nodes), 200.0)
    assert averaged_time_to_limit(network, nothing, LAW, np.full(hot.size, 145.0), hot) == 0.0
    cool = np.full(hot.size, 25.0)
    assert averaged_time_to_limit(network, nothing, LAW, np.full(hot.size, 145.0), cool) == np.inf
    with pytest.raises(InputRangeError, match="limits"):
        averaged_time_to_limit(network, nothing, LAW, np.full(hot.size, np.inf), cool)
