r"""What follows the speed alone, tabulated, and how long each bin of a trace stays near each speed.

A trace of a million samples would need a million roots and powers for drag and for every heat link. The
table needs a few hundred: every bin notes the time near each of its speeds, shared between the two
neighbours so that straight lines between them are met exactly, and one product of matrices gives all means.
"""

from __future__ import annotations

from typing import Final

import numpy as np

from core.numeric import BoolArray, FloatArray, IntArray
from core.physics.drag import DragLaw, air_drag_torque, core_drag_torque
from core.physics.heat_network import HeatNetwork, link_conductance
from core.physics.sampled_trace import TraceIntervals
from core.records import dataclass

# Evenly spaced in the root of the speed, where |w|^0.6 and |w|^1.5 are both smooth: straight lines
# between them miss a power with |w|^2 by 3e-5 of its largest value.
_SPEEDS: Final = 257
_FEW, _MANY = np.polynomial.legendre.leggauss(2), np.polynomial.legendre.leggauss(5)
# Intervals that change the speed by more than this share of the highest take the longer rule.
_STEEP: Final = 0.05
# Bins times speeds worked on at once, to stay inside fast memory.
_LARGEST_TABLE: Final = 1_000_000


@dataclass(frozen=True, slots=True)
class SpeedTable:
    """Drag and conductances at K speeds from rest to the highest of a trace.

    Parameters
    ----------
    highest : float
        Highest speed. [rad/s]
    torque : ndarray, shape (K,)
        Drag torque; at rest that just after moving off. [N m]
    core_power, air_power : ndarray, shape (K,)
        Heat of the drag in core and air. [W]
    conductance : ndarray, shape (K, l)
        Conductance of every link. [W/K]

    References
    ----------
    Own formulation.
    """

    highest: float
    torque: FloatArray
    core_power: FloatArray
    air_power: FloatArray
    conductance: FloatArray

    def position(self, speed: FloatArray) -> FloatArray:
        """Return where speeds of any sign stand in the table, shape of `speed`, from 0 to K - 1. [-]"""
        scale = (_SPEEDS - 1) / np.sqrt(self.highest) if self.highest > 0.0 else 0.0
        place: FloatArray = np.sqrt(np.abs(speed)) * scale
        return place

    def at(self, values: FloatArray, speed: FloatArray) -> FloatArray:
        """Return tabulated values, shape (K,), at speeds, by straight lines. [unit of the values]"""
        return np.interp(self.position(speed), np.arange(float(_SPEEDS)), values)


def speed_table(highest: float, network: HeatNetwork, drag: DragLaw) -> SpeedTable:
    """Return drag and conductances from rest to the highest speed.

    Parameters
    ----------
    highest : float
        Highest speed. [rad/s]
    network : HeatNetwork
        The network. [-]
    drag : DragLaw
        Drag of the motor. [SI]

    Returns
    -------
    table : SpeedTable
        The table. [SI]

    References
    ----------
    As `core.physics.drag` and `core.physics.heat_network`.
    """
    speed = highest * np.linspace(0.0, 1.0, _SPEEDS) ** 2
    core, air = np.asarray(core_drag_torque(drag, speed)), np.asarray(air_drag_torque(drag, speed))
    return SpeedTable(highest, core + air, core * speed, air * speed, link_conductance(network, speed))


@dataclass(frozen=True, slots=True)
class SpeedMeans:
    """Means over bins of what follows the speed.

    Parameters
    ----------
    torque_drag : ndarray, shape (b,)
        Mean of torque times drag in the direction of motion. [(N m)^2]
    drag_squared : ndarray, shape (b,)
        Mean of the squared drag. [(N m)^2]
    core_power, air_power : ndarray, shape (b,)
        Mean heat in core and air. [W]
    conductance : ndarray, shape (b, l)
        Mean conductances. [W/K]

    References
    ----------
    Own formulation.
    """

    torque_drag: FloatArray
    drag_squared: FloatArray
    core_power: FloatArray
    air_power: FloatArray
    conductance: FloatArray


def speed_means(parts: TraceIntervals, edges: IntArray, resting: BoolArray, table: SpeedTable) -> SpeedMeans:
    r"""Return the means over bins of drag, its heat and the conductances.

    Parameters
    ----------
    parts : TraceIntervals
        Intervals with one direction of speed. [SI]
    edges : ndarray of int, shape (b + 1,)
        Numbers of the intervals with which the bins begin, and their count at the end. [-]
    resting : ndarray of bool, shape (m,)
        Intervals in which the motor stands still: no drag. [-]
    table : SpeedTable
        The table. [SI]

    Returns
    -------
    means : SpeedMeans
        Time means. [SI]

    References
    ----------
    Gauss-Legendre quadrature over each interval; weights of linear interpolation (from memory).
    """
    at_once = max(_LARGEST_TABLE // _SPEEDS, 1)
    groups = [edges[k : k + at_once + 1] for k in range(0, edges.size - 1, at_once)]
    rows = [_group_means(parts, group, resting, table) for group in groups]
    return SpeedMeans(*(np.concatenate(column) for column in zip(*rows, strict=True)))


def _group_means(
    parts: TraceIntervals, edges: IntArray, resting: BoolArray, table: SpeedTable
) -> tuple[FloatArray, ...]:
    bins = edges.size - 1
    some = slice(int(edges[0]), int(edges[-1]))
    row = np.repeat(np.arange(bins) * _SPEEDS, np.diff(edges))
    ends = (
        parts.speed_start[some], parts.speed_end[some], parts.torque_start[some], parts.torque_end[some],
    )  # fmt: skip
    duration = np.where(resting[some], 0.0, parts.duration[some])
    dwell, pull = np.zeros(bins * _SPEEDS), np.zeros(bins * _SPEEDS)
    steep = np.abs(ends[1] - ends[0]) > _STEEP * table.highest
    for rule, chosen in ((_FEW, ~steep), (_MANY, steep)):
        if chosen.all():
            _add(dwell, pull, ends, duration, row, rule, table)
        elif chosen.any():
            picked = tuple(array[chosen] for array in ends)
            _add(dwell, pull, picked, duration[chosen], row[chosen], rule, table)
    times, pulls = dwell.reshape(bins, _SPEEDS), pull.reshape(bins, _SPEEDS)
    total = np.add.reduceat(parts.duration[some], edges[:-1] - edges[0])
    still = total - times.sum(axis=1)
    conductance = times @ table.conductance + still[:, None] * table.conductance[0]
    return (
        pulls @ table.torque / total,
        times @ table.torque**2 / total,
        times @ table.core_power / total,
        times @ table.air_power / total,
        conductance / total[:, None],
    )


def _add(
    dwell: FloatArray,
    pull: FloatArray,
    ends: tuple[FloatArray, ...],
    duration: FloatArray,
    row: IntArray,
    rule: tuple[FloatArray, FloatArray],
    table: SpeedTable,
) -> None:
    """Add times near each speed, and torque in the direction of motion times these, to the rows of bins."""
    w0, w1, t0, t1 = ends
    direction = np.sign(w0 + w1)
    for node, weight in zip(*rule, strict=True):
        x = 0.5 * (1.0 + float(node))
        position = table.position(w0 + (w1 - w0) * x)
        below = np.minimum(position.astype(np.int64), _SPEEDS - 2)
        upper = (position - below) * duration * (0.5 * float(weight))
        lower = duration * (0.5 * float(weight)) - upper
        torque = (t0 + (t1 - t0) * x) * direction
        below += row
        for into, low, high in ((dwell, lower, upper), (pull, lower * torque, upper * torque)):
            into += np.bincount(below, low, into.size)
            into[1:] += np.bincount(below, high, into.size)[:-1]
