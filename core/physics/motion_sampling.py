"""Knots that carry a smooth profile as linear pieces of speed without loss of torque, peak or distance."""

from __future__ import annotations

import math
from functools import lru_cache
from itertools import pairwise

import numpy as np

from core.errors import InputRangeError
from core.numeric import FloatArray, read_only
from core.physics.motion_profiles import MotionProfile, profile_factors

_GRID = np.linspace(0.0, 1.0, 65)


@lru_cache(maxsize=256)
def profile_knots(profile: MotionProfile, tolerance: float = 1e-3) -> tuple[FloatArray, FloatArray]:
    r"""Return normalised knots and speeds between which the speed of a profile may run linearly.

    Parameters
    ----------
    profile : MotionProfile
        Shape of the move. [-]
    tolerance : float, default 0.001
        Largest relative error of peak speed, peak acceleration and RMS acceleration. [-]

    Returns
    -------
    tau : ndarray, shape (k + 1,)
        Normalised times, 0 to 1. [-]
    speed : ndarray, shape (k + 1,)
        Normalised speeds, scaled so that the distance is exactly 1. [-]

    Raises
    ------
    InputRangeError
        If the tolerance is not between 0.00001 and 0.1.

    Notes
    -----
    A piece takes the mean of the acceleration over it, so its share of the mean square is missed by
    a twelfth of the square of the range inside. Knots therefore lie at equal steps of acceleration,
    with one piece across each peak; the step is made smaller until all errors are met. Profiles of
    constant acceleration by sections are exact with their own joints.

    References
    ----------
    Own formulation.

    Examples
    --------
    >>> from core.physics.profile_shapes import triangle
    >>> profile_knots(triangle())[0].tolist()
    [0.0, 0.5, 1.0]
    """
    if not 1e-5 <= tolerance <= 0.1:
        raise InputRangeError("sampling tolerance", tolerance, "", "0.00001 to 0.1")
    if profile.is_constant_by_sections:
        tau = profile.breaks
        speed = np.array([*profile.speeds, 0.0])
    else:
        step, top = 3.0 * math.sqrt(tolerance), 2.0 * tolerance
        tau, speed = _at_levels(profile, step, top)
        while _error(profile, tau, speed) > tolerance:
            step, top = 0.85 * step, 0.8 * top
            tau, speed = _at_levels(profile, step, top)
    read_only(tau, speed)
    return tau, speed


def _at_levels(profile: MotionProfile, step: float, top: float) -> tuple[FloatArray, FloatArray]:
    """Return knots where the acceleration passes levels `step` of its peak apart, and their speeds."""
    factors = profile_factors(profile)
    levels = np.linspace(0.0, 1.0 - top, math.ceil((1.0 - top) / step) + 1)
    rising = np.concatenate((-factors.peak_deceleration * levels[:0:-1], factors.peak_acceleration * levels))
    knots = [0.0, 1.0]
    for section in profile.sections:
        turns = sorted({section.start, *section.turning_times(), section.end})
        for start, end in pairwise(turns):
            a = section.derivatives(start - section.start + (end - start) * _GRID)[2]
            if abs(a[-1] - a[0]) <= 1e-9 * factors.peak_acceleration:
                # coasting, or constant acceleration below the peak: nothing else marks its ends
                knots += [start, end]
                continue
            up = a[-1] > a[0]
            at = np.interp(rising, a if up else a[::-1], _GRID if up else _GRID[::-1])
            inside = (rising >= a.min()) & (rising <= a.max())
            knots += (start + (end - start) * at[inside]).tolist()
    tau = np.unique(np.round(knots, 12))
    tau = tau[np.concatenate(([True], np.diff(tau) > 1e-9))]
    tau[-1] = 1.0
    speed = profile.derivatives(tau)[1]
    speed[0] = speed[-1] = 0.0
    return tau, speed / float(np.sum(0.5 * (speed[1:] + speed[:-1]) * np.diff(tau)))


def _error(profile: MotionProfile, tau: FloatArray, speed: FloatArray) -> float:
    """Return the largest relative error of peak speed, peak accelerations and RMS acceleration."""
    factors = profile_factors(profile)
    width = np.diff(tau)
    a = np.diff(speed) / width
    pairs = (
        (float(speed.max()), factors.peak_speed),
        (float(a.max()), factors.peak_acceleration),
        (float(-a.min()), factors.peak_deceleration),
        (math.sqrt(float(np.sum(a * a * width))), factors.rms_acceleration),
    )
    return max(abs(found / exact - 1.0) for found, exact in pairs)
