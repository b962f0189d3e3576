r"""The hottest phase of a motor that holds still under current.

At standstill one phase carries more than its share. Its excess :math:`\theta` over the mean winding obeys
:math:`\dot\theta = -(G_W/C_W)\,\theta + (f - 1) P_{Cu}/C_W` with the winding's conductance to all its
neighbours: only the way from the winding to what surrounds it carries the excess, beyond that the phases
are one. While the motor turns (f = 1) the excess fades.
"""

from __future__ import annotations

import numpy as np

from core.numeric import FloatArray
from core.physics.segment_maps import chain, piece_ends
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
    The copper loss is taken at its mean over the piece, and at the resistance of the mean winding: the
    higher resistance of the hot phase is left out (8 % at 20 K).

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
    maps = np.zeros((duration.size, 2, 2))
    maps[:, 0, 0] = growth
    maps[:, 0, 1] = growth / exponent * duration * (phase_factor - 1.0) * copper_loss / winding_capacity
    joined = chain(maps)
    start = np.array([-joined.cycle[0, 1] / joined.cycle[0, 0]])
    return piece_ends(joined, start)[0][:, 0]


def hot_phase_curve(
    nodes: TemperatureCurves,
    winding: int,
    excess: FloatArray,
    winding_conductance: FloatArray,
    winding_capacity: float,
    copper_loss: FloatArray,
    phase_factor: FloatArray,
) -> TemperatureCurves:
    """Return the course of the hottest phase: the mean winding and the excess in one sum.

    Parameters
    ----------
    nodes : TemperatureCurves
        Courses of the nodes. [-]
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
    curve : TemperatureCurves
        One curve with one exponential more than the nodes have. [-]

    References
    ----------
    Own formulation.
    """
    rate = winding_conductance / winding_capacity
    slope = (phase_factor - 1.0) * copper_loss / winding_capacity - rate * excess
    rise = slope * -np.expm1(-rate * nodes.duration) / rate
    return TemperatureCurves(
        start=nodes.start[:, winding : winding + 1] + excess[:, None],
        slope=np.concatenate([nodes.slope[:, winding, :], slope[:, None]], axis=1)[:, None, :],
        rate=np.concatenate([nodes.rate, rate[:, None]], axis=1),
        rise=np.concatenate([nodes.rise[:, winding, :], rise[:, None]], axis=1)[:, None, :],
        duration=nodes.duration,
    )
