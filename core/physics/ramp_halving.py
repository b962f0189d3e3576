r"""How far temperatures would move if every ramp of a settled cycle were cut once more, without solving it.

The halves are put on the course that was found: what heat they would add to each node beyond what the
course takes up is left over. Its swing within the cycle moves the nodes to and fro, its mean over the cycle
moves them for good.
"""

from __future__ import annotations

import numpy as np

from core.numeric import FloatArray, IntArray
from core.physics.cycle_peaks import actual_copper_loss
from core.physics.heat_network import HeatNetwork
from core.physics.heat_pieces import CopperLaw, HeatPieces
from core.records import dataclass


@dataclass(frozen=True, slots=True)
class Course:
    """The course of all nodes over m pieces: in each the parabola that has its ends and its mean.

    Parameters
    ----------
    start, tilt, bend : ndarray, shape (..., m, n)
        T = start + tilt x + bend x^2 with x from 0 to 1 over each piece. [degC, K, K]

    References
    ----------
    Own formulation.
    """

    start: FloatArray
    tilt: FloatArray
    bend: FloatArray

    def at(self, piece: IntArray, place: FloatArray) -> FloatArray:
        """Return the temperatures at places x in pieces, shape (..., k, n). [degC]"""
        x = place[:, None]
        start, tilt, bend = self._in(piece)
        temps: FloatArray = start + x * (tilt + x * bend)
        return temps

    def mean(self, piece: IntArray, low: FloatArray, high: FloatArray) -> FloatArray:
        """Return the means between two places x in pieces, shape (..., k, n). [degC]"""
        a, b = low[:, None], high[:, None]
        start, tilt, bend = self._in(piece)
        temps: FloatArray = start + 0.5 * tilt * (a + b) + bend / 3.0 * (a * a + a * b + b * b)
        return temps

    def _in(self, piece: IntArray) -> tuple[FloatArray, FloatArray, FloatArray]:
        return self.start[..., piece, :], self.tilt[..., piece, :], self.bend[..., piece, :]


def course(starts: FloatArray, means: FloatArray, ends: FloatArray) -> Course:
    """Return the course with these temperatures at the ends of, and means over, its pieces.

    Parameters
    ----------
    starts, means, ends : ndarray, shape (..., m, n)
        Temperatures. [degC]

    Returns
    -------
    course : Course
        A parabola in every piece. [degC]

    References
    ----------
    Own formulation.

    Examples
    --------
    x^2 from 0 to 1 has the mean 1/3:

    >>> square = course(np.zeros((1, 1)), np.full((1, 1), 1.0 / 3.0), np.ones((1, 1)))
    >>> square.at(np.array([0]), np.array([0.5])).round(12).tolist()
    [[0.25]]
    """
    bend = 3.0 * (starts + ends - 2.0 * means)
    return Course(starts, ends - starts - bend, bend)


def places_within(coarse: HeatPieces, fine: HeatPieces) -> tuple[IntArray, FloatArray, FloatArray]:
    """Return in which coarse piece each fine piece lies, and its two ends there.

    Parameters
    ----------
    coarse, fine : HeatPieces
        One cycle cut twice, the second time within the pieces of the first. [-]

    Returns
    -------
    piece : ndarray of int, shape (k,)
        Coarse pieces. [-]
    low, high : ndarray, shape (k,)
        Ends as shares of the coarse piece. [-]

    References
    ----------
    Own formulation.
    """
    return places_of(coarse.duration, fine.duration)


def places_of(coarse: FloatArray, fine: FloatArray) -> tuple[IntArray, FloatArray, FloatArray]:
    """Return the places of `places_within` for the durations of the pieces.

    Parameters
    ----------
    coarse, fine : ndarray, shape (m,) and (k,)
        Durations of the pieces of one cycle cut twice. [s]

    Returns
    -------
    piece : ndarray of int, shape (k,)
        Coarse pieces. [-]
    low, high : ndarray, shape (k,)
        Ends as shares of the coarse piece. [-]

    References
    ----------
    Own formulation.

    Examples
    --------
    >>> [part.tolist() for part in places_of(np.array([2.0, 1.0]), np.array([1.0, 1.0, 1.0]))]
    [[0, 0, 1], [0.0, 0.5, 0.0], [0.5, 1.0, 1.0]]
    """
    ends, fine_ends = coarse.cumsum(), fine.cumsum()
    piece = ends.searchsorted(fine_ends - 0.5 * fine)
    whole = coarse[piece]
    high = 1.0 - (ends[piece] - fine_ends) / whole
    return piece, high - fine / whole, high


def change_by_halving(
    network: HeatNetwork, law: CopperLaw, coarse: HeatPieces, fine: HeatPieces, found: Course,
    torque_factor: float = 1.0,
) -> float:  # fmt: skip
    r"""Return by how much temperatures would move at most if the fine pieces took the place of the coarse.

    Parameters
    ----------
    network : HeatNetwork
        The network. [-]
    law : CopperLaw
        How the copper loss follows the temperatures. [-]
    coarse, fine : HeatPieces
        The cycle as solved, and as cut further. [-]
    found : Course
        The course of the nodes over the coarse pieces. [degC]
    torque_factor : float
        Factor on the delivered torque. [-]

    Returns
    -------
    change : float
        Estimate of the largest change of a peak or a mean, within 10 % where ramps are short beside the
        time constants; infinite where the averaged network has no steady state. [K]

    Notes
    -----
    What is left over in a fine piece is :math:`r = q\,d - C\,\Delta T`. The swing is the sum of
    :math:`(r - \bar r) / C` up to an instant, less its own mean over the cycle; it raises the peaks. The
    lasting change solves the averaged network for the mean of r, its copper loss growing with the winding;
    the loss that follows the magnets is left out of it.

    References
    ----------
    Own formulation; defect of an approximate solution put into the equation (from memory).
    """
    places = places_within(coarse, fine)
    reference = fine.copper_at_reference(torque_factor)
    nodes = network.capacity, network.winding, network.magnets
    return float(change_by_finer(fine, reference, law, nodes, found, places))


def change_by_finer(
    fine: HeatPieces, reference: FloatArray, law: CopperLaw, nodes: tuple[FloatArray, int, int],
    found: Course, places: tuple[IntArray, FloatArray, FloatArray],
) -> FloatArray:  # fmt: skip
    """Return the change of `change_by_halving` for one cycle or many.

    Parameters
    ----------
    fine : HeatPieces
        The cycle as cut further; its arrays may have leading dimensions. [-]
    reference : ndarray, shape (..., k)
        Copper loss of the fine pieces at the reference temperatures. [W]
    law : CopperLaw
        How the copper loss follows the temperatures. [-]
    nodes : tuple
        Heat capacities, shape (n,) or (..., 1, n) [J/K], and the nodes of winding and magnets. [-]
    found : Course
        The course of the nodes over the coarse pieces. [degC]
    places : tuple of ndarray, shape (k,) each
        Result of `places_within`. [-]

    Returns
    -------
    change : ndarray, shape (...)
        Estimate of the largest change of a peak or a mean. [K]

    References
    ----------
    As `change_by_halving`.
    """
    capacity, w, r = nodes
    piece, low, high = places
    mean = found.mean(piece, low, high)
    loss = actual_copper_loss(law, reference, mean[..., w], mean[..., r])
    heat = fine.inflow - (fine.conductance @ mean[..., None])[..., 0]
    heat[..., w] += loss
    ends = found.at(piece, high)
    left = heat * fine.duration[..., None] - capacity * (ends - found.at(piece, low))
    cycle = np.add.reduce(fine.duration, axis=-1)[..., None]
    share = fine.duration / cycle
    total = np.add.reduce(left, axis=-2)
    steps = (left - share[..., None] * total[..., None, :]) / capacity
    swing = np.add.accumulate(steps, axis=-2)
    # the mean over the cycle is that of the balance of heat, whatever the swing
    swing -= share[..., None, :] @ (swing - 0.5 * steps)
    k, n = mean.shape[-2:]
    matrix = (share[..., None, :] @ fine.conductance.reshape(*share.shape[:-1], k, n * n))[..., 0, :]
    matrix = matrix.reshape(*share.shape[:-1], n, n)
    matrix[..., w, w] -= np.add.reduce(share * loss / (law.copper_constant + mean[..., w]), axis=-1)
    lasting = _lasting(matrix, total / cycle)
    higher = np.abs((ends + swing).max(axis=-2) - ends.max(axis=-2))
    # the excess of the hottest phase swings with its share of the loss
    higher[..., w] += ((fine.stall_phase_factor - 1.0) * np.abs(swing[..., w])).max(axis=-1)
    change: FloatArray = (np.abs(lasting) + higher).max(axis=-1)
    return change


def _lasting(matrix: FloatArray, heat: FloatArray) -> FloatArray:
    """Return the lasting rise by a heat, infinite where the network has no steady state."""
    try:
        return np.asarray(np.linalg.solve(matrix, heat[..., None])[..., 0], dtype=np.float64)
    except np.linalg.LinAlgError:
        if matrix.ndim == 2:
            return np.full(heat.shape, np.inf)
        return np.stack([_lasting(one, into) for one, into in zip(matrix, heat, strict=True)])
