"""Where a rising function crosses zero: false position within a bracket, sure also where it leaps."""

from __future__ import annotations

import math
from collections.abc import Callable

_SAME = 1e-5  # of the function and of the logarithm of its argument
_MOST_STEPS = 60
_FURTHEST = 12.0  # below the largest argument, in its logarithm


def rising_root(function: Callable[[float], float], start: float, top: float) -> float:
    """Return where a rising function of a positive number crosses zero.

    Parameters
    ----------
    function : callable
        Takes and gives a float; rises, and may leap. [-]
    start : float
        Argument below `top` to begin with. [-]
    top : float
        Largest argument there can be; it is the answer where the function is not above zero there. [-]

    Returns
    -------
    root : float
        Argument to 1e-5 of itself, or where the function is within 1e-5 of zero; at a leap the lower side.
        Where the function stays above zero, an argument six digits below `top`. [-]

    Notes
    -----
    False position on the logarithm of the argument, with the Illinois change so that neither end stays; every
    third step halves, since beside a leap false position alone would creep.

    References
    ----------
    .. [1] M. Dowell, P. Jarratt, A modified regula falsi method for computing the root of an equation,
       BIT 11, 1971 (from memory).

    Examples
    --------
    >>> round(rising_root(lambda x: x * x - 2.0, 0.5, 10.0), 4)
    1.4142
    """
    high, above = math.log(top), function(top)
    if above <= _SAME:
        return top
    low, below = math.log(start), function(start)
    while below > 0.0:
        if low < math.log(top) - _FURTHEST:
            return math.exp(low)
        (high, above), low = (low, below), 2.0 * low - high - 0.1
        below = function(math.exp(low))
    for step in range(_MOST_STEPS):
        share = 0.5 if step % 3 == 2 else below / (below - above)
        middle = low + (high - low) * share
        value = function(math.exp(middle))
        if abs(value) <= _SAME or high - low <= _SAME:
            return math.exp(middle)
        if value > 0.0:
            high, above, below = middle, value, 0.5 * below
        else:
            low, below, above = middle, value, 0.5 * above
    return math.exp(low)
