r"""The hottest phase of a motor that holds still under current.

At standstill one phase carries more than its share. Its excess :math:`\theta` over the mean winding obeys
:math:`\dot\theta = -(G_W/C_W)\,\theta + (f - 1) P_{Cu}/C_W` with the winding's conductance to all its
neighbours: only the way from the winding to what surrounds it carries the excess, beyond that the phases
are one. While the motor turns (f = 1) the excess fades.
"""

from __future__ import annotations

import numpy as np

from core.numeric import FloatArray
from core.physics.segment_peaks import TemperatureCurves


def phase_excess(
    winding_conductance: FloatArray,
    winding_capacity: float,
    copper_loss: FloatArray,
    phase_factor: FloatArray,
    duration: FloatArray,
) -> FloatArray:
    r"""Return the repeating excess of the hottest phase at the start of every piece.

    Parameters
    ----------
    winding_conductance : ndarray, shape (m,)
        Conductance from the winding to all its neighbours together, positive. [W/K]
    winding_capacity : float
        Heat capacity of the winding. [J/K]
    copper_loss : ndarray, shape (m,)
        Mean copper loss of all phases. [W]
    phase_factor : ndarray, shape (m,)
        Loss of the hottest phase over the mean of the phases. [-]
    duration : ndarray, shape (m,)
        Durations. [s]

    Returns
    -------
    excess : ndarray, shape (m,)
        Excess over the mean winding. [K]

    Notes
    -----
    The copper loss is taken at its mean over the piece, and at the resistance of the mean winding: what the
    higher one of the hot phase adds is part of its factor (`core.physics.hold.own_resistance_share`).

    References
    ----------
    Own formulation; ratios of the phases: common practice, no source.

    Examples
    --------
    Held for good with twice the mean loss, 10 W over 0.5 W/K: 20 K above the mean.

    >>> one = np.ones(1)
    >>> phase_excess(0.5 * one, 8.0, 10.0 * one, 2.0 * one, 1e4 * one).round(9).tolist()
    [20.0]
    """
    exponent = -winding_conductance / winding_capacity * duration
    growth = np.expm1(exponent)
    gain = growth / exponent * duration * (phase_factor - 1.0) * copper_loss / winding_capacity
    maps = list(zip(growth.tolist(), gain.tolist(), strict=True))
    # less the identity, so that a cycle far shorter than the time constant loses no digits
    cycle_growth = cycle_gain = 0.0
    for grown, gained in maps:
        cycle_growth += grown + grown * cycle_growth
        cycle_gain += gained + grown * cycle_gain
    excess = [-cycle_gain / cycle_growth]
    for grown, gained in maps:
        excess.append(excess[-1] + gained + grown * excess[-1])
    return np.array(excess[:-1])


def with_hot_phase(
    nodes: TemperatureCurves,
    winding: int,
    excess: FloatArray,
    winding_conductance: FloatArray,
    winding_capacity: float,
    copper_loss: FloatArray,
    phase_factor: FloatArray,
) -> TemperatureCurves:
    """Return the courses of the nodes and, as one more, that of the hottest phase.

    Parameters
    ----------
    nodes : TemperatureCurves
        Courses of the n nodes. [-]
    winding : int
        Node of the winding. [-]
    excess : ndarray, shape (m,)
        Excess at the start of every piece. [K]
    winding_conductance : ndarray, shape (m,)
        Conductance from the winding to all its neighbours together. [W/K]
    winding_capacity : float
        Heat capacity of the winding. [J/K]
    copper_loss : ndarray, shape (m,)
        Mean copper loss of all phases. [W]
    phase_factor : ndarray, shape (m,)
        Loss of the hottest phase over the mean of the phases. [-]

    Returns
    -------
    curves : TemperatureCurves
        n + 1 curves, with one exponential more than the nodes have: the mean winding and the excess are
        one sum in the last. [-]

    References
    ----------
    Own formulation.
    """
    rate = winding_conductance / winding_capacity
    slope = (phase_factor - 1.0) * copper_loss / winding_capacity - rate * excess
    m, n, k = nodes.slope.shape
    rates = np.empty((m, k + 1))
    rates[:, :k], rates[:, k] = nodes.rate, rate
    terms = np.zeros((2, m, n + 1, k + 1))  # slopes and rises
    for part, of_nodes in zip(terms, (nodes.slope, nodes.rise), strict=True):
        part[:, :n, :k], part[:, n, :k] = of_nodes, of_nodes[:, winding]
    terms[0, :, n, k] = slope
    terms[1, :, n, k] = slope * -np.expm1(-rate * nodes.duration) / rate
    start = np.empty((m, n + 1))
    start[:, :n], start[:, n] = nodes.start, nodes.start[:, winding] + excess
    # the rates must rise: the excess goes among the modes where its own rate belongs
    order, piece = rates.argsort(axis=-1), np.arange(m)[:, None]
    terms = terms[:, piece[..., None], np.arange(n + 1)[:, None], order[:, None, :]]
    return TemperatureCurves(start, terms[0], rates[piece, order], terms[1], nodes.duration)
