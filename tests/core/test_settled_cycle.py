"""Surface coefficients that follow the temperatures: cycle, reserve and continuous torque against a march
through the same laws at every instant, and against each other."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from core.numeric import FloatArray
from core.physics import settled_cycle as module
from core.physics.conductance_tables import ForcedTable, TemperatureTable
from core.physics.continuous_torque import continuous_torque
from core.physics.cycle_heat import cycle_cut
from core.physics.drag import DragLaw
from core.physics.heat_network import HeatNetwork, link_conductance_at, node_matrices, settled_at
from core.physics.heat_pieces import CopperLaw, HeatPieces
from core.physics.operating_heat import OperatingHeat, operating_heat
from core.physics.sampled_trace import Trace
from core.physics.settled_cycle import RESIDUAL, SettledCycle, settled_cycle
from core.physics.settled_rows import settled_rows
from core.physics.shaft_duty import ShaftDuty, shaft_duty
from core.physics.temperatures import RepeatingState, RunAway
from core.physics.torque_reserve import torque_reserve
from core.physics.trace_duty import BinnedCycle, trace_bins
from tests.core.example_networks import random_motor

LAW = CopperLaw(magnet_temp_coefficient=-0.0011)
LIMIT = np.array([125.0, np.inf, 100.0])
COPPER = 55.0
DRAG = DragLaw(0.01, 2e-5, 0.0)
NATURAL = np.array([0.0, 0.0, 0.028, 0.022])  # [W/K at a difference of 1 K]
RADIATION = np.array([0.0, 0.0, 0.05, 0.04])  # emissivity times area over that of 0.01 m2, as it were
KELVIN = 273.15


def follows(temp_a: FloatArray, temp_b: FloatArray, solid: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Fixed and natural part: radiation exactly, natural convection with the fourth root."""
    a, b = temp_a + KELVIN, temp_b + KELVIN
    radiation = RADIATION * (a * a + b * b) * (a + b) / (4.0 * 300.0**3)
    return solid + radiation, NATURAL * np.abs(temp_a - temp_b) ** 0.25


def motor(seed: int) -> HeatNetwork:
    """A random motor whose surfaces follow the temperatures, tabulated with one end at ambient."""
    plain = random_motor(seed)
    ambient = float(plain.sink_temp[0])
    solid = np.where(plain.natural > 1e-6, 0.0, plain.fixed)
    means = np.arange(ambient - 40.0, ambient + 260.0, 5.0)[:, None]
    fixed, _ = follows(2.0 * means - ambient, np.full_like(means, ambient), solid)
    roots = np.arange(0.0, 20.0, 0.25)[:, None]
    _, natural = follows(ambient + roots**2, np.full_like(roots, ambient), solid)
    speeds = 500.0 * np.linspace(0.0, 1.0, 257)[:, None] ** 2
    forced = np.where(plain.natural > 1e-6, plain.rotating, 0.0) * speeds**plain.exponent
    table = TemperatureTable(float(means[0, 0]), 5.0, fixed, 0.25, natural)
    start_fixed, start_natural = follows(np.full(4, ambient + 60.0), np.full(4, ambient), solid)
    return replace(
        plain,
        fixed=start_fixed,
        natural=start_natural,
        forced=ForcedTable(500.0, forced),
        by_temperature=table,
    )


def duty_of(torque: float) -> ShaftDuty:
    """Speeding up, running, braking, holding: 12 s, ramps among them."""
    return shaft_duty(
        np.array([2.0, 4.0, 2.0, 4.0]),
        np.array([1.5, 1.0, -0.5, 0.4]) * torque,
        np.array([0.0, 300.0, 300.0, 0.0]),
        np.array([300.0, 300.0, 0.0, 0.0]),
        0.0,
    )


def cycle(network: HeatNetwork, torque: float) -> SettledCycle:
    return settled_cycle(network, lambda per_ramp: cycle_cut(duty_of(torque), DRAG, COPPER, per_ramp), LAW)


def march(network: HeatNetwork, torque: float, start: FloatArray) -> FloatArray:
    """Integrate one cycle with every law at its instant; return the temperatures at its end."""
    times, speeds = np.array([0.0, 2.0, 6.0, 8.0, 12.0]), np.array([0.0, 300.0, 300.0, 0.0, 0.0])
    torques = np.array([1.5, 1.0, -0.5, 0.4]) * torque
    temps = start

    def slope(time: float, now: FloatArray, part: int) -> FloatArray:
        speed = float(np.interp(time, times, speeds))
        moving = 1.0 if speed > 0.0 else 0.0
        drag = moving * (0.01 + 2e-5 * speed)
        matrix, inflow = node_matrices(network, link_conductance_at(network, np.array([speed]), now[None]))
        flow: FloatArray = inflow[0] - matrix[0] @ now
        flux = 1.0 - 0.0011 * (now[2] - 25.0)
        flow[0] += COPPER * (torques[part] + drag) ** 2 * (235.0 + now[0]) / 260.0 / flux**2
        flow[1] += drag * speed
        return flow / network.capacity

    for part in range(4):
        span = (float(times[part]), float(times[part + 1]))
        solution = solve_ivp(slope, span, temps, args=(part,), method="LSODA", rtol=1e-9, atol=1e-8)
        temps = solution.y[:, -1]
    return temps


@pytest.mark.parametrize("seed", range(3))
def test_a_cycle_repeats_under_the_laws_of_every_instant(seed: int) -> None:
    network = motor(seed)
    found = cycle(network, 0.25)
    state = found.state
    assert isinstance(state, RepeatingState)
    assert found.residual <= RESIDUAL
    drift = np.abs(march(network, 0.25, state.start_temp) - state.start_temp).max()
    assert drift / (1.0 - state.spectral_radius) < 0.15
    assert state.mean.max() > 45.0  # far enough from the ambient for the coefficients to matter
    np.testing.assert_allclose(settled_at(network, state.mean).natural, found.network.natural, rtol=2e-3)


def test_coefficients_of_another_temperature_would_be_wrong() -> None:
    network = motor(0)
    found = cycle(network, 0.25)
    frozen = cycle(replace(network, by_temperature=None), 0.25)  # those of 60 K above ambient
    assert isinstance(found.state, RepeatingState)
    assert isinstance(frozen.state, RepeatingState)
    assert np.abs(found.state.mean - frozen.state.mean).max() > 2.0


def test_a_network_without_such_coefficients_is_solved_as_it_is() -> None:
    network = random_motor(1)
    found = cycle(network, 0.25)
    assert found.network is network
    assert found.residual == 0.0


def test_coefficients_that_never_settle_leave_a_residual_and_a_state(monkeypatch: pytest.MonkeyPatch) -> None:
    # of thousands of degrees the coefficients of a guarded rotor go to and fro: it is too hot in any case
    monkeypatch.setattr(module, "RESIDUAL", 0.0)
    monkeypatch.setattr(module, "_MOST_ROUNDS", 3)
    found = cycle(motor(3), 0.3)
    assert isinstance(found.state, RepeatingState)
    assert found.residual > 0.0
    assert found.pieces_per_ramp >= 1


def test_a_torque_that_nothing_can_hold_runs_away() -> None:
    found = cycle(motor(0), 2.5)
    assert isinstance(found.state, RunAway)


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("torque", [0.05, 0.3, 0.45])
def test_the_reserve_leads_to_the_limit_with_its_own_coefficients(seed: int, torque: float) -> None:
    network = motor(seed)
    found = cycle(network, torque)
    cut = cycle_cut(duty_of(torque), DRAG, COPPER, found.pieces_per_ramp)
    assert cut.duration.size == found.pieces.duration.size

    def pieces_at(temps: FloatArray) -> HeatPieces:
        return cut.on(network, temps)

    reserve = torque_reserve(found.network, found.pieces, LAW, LIMIT, found.state, pieces_at)
    assert reserve.end == "limit"
    again = cycle(network, torque * reserve.factor)  # the drag stays as it is
    assert isinstance(again.state, RepeatingState)
    peak = again.state.peak.copy()
    peak[0] = again.state.hot_phase_peak
    assert (peak - LIMIT).max() == pytest.approx(0.0, abs=0.15)


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("speed", [0.0, 150.0, 400.0])
def test_cycle_and_continuous_torque_agree_on_a_lasting_segment(seed: int, speed: float) -> None:
    network, torque = motor(seed), 0.2
    drag = 0.01 + 2e-5 * speed if speed else 0.0

    def rows(temps: FloatArray | None) -> OperatingHeat:
        return operating_heat(
            network,
            np.array([speed]),
            limit=LIMIT,
            copper_per_torque_squared=COPPER,
            drag_torque=drag,
            fixed_heat=np.array([[0.0, drag * speed, 0.0]]),
            copper_law=LAW,
            temps=temps,
        )

    lasting = float(continuous_torque(settled_rows(network, rows)).motoring[0])
    duty = shaft_duty(np.array([10.0]), np.array([torque]), np.array([speed]), np.array([speed]), 0.0)
    cut = cycle_cut(duty, DRAG, COPPER)
    found = settled_cycle(network, lambda _: cut, LAW)
    reserve = torque_reserve(
        found.network, found.pieces, LAW, LIMIT, found.state, lambda temps: cut.on(network, temps)
    )
    assert reserve.factor == pytest.approx(lasting / torque, rel=4e-4)


def test_a_measured_cycle_settles_as_the_same_cycle_in_segments() -> None:
    network = motor(1)
    whole = cycle(network, 0.25)
    time = np.linspace(0.0, 12.0, 2401)
    corners, speeds = np.array([0.0, 2.0, 6.0, 8.0, 12.0]), np.array([0.0, 300.0, 300.0, 0.0, 0.0])
    torque = (
        0.25 * np.array([1.5, 1.0, -0.5, 0.4])[np.minimum(np.searchsorted(corners, time, "right") - 1, 3)]
    )
    trace = Trace(time, torque, np.interp(time, corners, speeds))
    bins = trace_bins(trace, network, DRAG, 0.0, COPPER)
    found = settled_cycle(network, lambda _: BinnedCycle(bins, network, COPPER), LAW)
    assert isinstance(found.state, RepeatingState)
    assert isinstance(whole.state, RepeatingState)
    np.testing.assert_allclose(found.state.mean, whole.state.mean, atol=0.2)
