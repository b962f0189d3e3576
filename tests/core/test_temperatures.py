"""The repeating state: against ODE solvers, closed forms, energy balance, and the three kinds of run-away."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from core.errors import InputRangeError
from core.numeric import FloatArray
from core.physics.cycle_peaks import actual_copper_loss
from core.physics.cycle_rounds import CycleProblem
from core.physics.heat_network import HeatNetwork
from core.physics.heat_pieces import CopperLaw, HeatPieces
from core.physics.repeating_cycle import solve_cycles
from core.physics.temperatures import (
    RepeatingState,
    RunAway,
    cycle_problem,
    cycle_trace,
    repeating_state,
    settled_state,
)
from tests.core.heat_cycles import AMBIENT, chain_network, node_matrix, one_node_cycle, random_cycle

ONE_NODE = chain_network(np.array([60.0]), ambient=0.0)
CONSTANT = CopperLaw(copper_constant=1e12)


def settled(network: HeatNetwork, cycle: HeatPieces, law: CopperLaw, factor: float = 1.0) -> RepeatingState:
    state = repeating_state(network, cycle, law, factor)
    assert isinstance(state, RepeatingState), state
    return state


def after_a_cycle(
    network: HeatNetwork,
    cycle: HeatPieces,
    law: CopperLaw,
    start: FloatArray,
    magnets: FloatArray | None,
) -> tuple[FloatArray, FloatArray]:
    """Integrate one cycle with scipy; magnets: temperature held in each piece, or None for the actual one.

    Returns temperatures at the end of every piece, and means over the pieces.
    """
    loss, n = cycle.copper_at_reference(), start.size
    state, ends, means = start, [], []
    for j, duration in enumerate(cycle.duration):

        def slope(_: float, y: FloatArray, j: int = j) -> FloatArray:
            temps = y[:n]
            magnet = temps[network.magnets] if magnets is None else magnets[j]
            heat = cycle.inflow[j] - cycle.conductance[j] @ temps
            flux = 1.0 + law.magnet_temp_coefficient * (magnet - law.magnet_ref_temp)
            heat[network.winding] += loss[j] * (235.0 + temps[network.winding]) / 260.0 / flux**2
            return np.concatenate([heat / network.capacity, temps])

        y = np.concatenate([state, np.zeros(n)])
        run = solve_ivp(slope, (0.0, duration), y, method="Radau", rtol=1e-9, atol=1e-8)
        state = run.y[:n, -1]
        ends.append(state)
        means.append(run.y[n:, -1] / duration)
    return np.array(ends), np.array(means)


@pytest.mark.parametrize(
    ("seed", "nodes", "pieces"), [(1, 2, 3), (2, 3, 12), (3, 4, 1), (4, 5, 7), (5, 3, 5)]
)
def test_state_repeats_under_the_stated_law(seed: int, nodes: int, pieces: int) -> None:
    """scipy Radau from our start, with our mean magnet temperatures: back at the start, same means."""
    network, cycle, law = random_cycle(seed, nodes, pieces)
    state = settled(network, cycle, law)
    magnets = state.piece_mean[:, network.magnets]
    ends, means = after_a_cycle(network, cycle, law, state.start_temp, magnets)
    assert ends[-1] == pytest.approx(state.start_temp, abs=1e-3)
    assert ends == pytest.approx(state.piece_end, abs=1e-3)
    assert means == pytest.approx(state.piece_mean, abs=1e-3)
    tight = solve_cycles(cycle_problem(network, cycle, law, cycle.copper_at_reference()[None]), None, 1e-10)
    assert state.start_temp == pytest.approx(tight.start_temp[0], abs=1e-4)


@pytest.mark.parametrize(("seed", "nodes"), [(6, 2), (7, 3), (8, 4)])
def test_fine_pieces_meet_the_instantaneous_law(seed: int, nodes: int) -> None:
    """Magnets taken at every instant instead of the mean over a piece of 0.1 to 2.5 s.

    The drift over one cycle, divided by 1 - rho, is the distance of the two states: within 0.01 K.
    """
    network, coarse, law = random_cycle(seed, nodes, 4)
    cycle = cut(coarse, 8)
    state = settled(network, cycle, law)
    ends, _ = after_a_cycle(network, cycle, law, state.start_temp, None)
    drift = np.abs(ends[-1] - state.start_temp).max()
    assert drift / (1.0 - state.spectral_radius) < 0.01


def cut(cycle: HeatPieces, parts: int) -> HeatPieces:
    """The same cycle in pieces of equal share."""
    return HeatPieces(
        np.repeat(cycle.duration / parts, parts),
        np.repeat(cycle.segment, parts),
        np.repeat(cycle.conductance, parts, axis=0),
        np.repeat(cycle.inflow, parts, axis=0),
        np.repeat(cycle.copper, parts, axis=0),
        np.repeat(cycle.stall_phase_factor, parts),
    )


def test_cutting_changes_nothing_without_magnet_feedback() -> None:
    network, cycle, _ = random_cycle(9, 3, 5)
    whole, parts = settled(network, cycle, CopperLaw()), settled(network, cut(cycle, 7), CopperLaw())
    assert parts.peak == pytest.approx(whole.peak, abs=1e-7)
    assert parts.mean == pytest.approx(whole.mean, abs=1e-7)
    assert parts.peak_time == pytest.approx(whole.peak_time, abs=1e-4)
    assert np.array_equal(parts.peak_segment, whole.peak_segment)


@pytest.mark.parametrize("seed", range(10, 16))
def test_heat_in_is_heat_out(seed: int) -> None:
    network, cycle, law = random_cycle(seed, 3, 6)
    state = settled(network, cycle, law)
    put_in = cycle.duration @ (cycle.inflow.sum(axis=1) + state.copper_loss)
    # what leaves is the row sum of the node matrix (the conductance to the air) times the temperature
    left = cycle.duration @ (cycle.conductance.sum(axis=2) * state.piece_mean).sum(axis=1)
    assert left == pytest.approx(put_in, rel=1e-9)


def test_without_heat_everything_is_at_ambient() -> None:
    network, cycle, law = random_cycle(17, 4, 5)
    to_air = cycle.conductance.sum(axis=2)
    idle = replace(cycle, inflow=AMBIENT * to_air, copper=np.zeros((5, 3)))
    state = settled(network, idle, law)
    assert np.abs(state.piece_start - AMBIENT).max() < 1e-10
    assert np.abs(state.peak - AMBIENT).max() < 1e-10
    assert state.mean == pytest.approx(np.full(4, AMBIENT), abs=1e-10)


def test_copper_loss_follows_both_temperatures() -> None:
    law = CopperLaw(235.0, 20.0, 30.0, -0.002)
    # 235 + 147.5 over 235 + 20 is 1.5; 80 K above 30 degC takes 16 % of the flux
    loss = actual_copper_loss(law, np.array([10.0]), np.array([147.5]), np.array([110.0]))
    assert loss == pytest.approx(15.0 / 0.84**2)


def test_constant_duty_of_one_node_is_the_closed_form() -> None:
    # G T = p (235 + T) / 260 with G = 1, p = 26 W: 0.9 T = 23.5
    one = np.ones(1)
    cycle = one_node_cycle(1e9 * one, one, 26.0 * one)
    assert settled(ONE_NODE, cycle, CopperLaw()).peak[0] == pytest.approx(23.5 / 0.9, rel=1e-12)


def test_length_of_a_constant_segment_does_not_matter() -> None:
    network, cycle, law = random_cycle(18, 3, 1)
    temps = [settled(network, replace(cycle, duration=np.array([d])), law).peak for d in (1e-6, 1.0, 1e9)]
    assert temps[0] == pytest.approx(temps[1], abs=1e-4)
    assert temps[2] == pytest.approx(temps[1], abs=1e-4)


def test_a_very_short_cycle_sees_mean_loss_and_mean_conductance() -> None:
    network, cycle, _ = random_cycle(19, 3, 6)
    short = replace(cycle, duration=1e-7 * cycle.duration)
    share = cycle.duration / cycle.duration.sum()
    slope = share @ cycle.copper_at_reference() / 260.0
    matrix = np.tensordot(share, cycle.conductance, 1)
    matrix[0, 0] -= slope
    heat = share @ cycle.inflow
    heat[0] += slope * 235.0
    expected = np.linalg.solve(matrix, heat)
    assert settled(network, short, CopperLaw()).mean == pytest.approx(expected, abs=1e-4)


# Run-away -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(("loss", "runs_away"), [(259.0, False), (260.0, True), (261.0, True)])
def test_threshold_of_constant_duty(loss: float, runs_away: bool) -> None:
    """One node over 1 W/K: dP/dT = P_ref/260 K reaches 1 W/K at exactly 260 W."""
    one = np.ones(1)
    for duration in (1e-3, 100.0, 1e7):
        state = repeating_state(ONE_NODE, one_node_cycle(duration * one, one, loss * one), CopperLaw())
        assert isinstance(state, RunAway) == runs_away
        if isinstance(state, RunAway):
            assert state.reason == "constant duty"
            assert state.slowest_rate == pytest.approx((1.0 - loss / 260.0) / 60.0, abs=1e-15)


def test_an_unstable_segment_in_a_stable_cycle_is_no_run_away() -> None:
    """520 W alone would run away at 1 W/K; one tenth of the time it does not: exponents 0.1 and -0.9."""
    cycle = one_node_cycle(np.array([6.0, 54.0]), np.ones(2), np.array([520.0, 0.0]))
    state = settled(ONE_NODE, cycle, CopperLaw())
    # C = 60 J/K: grows by e^{+0.1} towards -470 degC, then fades by e^{-0.9}
    grown, faded = math.exp(0.1), math.exp(-0.9)
    start = faded * 470.0 * (grown - 1.0) / (1.0 - grown * faded)
    assert state.modes.rate[0, 0] < 0.0
    assert state.start_temp[0] == pytest.approx(start, rel=1e-10)
    assert state.peak[0] == pytest.approx(start / faded, rel=1e-10)
    assert state.spectral_radius == pytest.approx(math.exp(-0.8), rel=1e-12)


@pytest.mark.parametrize(("on", "runs_away"), [(29.9, False), (30.1, True)])
def test_a_cycle_runs_away_where_growth_outlasts_decay(on: float, runs_away: bool) -> None:
    cycle = one_node_cycle(np.array([on, 60.0 - on]), np.ones(2), np.array([520.0, 0.0]))
    state = repeating_state(ONE_NODE, cycle, CopperLaw())
    assert isinstance(state, RunAway) == runs_away
    if isinstance(state, RunAway):
        assert state.reason == "cycle"
        assert state.spectral_radius == pytest.approx(math.exp((2.0 * on - 60.0) / 60.0), rel=1e-9)


def magnet_threshold() -> float:
    """Largest loss at which a node of 1 W/K with magnets of -0.002/K still has a state, ambient 0 degC.

    G T mu(T)^2 = P (235 + T)/260: the largest P of P(T) = 260 T mu^2/(235 + T), found on a fine grid.
    """
    temps = np.linspace(0.0, 400.0, 4_000_001)
    return float((260.0 * temps * (1.0 - 0.002 * (temps - 25.0)) ** 2 / (235.0 + temps)).max())


@pytest.mark.parametrize(
    ("share", "runs_away"), [(0.5, False), (0.99, False), (0.9999, False), (1.0001, True), (1.5, True)]
)
def test_threshold_of_the_magnets(share: float, runs_away: bool) -> None:
    law = CopperLaw(magnet_temp_coefficient=-0.002)
    one = np.ones(1)
    loss = share * magnet_threshold()
    state = repeating_state(ONE_NODE, one_node_cycle(100.0 * one, one, loss * one), law)
    assert isinstance(state, RunAway) == runs_away
    if isinstance(state, RunAway):
        assert state.reason == "magnets"
        assert state.spectral_radius < 1.0
    else:
        # the cooler root: below the temperature at which the loss that can be carried is largest
        temp = state.peak[0]
        carried = 260.0 * temp * (1.0 - 0.002 * (temp - 25.0)) ** 2 / (235.0 + temp)
        assert carried == pytest.approx(loss, rel=1e-6)
        hotter = 260.0 * (temp + 1.0) * (1.0 - 0.002 * (temp - 24.0)) ** 2 / (236.0 + temp)
        assert hotter > carried or share > 0.999


@pytest.mark.parametrize("guess", [-50.0, 25.0, 100.0, 180.0, 300.0, 450.0, 5000.0])
def test_a_bad_guess_still_gives_the_cooler_state(guess: float) -> None:
    law = CopperLaw(magnet_temp_coefficient=-0.002)
    network, cycle, _ = random_cycle(20, 3, 4)
    expected = settled(network, cycle, law)
    state = repeating_state(network, cycle, law, guess=np.full(4, guess))
    assert isinstance(state, RepeatingState)
    assert state.peak == pytest.approx(expected.peak, abs=2e-4)


def test_cycles_side_by_side_do_not_disturb_each_other() -> None:
    network, cycle, law = random_cycle(21, 3, 4)
    factors = np.array([0.5, 1.0, 1.5, 30.0])
    losses = factors[:, None] ** 2 * cycle.copper_at_reference()
    solution = solve_cycles(
        CycleProblem(
            cycle.conductance[None], cycle.inflow[None], losses, cycle.duration[None], network.capacity,
            network.winding, network.magnets, law,
        )
    )  # fmt: skip
    assert not solution.settled[3]
    for b in range(3):
        alone = repeating_state(network, replace(cycle, copper=factors[b] ** 2 * cycle.copper), law)
        assert isinstance(alone, RepeatingState) == bool(solution.settled[b])
        if isinstance(alone, RepeatingState):
            assert solution.start_temp[b] == pytest.approx(alone.start_temp, abs=2e-4)


# Hottest phase ------------------------------------------------------------------------------------


def test_without_standstill_the_hottest_phase_is_the_winding() -> None:
    network, cycle, law = random_cycle(22, 3, 4)
    state = settled(network, cycle, law)
    assert state.hot_phase_peak == state.peak[network.winding]


def test_only_the_rise_of_winding_over_core_doubles_when_held_for_good() -> None:
    """Two nodes, winding to core 0.5 W/K, core to air 0.2 W/K, 10 W: 20 K and 50 K; held: 40 K and 50 K."""
    network = chain_network(np.array([8.0, 50.0]), ambient=0.0)
    matrix = node_matrix(np.array([[0.0, 0.5], [0.5, 0.0]]), np.array([0.0, 0.2]))
    one = np.ones(1)
    cycle = HeatPieces(
        1e7 * one, np.array([0]), matrix[None], np.zeros((1, 2)), np.array([[0.0, 0.0, 10.0]]), 2.0 * one
    )
    state = settled(network, cycle, CONSTANT)
    assert state.peak[0] == pytest.approx(70.0, abs=1e-6)
    assert state.hot_phase_peak == pytest.approx(90.0, abs=1e-6)


def test_excess_of_the_hottest_phase_against_the_differential_equation() -> None:
    network, cycle, law = random_cycle(23, 3, 4)
    cycle = replace(cycle, stall_phase_factor=np.array([1.0, 2.0, 1.0, 1.5]))
    state = settled(network, cycle, law)
    samples = 500
    shares = np.arange(samples) / samples
    winding = cycle_trace(state, cycle, samples).temps[:-1, 0].reshape(-1, samples)
    theta, hottest = 0.0, -np.inf
    for number in range(200):  # after 199 cycles the excess has long repeated
        for j, duration in enumerate(cycle.duration):
            rate = cycle.conductance[j, 0, 0] / network.capacity[0]
            level = (cycle.stall_phase_factor[j] - 1.0) * state.copper_loss[j] / network.capacity[0] / rate
            if number == 199:
                course = level + (theta - level) * np.exp(-rate * duration * shares)
                hottest = max(hottest, float((winding[j] + course).max()))
            theta = level + (theta - level) * math.exp(-rate * duration)
    # between two of 500 samples a peak is missed by less than 1 mK unless it is a sharp end of a piece,
    # which is the start of the next
    assert state.hot_phase_peak == pytest.approx(hottest, abs=1e-3)
    assert state.hot_phase_peak > state.peak[0]


# Ramps, traces, monotony, refusals ----------------------------------------------------------------


def test_ramps_are_cut_until_the_result_stands_still() -> None:
    """Loss growing as t^2 along a ramp of 40 s: against scipy with the loss taken at every instant."""
    network = chain_network(np.array([10.0, 60.0]), ambient=AMBIENT)
    matrix = node_matrix(np.array([[0.0, 0.8], [0.8, 0.0]]), np.array([0.0, 0.3]))

    def build(per_ramp: int) -> HeatPieces:
        edges = np.linspace(0.0, 1.0, per_ramp + 1)
        means = 60.0 * (edges[1:] ** 3 - edges[:-1] ** 3) / 3.0 * per_ramp
        copper = np.zeros((per_ramp + 1, 3))
        copper[:-1, 2] = means
        m = per_ramp + 1
        return HeatPieces(
            np.append(np.full(per_ramp, 40.0 / per_ramp), 20.0),
            np.append(np.zeros(per_ramp, dtype=np.int64), 1),
            np.repeat(matrix[None], m, axis=0),
            np.repeat(np.array([[0.0, 0.3 * AMBIENT]]), m, axis=0),
            copper,
            np.ones(m),
        )

    state, pieces = settled_state(network, build, CONSTANT)
    assert isinstance(state, RepeatingState)
    assert pieces.duration.size > 8

    def slope(time: float, temps: FloatArray) -> FloatArray:
        loss = 60.0 * (time / 40.0) ** 2 if time < 40.0 else 0.0
        heat = np.array([loss, 0.3 * AMBIENT]) - matrix @ temps
        result: FloatArray = heat / network.capacity
        return result

    ramp = solve_ivp(slope, (0.0, 40.0 - 1e-9), state.start_temp, method="Radau", rtol=1e-10, atol=1e-9)
    rest = solve_ivp(slope, (40.0, 60.0), ramp.y[:, -1], method="Radau", rtol=1e-10, atol=1e-9)
    assert rest.y[:, -1] == pytest.approx(state.start_temp, abs=1e-3)
    assert ramp.y[0].max() == pytest.approx(state.peak[0], abs=1e-3)


def test_a_cycle_without_ramps_is_solved_once() -> None:
    network, cycle, law = random_cycle(24, 3, 4)
    asked: list[int] = []

    def build(per_ramp: int) -> HeatPieces:
        asked.append(per_ramp)
        return cycle

    state, pieces = settled_state(network, build, law)
    assert (asked, pieces) == ([1, 2], cycle)
    assert isinstance(state, RepeatingState)


def test_trace_runs_through_start_and_ends() -> None:
    network, cycle, law = random_cycle(25, 3, 5)
    state = settled(network, cycle, law)
    trace = cycle_trace(state, cycle, 8)
    assert trace.time.shape == (41,)
    assert trace.temps[0] == pytest.approx(state.start_temp, abs=1e-9)
    assert trace.temps[-1] == pytest.approx(state.start_temp, abs=1e-6)
    assert trace.temps[8::8] == pytest.approx(state.piece_end, abs=1e-9)
    assert (trace.temps.max(axis=0) <= state.peak + 1e-6).all()
    assert trace.time[-1] == pytest.approx(cycle.duration.sum())


@given(seed=st.integers(0, 10_000), ambient=st.floats(-20.0, 60.0), more=st.floats(0.1, 20.0))
def test_more_ambient_never_cools_anything(seed: int, ambient: float, more: float) -> None:
    network, cycle, law = random_cycle(seed, 2 + seed % 4, 1 + seed % 6, ambient)
    warmer = replace(cycle, inflow=cycle.inflow + more * cycle.conductance.sum(axis=2))
    cold, hot = repeating_state(network, cycle, law), repeating_state(network, warmer, law)
    if isinstance(cold, RunAway):
        assert isinstance(hot, RunAway)
    elif isinstance(hot, RepeatingState):
        assert (hot.piece_start >= cold.piece_start + 0.99 * more - 2e-4).all()
        assert (hot.peak >= cold.peak + 0.99 * more - 2e-4).all()


def test_bad_input_is_refused_by_name() -> None:
    network, cycle, law = random_cycle(26, 3, 3)
    with pytest.raises(InputRangeError, match="duration of a piece must be > 0, got 0 s"):
        repeating_state(network, replace(cycle, duration=np.array([1.0, 0.0, 2.0])), law)
    with pytest.raises(InputRangeError, match="temperature coefficient of the magnets must be <= 0"):
        repeating_state(network, cycle, CopperLaw(magnet_temp_coefficient=1e-3))
    with pytest.raises(InputRangeError, match="copper loss of a piece must be >= 0"):
        repeating_state(network, replace(cycle, copper=np.full((3, 3), np.nan)), law)
