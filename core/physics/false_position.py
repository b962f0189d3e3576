"""Where a rising function crosses zero: false position within a bracket, sure also where it leaps."""

from __future__ import annotations

import math
from collections.abc import Callable

_SAME = 1e-5  # of the function and of the logarithm of its argument
_MOST_STEPS = 100
_FURTHEST = 12.0  # below the largest argument, in its logarithm


def rising_root(function: Callable[[float], float], start: float, top: float, least_slope: float) -> float:
    """Return where a rising function of a positive number crosses zero.

    Parameters
    ----------
    function : callable
        Takes and gives a float; rises, and may leap. [-]
    start : float
        Argument to begin with, at most `top`. [-]
    top : float
        Largest argument there can be; it is the answer where the function is not above zero there. [-]
    least_slope : float
        About the least slope of the function over the logarithm of its argument. [-]

    Returns
    -------
    root : float
        Argument to 1e-5 of itself, or where the function is within 1e-5 of zero; at a leap the lower side.
        Where the function stays above zero, an argument five digits below `top`. [-]

    Notes
    -----
    The least slope gives a second argument beyond the root. Between both false position on the logarithm of
    the argument, the end that stays counting less each time so that neither does for long; where two steps
    do not halve the bracket, as beside a leap, the next one does.

    References
    ----------
    .. [1] N. Anderson, A. Bjorck, A new high order method of regula falsi type for computing a root of an
       equation, BIT 13, 1973 (from memory).

    Examples
    --------
    >>> round(rising_root(lambda x: x * x - 2.0, 0.5, 10.0, 0.5), 4)
    1.4142
    """
    low, below, high, above = _bracket(function, math.log(start), math.log(top), least_slope)
    if abs(below) <= _SAME or above <= _SAME:
        return math.exp(low if abs(below) <= abs(above) else high)
    widths = [math.inf] * 2
    for _ in range(_MOST_STEPS):
        creeps = high - low > 0.5 * widths.pop(0)
        widths.append(high - low)
        middle = low + (high - low) * (0.5 if creeps else below / (below - above))
        value = function(math.exp(middle))
        if abs(value) <= _SAME or high - low <= _SAME:
            return math.exp(middle)
        # the end that stays counts less, by how far the other came (at least Illinois' half)
        if value > 0.0:
            below *= 1.0 - value / above if value < 0.5 * above else 0.5
            high, above = middle, value
        else:
            above *= 1.0 - value / below if value > 0.5 * below else 0.5
            low, below = middle, value
    return math.exp(low)


def _bracket(
    function: Callable[[float], float], place: float, top: float, slope: float
) -> tuple[float, float, float, float]:
    """Return two places with the root between them and the values there, in logarithms of the argument.

    Where there is none up to `top`, both are `top`; far below it, both are the last place.
    """
    value = function(math.exp(place))
    if abs(value) <= _SAME:
        return place, value, place, value
    if value > 0.0:
        while True:
            lower = place - 1.05 * max(value / slope, _SAME)
            below = function(math.exp(lower))
            if below <= 0.0:
                return lower, below, place, value
            place, value, slope = lower, below, 0.5 * slope
            if place < top - _FURTHEST:
                return place, 0.0, place, 0.0
    while place < top:
        upper = min(place - 1.05 * min(value / slope, -_SAME), top)
        above = function(math.exp(upper))
        if above > 0.0:
            return place, value, upper, above
        place, value, slope = upper, above, 0.5 * slope
    return top, 0.0, top, 0.0
