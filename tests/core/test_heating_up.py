"""Heating up against a march through every cycle, closed forms and scipy."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from core.numeric import FloatArray
from core.physics.heat_network import HeatNetwork
from core.physics.heat_pieces import CopperLaw, HeatPieces
from core.physics.heating_up import HeatingUp, heating_up, time_to_limit
from core.physics.segment_maps import (
    chain,
    mean_temperatures,
    piece_ends,
    piece_maps,
    piece_modes,
    temperatures_within,
)
from core.physics.temperatures import RepeatingState, RunAway, repeating_state
from tests.core.heat_cycles import AMBIENT, chain_network, one_node_cycle, random_cycle


def course_of(
    network: HeatNetwork, cycle: HeatPieces, law: CopperLaw, limits: FloatArray, factor: float = 1.0
) -> tuple[HeatingUp, RepeatingState | RunAway]:
    state = repeating_state(network, cycle, law, factor)
    start = np.full(network.capacity.size, AMBIENT)
    return heating_up(network, cycle, law, start, limits, state, factor), state


def marched(
    network: HeatNetwork, cycle: HeatPieces, law: CopperLaw, count: int
) -> tuple[FloatArray, FloatArray]:
    """Every cycle one by one, the mean magnet temperatures of each met to 1e-6 K: lows and highs."""
    temps = np.full(network.capacity.size, AMBIENT)
    magnets = np.full(cycle.duration.size, AMBIENT)
    lows, highs = [], []
    for _ in range(count):
        for _ in range(30):
            flux = 1.0 + law.magnet_temp_coefficient * (magnets - law.magnet_ref_temp)
            loss = cycle.copper_at_reference() / flux**2
            modes = piece_modes(
                cycle.conductance, cycle.inflow, loss, cycle.duration, network.capacity, network.winding, law
            )
            starts, ends = piece_ends(chain(piece_maps(modes)), temps)
            found = mean_temperatures(modes, starts)[:, network.magnets]
            near = np.abs(found - magnets).max() < 1e-6
            magnets = found
            if near:
                break
        inside = temperatures_within(modes, starts, np.linspace(0.0, 1.0, 9))
        lows.append(inside.min(axis=(0, 1)))
        highs.append(inside.max(axis=(0, 1)))
        temps = ends[-1]
    return np.array(lows), np.array(highs)


@pytest.mark.parametrize(("seed", "share"), [(1, 1.0), (2, 0.1), (3, 0.02), (4, 0.02), (6, 0.1)])
def test_envelope_stays_within_the_stated_tolerance(seed: int, share: float) -> None:
    network, cycle, law = random_cycle(seed, 3, 6)
    cycle = replace(cycle, duration=share * cycle.duration)
    course, state = course_of(network, cycle, law, np.full(3, np.inf))
    assert isinstance(state, RepeatingState)
    numbers = np.rint(course.time / cycle.duration.sum()).astype(int)
    shown = numbers < 1500
    lows, highs = marched(network, cycle, law, int(numbers[shown][-1]) + 1)
    assert course.low[shown] == pytest.approx(lows[numbers[shown]], abs=0.05)
    assert course.high[shown] == pytest.approx(highs[numbers[shown]], abs=0.05)


@pytest.mark.parametrize("share", [1e-5, 1e-2, 1.0, 30.0])
def test_course_ends_at_the_repeating_state(share: float) -> None:
    network, cycle, law = random_cycle(4, 3, 6)
    cycle = replace(cycle, duration=share * cycle.duration)
    course, state = course_of(network, cycle, law, np.full(3, np.inf))
    assert isinstance(state, RepeatingState)
    assert 3 <= course.time.size <= 250
    assert course.time[0] == 0.0
    assert course.low[0].min() <= AMBIENT + 1e-9
    # highs are read at nine points per piece, so a peak inside may be missed by a little
    assert course.high[-1] == pytest.approx(state.peak, abs=0.3 if share > 1.0 else 0.1)
    assert (np.diff(course.time) > 0.0).all()


def test_one_node_settles_as_an_exponential() -> None:
    """60 s time constant, 40 K final rise: within 1 K after 60 ln 40 = 221 s, at 20 K after 41.6 s."""
    one = np.ones(1)
    network = chain_network(60.0 * one, ambient=AMBIENT)
    cycle = one_node_cycle(0.5 * one, one, 0.0 * one, other=40.0 * one, ambient=AMBIENT)
    course, _ = course_of(network, cycle, CopperLaw(), np.array([AMBIENT + 20.0]))
    assert course.time_to_limit[0] == pytest.approx(60.0 * math.log(2.0), rel=1e-9)
    # the next shown cycle may be 8 % later
    assert 60.0 * math.log(40.0) - 1.0 <= course.settling_time <= 1.09 * 60.0 * math.log(40.0)
    exact = AMBIENT + 40.0 * -np.expm1(-course.time / 60.0)
    assert course.low[:, 0] == pytest.approx(exact, abs=1e-9)


def test_limit_inside_a_long_piece_is_placed_exactly() -> None:
    one = np.ones(1)
    network = chain_network(60.0 * one, ambient=AMBIENT)
    cycle = one_node_cycle(1e4 * one, one, 0.0 * one, other=40.0 * one, ambient=AMBIENT)
    course, _ = course_of(network, cycle, CopperLaw(), np.array([AMBIENT + 30.0]))
    assert course.time_to_limit[0] == pytest.approx(60.0 * math.log(4.0), rel=1e-9)


def test_a_limit_never_passed_has_no_time() -> None:
    network, cycle, law = random_cycle(1, 3, 6)
    course, state = course_of(network, cycle, law, np.array([1e3, np.inf, 1e3]))
    assert isinstance(state, RepeatingState)
    assert np.isinf(course.time_to_limit).all()
    assert np.isfinite(course.settling_time)


@pytest.mark.parametrize("duration", [0.01, 1.0, 1000.0])
def test_run_away_of_one_node_reaches_the_limit_in_its_time(duration: float) -> None:
    """1 W/K, 60 J/K, 520 W at 25 degC: dT/dt = (T + 470 + 25)/60 above ambient 25, from 25 degC.

    520 (235 + T)/260 - (T - 25) = T + 495, so 125 degC is reached after 60 ln(620/520).
    """
    one = np.ones(1)
    network = chain_network(60.0 * one, ambient=AMBIENT)
    cycle = one_node_cycle(duration * one, one, 520.0 * one, ambient=AMBIENT)
    course, state = course_of(network, cycle, CopperLaw(), np.array([125.0]))
    assert isinstance(state, RunAway)
    expected = 60.0 * math.log(620.0 / 520.0)
    assert course.time_to_limit[0] == pytest.approx(expected, rel=1e-6)
    assert course.settling_time == math.inf
    start = np.array([AMBIENT])
    found = time_to_limit(network, cycle, CopperLaw(), np.array([125.0]), start)
    assert found == pytest.approx(expected, rel=1e-6)


def test_run_away_of_the_magnets_against_a_march() -> None:
    network, cycle, _ = random_cycle(2, 3, 4)
    law = CopperLaw(magnet_temp_coefficient=-0.002)
    cycle = replace(cycle, duration=0.1 * cycle.duration)
    factor = next(
        f for f in np.arange(1.0, 9.0, 0.02)
        if isinstance(repeating_state(network, cycle, law, float(f)), RunAway)
    )  # fmt: skip
    state = repeating_state(network, cycle, law, float(factor))
    assert isinstance(state, RunAway)
    assert state.reason == "magnets"
    limits = np.array([np.inf, np.inf, 140.0])
    course = heating_up(network, cycle, law, np.full(3, AMBIENT), limits, state, float(factor))
    scaled = replace(cycle, copper=np.outer(cycle.copper_at_reference(float(factor)), [1.0, 0.0, 0.0]))
    period = float(cycle.duration.sum())
    count = int(course.time_to_limit[2] / period) + 3
    _, highs = marched(network, scaled, law, count)
    first = int(np.flatnonzero(highs[:, 2] > 140.0)[0])
    # 0.05 K over the rise per cycle
    slack = 1 + math.ceil(0.05 / float(highs[first, 2] - highs[first - 1, 2]))
    assert abs(course.time_to_limit[2] / period - first) <= slack


def test_starting_hot_cools_to_the_same_state() -> None:
    network, cycle, law = random_cycle(1, 3, 6)
    state = repeating_state(network, cycle, law)
    assert isinstance(state, RepeatingState)
    hot = state.start_temp + 30.0
    course = heating_up(network, cycle, law, hot, np.array([np.inf, np.inf, state.peak[2] + 20.0]), state)
    assert course.high[0] == pytest.approx(np.maximum(hot, course.high[0]), abs=1e-6)
    assert course.high[-1] == pytest.approx(state.peak, abs=0.1)
    assert course.time_to_limit[2] == 0.0
