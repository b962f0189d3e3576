r"""The highest temperature inside pieces, found exactly.

Within a piece a temperature is :math:`T(t) = T_0 + \sum_k c_k \int_0^t e^{-s_k \tau} d\tau`. Every term
moves one way only, so the sum of the rising terms bounds the peak, and so does the higher end with what the
terms bow over their chords: most pieces are ruled out without a look inside. In the others the stationary
points are the zeros of a sum of exponentials, and those are enclosed by the zeros of a sum with one term
less (Rolle).
"""

from __future__ import annotations

from math import exp, expm1, log

import numpy as np

from core.numeric import BoolArray, FloatArray, IntArray
from core.physics.segment_maps import PieceModes
from core.records import dataclass

# A piece whose bound exceeds the highest end of a piece by less than this is not looked into. [K]
PEAK_TOLERANCE = 1e-5


@dataclass(frozen=True, slots=True)
class TemperatureCurves:
    r"""Courses of N temperatures over m pieces as sums of K exponentials.

    Parameters
    ----------
    start : ndarray, shape (m, N)
        Values at the start of every piece. [degC]
    slope : ndarray, shape (m, N, K)
        c of :math:`\dot T = \sum c_k e^{-s_k t}`. [K/s]
    rate : ndarray, shape (m, K)
        s, rising along the last axis. [1/s]
    rise : ndarray, shape (m, N, K)
        What each term adds over the whole piece. [K]
    duration : ndarray, shape (m,)
        Durations. [s]

    References
    ----------
    Modal solution of a linear network, textbook method (from memory).
    """

    start: FloatArray
    slope: FloatArray
    rate: FloatArray
    rise: FloatArray
    duration: FloatArray


@dataclass(frozen=True, slots=True)
class Peaks:
    """The highest value of each curve and where it stands.

    Parameters
    ----------
    value : ndarray, shape (N,)
        Highest values. [degC]
    piece : ndarray of int, shape (N,)
        Piece in which, or at whose end, each is reached. [-]
    offset : ndarray, shape (N,)
        Time from the start of that piece. [s]

    References
    ----------
    Own formulation.
    """

    value: FloatArray
    piece: IntArray
    offset: FloatArray


def node_curves(modes: PieceModes, starts: FloatArray) -> TemperatureCurves:
    """Return the courses of all node temperatures.

    Parameters
    ----------
    modes : PieceModes
        Modes of m pieces, with any leading dimensions. [-]
    starts : ndarray, shape (..., m, n)
        Temperatures at the start of every piece. [degC]

    Returns
    -------
    curves : TemperatureCurves
        One curve per node. [-]

    References
    ----------
    Modal solution, textbook method (from memory).
    """
    z = (modes.inverse @ starts[..., None])[..., 0]
    mode_slope = modes.forcing - modes.rate * z
    slope = modes.shape * mode_slope[..., None, :]
    rise = slope * (modes.duration[..., None] * modes.stretch)[..., None, :]
    return TemperatureCurves(starts, slope, modes.rate, rise, modes.duration)


def peaks(curves: TemperatureCurves) -> Peaks:
    """Return the highest value of every curve, at the ends of pieces or inside them.

    Parameters
    ----------
    curves : TemperatureCurves
        Courses over all pieces. [-]

    Returns
    -------
    peaks : Peaks
        Highest values, exact to 1e-5 K. [degC]

    Notes
    -----
    A start that lies above every end counts as a peak too (a first cycle from hot); it is reported with
    offset 0.

    References
    ----------
    Own formulation.

    Examples
    --------
    20 + t - t^2/2 as two exponentials of nearly equal rates peaks after a second at 20.5:

    >>> e = 1e-4
    >>> slope, rate = np.array([[[1 - 1 / e, 1 / e]]]), np.array([[0.0, e]])
    >>> rise = slope * np.array([2.0, -np.expm1(-2 * e) / e])
    >>> top = peaks(TemperatureCurves(np.array([[20.0]]), slope, rate, rise, np.array([2.0])))
    >>> round(float(top.value[0]), 3), round(float(top.offset[0]), 3)
    (20.5, 1.0)
    """
    ends = curves.start + np.add.reduce(curves.rise, axis=-1)
    column = np.arange(ends.shape[1])
    piece = ends.argmax(axis=0)
    value = ends[piece, column]
    offset = curves.duration[piece]
    hot_start = curves.start[0] > value
    if hot_start.any():
        value, piece = np.where(hot_start, curves.start[0], value), np.where(hot_start, 0, piece)
        offset = np.where(hot_start, 0.0, offset)
    bound = peak_bound(curves, ends)
    inside = bound > value + PEAK_TOLERANCE
    if inside.any():
        inside &= may_turn_down(curves)
        rows, columns = inside.nonzero()
        # the most promising first: what it finds rules out others
        likely = sorted(
            zip(bound[inside].tolist(), rows.tolist(), columns.tolist(), strict=True), reverse=True
        )
        for highest, j, i in likely:
            if highest > value[i] + PEAK_TOLERANCE:
                height, time = _highest_inside(curves, j, i)
                if height > value[i]:
                    value[i], piece[i], offset[i] = height, j, time
    return Peaks(value, piece, offset)


def peak_bound(curves: TemperatureCurves, ends: FloatArray) -> FloatArray:
    """Return what no temperature inside a piece can exceed.

    Parameters
    ----------
    curves : TemperatureCurves
        Courses, with any leading dimensions. [-]
    ends : ndarray, shape (..., m, N)
        Values at the end of every piece. [degC]

    Returns
    -------
    bound : ndarray, shape (..., m, N)
        The lower of two bounds: of the rising terms, and of the bow over the higher end. [degC]

    References
    ----------
    Own formulation, see the module.
    """
    return np.minimum(_rising_terms(curves), _bowed_ends(curves, ends))


def _rising_terms(curves: TemperatureCurves) -> FloatArray:
    bound: FloatArray = curves.start + np.add.reduce(np.maximum(curves.rise, 0.0), axis=-1)
    return bound


def _bowed_ends(curves: TemperatureCurves, ends: FloatArray) -> FloatArray:
    # a term stands above its chord by at most an eighth of its greatest bend times the square of the
    # duration: of its rise the share x^2/8/(1 - exp(-x)) < x (1 + x)/8 with x = |s| d
    x = curves.rate * curves.duration[..., None]
    bow = np.maximum((0.125 * x * (1.0 + np.abs(x)))[..., None, :] * curves.rise, 0.0)
    bound: FloatArray = np.maximum(curves.start, ends) + np.add.reduce(bow, axis=-1)
    return bound


def may_turn_down(curves: TemperatureCurves) -> BoolArray:
    """Return in which pieces a temperature may rise first and fall then.

    Parameters
    ----------
    curves : TemperatureCurves
        Courses, with any leading dimensions. [-]

    Returns
    -------
    turns : ndarray of bool, shape (..., m, N)
        False only where no peak lies inside the piece. [-]

    References
    ----------
    Descartes' rule for exponential sums (Laguerre), from memory.
    """
    # Descartes' rule for exponentials (Laguerre): not more zeros of the slope than changes of sign among
    # its partial sums from the slowest term on; with one change at most, the two ends tell the rest
    partial = curves.slope.cumsum(axis=-1)
    changes = np.add.reduce(partial[..., 1:] * partial[..., :-1] <= 0.0, axis=-1)
    at_start = partial[..., -1]
    at_end = at_start - np.add.reduce(curves.rate[..., None, :] * curves.rise, axis=-1)
    # in a long piece the slope at its end is rounding, whose sign says nothing
    noise = 1e-12 * np.add.reduce(np.abs(curves.slope), axis=-1)
    turns: BoolArray = (changes > 1) | ((at_start >= -noise) & (at_end <= noise))
    return turns


def _highest_inside(curves: TemperatureCurves, piece: int, column: int) -> tuple[float, float]:
    slope, rate = curves.slope[piece, column].tolist(), curves.rate[piece].tolist()
    start = float(curves.start[piece, column])
    best, best_time = start, 0.0
    for time in stationary_times(slope, rate, float(curves.duration[piece])):
        height = start + rise_after(slope, rate, time)
        if height > best:
            best, best_time = height, time
    return best, best_time


def rise_after(slope: list[float], rate: list[float], time: float) -> float:
    """Return the integral of a sum of exponentials from 0 to a time.

    Parameters
    ----------
    slope, rate : list of float, length K
        c [K/s] and s [1/s] of the sum c exp(-s t). [K/s]
    time : float
        Upper end. [s]

    Returns
    -------
    rise : float
        Integral. [K]

    References
    ----------
    Elementary calculus.

    Examples
    --------
    >>> rise_after([3.0], [0.0], 2.0)
    6.0
    """
    return sum(
        c * (-expm1(min(-s * time, 300.0)) / s if s != 0.0 else time)
        for c, s in zip(slope, rate, strict=True)
    )


def stationary_times(slope: list[float], rate: list[float], duration: float) -> list[float]:
    r"""Return the zeros of a sum of exponentials inside (0, duration), in order.

    Parameters
    ----------
    slope, rate : list of float, length K
        c and s of :math:`\sum c_k e^{-s_k t}`, in any order of the rates. [K/s]
    duration : float
        End of the interval. [s]

    Returns
    -------
    times : list of float
        At most K - 1 zeros at which the sum changes its sign. [s]

    Notes
    -----
    After division by the slowest exponential the derivative is a sum with one term less; between two of
    its zeros there is at most one zero of the sum.

    References
    ----------
    Rolle's theorem for exponential sums: G. Polya and G. Szego, Problems and Theorems in Analysis II,
    part V (from memory).

    Examples
    --------
    2 exp(-2 t) - exp(-t) vanishes at ln 2:

    >>> stationary_times([2.0, -1.0], [2.0, 1.0], 5.0)
    [0.6931471805599453]
    """
    terms = sorted((s, c) for s, c in zip(rate, slope, strict=True) if c != 0.0)
    return _zeros([s for s, _ in terms], [c for _, c in terms], duration)


def _zeros(rates: list[float], factors: list[float], duration: float) -> list[float]:
    if len(rates) < 2 or all(c > 0.0 for c in factors) or all(c < 0.0 for c in factors):
        return []
    if len(rates) == 2:
        spread = rates[1] - rates[0]
        if spread == 0.0:
            return []
        time = log(-factors[1] / factors[0]) / spread
        return [time] if 0.0 < time < duration else []
    slowest = rates[0]
    derived = [(s, c * (slowest - s)) for s, c in zip(rates, factors, strict=True) if s != slowest]
    marks = [0.0, *_zeros([s for s, _ in derived], [c for _, c in derived], duration), duration]
    gaps = [s - slowest for s in rates]
    values = [_scaled_sum(factors, gaps, t)[0] for t in marks]
    return [
        _enclosed_zero(factors, gaps, marks[i], marks[i + 1], values[i])
        for i in range(len(marks) - 1)
        if values[i] * values[i + 1] < 0.0
    ]


def _scaled_sum(factors: list[float], gaps: list[float], time: float) -> tuple[float, float]:
    value = derivative = 0.0
    for c, gap in zip(factors, gaps, strict=True):
        term = c * exp(-gap * time)
        value += term
        derivative -= gap * term
    return value, derivative


def _enclosed_zero(
    factors: list[float], gaps: list[float], low: float, high: float, value_low: float
) -> float:
    # Newton kept inside the bracket; a step that leaves it is replaced by halving
    rising = value_low < 0.0
    time = 0.5 * (low + high)
    for _ in range(200):
        value, derivative = _scaled_sum(factors, gaps, time)
        if (value > 0.0) == rising:
            high = time
        else:
            low = time
        target = time - value / derivative if derivative != 0.0 else low
        if not low < target < high:
            target = 0.5 * (low + high)
        # the temperature stands still here, so its error is of the square of this
        if abs(target - time) <= 1e-9 * target:
            return target
        time = target
    return time
