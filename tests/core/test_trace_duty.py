"""A trace in bins against a general solver on the straight lines between its samples, and against itself."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.errors import InputRangeError
from core.numeric import FloatArray
from core.physics.cycle_heat import cycle_cut
from core.physics.drag import DragLaw
from core.physics.heat_pieces import CopperLaw
from core.physics.sampled_trace import (
    Trace,
    interval_acceleration,
    timeline_intervals,
    trace_intervals,
    trace_through,
)
from core.physics.shaft_duty import shaft_duty
from core.physics.temperatures import RepeatingState, cycle_trace, repeating_state
from core.physics.trace_bins import bin_edges
from core.physics.trace_duty import (
    StandStill,
    TraceBins,
    interval_bins,
    pieces_of_bins,
    trace_bins,
    trace_pieces,
)
from core.physics.trace_points import interval_load_points, reduced_load_points, trace_findings
from core.physics.transmission import Transmission
from tests.core.example_networks import random_motor
from tests.core.trace_reference import TraceEquations

DRAG = DragLaw(0.003, 1e-5, 2e-7)
ROTOR, COPPER = 2e-5, 350.0
ALLOWED = 0.05  # the promised largest error of any temperature at any time. [K]


def random_trace(seed: int) -> Trace:
    """Few samples with large jumps, of steps from milliseconds to seconds, walking or leaping in speed."""
    rng = np.random.default_rng(seed)
    steps = int(rng.integers(4, 45))
    time = np.concatenate(([3.0], 3.0 + np.cumsum(rng.uniform(0.005, [0.05, 0.8, 5.0][seed % 3], steps))))
    leaps = rng.normal(size=steps + 1)
    speed = np.cumsum(leaps) * 40.0 if seed % 2 else leaps * 250.0
    return Trace(time, rng.normal(size=steps + 1) * 0.15, speed)


def copper_for(trace: Trace, watts: float) -> float:
    """Copper loss per square of torque that puts about so much heat into the winding."""
    part = trace_intervals(trace, ROTOR)
    middle = 0.5 * (part.torque_start + part.torque_end)
    return watts * trace.duration / float(part.duration @ middle**2)


@pytest.mark.parametrize("seed", range(12))
def test_repeating_temperatures_agree_with_the_solver(seed: int) -> None:
    trace, network, law = random_trace(seed), random_motor(seed), CopperLaw()
    copper = copper_for(trace, 5.0 + 0.3 * seed)
    pieces = trace_pieces(trace, network, DRAG, ROTOR, copper)
    state = repeating_state(network, pieces, law)
    assert isinstance(state, RepeatingState)
    assert state.peak.max() < 190.0  # a motor that may still be judged, see the notes of `trace_bins`
    course = cycle_trace(state, pieces, samples=4)
    exact = TraceEquations(trace, network, DRAG, ROTOR, copper, law)
    reference = exact.repeating(course.time[:-1] + trace.time[0])
    assert np.abs(course.temps - reference).max() < ALLOWED
    assert np.abs(state.peak - reference.max(axis=0)).max() < ALLOWED
    print(seed, trace.time.size, pieces.duration.size, np.abs(course.temps - reference).max())


@pytest.mark.parametrize("seed", [1, 4, 8])
def test_trace_with_warm_magnets_agrees_with_the_solver(seed: int) -> None:
    """Marched on from the settled state: it must come back to where it started."""
    trace, network = random_trace(seed), random_motor(seed)
    law = CopperLaw(magnet_temp_coefficient=-0.0011)
    pieces = trace_pieces(trace, network, DRAG, ROTOR, COPPER)
    state = repeating_state(network, pieces, law)
    assert isinstance(state, RepeatingState)
    exact = TraceEquations(trace, network, DRAG, ROTOR, COPPER, law)
    course = cycle_trace(state, pieces, samples=4)
    reference = exact.course(state.start_temp[:, None], course.time[:-1] + trace.time[0])[..., 0]
    assert np.abs(course.temps - reference).max() < ALLOWED


def test_trace_behind_a_gear_equals_the_trace_of_the_motor() -> None:
    """Lossless 8:1 turned round: the same motor sees an eighth of the torque at eight times the speed."""
    trace, network = random_trace(4), random_motor(4)
    at_load = Trace(trace.time.copy(), -8.0 * trace.torque, trace.speed / -8.0)
    line = trace_through(at_load, Transmission(ratio=-8.0))
    geared = interval_bins(timeline_intervals(line, ROTOR), network, DRAG, COPPER)
    direct = trace_bins(trace, network, DRAG, ROTOR, COPPER)
    for name in ("torque_squared", "torque_drag", "drag_squared", "core_power", "air_power"):
        assert weighted(geared, name) == pytest.approx(weighted(direct, name), rel=1e-4), name
    points = interval_load_points(timeline_intervals(line, ROTOR))
    assert points.torque[0] == pytest.approx(reduced_load_points(trace, ROTOR).torque[0])


def test_coarse_bins_would_be_seen() -> None:
    """The comparison with the solver can fail: ten kelvin of misplaced heat is not within the promise."""
    trace, network, law = random_trace(2), random_motor(2), CopperLaw()
    copper = copper_for(trace, 8.0)
    pieces = pieces_of_bins(trace_bins(trace, network, DRAG, ROTOR, copper, tolerance=10.0), network, copper)
    state = repeating_state(network, pieces, law)
    assert isinstance(state, RepeatingState)
    course = cycle_trace(state, pieces, samples=4)
    exact = TraceEquations(trace, network, DRAG, ROTOR, copper, law)
    reference = exact.repeating(course.time[:-1] + trace.time[0])
    assert np.abs(course.temps - reference).max() > 10.0 * ALLOWED


def noisy_trace(count: int, step: float = 1e-3) -> Trace:
    rng = np.random.default_rng(5)
    time = np.arange(float(count)) * step
    wave = 2.0 * np.pi * time / 3.0
    torque = 0.1 * np.cos(wave) + 0.05 * rng.normal(size=count)
    return Trace(time, torque, 300.0 * np.sin(wave) + 2.0 * rng.normal(size=count))


def test_bins_of_a_dense_noisy_trace_agree_with_one_piece_for_each_sample() -> None:
    """At 1 kHz one piece for every interval is as good as exact; it shares no bins with what is tested."""
    trace, network, law = noisy_trace(20_001), random_motor(3), CopperLaw()
    part = trace_intervals(trace, ROTOR)
    middle = 0.5 * (part.torque_start + part.torque_end)
    duty = shaft_duty(part.duration, middle, part.speed_start, part.speed_end, 0.0)
    every = cycle_cut(duty, DRAG, COPPER).on(network)
    every.copper[:, 2] += COPPER * (part.torque_end - part.torque_start) ** 2 / 12.0
    fine = repeating_state(network, every, law)
    assert isinstance(fine, RepeatingState)
    pieces = trace_pieces(trace, network, DRAG, ROTOR, COPPER)
    assert pieces.duration.size < every.duration.size / 20
    state = repeating_state(network, pieces, law)
    assert isinstance(state, RepeatingState)
    assert np.abs(state.peak - fine.peak).max() < ALLOWED
    ends = np.append(0.0, np.cumsum(every.duration))
    at_bins = np.searchsorted(ends, np.append(0.0, np.cumsum(pieces.duration))[:-1] + 1e-9) - 1
    assert np.abs(fine.piece_start[at_bins] - state.piece_start).max() < ALLOWED


def exact_means(trace: Trace) -> dict[str, float]:
    """Means over a whole trace by fine sampling of its definition."""
    x = (np.arange(400) + 0.5) / 400
    step = np.diff(trace.time)
    speed = trace.speed[:-1, None] + np.diff(trace.speed)[:, None] * x
    torque = trace.torque[:-1, None] + np.diff(trace.torque)[:, None] * x
    torque = torque + ROTOR * (np.diff(trace.speed) / step)[:, None]
    w = np.abs(speed)
    core, air = DRAG.constant + DRAG.linear * w, DRAG.windage * w**1.5
    means = {
        "torque_squared": torque**2,
        "torque_drag": torque * np.sign(speed) * (core + air),
        "drag_squared": (core + air) ** 2,
        "core_power": core * w,
        "air_power": air * w,
    }
    return {name: float(step @ value.mean(axis=1) / step.sum()) for name, value in means.items()}


def weighted(bins: TraceBins, name: str) -> float:
    return float(bins.duration @ getattr(bins, name) / bins.duration.sum())


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("tolerance", [0.0133, 10.0])
def test_no_heat_is_lost_whatever_the_bins(seed: int, tolerance: float) -> None:
    trace = random_trace(seed)
    bins = trace_bins(trace, random_motor(seed), DRAG, ROTOR, COPPER, tolerance=tolerance)
    assert bins.duration.sum() == pytest.approx(trace.duration, rel=1e-12)
    expected = exact_means(trace)
    scale = np.sqrt(expected["torque_squared"] * expected["drag_squared"])
    for name, value in expected.items():
        # 400 samples of each interval miss a jump of the sign of the drag by up to 1/800 of it
        assert weighted(bins, name) == pytest.approx(value, rel=1e-3, abs=3e-3 * scale), name


@settings(max_examples=40, deadline=None)
@given(st.floats(-0.5, 0.5), st.floats(-400.0, 400.0), st.integers(2, 30))
def test_constant_trace_is_one_piece_like_a_segment(torque: float, speed: float, count: int) -> None:
    network = random_motor(2)
    trace = Trace(np.linspace(0.0, 9.0, count), np.full(count, torque), np.full(count, speed))
    pieces = trace_pieces(trace, network, DRAG, ROTOR, COPPER)
    duty = shaft_duty(np.array([9.0]), np.array([torque]), np.array([speed]), np.array([speed]), ROTOR)
    segment = cycle_cut(duty, DRAG, COPPER).on(network)
    assert pieces.duration.size == 1
    for name in ("duration", "conductance", "inflow", "copper"):
        one, other = getattr(pieces, name), getattr(segment, name)
        assert one == pytest.approx(other, rel=1e-4, abs=1e-4 * np.abs(other).max()), name


def test_scaling_the_torque_scales_the_polynomial() -> None:
    """copper(lambda) of a trace is copper(1) of the trace with lambda times its torque, inertia included."""
    trace, network = random_trace(3), random_motor(3)
    pieces = trace_pieces(trace, network, DRAG, ROTOR, COPPER)
    twice = Trace(trace.time.copy(), 2.0 * trace.torque, trace.speed.copy())
    doubled = trace_pieces(twice, network, DRAG, 2.0 * ROTOR, COPPER)
    total = float(pieces.copper_at_reference(2.0) @ pieces.duration)
    assert total == pytest.approx(float(doubled.copper_at_reference() @ doubled.duration), rel=1e-6)


def test_held_still_has_its_own_pieces_with_the_hot_phase() -> None:
    time = np.arange(0.0, 4.0, 0.01)
    speed = np.where((time > 1.0) & (time < 3.0), 0.3 * np.sin(time * 50.0), 200.0)
    trace = Trace(time, np.full(time.size, 0.2), speed)
    still = StandStill(speed=1.0, phase_factor=2.0, copper_factor=1.5)
    bins = trace_bins(trace, random_motor(1), DRAG, 0.0, COPPER, still)
    assert bins.duration[bins.held].sum() == pytest.approx(1.98, abs=0.021)
    assert bins.torque_squared[bins.held] == pytest.approx(1.5 * 0.04)
    assert bins.torque_squared[~bins.held] == pytest.approx(0.04)
    assert (bins.drag_squared[bins.held] == 0.0).all()
    pieces = trace_pieces(trace, random_motor(1), DRAG, 0.0, COPPER, still)
    assert set(pieces.stall_phase_factor.tolist()) == {1.0, 2.0}
    short = StandStill(speed=1.0, shortest=5.0, phase_factor=2.0)
    assert not trace_bins(trace, random_motor(1), DRAG, 0.0, COPPER, short).held.any()


def test_all_at_rest() -> None:
    trace = Trace(np.array([0.0, 1.0, 2.0]), np.array([0.1, 0.1, 0.1]), np.zeros(3))
    pieces = trace_pieces(trace, random_motor(1), DRAG, ROTOR, COPPER, StandStill(phase_factor=2.0))
    assert pieces.copper_at_reference() == pytest.approx(3.5)
    assert pieces.stall_phase_factor.tolist() == [2.0]


def test_number_of_bins_does_not_follow_the_sampling() -> None:
    """The same course sampled ten times as finely needs about as many bins."""
    counts = []
    for count in (3_000, 30_000, 300_000):
        time: FloatArray = np.arange(count, dtype=np.float64)
        time *= 30.0 / (count - 1)
        trace = Trace(time, 0.2 * np.sin(2.0 * time), 200.0 * np.cos(0.5 * time))
        counts.append(trace_pieces(trace, random_motor(4), DRAG, ROTOR, COPPER).duration.size)
    assert max(counts) < 1.5 * min(counts), counts


def test_edges_keep_every_chord_within_the_tolerance() -> None:
    rng = np.random.default_rng(8)
    time = np.cumsum(rng.uniform(0.1, 1.0, 40_000))
    heat = np.cumsum(rng.normal(size=time.size)) * 1e-3
    edges = bin_edges(time, (heat,), np.array([17, 20_011]), 0.02)
    miss = np.abs(heat - np.interp(time, time[edges], heat[edges]))
    assert miss.max() <= 0.02
    assert {0, 17, 20_011, time.size - 1} <= set(edges.tolist())
    assert edges.size < time.size / 10


def test_noise_is_amplified_and_averaging_is_offered() -> None:
    """White noise of 2 rad/s at 1 kHz: rms torque J sqrt(2) 2/0.001, averaged over 10 a tenth of it."""
    trace = noisy_trace(20_000)
    pure = ROTOR * np.sqrt(2.0) * 2.0 / 1e-3
    wave = ROTOR * 300.0 * 2.0 * np.pi / 3.0 / np.sqrt(2.0)
    raw = ROTOR * interval_acceleration(trace)
    even = ROTOR * interval_acceleration(trace, 10)
    assert np.sqrt(np.mean(raw**2)) == pytest.approx(np.hypot(pure, wave), rel=0.02)
    assert np.sqrt(np.mean(even**2)) == pytest.approx(np.hypot(pure / 10.0, wave), rel=0.02)
    assert "trace_noise_in_acceleration" in {f.code for f in trace_findings(trace, ROTOR)}
    assert not {f.code for f in trace_findings(trace, 0.0)} & {"trace_noise_in_acceleration"}
    smooth = trace_bins(trace, random_motor(3), DRAG, ROTOR, COPPER, smoothed_over=10)
    rough = trace_bins(trace, random_motor(3), DRAG, ROTOR, COPPER)
    gained = weighted(rough, "torque_squared") - weighted(smooth, "torque_squared")
    assert gained == pytest.approx(pure**2 * (1.0 - 0.01), rel=0.1)


def test_ends_that_do_not_meet_are_found() -> None:
    trace = Trace(np.arange(3.0), np.zeros(3), np.array([0.0, 100.0, 40.0]))
    (finding,) = trace_findings(trace, 0.0)
    assert finding.code == "trace_ends_differ"
    assert finding.values["speed_jump_rad_s"] == -40.0


@pytest.mark.parametrize(
    ("time", "torque"),
    [([0.0], [0.0]), ([0.0, 0.0], [0.0, 0.0]), ([0.0, 1.0], [0.0, np.nan]), ([0.0, 1.0], [0.0, 0.0, 0.0])],
)
def test_no_course_of_time_is_refused(time: list[float], torque: list[float]) -> None:
    with pytest.raises(InputRangeError):
        Trace(np.array(time), np.array(torque), np.zeros(len(time)))


def in_plane(trace: Trace) -> tuple[FloatArray, FloatArray]:
    return np.abs(trace.speed), trace.torque * np.sign(trace.speed)


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("count", [16, 40])
def test_load_points_carry_the_extremes(seed: int, count: int) -> None:
    rng = np.random.default_rng(seed)
    size = 5_000
    angle = np.cumsum(rng.normal(size=size)) * 0.05
    torque, speed = np.sin(angle) * rng.uniform(0.2, 1.0, size), 300.0 * np.cos(0.7 * angle)
    trace = Trace(np.arange(float(size)) * 0.01, torque, speed)
    points = reduced_load_points(trace, count=count)
    assert points.speed.size <= count
    assert points.share.sum() == pytest.approx(1.0)
    w, t = in_plane(trace)
    for half in (t > 0.0, t < 0.0):
        mine = points.extreme & (points.torque >= 0.0 if (t[half] > 0.0).all() else points.torque < 0.0)
        assert np.abs(points.torque[mine]).max() >= np.abs(t[half]).max()
        assert points.speed[mine].max() >= w[half].max() * (1.0 - 1e-12)
        assert np.abs(points.torque * points.speed)[mine].max() >= np.abs(t * w)[half].max() * (1.0 - 1e-12)
        for direction in np.linspace(0.0, np.pi, 25) if count == 40 else []:
            reach = w / 300.0 * np.cos(direction) + np.abs(t) * np.sin(direction)
            found = points.speed / 300.0 * np.cos(direction) + np.abs(points.torque) * np.sin(direction)
            assert found[mine].max() >= reach[half].max() - 0.03
    mean = points.share @ points.torque
    assert mean == pytest.approx(float(np.mean(t)), abs=0.02)


def test_load_points_take_the_rotor_along_when_asked() -> None:
    trace = Trace(np.array([0.0, 1.0, 2.0]), np.full(3, 0.1), np.array([0.0, 100.0, 0.0]))
    points = reduced_load_points(trace, rotor_inertia=0.01)
    assert points.torque.max() == pytest.approx(1.1)
    assert points.torque.min() == pytest.approx(-0.9)
    with pytest.raises(InputRangeError):
        reduced_load_points(trace, count=3)
