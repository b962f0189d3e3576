r"""RMS values over a cycle, and how far an RMS torque may be trusted.

The RMS torque is a picture: it is thermally equal to a steady torque only while the cycle is short
against the time constant of the winding. What governs is the torque reserve.
"""

from __future__ import annotations

import numpy as np

from core.errors import InputRangeError
from core.numeric import FloatArray

VALID_CYCLE_SHARE = 0.2  # of the winding time constant; common practice, no source


def rms_of_segments(
    duration: FloatArray,
    value_start: FloatArray,
    value_end: FloatArray,
    time_weight: FloatArray | None = None,
) -> float:
    r"""Return the RMS over a cycle of a quantity that runs linearly within each segment.

    Parameters
    ----------
    duration : ndarray, shape (segments,)
        Durations, each positive. [s]
    value_start, value_end : ndarray, shape (segments,)
        Value at both ends of each segment; a braking segment counts by its magnitude. [any unit]
    time_weight : ndarray, shape (segments,), optional
        Weight of each segment's time in the denominator. A self-cooled motor at rest is sometimes
        given 1/3; without it every second counts the same, which is the convention of this tool. [-]

    Returns
    -------
    rms : float
        Root of the mean square. [any unit]

    Raises
    ------
    InputRangeError
        If a duration is not positive.

    Notes
    -----
    .. math:: X = \sqrt{\frac{\sum t_k (a_k^2 + a_k b_k + b_k^2)/3}{\sum w_k t_k}}

    References
    ----------
    G. K. Dubey, Fundamentals of Electrical Drives, Ex. 4.3, p. 53 (ramp 0 to P contributes P^2/3) and,
    for the weight of the rest, B. L. Theraja and A. K. Theraja, A Textbook of Electrical Technology,
    vol. III, Ex. 45.1, p. 1796 [both as re-worked in a public textbook-companion notebook; the printed
    pages were not seen].

    Examples
    --------
    >>> square = np.array([3.0, 4.0])
    >>> round(rms_of_segments(np.array([1.0, 1.0]), square, square), 4)  # sqrt((9 + 16)/2)
    3.5355
    """
    if not (duration > 0.0).all():
        raise InputRangeError("duration", float(duration.min()), "s", "> 0")
    square = (value_start**2 + value_start * value_end + value_end**2) / 3.0
    time = duration if time_weight is None else duration * time_weight
    return float(np.sqrt((square * duration).sum() / time.sum()))


def rms_is_valid(cycle_time: float, winding_time_constant: float) -> bool:
    r"""Return whether the RMS torque of a cycle stands for its heat.

    Parameters
    ----------
    cycle_time : float
        Duration of the cycle. [s]
    winding_time_constant : float
        Time constant of the winding against its core. [s]

    Returns
    -------
    valid : bool
        True where the cycle is at most 0.2 of the time constant. [-]

    Notes
    -----
    Within 0.2 time constants the winding's temperature swings by at most about a fifth of the rise
    that the peak torque would cause if it lasted. Losses that depend on speed and cooling that
    depends on speed are not in an RMS torque at all.

    References
    ----------
    Common practice, no source.

    Examples
    --------
    >>> rms_is_valid(0.3, 12.0), rms_is_valid(60.0, 12.0)
    (True, False)
    """
    return cycle_time <= VALID_CYCLE_SHARE * winding_time_constant
