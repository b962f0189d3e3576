r"""The motion profiles of the trade; their peaks come out of the curves by `profile_factors`.

Peaks (speed, acceleration, jerk): triangle 2, 4; trapezoid of thirds 1.5, 4.5; parabola 1.5, 6;
harmonic 1.57, 4.93, all four with jumps of acceleration; cycloid 2, 6.28, 39.5; modified sine 1.76,
5.53, 69.5; modified trapezoid 2, 4.89, 61.4; 3-4-5 polynomial 1.875, 5.77, 60; 4-5-6-7 polynomial
2.19, 7.51, 52.5.
"""

from __future__ import annotations

import math

from core.errors import InputRangeError
from core.physics.input_ranges import require_positive
from core.physics.motion_profiles import (
    MotionProfile,
    PolynomialSection,
    Section,
    SineSection,
    profile_from_acceleration,
)

THIRD = 1.0 / 3.0


def trapezoid(acceleration_share: float = THIRD, deceleration_share: float | None = None) -> MotionProfile:
    r"""Return constant acceleration, constant speed, constant deceleration.

    Parameters
    ----------
    acceleration_share : float, default 1/3
        Share of the time spent on speeding up. [-]
    deceleration_share : float or None, default None
        Share of the time spent on slowing down; the same when None. What is left runs at constant
        speed. [-]

    Returns
    -------
    profile : MotionProfile
        The trapezoid; a triangle when the shares fill the time. [-]

    Raises
    ------
    InputRangeError
        If a share is not above 0 or they fill more than the time.

    Notes
    -----
    Peak speed :math:`1 / (1 - (x_1 + x_2)/2)`. Thirds take the least copper loss of all symmetric
    trapezoids for a pure inertia.

    References
    ----------
    First principles; textbook fact (from memory).

    Examples
    --------
    >>> trapezoid(0.25).sections[1].start, round(trapezoid(0.25).speeds[1], 9)  # 1 / 0.75
    (0.25, 1.333333333)
    """
    slow = acceleration_share if deceleration_share is None else deceleration_share
    require_positive("acceleration share", acceleration_share, "")
    require_positive("deceleration share", slow, "")
    if acceleration_share + slow > 1.0 + 1e-12:
        raise InputRangeError(
            "acceleration and deceleration share together", acceleration_share + slow, "", "<= 1"
        )
    run_end = max(1.0 - slow, acceleration_share)
    sections = [
        PolynomialSection(0.0, acceleration_share, (1.0 / acceleration_share,)),
        PolynomialSection(acceleration_share, run_end, (0.0,)),
        PolynomialSection(run_end, 1.0, (-1.0 / (1.0 - run_end),)),
    ]
    return profile_from_acceleration("trapezoid", sections)


def triangle() -> MotionProfile:
    r"""Return half the time speeding up, half slowing down: the least peak acceleration.

    Returns
    -------
    profile : MotionProfile
        Peak speed 2, acceleration 4. [-]

    References
    ----------
    https://www.linearmotiontips.com/how-to-calculate-velocity/: peak is twice the average, reached
    in half the move time.

    Examples
    --------
    >>> triangle().speeds
    (0.0, 2.0)
    """
    halves = [PolynomialSection(0.0, 0.5, (2.0,)), PolynomialSection(0.5, 1.0, (-2.0,))]
    return profile_from_acceleration("triangle", halves)


def parabola() -> MotionProfile:
    r"""Return a parabola of speed: the least copper loss for a pure inertia.

    Returns
    -------
    profile : MotionProfile
        :math:`v = 6\tau(1 - \tau)`, RMS acceleration :math:`\sqrt{12}`. [-]

    References
    ----------
    First principles (calculus of variations); textbook fact (from memory).

    Examples
    --------
    >>> parabola().sections[0].coefficients
    (6.0, -12.0)
    """
    return profile_from_acceleration("parabola", [PolynomialSection(0.0, 1.0, (6.0, -12.0))])


def polynomial_345() -> MotionProfile:
    r"""Return the 3-4-5 polynomial: acceleration without jumps.

    Returns
    -------
    profile : MotionProfile
        :math:`s = 10\tau^3 - 15\tau^4 + 6\tau^5`; peaks 15/8, :math:`10/\sqrt{3}`, 60. [-]

    References
    ----------
    R. L. Norton, Design of Machinery (from memory); first principles.

    Examples
    --------
    >>> from core.physics.motion_profiles import speed
    >>> float(speed(polynomial_345(), 0.5))
    1.875
    """
    return profile_from_acceleration(
        "3-4-5 polynomial", [PolynomialSection(0.0, 1.0, (0.0, 60.0, -180.0, 120.0))]
    )


def polynomial_4567() -> MotionProfile:
    r"""Return the 4-5-6-7 polynomial: jerk without jumps.

    Returns
    -------
    profile : MotionProfile
        :math:`s = 35\tau^4 - 84\tau^5 + 70\tau^6 - 20\tau^7`; peaks 35/16, :math:`84\sqrt{5}/25`. [-]

    References
    ----------
    R. L. Norton, Design of Machinery (from memory); first principles.

    Examples
    --------
    >>> from core.physics.motion_profiles import speed
    >>> round(float(speed(polynomial_4567(), 0.5)), 9)
    2.1875
    """
    return profile_from_acceleration(
        "4-5-6-7 polynomial", [PolynomialSection(0.0, 1.0, (0.0, 0.0, 420.0, -1680.0, 2100.0, -840.0))]
    )


def harmonic() -> MotionProfile:
    r"""Return half a wave of a sine: what a crank gives.

    Returns
    -------
    profile : MotionProfile
        :math:`s = (1 - \cos\pi\tau)/2`; peaks :math:`\pi/2`, :math:`\pi^2/2`. [-]

    References
    ----------
    First principles.

    Examples
    --------
    >>> from core.physics.motion_profiles import speed
    >>> round(float(speed(harmonic(), 0.5)), 6)
    1.570796
    """
    return profile_from_acceleration("harmonic", [SineSection(0.0, 1.0, 1.0, math.pi, 0.5 * math.pi)])


def cycloid() -> MotionProfile:
    r"""Return the cycloid: one full sine of acceleration.

    Returns
    -------
    profile : MotionProfile
        :math:`s = \tau - \sin(2\pi\tau)/2\pi`; peaks 2, :math:`2\pi`, :math:`4\pi^2`. [-]

    References
    ----------
    First principles; textbook fact (from memory).

    Examples
    --------
    >>> from core.physics.motion_profiles import acceleration
    >>> round(float(acceleration(cycloid(), 0.25)), 4)
    6.2832
    """
    return profile_from_acceleration("cycloid", [SineSection(0.0, 1.0, 1.0, 2.0 * math.pi, 0.0)])


def modified_sine() -> MotionProfile:
    r"""Return quick quarter sines at both ends, joined by a slow half sine.

    Returns
    -------
    profile : MotionProfile
        Peak acceleration :math:`4\pi^2/(4 + \pi)`, jerk :math:`16\pi^3/(4 + \pi)`. [-]

    References
    ----------
    Rothbart, Cam Design Handbook, p. 75, as quoted in a public forum thread; factors 1.760 and 5.528
    in R. L. Norton, Design of Machinery (from memory).

    Examples
    --------
    >>> from core.physics.motion_profiles import acceleration
    >>> round(float(acceleration(modified_sine(), 0.125)), 4)
    5.528
    """
    quick, slow, quarter = 4.0 * math.pi, 4.0 * math.pi / 3.0, 0.5 * math.pi
    sections = [
        SineSection(0.0, 0.125, 1.0, quick, 0.0),
        SineSection(0.125, 0.875, 1.0, slow, quarter),
        SineSection(0.875, 1.0, 1.0, quick, 3.0 * quarter),
    ]
    return profile_from_acceleration("modified sine", sections)


def modified_trapezoid() -> MotionProfile:
    r"""Return a trapezoid of acceleration whose flanks are quarter sines.

    Returns
    -------
    profile : MotionProfile
        Peak speed 2, acceleration :math:`8\pi/(2 + \pi)`. [-]

    References
    ----------
    R. L. Norton, Design of Machinery, factors 2 and 4.888 (from memory).

    Examples
    --------
    >>> from core.physics.motion_profiles import acceleration
    >>> round(float(acceleration(modified_trapezoid(), 0.25)), 4)
    4.8881
    """
    quick, quarter = 4.0 * math.pi, 0.5 * math.pi
    sections: list[Section] = [
        SineSection(0.0, 0.125, 1.0, quick, 0.0),
        PolynomialSection(0.125, 0.375, (1.0,)),
        SineSection(0.375, 0.625, 1.0, quick, quarter),
        PolynomialSection(0.625, 0.875, (-1.0,)),
        SineSection(0.875, 1.0, 1.0, quick, 3.0 * quarter),
    ]
    return profile_from_acceleration("modified trapezoid", sections)


def s_curve(acceleration_share: float = THIRD, jerk_share: float = 0.5) -> MotionProfile:
    r"""Return the symmetric jerk-limited move of up to seven sections.

    Parameters
    ----------
    acceleration_share : float, default 1/3
        Share of the time spent on speeding up, and as much on slowing down, at most 1/2. [-]
    jerk_share : float, default 1/2
        Share of the speeding up in which the acceleration itself rises or falls: 0 gives the
        trapezoid, 1 no stretch of constant acceleration. [-]

    Returns
    -------
    profile : MotionProfile
        With shares 1/2 and 1 four equal sections: peaks 2, 8, 32. [-]

    Raises
    ------
    InputRangeError
        If a share lies outside its range.

    Notes
    -----
    With ramp time :math:`x` and jerk time :math:`y x/2`: :math:`v = 1/(1 - x)`,
    :math:`a = v/(x - xy/2)`, :math:`j = 2a/(xy)`.

    References
    ----------
    First principles; textbook fact (from memory).

    Examples
    --------
    >>> len(s_curve().sections), len(s_curve(0.5, 1.0).sections), len(s_curve(0.3, 0.0).sections)
    (7, 4, 3)
    """
    if not 0.0 < acceleration_share <= 0.5:
        raise InputRangeError("acceleration share", acceleration_share, "", "> 0 and <= 0.5")
    if not 0.0 <= jerk_share <= 1.0:
        raise InputRangeError("jerk share", jerk_share, "", "0 to 1")
    x, rise = acceleration_share, 0.5 * jerk_share * acceleration_share
    slope = 1.0 / rise if rise > 1e-12 else 0.0
    times = [0.0, rise, x - rise, x, 1.0 - x, 1.0 - x + rise, 1.0 - rise, 1.0]
    rows = [(0.0, slope), (1.0,), (1.0, -slope), (0.0,), (0.0, -slope), (-1.0,), (-1.0, slope)]
    sections = [
        PolynomialSection(start, end, row)
        for start, end, row in zip(times[:-1], times[1:], rows, strict=True)
    ]
    return profile_from_acceleration("S-curve", _gapless(sections))


def _gapless(sections: list[PolynomialSection]) -> list[PolynomialSection]:
    """Drop the sections of no length and close the rounding errors that they leave."""
    kept = [section for section in sections if section.end - section.start > 1e-12]
    starts = [section.start for section in kept[1:]]
    return [
        PolynomialSection(section.start, end, section.coefficients)
        for section, end in zip(kept, [*starts, 1.0], strict=True)
    ]


def s_curve_for_jerk(
    distance: float, duration: float, jerk_limit: float, acceleration_share: float = THIRD
) -> MotionProfile:
    r"""Return the S-curve that keeps a jerk limit in a given time.

    Parameters
    ----------
    distance : float
        Distance of the move; its sign does not matter. [rad or m]
    duration : float
        Time of the move. [s]
    jerk_limit : float
        Jerk that the ramps of the acceleration use fully. [rad/s3 or m/s3]
    acceleration_share : float, default 1/3
        Share of the time spent on speeding up, and as much on slowing down, at most 1/2. [-]

    Returns
    -------
    profile : MotionProfile
        S-curve. [-]

    Raises
    ------
    InputRangeError
        If the time is too short for this jerk.

    Notes
    -----
    Peak speed :math:`v = d/(t(1 - x))` in the ramp time :math:`t_a = xt`; the jerk time solves
    :math:`t_j(t_a - t_j) = v/j`. There is a solution while :math:`j \ge 4v/t_a^2`.

    References
    ----------
    First principles.

    Examples
    --------
    >>> from core.physics.motion_profiles import profile_factors
    >>> profile_factors(s_curve_for_jerk(1.0, 2.0, 4.0, 0.5)).peak_jerk  # 32 d/t^3 = 4
    32.0
    """
    require_positive("duration", duration, "s")
    require_positive("distance", abs(distance), "")
    if not 0.0 < acceleration_share <= 0.5:
        raise InputRangeError("acceleration share", acceleration_share, "", "> 0 and <= 0.5")
    t_a = acceleration_share * duration
    v = abs(distance) / (duration * (1.0 - acceleration_share))
    least = 4.0 * v / t_a**2
    if not jerk_limit >= least * (1.0 - 1e-12):
        raise InputRangeError("jerk limit", jerk_limit, "", f">= {least:g} for this distance in this time")
    t_j = 0.5 * (t_a - math.sqrt(max(t_a**2 - 4.0 * v / jerk_limit, 0.0)))
    return s_curve(acceleration_share, min(2.0 * t_j / t_a, 1.0))


def s_curve_within_limits(
    distance: float, speed_limit: float, acceleration_limit: float, jerk_limit: float = math.inf
) -> tuple[float, MotionProfile]:
    r"""Return the shortest time, and its profile, of a move within limits.

    Parameters
    ----------
    distance : float
        Distance of the move; its sign does not matter. [rad or m]
    speed_limit : float
        Highest speed. [rad/s or m/s]
    acceleration_limit : float
        Highest acceleration and deceleration. [rad/s2 or m/s2]
    jerk_limit : float, default infinity
        Highest jerk. [rad/s3 or m/s3]

    Returns
    -------
    duration : float
        Shortest time. [s]
    profile : MotionProfile
        S-curve of four to seven sections, trapezoid or triangle. [-]

    Notes
    -----
    With the jerk time :math:`t_j` and the time at full acceleration the peak speed is what the ramps
    reach; short moves reach neither the speed nor, shorter still, the acceleration:
    :math:`d = 2 j t_j^3`.

    References
    ----------
    First principles.

    Examples
    --------
    >>> round(s_curve_within_limits(1.0, 2.0, 4.0)[0], 9)  # triangle: 2 sqrt(d/a)
    1.0
    >>> s_curve_within_limits(4.0, 2.0, 4.0, 8.0)[0]  # 2 s at 2 m/s, 0.5 s + 0.5 s of ramp
    3.0
    """
    for name, value in (
        ("distance", abs(distance)),
        ("speed limit", speed_limit),
        ("acceleration limit", acceleration_limit),
        ("jerk limit", jerk_limit),
    ):
        require_positive(name, value, "")
    d, a, j = abs(distance), acceleration_limit, jerk_limit
    t_j = min(a / j, math.sqrt(speed_limit / j), (d / (2.0 * j)) ** THIRD)
    a = min(a, j * t_j) if math.isfinite(j) else a
    # ramp time for the speed limit, and for the speed that the distance lets the ramps reach
    to_speed = speed_limit / a + t_j
    to_distance = 0.5 * (t_j + math.sqrt(t_j**2 + 4.0 * d / a))
    ramp = max(min(to_speed, to_distance), 2.0 * t_j)
    peak = a * (ramp - t_j)
    duration = max(d / peak + ramp, 2.0 * ramp)
    return duration, s_curve(min(ramp / duration, 0.5), min(2.0 * t_j / ramp, 1.0))
