"""Drag: exact means over ramps, fits, and the single no-load point."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.optimize import nnls

from core.errors import InputRangeError
from core.physics.drag import (
    DragLaw,
    DragShares,
    air_drag_torque,
    core_drag_torque,
    drag_torque,
    fit_no_load_points,
    from_one_no_load_point,
    mean_drag_over_ramp,
)
from core.physics.machine_constants import MachineConstants

LAMINAR = DragLaw(2e-3, 1e-5, 3e-7)
TURBULENT = DragLaw(2e-3, 1e-5, 3e-8, windage_exponent=1.8)


def integral_mean(function: Callable[[float], float], start: float, end: float) -> float:
    if start == end:
        return function(start)
    value, _ = quad(function, start, end, epsabs=0.0, epsrel=1e-13, limit=200)
    return float(value) / (end - start)


@pytest.mark.parametrize(
    ("law", "tolerance"), [(LAMINAR, 1e-11), (TURBULENT, 1e-9)], ids=["laminar", "turbulent"]
)
@pytest.mark.parametrize(
    ("start", "end"),
    [(0.0, 400.0), (400.0, 0.0), (300.0, 300.0), (300.0, 300.0 + 1e-9), (1.0, 800.0), (-5.0, -600.0)],
)
def test_ramp_means_equal_adaptive_quadrature(
    law: DragLaw, tolerance: float, start: float, end: float
) -> None:
    means = mean_drag_over_ramp(law, start, end)
    expected = {
        "torque": integral_mean(lambda w: float(drag_torque(law, w)), start, end),
        "torque_squared": integral_mean(lambda w: float(drag_torque(law, w)) ** 2, start, end),
        "core_power": integral_mean(lambda w: float(core_drag_torque(law, w)) * abs(w), start, end),
        "air_power": integral_mean(lambda w: float(air_drag_torque(law, w)) * abs(w), start, end),
    }
    for name, value in expected.items():
        assert float(getattr(means, name)) == pytest.approx(value, rel=tolerance), name


@given(
    pairs=st.lists(st.tuples(st.floats(0.0, 1000.0), st.floats(0.0, 1000.0)), min_size=1, max_size=8),
    sign=st.sampled_from([1.0, -1.0]),
)
def test_ramps_as_array_equal_ramps_one_by_one(pairs: list[tuple[float, float]], sign: float) -> None:
    start, end = sign * np.array(pairs).T
    together = mean_drag_over_ramp(LAMINAR, start, end)
    for n in range(len(pairs)):
        alone = mean_drag_over_ramp(LAMINAR, float(start[n]), float(end[n]))
        for name in ("torque", "torque_squared", "core_power", "air_power"):
            assert getattr(together, name)[n] == pytest.approx(float(getattr(alone, name)), rel=1e-12)
        # between the values at the ends, and the square of a mean never exceeds the mean of the square
        low, high = sorted([float(drag_torque(LAMINAR, start[n])), float(drag_torque(LAMINAR, end[n]))])
        assert low * (1 - 1e-12) <= together.torque[n] <= high * (1 + 1e-12)
        assert together.torque[n] ** 2 <= together.torque_squared[n] * (1 + 1e-12)


def test_segment_at_rest_keeps_its_constant_part_and_makes_no_heat() -> None:
    means = mean_drag_over_ramp(LAMINAR, 0.0, 0.0)
    assert float(means.torque) == LAMINAR.constant
    assert float(means.core_power) == float(means.air_power) == 0.0


def test_ramp_through_zero_is_refused() -> None:
    with pytest.raises(InputRangeError, match="split at zero speed"):
        mean_drag_over_ramp(LAMINAR, np.array([0.0, -10.0]), np.array([10.0, 10.0]))


def test_drag_does_not_depend_on_direction() -> None:
    speeds = np.array([0.0, 10.0, 400.0])
    assert np.array_equal(drag_torque(LAMINAR, speeds), drag_torque(LAMINAR, -speeds))
    assert float(drag_torque(LAMINAR, 0.0)) == 2e-3


@pytest.mark.parametrize("name", ["constant", "linear", "windage"])
def test_negative_drag_is_refused(name: str) -> None:
    with pytest.raises(InputRangeError, match=name):
        DragLaw(**{name: -1e-9})


def test_other_refusals() -> None:
    with pytest.raises(InputRangeError, match="windage_exponent"):
        DragLaw(windage_exponent=2.5)
    with pytest.raises(InputRangeError, match="sum of the drag shares"):
        DragShares(0.5, 0.2, 0.2)
    with pytest.raises(InputRangeError, match="share windage"):
        DragShares(0.6, 0.6, -0.2)


def test_one_point_is_met_and_marked_as_assumed() -> None:
    shares = DragShares(0.3, 0.5, 0.2)
    law, finding = from_one_no_load_point(400.0, drag_torque=0.01, shares=shares)
    assert float(drag_torque(law, 400.0)) == pytest.approx(0.01)
    assert float(air_drag_torque(law, 400.0)) == pytest.approx(0.002)
    assert (finding.code, finding.severity) == ("drag_split_assumed", "assumed")
    assert finding.values["share_windage"] == 0.2


def test_one_point_from_a_current() -> None:
    machine = MachineConstants(0.030, 0.8, 0.35e-3, 8, emf_shape="trapezoidal")
    law, _ = from_one_no_load_point(400.0, no_load_current=0.3, constants=machine)
    assert float(drag_torque(law, 400.0)) == pytest.approx(0.009)


def test_one_point_needs_exactly_one_figure() -> None:
    with pytest.raises(InputRangeError, match="exactly 1"):
        from_one_no_load_point(400.0)
    with pytest.raises(InputRangeError, match="exactly 1"):
        from_one_no_load_point(400.0, drag_torque=0.01, no_load_current=0.3)
    with pytest.raises(InputRangeError, match="machines"):
        from_one_no_load_point(400.0, no_load_current=0.3)
    with pytest.raises(InputRangeError, match="no-load speed"):
        from_one_no_load_point(0.0, drag_torque=0.01)


@pytest.mark.parametrize(
    "law", [LAMINAR, TURBULENT, DragLaw(1e-3), DragLaw(0.0, 2e-5), DragLaw(1e-3, 0.0, 1e-7)]
)
def test_fit_recovers_a_law_from_its_own_points(law: DragLaw) -> None:
    speeds = np.array([50.0, -150.0, 300.0, 500.0, 700.0])
    fitted, finding = fit_no_load_points(
        speeds, np.asarray(drag_torque(law, speeds)), windage_exponent=law.windage_exponent
    )
    grid = np.linspace(0.0, 800.0, 17)
    assert np.allclose(drag_torque(fitted, grid), drag_torque(law, grid), rtol=1e-8, atol=1e-12)
    assert finding.severity == "note"


@given(st.lists(st.tuples(st.floats(10.0, 900.0), st.floats(0.0, 0.05)), min_size=3, max_size=8))
def test_fit_is_the_non_negative_optimum(points: list[tuple[float, float]]) -> None:
    speeds, torques = np.array(points).T
    if len(np.unique(speeds)) < 3 or np.min(np.diff(np.unique(speeds))) < 5.0:
        return
    law, finding = fit_no_load_points(speeds, torques)
    w = speeds / speeds.max()
    _, norm = nnls(np.stack([np.ones_like(w), w, w**1.5], axis=1), torques)
    assert finding.values["rms_residual_Nm"] * np.sqrt(len(w)) == pytest.approx(norm, rel=1e-6, abs=1e-9)
    assert min(law.constant, law.linear, law.windage) >= 0.0


def test_bad_fit_is_a_warning_and_bad_points_are_refused() -> None:
    _, finding = fit_no_load_points(np.array([100.0, 200.0, 300.0]), np.array([0.01, 0.001, 0.01]))
    assert finding.severity == "warning"
    with pytest.raises(InputRangeError, match="different no-load speeds"):
        fit_no_load_points(np.array([100.0, 100.0]), np.array([0.01, 0.011]))
    with pytest.raises(InputRangeError, match="torques"):
        fit_no_load_points(np.array([100.0, 200.0]), np.array([0.01, -0.01]))


@pytest.mark.parametrize(("off", "words"), [(4e-4, "goes through all"), (4e-3, "misses the no-load points")])
def test_a_miss_below_what_a_point_is_read_to_is_none(off: float, words: str) -> None:
    """Three points on a line up to 4 mN m, the middle one off it by twice a share of that."""
    torques = np.array([2e-3, 3e-3 + off * 4e-3 * 2.0, 4e-3])
    # least squares leave 2/3 of that at the middle: 4/3 of `off` of the largest
    _, finding = fit_no_load_points(np.array([0.0, 100.0, 200.0]), torques, with_windage=False)
    assert finding.values["worst_share"] == pytest.approx(off * 4.0 / 3.0, rel=1e-2)
    assert words in str(finding.text)
