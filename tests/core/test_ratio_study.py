"""Ratio window against brute force, the optimum against numerical minimisation, and the mistakes named."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import minimize_scalar

from core.errors import InputRangeError
from core.numeric import FloatArray
from core.physics.ratio_study import (
    RatioWindow,
    load_acceleration,
    loss_minimising_ratio,
    ratio_candidates,
    ratio_findings,
    ratio_window,
)
from core.physics.transmission import Transmission, shaft_timeline


def random_cycle(seed: int, pieces: int = 12) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    """Time and speed at the knots of a closed motion, torque of the load with 0.3 kg m2, acceleration."""
    rng = np.random.default_rng(seed)
    time = np.concatenate(([0.0], np.cumsum(rng.uniform(0.1, 1.0, pieces))))
    speed = rng.normal(size=pieces + 1) * 5.0
    speed[-1] = speed[0]
    alpha = np.diff(speed) / np.diff(time)
    torque = 0.3 * alpha[:, None] + rng.normal(size=(pieces, 2)) + 2.0
    return time, speed, torque, alpha


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("efficiency", [1.0, 0.75])
def test_optimum_agrees_with_numerical_minimisation(seed: int, efficiency: float) -> None:
    time, _, torque, alpha = random_cycle(seed)
    rotor = 4e-4
    back = efficiency if efficiency == 1.0 else 1.0 / efficiency  # one factor in both directions

    def mean_square(ratio: float) -> float:
        # numerically from samples of the definition, not with the formula
        x = (np.arange(400) + 0.5) / 400
        sampled = torque[:, :1] + (torque[:, 1:] - torque[:, :1]) * x
        at_motor = sampled * back / ratio + rotor * ratio * alpha[:, None]
        return float(np.diff(time) @ (at_motor**2).mean(axis=1))

    found = minimize_scalar(mean_square, bounds=(1.0, 500.0), method="bounded", options={"xatol": 1e-8})
    optimum = loss_minimising_ratio(np.diff(time), torque, alpha, rotor, efficiency)
    assert optimum == pytest.approx(float(found.x), rel=1e-4)


def test_timeline_has_its_least_square_at_the_optimum() -> None:
    time, speed, torque, alpha = random_cycle(9)
    rotor = 4e-4

    def mean_square(ratio: float) -> float:
        line = shaft_timeline(time, speed, torque, Transmission(ratio=ratio, input_inertia=rotor))
        a, b = line.torque.T
        return float(line.duration @ ((a * a + a * b + b * b) / 3.0))

    found = minimize_scalar(mean_square, bounds=(1.0, 500.0), method="bounded", options={"xatol": 1e-8})
    assert loss_minimising_ratio(np.diff(time), torque, alpha, rotor) == pytest.approx(found.x, rel=1e-6)


def test_nothing_accelerating_has_no_finite_optimum() -> None:
    assert loss_minimising_ratio(np.ones(1), np.ones((1, 2)), np.zeros(1), 1e-4) == np.inf


finite = st.floats(-20.0, 20.0).map(lambda x: round(x, 2))


@settings(max_examples=80, deadline=None)
@given(
    st.lists(st.tuples(finite, finite, finite), min_size=1, max_size=5),
    st.sampled_from([0.0, 1e-3, 2e-2]),
    st.sampled_from([None, 0.5, -0.3]),
    st.sampled_from([None, 300.0]),
)
def test_window_agrees_with_trying_every_ratio(
    rows: list[tuple[float, float, float]], rotor: float, back: float | None, gear_speed: float | None
) -> None:
    torque, speed, alpha = np.array(rows).T
    gear = Transmission(efficiency=0.8, back_driving_efficiency=back, largest_input_speed=gear_speed)
    window = ratio_window(torque, speed, alpha, 2.0, 500.0, rotor, gear)
    for ratio in np.geomspace(0.01, 2000.0, 120):
        power = torque * speed
        factor = np.where(power > 0.0, 1.25, np.where(power < 0.0, gear.back_efficiency, 1.0))
        factor = np.where(speed == 0.0, 1.0, factor)
        load = np.abs(torque * factor / ratio + rotor * ratio * alpha).max() / 2.0
        pace = np.abs(speed * ratio).max() / min(500.0, gear_speed or np.inf)
        worst = max(load, pace)
        if abs(worst - 1.0) > 1e-9:
            assert window.contains(float(ratio)) == (worst < 1.0), (ratio, worst, window)


def test_window_names_what_ends_it() -> None:
    gear = Transmission(efficiency=0.9, largest_input_speed=200.0)
    window = ratio_window(np.array([9.0]), np.array([20.0]), np.array([0.0]), 1.0, 300.0, 1e-5, gear)
    assert (window.highest_by_motor_speed, window.highest_by_gear_speed) == (15.0, 10.0)
    assert window.lowest == pytest.approx(10.0)
    assert window.highest_by_inertia == np.inf


def test_drag_above_the_motor_torque_closes_the_window() -> None:
    gear = Transmission(drag_torque=0.2)
    window = ratio_window(np.array([1.0]), np.array([1.0]), np.array([0.0]), 0.1, 300.0, 1e-5, gear)
    assert not window.is_open


def window_of(low: float, high: float) -> RatioWindow:
    return RatioWindow(low, high, high, np.inf, 2.0 * high)


def test_ratio_from_stall_torque_is_named() -> None:
    """12 N m of load and 4 N m of stall torque suggest 3:1; the 0.8 N m that may last ask for 15:1."""
    found = {f.code for f in ratio_findings(3.0, window_of(15.0, 40.0), 12.0, stall_torque=4.0)}
    assert found == {"ratio_below_window", "ratio_from_stall_torque"}
    assert {f.code for f in ratio_findings(5.0, window_of(15.0, 40.0), 12.0, 4.0)} == {"ratio_below_window"}
    assert not ratio_findings(-20.0, window_of(15.0, 40.0), 12.0, 4.0)


def test_ratio_above_the_window_names_the_cause() -> None:
    (finding,) = ratio_findings(50.0, window_of(15.0, 40.0), 12.0)
    assert finding.code == "ratio_above_window"
    assert "the speed of the motor" in str(finding.text)
    (finding,) = ratio_findings(50.0, window_of(41.0, 40.0), 12.0)
    assert finding.code == "ratio_window_closed"


def test_scan_marks_what_can_be_had_and_keeps_gaps() -> None:
    def evaluate(ratio: float) -> Mapping[str, float]:
        return {"speed": 3.0 * ratio} | ({"temperature": 100.0 / ratio} if ratio < 6.0 else {})

    scan = ratio_candidates(evaluate, 2.0, 8.0, available=[-5.0, 8.0, 12.0], count=5)
    assert scan.ratio[scan.available].tolist() == [5.0, 8.0, 12.0]
    assert (np.diff(scan.ratio) > 0.0).all()
    assert scan.values["speed"] == pytest.approx(3.0 * scan.ratio)
    assert np.isnan(scan.values["temperature"]).tolist() == (scan.ratio >= 6.0).tolist()


@pytest.mark.parametrize(
    ("low", "high", "available", "count"),
    [(0.0, 2.0, (), 5), (3.0, 2.0, (), 5), (1.0, np.inf, (), 5), (1.0, 2.0, (0.0,), 5), (1.0, 2.0, (), 1)],
)
def test_bad_scan_is_refused(low: float, high: float, available: tuple[float, ...], count: int) -> None:
    with pytest.raises(InputRangeError):
        ratio_candidates(lambda ratio: {}, low, high, available, count)


def test_array_equals_scalar() -> None:
    ratios = np.array([1.0, 3.0, 9.0])
    many = np.asarray(load_acceleration(ratios, 3.0, 0.02, 0.5, 1.0, 0.9))
    single = [load_acceleration(ratio, 3.0, 0.02, 0.5, 1.0, 0.9) for ratio in (1.0, 3.0, 9.0)]
    assert many.tolist() == single
