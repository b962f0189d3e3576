"""The power over a cycle, cut where it changes sign, and the stretches in which it flows back.

Between two corner points torque and speed are linear, so the power that the supply gives is a quadratic
function of time but for the exponents of the drag. It is given by three values of each part.
"""

from __future__ import annotations

import numpy as np

from core.errors import InputRangeError
from core.numeric import BoolArray, FloatArray, IntArray
from core.physics.input_ranges import require_finite, require_positive
from core.records import dataclass

# Of the energy that goes to and fro: what is left of a cycle without losses is not growth.
_ROUNDING = 1e-12


@dataclass(frozen=True, slots=True)
class PowerCourse:
    r"""Power over one cycle, in pieces in each of which it is quadratic and keeps its sign.

    Parameters
    ----------
    start : ndarray, shape (n,)
        Time in the cycle at which each piece begins. [s]
    duration : ndarray, shape (n,)
        Durations, each positive. [s]
    power_start, power_middle, power_end : ndarray, shape (n,)
        Power that the supply gives, at the ends and half way; negative flows back. [W]

    References
    ----------
    Own formulation; a parabola through three points.
    """

    start: FloatArray
    duration: FloatArray
    power_start: FloatArray
    power_middle: FloatArray
    power_end: FloatArray

    @property
    def energy(self) -> FloatArray:
        """Integral of the power over each piece, shape (n,): Simpson's rule, exact here. [J]"""
        total = self.power_start + 4.0 * self.power_middle + self.power_end
        return self.duration * total / 6.0

    @property
    def cycle_time(self) -> float:
        """Duration of the whole cycle. [s]"""
        return float(self.duration.sum())

    @property
    def returns(self) -> BoolArray:
        """Whether power flows back in each piece, shape (n,)."""
        return self.energy < 0.0

    def at(self, share: float | FloatArray) -> FloatArray:
        """Power of each piece at a share of its duration, shape (n,), or (k, n) of shares (k, 1). [W]"""
        return _at(self.power_start, self.power_middle, self.power_end, share)


def power_course(
    duration: FloatArray, power_start: FloatArray, power_middle: FloatArray, power_end: FloatArray
) -> PowerCourse:
    r"""Return the power of a cycle in pieces of one sign.

    Parameters
    ----------
    duration : ndarray, shape (parts,)
        Durations of the parts of the cycle, each positive. [s]
    power_start, power_middle, power_end : ndarray, shape (parts,)
        Power of each part at its ends and half way; it may jump between parts. [W]

    Returns
    -------
    course : PowerCourse
        At most three pieces of each part. [SI]

    Raises
    ------
    InputRangeError
        If there is no part, a duration is not positive or a power not finite.

    Notes
    -----
    With `s` from 0 to 1 within a part:

    .. math:: P(s) = P_0 + (4 P_m - 3 P_0 - P_1) s + 2 (P_0 - 2 P_m + P_1) s^2

    Exact for power that is quadratic in time. Drag that goes with another power of the speed makes
    an error of fourth order in the length of a part: halve the parts to see it.

    References
    ----------
    .. [1] First principles.

    Examples
    --------
    >>> course = power_course(*(np.array([x]) for x in (2.0, 10.0, 0.0, -10.0)))
    >>> course.duration.tolist(), course.energy.tolist()
    ([1.0, 1.0], [5.0, -5.0])
    """
    require_positive("duration", duration, "s")
    if duration.size == 0:
        raise InputRangeError("number of parts", 0, "", ">= 1")
    for value in (power_start, power_middle, power_end):
        require_finite("power", value, "W")
    bounds, power = pieces_of_one_sign(power_start, power_middle, power_end)
    begin, end = bounds[:, :-1], bounds[:, 1:]
    there = end > begin
    starts = np.concatenate(([0.0], np.cumsum(duration)[:-1]))
    return PowerCourse(
        (starts[:, None] + begin * duration[:, None])[there],
        ((end - begin) * duration[:, None])[there],
        *power[:, there],
    )


def pieces_of_one_sign(
    power_start: FloatArray, power_middle: FloatArray, power_end: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Return where the parabola of each part is cut so that no piece changes its sign.

    Parameters
    ----------
    power_start, power_middle, power_end : ndarray, shape (...)
        Power of each part at its ends and half way. [W]

    Returns
    -------
    bounds : ndarray, shape (..., 4)
        Ends of three pieces as shares of the part, from 0 to 1; a piece that is not needed has none. [-]
    power : ndarray, shape (3, ..., 3)
        Power at start, middle and end of each of the three pieces. [W]

    References
    ----------
    .. [1] First principles.

    Examples
    --------
    >>> bounds, power = pieces_of_one_sign(*(np.array([x]) for x in (10.0, 0.0, -10.0)))
    >>> bounds.tolist(), power[1].tolist()
    ([[0.0, 0.0, 0.5, 1.0]], [[10.0, 5.0, -5.0]])
    """
    a, b = _factors(power_start, power_middle, power_end)
    bounds = np.empty((*a.shape, 4))
    bounds[..., 0], bounds[..., 1:3], bounds[..., 3] = 0.0, _zeros_inside(power_start, a, b), 1.0
    begin, end = bounds[..., :-1], bounds[..., 1:]
    place = np.stack((begin, 0.5 * (begin + end), end))
    power: FloatArray = power_start[..., None] + place * (b[..., None] + place * a[..., None])
    return bounds, power


@dataclass(frozen=True, slots=True)
class BrakingEvents:
    """The stretches of a cycle in which power flows back, one entry each.

    Attributes
    ----------
    start : ndarray, shape (events,)
        Time in the cycle at which each begins. [s]
    duration : ndarray, shape (events,)
        How long each lasts; one that runs on into the next cycle is counted once, whole. [s]
    energy : ndarray, shape (events,)
        What each returns, positive. [J]
    peak_power : ndarray, shape (events,)
        Largest power returned, positive. [W]
    """

    start: FloatArray
    duration: FloatArray
    energy: FloatArray
    peak_power: FloatArray

    @property
    def total_energy(self) -> float:
        """What one cycle returns. [J]"""
        return float(self.energy.sum())


def braking_events(course: PowerCourse, repeats: bool = True) -> BrakingEvents:
    r"""Return each stretch of the cycle in which power flows back, joined across parts.

    Parameters
    ----------
    course : PowerCourse
        Power over the cycle. [SI]
    repeats : bool, default True
        Whether the cycle follows itself: what flows back at its end and at its beginning is then one
        event.

    Returns
    -------
    events : BrakingEvents
        In the order in which they begin; none if power never flows back. [SI]

    Notes
    -----
    .. math:: E = -\int P \,\mathrm{d}t \quad \text{over each interval with} \quad P < 0

    An event that lasts the whole cycle never ends: its energy is that of one cycle.

    References
    ----------
    .. [1] First principles.

    Examples
    --------
    >>> course = power_course(*(np.array(x) for x in ([1.0, 2.0], [30.0, -40.0], [30.0, -20.0], [30.0, 0.0])))
    >>> events = braking_events(course)
    >>> events.start.tolist(), events.energy.tolist(), events.peak_power.tolist()
    ([1.0], [40.0], [40.0])
    """
    back = course.returns
    if not back.any():
        none = np.zeros(0)
        return BrakingEvents(none, none, none, none)
    first = np.flatnonzero(back & ~np.concatenate(([False], back[:-1])))
    start = course.start[first]
    duration, energy = (_sums(value * back, first) for value in (course.duration, -course.energy))
    lowest = lowest_power(course.power_start, course.power_middle, course.power_end)
    peak = np.maximum.reduceat(np.where(back, -lowest, 0.0), first)
    if repeats and first.size > 1 and back[0] and back[-1]:
        duration[-1] += duration[0]
        energy[-1] += energy[0]
        peak[-1] = max(peak[-1], peak[0])
        start, duration, energy, peak = start[1:], duration[1:], energy[1:], peak[1:]
    return BrakingEvents(start, duration, energy, peak)


def lowest_power(power_start: FloatArray, power_middle: FloatArray, power_end: FloatArray) -> FloatArray:
    """Return the lowest power of parabolas, at an end or where they turn.

    Parameters
    ----------
    power_start, power_middle, power_end : ndarray, shape (...)
        Power at the ends and half way. [W]

    Returns
    -------
    power : ndarray, shape (...)
        Lowest power. [W]

    References
    ----------
    .. [1] First principles.

    Examples
    --------
    >>> lowest_power(*(np.array([x]) for x in (0.0, -5.0, 0.0))).tolist()
    [-5.0]
    """
    p0, pm, p1 = power_start, power_middle, power_end
    a, b = _factors(p0, pm, p1)
    turns = (a > 0.0) & (b < 0.0) & (-b < 2.0 * a)
    place = np.divide(-b, 2.0 * a, out=np.zeros_like(a), where=turns)
    return np.minimum(np.minimum(p0, p1), _at(p0, pm, p1, place))


@dataclass(frozen=True, slots=True)
class Surplus:
    """Energy that a supply which takes nothing back leaves on the bus, above what it holds at rest.

    Attributes
    ----------
    at_start, at_end : ndarray, shape (n,)
        At both ends of each piece of the course, in the repeating state; in the first cycle from rest
        if there is none. [J]
    peak : float
        Largest over the cycle; infinite if it grows from cycle to cycle. [J]
    """

    at_start: FloatArray
    at_end: FloatArray
    peak: float

    @property
    def grows(self) -> bool:
        """Whether a cycle returns more than it takes, so that nothing but a clamp stops the bus."""
        return bool(np.isinf(self.peak))


def bus_surplus(course: PowerCourse) -> Surplus:
    r"""Return the energy above rest that stands on the bus while the supply can only give.

    Parameters
    ----------
    course : PowerCourse
        Power over the repeating cycle. [SI]

    Returns
    -------
    surplus : Surplus
        Over the cycle; its peak is at least the largest braking event, and more if events follow each
        other so soon that the load does not use up the energy between them. [J]

    Notes
    -----
    The surplus falls by what the load takes and rests at zero, where the supply feeds again:

    .. math:: E(t) = \max_{\tau \le t} \left( -\int_\tau^t P \,\mathrm{d}t' \right)

    The repeating state is reached in the second cycle. Leakage and the voltage dependence of the losses
    are left out.

    References
    ----------
    .. [1] First principles; a reservoir with a floor.

    Examples
    --------
    >>> course = power_course(*(np.array(x) for x in ([1.0] * 3, *([[-5.0, 2.0, -5.0]] * 3))))
    >>> bus_surplus(course).grows
    True
    >>> course = power_course(*(np.array(x) for x in ([1.0] * 4, *([[-5.0, 2.0, -5.0, 20.0]] * 3))))
    >>> bus_surplus(course).at_end.tolist()
    [5.0, 3.0, 8.0, 0.0]
    """
    gain = -course.energy
    twice = np.concatenate(([0.0], np.cumsum(np.tile(gain, 2))))
    level = twice - np.minimum.accumulate(twice)
    if gain.sum() > _ROUNDING * np.abs(gain).sum():
        return Surplus(level[: gain.size], level[1 : gain.size + 1], np.inf)
    level = level[gain.size :]
    return Surplus(level[:-1], level[1:], float(level.max()))


def energy_until(course: PowerCourse, share: FloatArray) -> FloatArray:
    r"""Return the energy of each piece from its beginning to a share of its duration.

    Parameters
    ----------
    course : PowerCourse
        Power over the cycle. [SI]
    share : ndarray, shape (k, 1)
        From 0, the beginning of each piece, to 1, its end. [-]

    Returns
    -------
    energy : ndarray, shape (k, n)
        Given by the supply until then; negative where power flows back. [J]

    Notes
    -----
    .. math:: E(s) = t \left(P_0 s + \tfrac12 b s^2 + \tfrac13 a s^3\right)

    with the factors of `power_course`.

    References
    ----------
    .. [1] First principles.

    Examples
    --------
    >>> course = power_course(*(np.array([x]) for x in (2.0, 0.0, 5.0, 10.0)))
    >>> energy_until(course, np.array([[0.5], [1.0]])).ravel().tolist()
    [2.5, 10.0]
    """
    a, b = _factors(course.power_start, course.power_middle, course.power_end)
    energy: FloatArray = course.duration * share * (course.power_start + share * (b / 2.0 + share * a / 3.0))
    return energy


def _factors(p0: FloatArray, pm: FloatArray, p1: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return the factors of the square and of the linear term of the parabola through three powers."""
    return 2.0 * (p0 - 2.0 * pm + p1), 4.0 * pm - 3.0 * p0 - p1


def _at(p0: FloatArray, pm: FloatArray, p1: FloatArray, share: float | FloatArray) -> FloatArray:
    a, b = _factors(p0, pm, p1)
    value: FloatArray = p0 + share * (b + share * a)
    return value


def _zeros_inside(p0: FloatArray, a: FloatArray, b: FloatArray) -> FloatArray:
    """Return the two places in (0, 1) where each parabola passes through zero, 0 for none, ascending."""
    discriminant = b * b - 4.0 * a * p0
    real = discriminant > 0.0
    q = -0.5 * (b + np.copysign(np.sqrt(np.where(real, discriminant, 0.0)), b))
    roots = np.zeros((*p0.shape, 2))
    # as quotients of one sum without cancellation, so that a straight line is no special case
    np.divide(q, a, out=roots[..., 0], where=real & (np.abs(a) > np.abs(q)))
    np.divide(p0, q, out=roots[..., 1], where=real & (np.abs(q) > np.abs(p0)))
    roots[(roots <= 0.0) | (roots >= 1.0)] = 0.0
    ordered: FloatArray = np.sort(roots, axis=-1)
    return ordered


def _sums(value: FloatArray, first: IntArray) -> FloatArray:
    """Return the sum of each stretch that begins at one of the indices."""
    return np.add.reduceat(value, first)
