r"""Motion profiles: how a move from rest to rest spreads its distance over its time.

Everything is normalised: distance 1 in time 1, :math:`s(\tau), v, a, j` for :math:`0 \le \tau \le 1`.
A move of distance d in time t has :math:`v\,d/t`, :math:`a\,d/t^2`, :math:`j\,d/t^3`. A profile is a
chain of sections of its acceleration, each a polynomial or a piece of a sine, integrated in closed form.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache

import numpy as np
from numpy.polynomial import polynomial

from core.errors import InputRangeError
from core.numeric import FloatArray, Numeric
from core.records import dataclass


@dataclass(frozen=True, slots=True)
class PolynomialSection:
    """Part of a profile in which the acceleration is a polynomial of the time since its start.

    Attributes
    ----------
    start, end : float
        Normalised times between which it holds. [-]
    coefficients : tuple of float
        Acceleration by rising powers of the time since `start`. [-]
    """

    start: float
    end: float
    coefficients: tuple[float, ...]

    def scaled(self, factor: float) -> PolynomialSection:
        """Return the section with its acceleration multiplied."""
        return replace(self, coefficients=tuple(c * factor for c in self.coefficients))

    def derivatives(self, x: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
        """Return travel and speed gained, acceleration and jerk at times `x` since the start. [-]"""
        acceleration = np.array(self.coefficients)
        speed = polynomial.polyint(acceleration)
        rows = (polynomial.polyint(speed), speed, acceleration, polynomial.polyder(acceleration))
        travel, gain, a, j = (np.asarray(polynomial.polyval(x, row), dtype=float) for row in rows)
        return travel, gain, a, j

    def turning_times(self) -> list[float]:
        """Return the normalised times inside at which acceleration or jerk is zero. [-]"""
        coefficients = np.array(self.coefficients)
        found: list[float] = []
        for row in (coefficients, polynomial.polyder(coefficients)):
            trimmed = np.trim_zeros(row, "b")
            if trimmed.size > 1:
                roots = polynomial.polyroots(trimmed)
                found += [float(root.real) for root in roots if abs(root.imag) < 1e-9]
        return [self.start + x for x in found if 0.0 < x < self.end - self.start]


@dataclass(frozen=True, slots=True)
class SineSection:
    r"""Part of a profile with acceleration :math:`A \sin(\Omega (\tau - \tau_0) + \varphi)`.

    Attributes
    ----------
    start, end : float
        Normalised times between which it holds. [-]
    amplitude : float
        Peak of the sine. [-]
    frequency : float
        Angle per normalised time, positive. [rad]
    phase : float
        Angle at the start. [rad]
    """

    start: float
    end: float
    amplitude: float
    frequency: float
    phase: float

    def scaled(self, factor: float) -> SineSection:
        """Return the section with its acceleration multiplied."""
        return replace(self, amplitude=self.amplitude * factor)

    def derivatives(self, x: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
        """Return travel and speed gained, acceleration and jerk at times `x` since the start. [-]"""
        A, w, phase = self.amplitude, self.frequency, self.phase
        angle = w * x + phase
        sine, cosine = np.sin(angle), np.cos(angle)
        gain = A / w * (math.cos(phase) - cosine)
        travel = A / w * (math.cos(phase) * x - (sine - math.sin(phase)) / w)
        return travel, gain, A * sine, A * w * cosine

    def turning_times(self) -> list[float]:
        """Return the normalised times inside at which acceleration or jerk is zero. [-]"""
        quarter = 0.5 * math.pi
        first = math.ceil(self.phase / quarter)
        last = math.floor((self.phase + self.frequency * (self.end - self.start)) / quarter)
        times = [self.start + (k * quarter - self.phase) / self.frequency for k in range(first, last + 1)]
        return [time for time in times if self.start < time < self.end]


Section = PolynomialSection | SineSection


@dataclass(frozen=True, slots=True)
class MotionProfile:
    """One shape of a move from rest to rest; build it with the functions below.

    Attributes
    ----------
    name : str
        Name in the trade. [-]
    sections : tuple of PolynomialSection or SineSection
        Acceleration, gapless from 0 to 1. [-]
    speeds, positions : tuple of float
        Normalised speed and position at the start of each section. [-]
    """

    name: str
    sections: tuple[Section, ...]
    speeds: tuple[float, ...]
    positions: tuple[float, ...]

    @property
    def breaks(self) -> FloatArray:
        """Normalised times at which the sections join, with both ends. [-]"""
        return np.array([*(section.start for section in self.sections), 1.0])

    @property
    def is_constant_by_sections(self) -> bool:
        """Whether the acceleration is constant in each section."""
        return all(
            isinstance(section, PolynomialSection) and not any(section.coefficients[1:])
            for section in self.sections
        )

    def derivatives(self, tau: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
        """Return position, speed, acceleration and jerk; the later one where sections join. [-]"""
        rows = np.empty((4, *np.shape(tau)))
        last = len(self.sections) - 1
        index = np.minimum(np.searchsorted(self.breaks, tau, side="right") - 1, last)
        for k, section in enumerate(self.sections):
            here = index == k
            if not here.any():
                continue
            x = tau[here] - section.start
            travel, gain, a, j = section.derivatives(x)
            rows[0][here] = self.positions[k] + self.speeds[k] * x + travel
            rows[1][here] = self.speeds[k] + gain
            rows[2][here], rows[3][here] = a, j
        return rows[0], rows[1], rows[2], rows[3]


@dataclass(frozen=True, slots=True)
class ProfileFactors:
    """What the trade quotes of a profile: multiples of d/t, d/t^2 and d/t^3.

    Attributes
    ----------
    peak_speed : float
        Highest speed. [-]
    peak_acceleration, peak_deceleration : float
        Highest acceleration forwards and backwards, both as magnitudes. [-]
    peak_jerk : float
        Highest jerk; infinite where the acceleration jumps. [-]
    rms_acceleration : float
        Root of the mean square over the move. [-]
    """

    peak_speed: float
    peak_acceleration: float
    peak_deceleration: float
    peak_jerk: float
    rms_acceleration: float


def position(profile: MotionProfile, tau: Numeric) -> Numeric:
    """Return the share of the distance covered.

    Parameters
    ----------
    profile : MotionProfile
        Shape of the move. [-]
    tau : float or ndarray, any shape
        Share of the time passed, 0 to 1. [-]

    Returns
    -------
    position : float or ndarray, shape of `tau`
        Share of the distance. [-]

    Raises
    ------
    InputRangeError
        If a time lies outside 0 to 1.

    References
    ----------
    Own integration of the sections.

    Examples
    --------
    >>> from core.physics.profile_shapes import triangle
    >>> float(position(triangle(), 0.25))  # 4/2 * 0.25^2
    0.125
    """
    return _one(profile, tau, 0)


def speed(profile: MotionProfile, tau: Numeric) -> Numeric:
    """Return the speed in multiples of distance over time.

    Parameters
    ----------
    profile : MotionProfile
        Shape of the move. [-]
    tau : float or ndarray, any shape
        Share of the time passed, 0 to 1. [-]

    Returns
    -------
    speed : float or ndarray, shape of `tau`
        Speed. [-]

    References
    ----------
    Own integration of the sections.

    Examples
    --------
    >>> from core.physics.profile_shapes import trapezoid
    >>> round(float(speed(trapezoid(), 0.5)), 12)
    1.5
    """
    return _one(profile, tau, 1)


def acceleration(profile: MotionProfile, tau: Numeric) -> Numeric:
    """Return the acceleration in multiples of distance over time squared.

    Parameters
    ----------
    profile : MotionProfile
        Shape of the move. [-]
    tau : float or ndarray, any shape
        Share of the time passed, 0 to 1; where it jumps, the later value. [-]

    Returns
    -------
    acceleration : float or ndarray, shape of `tau`
        Acceleration. [-]

    References
    ----------
    Own formulation.

    Examples
    --------
    >>> from core.physics.profile_shapes import trapezoid
    >>> round(float(acceleration(trapezoid(), 0.1)), 12)
    4.5
    """
    return _one(profile, tau, 2)


def jerk(profile: MotionProfile, tau: Numeric) -> Numeric:
    """Return the jerk in multiples of distance over time cubed, without the pulses at jumps.

    Parameters
    ----------
    profile : MotionProfile
        Shape of the move. [-]
    tau : float or ndarray, any shape
        Share of the time passed, 0 to 1. [-]

    Returns
    -------
    jerk : float or ndarray, shape of `tau`
        Jerk. [-]

    References
    ----------
    Own formulation.

    Examples
    --------
    >>> from core.physics.profile_shapes import cycloid
    >>> round(float(jerk(cycloid(), 0.0)), 3)  # 4 pi^2
    39.478
    """
    return _one(profile, tau, 3)


def _one(profile: MotionProfile, tau: Numeric, row: int) -> Numeric:
    times = np.asarray(tau, dtype=float)
    inside = (times >= 0.0) & (times <= 1.0)
    if not inside.all():
        raise InputRangeError("share of the move time", float(times[~inside].flat[0]), "", "0 to 1")
    values = profile.derivatives(np.atleast_1d(times))[row]
    return float(values[0]) if times.ndim == 0 else values


_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(24)


@lru_cache(maxsize=256)
def profile_factors(profile: MotionProfile) -> ProfileFactors:
    r"""Return the peaks of speed, acceleration and jerk and the RMS acceleration of a profile.

    Parameters
    ----------
    profile : MotionProfile
        Shape of the move. [-]

    Returns
    -------
    factors : ProfileFactors
        Multiples of d/t, d/t^2 and d/t^3. [-]

    Notes
    -----
    Peaks are read at the joints and at the zeros of acceleration and jerk, which are known in closed
    form; the mean square by Gauss quadrature of 24 nodes a section, exact for the polynomials and to
    rounding for the sines.

    References
    ----------
    Own formulation; the figures of the single profiles: see each of them.

    Examples
    --------
    >>> from core.physics.profile_shapes import trapezoid
    >>> factors = profile_factors(trapezoid())
    >>> round(factors.peak_speed, 9), round(factors.peak_acceleration, 9), factors.peak_jerk
    (1.5, 4.5, inf)
    """
    peaks = np.zeros(4)
    mean_square, before = 0.0, 0.0
    for section, start_speed in zip(profile.sections, profile.speeds, strict=True):
        width = section.end - section.start
        x = np.array([0.0, *(time - section.start for time in section.turning_times()), width])
        _, gain, a, j = section.derivatives(x)
        rises = abs(a[0] - before) > 1e-9 * max(1.0, abs(a[0]))
        tops = [(start_speed + gain).max(), a.max(), -a.min(), math.inf if rises else np.abs(j).max()]
        peaks = np.maximum(peaks, tops)
        before = float(a[-1])
        inner = section.derivatives(0.5 * width * (_NODES + 1.0))[2]
        mean_square += 0.5 * width * float(_WEIGHTS @ inner**2)
    if abs(before) > 1e-9:
        peaks[3] = math.inf
    v, up, down, j_peak = (float(value) for value in peaks)
    return ProfileFactors(v, up, down, j_peak, math.sqrt(mean_square))


def profile_from_acceleration(name: str, sections: Sequence[Section]) -> MotionProfile:
    """Return a profile from the shape of its acceleration, scaled to cover distance 1.

    Parameters
    ----------
    name : str
        Name to show. [-]
    sections : sequence of PolynomialSection or SineSection
        Acceleration in any scale, gapless from 0 to 1. [-]

    Returns
    -------
    profile : MotionProfile
        From rest to rest. [-]

    Raises
    ------
    InputRangeError
        If the sections leave a gap, go no distance or do not come to rest.

    References
    ----------
    Own formulation.

    Examples
    --------
    >>> halves = [PolynomialSection(0.0, 0.5, (1.0,)), PolynomialSection(0.5, 1.0, (-1.0,))]
    >>> profile_factors(profile_from_acceleration("triangle", halves)).peak_acceleration
    4.0
    """
    kept = [section for section in sections if section.end - section.start > 1e-12]
    now = distance = velocity = 0.0
    states = []
    for section in kept:
        if abs(section.start - now) > 1e-9:
            raise InputRangeError("start of a profile section", section.start, "", f"{now:g}: gapless")
        states.append((velocity, distance))
        width = section.end - section.start
        travel, gain, _, _ = section.derivatives(np.array([width]))
        distance += velocity * width + float(travel[0])
        velocity += float(gain[0])
        now = section.end
    if abs(now - 1.0) > 1e-9:
        raise InputRangeError("end of a profile", now, "", "1")
    if not distance > 0.0:
        raise InputRangeError("distance under a profile", distance, "", "> 0")
    # very short ramps lose digits in the differences of their times
    if abs(velocity) > 1e-6 * distance:
        raise InputRangeError("speed at the end of a profile", velocity / distance, "", "0")
    return MotionProfile(
        name,
        tuple(section.scaled(1.0 / distance) for section in kept),
        tuple(state[0] / distance for state in states),
        tuple(state[1] / distance for state in states),
    )
