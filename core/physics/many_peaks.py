r"""The highest temperatures of many cycles side by side: what `cycle_peaks` gives for one.

Bounds rule out most pieces, as for one cycle. In the others the stationary points of all cycles are found
together: the zeros of a sum of exponentials lie between those of a sum with one term less (Rolle).
"""

from __future__ import annotations

import numpy as np

from core.numeric import BoolArray, FloatArray, IntArray
from core.physics.cycle_peaks import actual_copper_loss
from core.physics.cycle_rounds import CycleProblem
from core.physics.repeating_cycle import CycleSolution
from core.physics.segment_peaks import (
    PEAK_TOLERANCE,
    TemperatureCurves,
    may_turn_down,
    node_curves,
    peak_bound,
)
from core.records import dataclass

_MOST_STEPS = 200
_TIME_TOLERANCE = 1e-9  # of the time: the temperature stands still there, so its error is of the square


@dataclass(frozen=True, slots=True)
class ManyPeaks:
    """Peaks of B cycles.

    Parameters
    ----------
    value : ndarray, shape (B, n + 1)
        Highest temperature of each node and, last, of the hottest phase. [degC]
    copper_loss : ndarray, shape (B, m)
        Copper loss at the actual temperatures. [W]

    References
    ----------
    Own formulation.
    """

    value: FloatArray
    copper_loss: FloatArray


def many_cycle_peaks(problem: CycleProblem, solution: CycleSolution, phase_factor: FloatArray) -> ManyPeaks:
    """Return the peaks of all nodes and of the hottest phase in every cycle of a solution.

    Parameters
    ----------
    problem : CycleProblem
        The cycles, all settled. [-]
    solution : CycleSolution
        Their states. [-]
    phase_factor : ndarray, shape (B, m)
        Loss of the hottest phase over the mean of the phases. [-]

    Returns
    -------
    peaks : ManyPeaks
        The values of `cycle_peaks`. [-]

    References
    ----------
    As `cycle_peaks`.
    """
    w, starts, means = problem.winding, solution.starts, solution.means
    loss = actual_copper_loss(problem.law, problem.copper_loss, means[..., w], solution.magnet_mean)
    nodes = node_curves(solution.modes, starts)
    conductance = problem.conductance[..., w, w]
    capacity = np.broadcast_to(problem.capacity, (len(loss), 1, starts.shape[-1]))[..., w]
    rate, heat = conductance / capacity, (phase_factor - 1.0) * loss / capacity
    excess = many_phase_excess(rate, heat, problem.duration)
    value = many_peaks(_with_hot_phase(nodes, w, excess, rate, heat - rate * excess))
    turning = (phase_factor == 1.0).all(axis=1)
    value[turning, -1] = value[turning, w]
    return ManyPeaks(value, loss)


def many_phase_excess(rate: FloatArray, heating: FloatArray, duration: FloatArray) -> FloatArray:
    """Return the repeating excess of the hottest phase at the start of every piece of many cycles.

    Parameters
    ----------
    rate : ndarray, shape (B, m)
        Rate at which the excess fades, positive. [1/s]
    heating : ndarray, shape (B, m)
        Excess loss of the hottest phase over the heat capacity of the winding. [K/s]
    duration : ndarray, shape (B, m) or (1, m)
        Durations. [s]

    Returns
    -------
    excess : ndarray, shape (B, m)
        As `phase_excess`. [K]

    References
    ----------
    As `phase_excess`.

    Examples
    --------
    Held for good with 20/16 K/s that fade with 1/16 per second: 20 K above the mean.

    >>> many_phase_excess(np.full((1, 1), 0.0625), np.full((1, 1), 1.25), np.full((1, 1), 1e4)).tolist()
    [[20.0]]
    """
    exponent = -rate * duration
    growth = np.expm1(exponent)
    gain = growth / exponent * duration * heating
    cycle_growth, cycle_gain = np.zeros(len(growth)), np.zeros(len(growth))
    for k in range(growth.shape[1]):
        cycle_growth = cycle_growth + growth[:, k] + growth[:, k] * cycle_growth
        cycle_gain = cycle_gain + gain[:, k] + growth[:, k] * cycle_gain
    excess = np.empty_like(growth)
    excess[:, 0] = -cycle_gain / cycle_growth
    for k in range(1, growth.shape[1]):
        before = excess[:, k - 1]
        excess[:, k] = before + gain[:, k - 1] + growth[:, k - 1] * before
    return excess


def _with_hot_phase(
    nodes: TemperatureCurves, winding: int, excess: FloatArray, rate: FloatArray, slope: FloatArray
) -> TemperatureCurves:
    """Return the courses with that of the hottest phase as one more, one more exponential in each."""
    cycles, pieces, n, k = nodes.slope.shape
    duration = np.broadcast_to(nodes.duration, (cycles, pieces))
    rates = np.concatenate((nodes.rate, rate[..., None]), axis=-1)
    terms = np.zeros((2, cycles, pieces, n + 1, k + 1))  # slopes and rises
    for part, of_nodes in zip(terms, (nodes.slope, nodes.rise), strict=True):
        part[:, :, :n, :k], part[:, :, n, :k] = of_nodes, of_nodes[:, :, winding]
    terms[0, :, :, n, k] = slope
    terms[1, :, :, n, k] = slope * -np.expm1(-rate * duration) / rate
    start = np.concatenate((nodes.start, (nodes.start[..., winding] + excess)[..., None]), axis=-1)
    # the rates must rise: the excess goes among the modes where its own rate belongs
    order = rates.argsort(axis=-1)
    rates = np.take_along_axis(rates, order, axis=-1)
    terms = np.take_along_axis(terms, order[None, :, :, None, :], axis=-1)
    return TemperatureCurves(start, terms[0], rates, terms[1], duration)


def many_peaks(curves: TemperatureCurves) -> FloatArray:
    """Return the highest value of every curve of many cycles, at the ends of pieces or inside them.

    Parameters
    ----------
    curves : TemperatureCurves
        Courses of B cycles, a leading dimension in every array. [-]

    Returns
    -------
    value : ndarray, shape (B, N)
        As `peaks` finds them one cycle at a time. [degC]

    References
    ----------
    As `peaks`.

    Examples
    --------
    20 + t - t^2/2 as two exponentials of nearly equal rates peaks at 20.5:

    >>> e = 1e-4
    >>> slope, rate = np.array([[[[1 - 1 / e, 1 / e]]]]), np.array([[[0.0, e]]])
    >>> rise = slope * np.array([2.0, -np.expm1(-2 * e) / e])
    >>> curves = TemperatureCurves(np.array([[[20.0]]]), slope, rate, rise, np.array([[2.0]]))
    >>> many_peaks(curves).round(3).tolist()
    [[20.5]]
    """
    ends = curves.start + np.add.reduce(curves.rise, axis=-1)
    value: FloatArray = np.maximum(ends.max(axis=1), curves.start[:, 0])
    bound = peak_bound(curves, ends)
    inside = bound > value[:, None] + PEAK_TOLERANCE
    if inside.any():
        inside &= may_turn_down(curves)
        cycle, piece, column = inside.nonzero()
        found = _highest_inside(
            curves.slope[cycle, piece, column],
            curves.rate[cycle, piece],
            curves.start[cycle, piece, column],
            curves.duration[cycle, piece],
        )
        _raise(value, cycle, column, bound[cycle, piece, column], piece, found)
    return value


def _raise(
    value: FloatArray,
    cycle: IntArray,
    column: IntArray,
    bound: FloatArray,
    piece: IntArray,
    found: FloatArray,
) -> None:
    """Raise values to the peaks found inside pieces, the most promising first, as `peaks` goes."""
    curve = cycle * value.shape[1] + column
    order = np.lexsort((-piece, -bound, curve))
    ordered = curve[order]
    first = np.flatnonzero(np.diff(ordered, prepend=-1))
    rank = np.arange(order.size) - np.repeat(first, np.diff(np.append(first, order.size)))
    flat = value.reshape(-1)
    for k in range(int(rank.max(initial=-1)) + 1):
        at = order[rank == k]
        asked = bound[at] > flat[curve[at]] + PEAK_TOLERANCE
        at = at[asked]
        flat[curve[at]] = np.maximum(flat[curve[at]], found[at])


def _highest_inside(
    slope: FloatArray, rate: FloatArray, start: FloatArray, duration: FloatArray
) -> FloatArray:
    """Return the highest of the start and the stationary points of P courses of K exponentials."""
    with np.errstate(all="ignore"):
        time = _zeros(rate, slope, duration)
        each, s = time[..., None], rate[:, None, :]
        still = s == 0.0
        integral = np.where(still, each, -np.expm1(np.minimum(-s * each, 300.0)) / np.where(still, 1.0, s))
        height = start[:, None] + np.add.reduce(slope[:, None, :] * integral, axis=-1)
    highest: FloatArray = np.fmax(start, np.fmax.reduce(height, axis=1, initial=-np.inf))
    return highest


def _zeros(rate: FloatArray, factor: FloatArray, duration: FloatArray) -> FloatArray:
    """Return the zeros of sums of exponentials inside (0, duration), shape (P, K - 1), NaN for none.

    The rates rise along the last axis.
    """
    if rate.shape[1] < 2:
        return np.empty((len(rate), 0))
    if rate.shape[1] == 2:
        time = np.log(-factor[:, 1] / factor[:, 0]) / (rate[:, 1] - rate[:, 0])
        inside: FloatArray = np.where((time > 0.0) & (time < duration), time, np.nan)
        return inside[:, None]
    gap = rate - rate[:, :1]
    between = _zeros(rate[:, 1:], -factor[:, 1:] * gap[:, 1:], duration)
    end = duration[:, None]
    between = np.sort(np.where(np.isnan(between), end, between), axis=1)
    mark = np.concatenate((np.zeros_like(end), between, end), axis=1)
    value, _ = _scaled_sum(factor[:, None], gap[:, None], mark)
    row, k = np.nonzero(value[:, :-1] * value[:, 1:] < 0.0)
    zero = np.full((len(rate), rate.shape[1] - 1), np.nan)
    zero[row, k] = _enclosed(factor[row], gap[row], mark[row, k], mark[row, k + 1], value[row, k] < 0.0)
    return zero


def _scaled_sum(factor: FloatArray, gap: FloatArray, time: FloatArray) -> tuple[FloatArray, FloatArray]:
    term = factor * np.exp(-gap * time[..., None])
    return np.add.reduce(term, axis=-1), -np.add.reduce(gap * term, axis=-1)


def _enclosed(
    factor: FloatArray, gap: FloatArray, low: FloatArray, high: FloatArray, rising: BoolArray
) -> FloatArray:
    """Return one zero inside each bracket: Newton, halving where a step would leave it."""
    time, open_ = 0.5 * (low + high), np.arange(low.size)
    for _ in range(_MOST_STEPS):
        if not open_.size:
            break
        now = time[open_]
        value, slope = _scaled_sum(factor[open_], gap[open_], now)
        up = (value > 0.0) == rising[open_]
        high[open_], low[open_] = np.where(up, now, high[open_]), np.where(up, low[open_], now)
        target = np.where(slope != 0.0, now - value / slope, low[open_])
        outside = ~((low[open_] < target) & (target < high[open_]))
        target = np.where(outside, 0.5 * (low[open_] + high[open_]), target)
        time[open_] = target
        open_ = open_[np.abs(target - now) > _TIME_TOLERANCE * target]
    return time
