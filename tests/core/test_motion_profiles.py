"""Motion profiles: factors against published figures, quadrature, ends, and how they are sampled."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from core.errors import InputRangeError
from core.physics.motion_profiles import (
    MotionProfile,
    PolynomialSection,
    acceleration,
    jerk,
    position,
    profile_factors,
    profile_from_acceleration,
    speed,
)
from core.physics.motion_sampling import profile_knots
from core.physics.profile_shapes import (
    cycloid,
    harmonic,
    modified_sine,
    modified_trapezoid,
    parabola,
    polynomial_345,
    polynomial_4567,
    s_curve,
    s_curve_for_jerk,
    s_curve_within_limits,
    trapezoid,
    triangle,
)

SHAPES = {
    "triangle": triangle(),
    "trapezoid": trapezoid(),
    "uneven trapezoid": trapezoid(0.2, 0.5),
    "parabola": parabola(),
    "harmonic": harmonic(),
    "cycloid": cycloid(),
    "modified sine": modified_sine(),
    "modified trapezoid": modified_trapezoid(),
    "3-4-5": polynomial_345(),
    "4-5-6-7": polynomial_4567(),
    "s-curve": s_curve(),
    "s-curve of jerk": s_curve(0.5, 1.0),
    "s-curve, little jerk time": s_curve(0.4, 0.1),
}
every_shape = pytest.mark.parametrize("profile", SHAPES.values(), ids=SHAPES.keys())


def derivative_of(row: int, profile: MotionProfile, tau: float, step: float = 1e-5) -> float:
    functions = (position, speed, acceleration)
    after, before = functions[row](profile, tau + step), functions[row](profile, tau - step)
    return float(after - before) / (2.0 * step)


@every_shape
def test_from_rest_to_rest_over_distance_one(profile: MotionProfile) -> None:
    assert position(profile, 0.0) == pytest.approx(0.0, abs=1e-12)
    assert position(profile, 1.0) == pytest.approx(1.0, abs=1e-12)
    assert speed(profile, 0.0) == pytest.approx(0.0, abs=1e-12)
    assert speed(profile, 1.0) == pytest.approx(0.0, abs=1e-12)


@every_shape
def test_each_derivative_is_that_of_the_row_above(profile: MotionProfile) -> None:
    for tau in (0.03, 0.11, 0.31, 0.47, 0.61, 0.77, 0.96):
        for row, function in enumerate((speed, acceleration, jerk)):
            # central difference of step 1e-5: error near 1e-10 of the third derivative after it
            assert function(profile, tau) == pytest.approx(derivative_of(row, profile, tau), abs=2e-5)


@every_shape
def test_factors_are_those_of_the_dense_curve_and_of_quadrature(profile: MotionProfile) -> None:
    factors = profile_factors(profile)
    tau = np.linspace(0.0, 1.0, 200_001)
    _, v, a, _ = profile.derivatives(tau)
    assert factors.peak_speed == pytest.approx(v.max(), rel=1e-8)
    assert factors.peak_acceleration == pytest.approx(a.max(), rel=1e-8)
    assert factors.peak_deceleration == pytest.approx(-a.min(), rel=2e-5)
    square, _ = quad(
        lambda x: float(acceleration(profile, x)) ** 2, 0.0, 1.0, points=profile.breaks[1:-1], limit=200
    )
    assert factors.rms_acceleration == pytest.approx(math.sqrt(square), rel=1e-9)
    distance, _ = quad(lambda x: float(speed(profile, x)), 0.0, 1.0, points=profile.breaks[1:-1], limit=200)
    assert distance == pytest.approx(1.0, rel=1e-10)


def test_jerk_has_no_bound_where_the_acceleration_jumps() -> None:
    jumping = {"triangle", "trapezoid", "uneven trapezoid", "parabola", "harmonic"}
    assert {name for name, shape in SHAPES.items() if math.isinf(profile_factors(shape).peak_jerk)} == jumping


@every_shape
@pytest.mark.parametrize("tolerance", [1e-3, 5e-3])
def test_knots_keep_distance_peaks_and_rms(profile: MotionProfile, tolerance: float) -> None:
    tau, v = profile_knots(profile, tolerance)
    factors = profile_factors(profile)
    width = np.diff(tau)
    a = np.diff(v) / width
    assert np.sum(0.5 * (v[1:] + v[:-1]) * width) == pytest.approx(1.0, rel=1e-12)
    assert v[0] == v[-1] == 0.0
    assert v.max() == pytest.approx(factors.peak_speed, rel=tolerance)
    assert a.max() == pytest.approx(factors.peak_acceleration, rel=tolerance)
    assert -a.min() == pytest.approx(factors.peak_deceleration, rel=tolerance)
    assert math.sqrt(np.sum(a * a * width)) == pytest.approx(factors.rms_acceleration, rel=tolerance)
    assert tau.size - 1 <= 60


@pytest.mark.parametrize("name", ["triangle", "trapezoid", "uneven trapezoid"])
def test_profiles_of_constant_acceleration_need_their_joints_only(name: str) -> None:
    tau, _ = profile_knots(SHAPES[name])
    assert tau.size == SHAPES[name].breaks.size <= 4


@given(
    first=st.floats(0.01, 0.98),
    rest=st.floats(0.01, 1.0),
)
def test_trapezoid_of_any_shares(first: float, rest: float) -> None:
    last = max((1.0 - first) * rest, 1e-3)
    profile = trapezoid(first, last)
    peak = 1.0 / (1.0 - 0.5 * (first + last))  # area of a trapezoid of unit width
    assert profile_factors(profile).peak_speed == pytest.approx(peak, rel=1e-9)
    assert profile_factors(profile).peak_acceleration == pytest.approx(peak / first, rel=1e-6)
    assert profile_factors(profile).peak_deceleration == pytest.approx(peak / last, rel=1e-6)


@given(
    distance=st.floats(1e-4, 1e3),
    speed_limit=st.floats(1e-2, 1e2),
    acceleration_limit=st.floats(1e-2, 1e3),
    jerk_limit=st.one_of(st.just(math.inf), st.floats(1e-1, 1e5)),
)
def test_shortest_s_curve_keeps_all_limits_and_uses_one(
    distance: float, speed_limit: float, acceleration_limit: float, jerk_limit: float
) -> None:
    duration, profile = s_curve_within_limits(-distance, speed_limit, acceleration_limit, jerk_limit)
    factors = profile_factors(profile)
    used = [
        factors.peak_speed * distance / duration / speed_limit,
        factors.peak_acceleration * distance / duration**2 / acceleration_limit,
    ]
    if math.isfinite(jerk_limit) and math.isfinite(factors.peak_jerk):
        used.append(factors.peak_jerk * distance / duration**3 / jerk_limit)
    assert max(used) == pytest.approx(1.0, rel=1e-6)


@pytest.mark.parametrize(
    ("distance", "duration"),
    [
        # by hand, limits 2, 4, 8: jerk time a/j = v/a = 0.5, ramp 1 s over 1 m
        (4.0, 3.0),
        (2.0, 2.0),
        # shorter: four equal jerk sections, d = 2 j t^3
        (2.0 * 8.0 * 0.1**3, 0.4),
    ],
)
def test_shortest_s_curve_by_hand(distance: float, duration: float) -> None:
    assert s_curve_within_limits(distance, 2.0, 4.0, 8.0)[0] == pytest.approx(duration, rel=1e-9)


def test_s_curve_for_a_jerk_uses_that_jerk() -> None:
    profile = s_curve_for_jerk(0.3, 0.5, 400.0, 0.4)
    assert profile_factors(profile).peak_jerk * 0.3 / 0.5**3 == pytest.approx(400.0, rel=1e-9)
    with pytest.raises(InputRangeError, match=r"jerk limit must be >= .* for this distance in this time"):
        s_curve_for_jerk(0.3, 0.5, 80.0, 0.4)


@every_shape
def test_array_equals_scalars(profile: MotionProfile) -> None:
    tau = np.linspace(0.0, 1.0, 37)
    for function in (position, speed, acceleration, jerk):
        one_by_one = [float(function(profile, float(x))) for x in tau]
        np.testing.assert_array_equal(function(profile, tau), one_by_one)


def test_symmetric_profiles_mirror() -> None:
    tau = np.linspace(0.0, 1.0, 41)
    for name, profile in SHAPES.items():
        if name != "uneven trapezoid":
            np.testing.assert_allclose(speed(profile, tau), speed(profile, 1.0 - tau), atol=1e-12)
            np.testing.assert_allclose(position(profile, tau), 1.0 - position(profile, 1.0 - tau), atol=1e-12)


@pytest.mark.parametrize("bad", [-0.01, 1.01, math.nan])
def test_time_outside_the_move_is_refused(bad: float) -> None:
    with pytest.raises(InputRangeError, match="share of the move time"):
        position(cycloid(), bad)


def test_bad_shapes_are_refused() -> None:
    with pytest.raises(InputRangeError, match="acceleration share must be > 0, got 0"):
        trapezoid(0.0)
    with pytest.raises(InputRangeError, match="together must be <= 1"):
        trapezoid(0.6, 0.6)
    with pytest.raises(InputRangeError, match="jerk share"):
        s_curve(0.3, 1.5)
    with pytest.raises(InputRangeError, match="acceleration share"):
        s_curve(0.6, 0.5)
    with pytest.raises(InputRangeError, match="speed at the end"):
        profile_from_acceleration("lopsided", [PolynomialSection(0.0, 1.0, (1.0,))])
    with pytest.raises(InputRangeError, match="gapless"):
        profile_from_acceleration(
            "gap", [PolynomialSection(0.0, 0.4, (1.0,)), PolynomialSection(0.5, 1.0, (-1.0,))]
        )
    with pytest.raises(InputRangeError, match="sampling tolerance"):
        profile_knots(cycloid(), 0.5)
