r"""Where a trace may be replaced by means: bins so short that no node notices, as few as possible.

Heat put into a node in the course of a bin differs from that of the bin's mean by
:math:`\delta E(t)`, the distance of the curve of accumulated heat from its chord. The temperature then
differs by about :math:`\delta E/C`. For a loss that swings by :math:`\Delta P` inside a bin of width h,
:math:`\delta E \le h\,\Delta P/4`, the familiar rule of bins short against the time
constant; but a loss that swings fast about a mean may share one bin, and a jump is best met by an edge. So
edges are put where the chord misses the curve most, until it misses nowhere by more than the tolerance.
"""

from __future__ import annotations

from typing import Final

import numpy as np

from core.numeric import BoolArray, FloatArray, IntArray

# A single node answers to heat misplaced by dE with at most 2 dE/C: once directly, once by what it then
# exchanges too much. A network is given 3, and intervals may add a quarter: 3 * 1.25 * 0.0133 < 0.05 K.
TOLERANCE: Final = 0.0133
# Share of the tolerance spent on grouping samples before edges are searched.
_GROUPING_SHARE: Final = 0.25
_MOST_GROUPS: Final = 16384
_FIRST_BINS: Final = 64
_FEWEST_POINTS: Final = 64


def bin_edges(
    time: FloatArray, heats: tuple[FloatArray, ...], forced: IntArray, tolerance: float = TOLERANCE
) -> IntArray:
    r"""Return the points between which each course of heat may be replaced by its mean.

    Parameters
    ----------
    time : ndarray, shape (m + 1,)
        Rising times of the points. [s]
    heats : tuple of ndarray, each of shape (m + 1,)
        Accumulated heat over heat capacity, one for each kind. [K]
    forced : ndarray of int, shape (f,)
        Points that must be edges. [-]
    tolerance : float
        Largest sum of the distances of the curves from their chords. [K]

    Returns
    -------
    edges : ndarray of int, shape (b + 1,)
        Rising numbers of points, the first 0 and the last m. [-]

    Notes
    -----
    Samples are first put in equal groups; groups that miss their chord by a quarter of the tolerance are
    opened again. Then all bins that miss are split at once at their worst points. The work grows with the
    number of samples, and with the number of groups times the few rounds of splitting.

    References
    ----------
    D. H. Douglas and T. K. Peucker, The Canadian Cartographer 10 (1973) 112, for splitting at the
    worst point (from memory).

    Examples
    --------
    Heat at 1 K/s for 2 s, then none: one edge where it stops.

    >>> t = np.linspace(0.0, 5.0, 11)
    >>> bin_edges(t, (np.minimum(t, 2.0),), np.array([], dtype=np.int64)).tolist()
    [0, 4, 10]
    """
    last = time.size - 1
    points = _grouped(time, heats, forced, _GROUPING_SHARE * tolerance)
    is_edge = np.zeros(last + 1, dtype=bool)
    is_edge[points[:: max(points.size // _FIRST_BINS, _FEWEST_POINTS)]] = True
    is_edge[forced] = True
    is_edge[[0, last]] = True
    allowed = tolerance if points.size > last else (1.0 - _GROUPING_SHARE) * tolerance
    while points.size:
        points = _split_worst(points, time, heats, is_edge, allowed)
    return np.flatnonzero(is_edge)


def _split_worst(
    points: IntArray, time: FloatArray, heats: tuple[FloatArray, ...], is_edge: BoolArray, tolerance: float
) -> IntArray:
    """Mark the worst points of all bins that miss as edges; return the points of these bins."""
    edges = np.flatnonzero(is_edge[points])
    miss = _miss(time[points], tuple(heat[points] for heat in heats), edges)
    most = np.maximum.reduceat(miss, edges)
    bad = most > tolerance
    number = np.repeat(np.arange(edges.size), np.diff(edges, append=points.size))
    worst = (miss >= most[number]) & bad[number]
    keep = bad[number]
    keep[edges[1:]] |= bad[:-1]  # the ends of the bins that go on
    is_edge[points[worst]] = True
    return points[keep]


def _miss(time: FloatArray, heats: tuple[FloatArray, ...], edges: IntArray) -> FloatArray:
    """Distance of the curves from the chords between the edges, all kinds together."""
    miss = np.zeros(time.size)
    for heat in heats:
        miss += np.abs(heat - np.interp(time, time[edges], heat[edges]))
    return miss


def _grouped(time: FloatArray, heats: tuple[FloatArray, ...], forced: IntArray, tolerance: float) -> IntArray:
    last = time.size - 1
    size = -(-last // _MOST_GROUPS)
    every = np.arange(last + 1)
    if size <= 1:
        return every
    ends = np.append(np.arange(0, last, size), last)
    most = np.maximum.reduceat(_miss(time, heats, ends)[:-1], ends[:-1])
    keep = np.append(np.repeat(most > tolerance, np.diff(ends)), True)
    keep[ends] = True
    keep[forced] = True
    return np.flatnonzero(keep)
