"""Closed forms of single pieces against the differential equation and against themselves taken apart."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from core.numeric import FloatArray
from core.physics.heat_pieces import CopperLaw
from core.physics.segment_maps import (
    PieceModes,
    chain,
    mean_temperatures,
    piece_ends,
    piece_maps,
    piece_modes,
    temperatures_within,
)
from core.physics.segment_peaks import node_curves, peaks, rise_after, stationary_times
from tests.core.heat_cycles import random_cycle

LAW = CopperLaw()


def modes_of(seed: int, nodes: int, pieces: int) -> tuple[PieceModes, FloatArray]:
    network, cycle, law = random_cycle(seed, nodes, pieces)
    return (
        piece_modes(
            cycle.conductance, cycle.inflow, cycle.copper_at_reference(), cycle.duration,
            network.capacity, 0, law,
        ),
        network.capacity,
    )  # fmt: skip


def one_node(rate: float, heat: float, duration: float) -> PieceModes:
    """A node of 1 J/K whose temperature decays with a rate; a negative rate is a growing loss."""
    return piece_modes(
        np.full((1, 1, 1), rate), np.full((1, 1), heat), np.zeros(1), np.array([duration]), np.ones(1), 0, LAW
    )


@pytest.mark.parametrize("nodes", [1, 2, 3, 5])
def test_a_piece_agrees_with_the_differential_equation(nodes: int) -> None:
    network, cycle, law = random_cycle(nodes, nodes, 1)
    loss = cycle.copper_at_reference()
    modes, _ = modes_of(nodes, nodes, 1)
    start = np.linspace(20.0, 90.0, nodes)

    def slope(_: float, temps: FloatArray) -> FloatArray:
        heat = cycle.inflow[0] - cycle.conductance[0] @ temps[:nodes]
        heat[0] += loss[0] * (235.0 + temps[0]) / 260.0
        return np.concatenate([heat / network.capacity, temps[:nodes]])

    duration = float(cycle.duration[0])
    run = solve_ivp(slope, (0.0, duration), np.concatenate([start, np.zeros(nodes)]), method="Radau",
                    rtol=1e-10, atol=1e-9)  # fmt: skip
    _, ends = piece_ends(chain(piece_maps(modes)), start)
    assert ends[0] == pytest.approx(run.y[:nodes, -1], abs=1e-5)
    assert mean_temperatures(modes, start[None])[0] == pytest.approx(run.y[nodes:, -1] / duration, abs=1e-5)
    assert law.magnet_ref_temp == 25.0


@pytest.mark.parametrize("rate", [0.3, -0.3, 1e-3, 1e-9, -1e-9, 1e-14, 0.0])
def test_one_node_maps_hold_for_every_sign_of_the_rate(rate: float) -> None:
    heat, duration, start = 2.0, 7.0, 30.0
    modes = one_node(rate, heat, duration)
    x = rate * duration
    if abs(x) > 1e-6:
        end = start * math.exp(-x) - heat / rate * math.expm1(-x)
        mean = heat / rate - (start - heat / rate) * math.expm1(-x) / x
    else:  # series to second order
        end = start + duration * (heat - rate * start) * (1.0 - x / 2.0)
        mean = start + 0.5 * duration * (heat - rate * start) * (1.0 - x / 3.0)
    _, ends = piece_ends(chain(piece_maps(modes)), np.array([start]))
    assert ends[0, 0] == pytest.approx(end, rel=1e-10)
    assert mean_temperatures(modes, np.array([[start]]))[0, 0] == pytest.approx(mean, rel=1e-9)


def test_a_huge_duration_reaches_the_steady_state() -> None:
    modes = one_node(0.5, 10.0, 1e15)
    _, ends = piece_ends(chain(piece_maps(modes)), np.array([500.0]))
    assert ends[0, 0] == 20.0
    assert mean_temperatures(modes, np.array([[500.0]]))[0, 0] == pytest.approx(20.0, rel=1e-12)


def test_a_tiny_duration_loses_no_digits() -> None:
    modes = one_node(1e-3, 5.0, 1e-9)
    # less the identity: the change itself keeps all its digits
    change = piece_maps(modes)[0, 0] @ np.array([300.0, 1.0])
    assert change == pytest.approx(1e-9 * (5.0 - 0.3), rel=1e-12)


@pytest.mark.parametrize("pieces", [1, 2, 3, 7, 12, 50])
def test_joining_equals_going_through(pieces: int) -> None:
    modes, _ = modes_of(pieces, 3, pieces)
    maps = piece_maps(modes)
    start = np.array([80.0, 60.0, 40.0])
    starts, ends = piece_ends(chain(maps), start)
    temps = start
    for j in range(pieces):
        assert starts[j] == pytest.approx(temps, abs=1e-9)
        temps = temps + maps[j, :3] @ np.append(temps, 1.0)
        assert ends[j] == pytest.approx(temps, abs=1e-9)
    assert start + chain(maps).cycle[:3] @ np.append(start, 1.0) == pytest.approx(temps, abs=1e-9)


def test_many_at_once_equals_one_by_one() -> None:
    network, cycle, law = random_cycle(5, 3, 6)
    losses = np.array([0.5, 1.0, 2.0])[:, None] * cycle.copper_at_reference()
    together = piece_modes(cycle.conductance, cycle.inflow, losses, cycle.duration, network.capacity, 0, law)
    for b in range(3):
        alone = piece_modes(
            cycle.conductance, cycle.inflow, losses[b], cycle.duration, network.capacity, 0, law
        )
        assert np.array_equal(piece_maps(together)[b], piece_maps(alone))


def test_samples_begin_and_end_with_the_piece() -> None:
    modes, _ = modes_of(3, 4, 5)
    start = np.array([90.0, 70.0, 50.0, 30.0])
    starts, ends = piece_ends(chain(piece_maps(modes)), start)
    course = temperatures_within(modes, starts, np.array([0.0, 0.5, 1.0]))
    assert course[:, 0] == pytest.approx(starts, abs=1e-9)
    assert course[:, 2] == pytest.approx(ends, abs=1e-9)


@pytest.mark.parametrize("seed", range(30))
def test_peaks_equal_those_of_dense_samples(seed: int) -> None:
    nodes = 2 + seed % 4
    modes, _ = modes_of(seed, nodes, 5)
    start = np.random.default_rng(seed).uniform(20.0, 150.0, nodes)
    starts, _ = piece_ends(chain(piece_maps(modes)), start)
    top = peaks(node_curves(modes, starts))
    dense = temperatures_within(modes, starts, np.linspace(0.0, 1.0, 4001)).reshape(-1, nodes)
    # 4000 samples miss at most (d / 8000)^2 / 2 of the curvature: far below 1e-4 K here
    assert top.value == pytest.approx(dense.max(axis=0), abs=1e-4)
    assert (top.value >= dense.max(axis=0) - 1e-5).all()


def test_a_peak_inside_a_long_piece_is_found() -> None:
    """A hot winding over a cold core: the core peaks within a cooling piece, long before its end."""
    conductance = np.array([[[1.0, -1.0], [-1.0, 1.02]]])
    modes = piece_modes(
        conductance, np.zeros((1, 2)), np.zeros(1), np.array([1e5]), np.array([10.0, 40.0]), 0, LAW
    )
    top = peaks(node_curves(modes, np.array([[100.0, 0.0]])))

    def slope(_: float, temps: FloatArray) -> FloatArray:
        result: FloatArray = -conductance[0] @ temps / np.array([10.0, 40.0])
        return result

    def stationary(time: float, temps: FloatArray) -> float:
        return float(slope(time, temps)[1])

    run = solve_ivp(slope, (0.0, 1e3), np.array([100.0, 0.0]), method="Radau", rtol=1e-11, atol=1e-11,
                    events=stationary)  # fmt: skip
    assert run.t_events is not None
    assert run.y_events is not None
    inside = run.t_events[0] > 1e-6
    assert top.offset[1] == pytest.approx(run.t_events[0][inside][0], rel=1e-5)
    assert top.value[1] == pytest.approx(run.y_events[0][inside][0][1], abs=1e-6)
    assert (top.value[0], top.offset[0]) == (100.0, 0.0)


@pytest.mark.parametrize("seed", range(40))
def test_an_early_peak_in_an_endless_piece_is_found(seed: int) -> None:
    """The end of the piece is its steady state: the slope there is rounding of either sign."""
    network, cycle, law = random_cycle(seed, 3, 1)
    duration = np.array([1e7])
    modes = piece_modes(
        cycle.conductance, cycle.inflow, cycle.copper_at_reference(), duration, network.capacity, 0, law
    )
    starts = np.random.default_rng(seed).uniform(20.0, 200.0, (1, 3))
    shares = np.concatenate([[0.0], np.geomspace(1e-10, 1.0, 20_001)])
    dense = temperatures_within(modes, starts, shares)[0].max(axis=0)
    assert peaks(node_curves(modes, starts)).value == pytest.approx(dense, abs=1e-3)


def test_two_stationary_points_between_equal_signs() -> None:
    # (x - 0.5)(x - 0.8) x with x = exp(-t): the slope rises, falls and rises again
    times = stationary_times([0.4, -1.3, 1.0], [1.0, 2.0, 3.0], 5.0)
    assert times == pytest.approx([-math.log(0.8), -math.log(0.5)], rel=1e-8)
    # integral of 0.4 e^-t - 1.3 e^-2t + e^-3t up to the first zero
    x = 0.8
    expected = 0.4 * (1 - x) - 0.65 * (1 - x**2) + (1 - x**3) / 3.0
    assert rise_after([0.4, -1.3, 1.0], [1.0, 2.0, 3.0], times[0]) == pytest.approx(expected, rel=1e-10)


def test_no_stationary_point_where_all_terms_agree() -> None:
    assert stationary_times([1.0, 2.0, 3.0], [0.1, -0.2, 5.0], 100.0) == []
    assert stationary_times([1.0, -1.0], [0.5, 0.5], 100.0) == []


def test_growing_and_fading_terms_meet() -> None:
    # 2 e^{-t} = e^{t/2}: t = ln 2 / 1.5
    assert stationary_times([2.0, -1.0], [1.0, -0.5], 10.0) == pytest.approx([math.log(2.0) / 1.5])
