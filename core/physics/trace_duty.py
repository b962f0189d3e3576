r"""A sampled trace as the heat network sees it: bins with the means of all that heats and cools.

The means are those of the straight lines between the samples: of the squared torque exactly,
:math:`(a^2+ab+b^2)/3`, of what follows the speed through a finely spaced table of speeds, in which
every bin notes how long it stays near each speed. Nothing that heats is lost, whatever the bins.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Final

import numpy as np

from core.numeric import BoolArray, FloatArray, IntArray
from core.physics.drag import DragLaw
from core.physics.heat_network import HeatNetwork, conductance_parts, node_matrices
from core.physics.heat_pieces import HeatPieces
from core.physics.input_ranges import require_not_negative
from core.physics.sampled_trace import Trace, TraceIntervals, cut_intervals, trace_intervals
from core.physics.speed_table import SpeedTable, speed_means, speed_table
from core.physics.trace_bins import TOLERANCE, bin_edges
from core.records import dataclass

# Copper loss of a winding near its limit with warm magnets over that at the reference temperatures.
_HOT_COPPER: Final = 1.6
# Largest difference of temperature across a link that is reckoned with where bins are laid out. [K]
_LARGEST_DIFFERENCE: Final = 150.0


@dataclass(frozen=True, slots=True)
class StandStill:
    """When a measured motor counts as held still, and what that means for its winding.

    Parameters
    ----------
    speed : float, default 0
        Largest speed, noise included, that counts as still. [rad/s]
    shortest : float, default 0.05
        Shortest time at rest for which the phases are told apart. [s]
    phase_factor, copper_factor : float, default 1
        As in `core.physics.cycle_heat.cycle_cut`. [-]

    References
    ----------
    Common practice, no source, for the shortest time.
    """

    speed: float = 0.0
    shortest: float = 0.05
    phase_factor: float = 1.0
    copper_factor: float = 1.0


@dataclass(frozen=True, slots=True)
class TraceBins:
    """Means of a trace over b bins, in the order of time.

    Parameters
    ----------
    start, duration : ndarray, shape (b,)
        Beginnings from the start of the trace, and durations. [s]
    sample : ndarray of int, shape (b,)
        Sample at or before the start of each bin. [-]
    torque_squared, torque_drag, drag_squared : ndarray, shape (b,)
        Means of the squared torque, of torque times drag in the direction of motion, of the squared
        drag; what a winding at rest loses more is in the first. [(N m)^2]
    core_power, air_power : ndarray, shape (b,)
        Mean heat of the drag in core and air. [W]
    conductance : ndarray, shape (b, l)
        Mean conductance of every link. [W/K]
    held : ndarray of bool, shape (b,)
        Whether the motor is held still throughout. [-]

    References
    ----------
    Own formulation.
    """

    start: FloatArray
    duration: FloatArray
    sample: IntArray
    torque_squared: FloatArray
    torque_drag: FloatArray
    drag_squared: FloatArray
    core_power: FloatArray
    air_power: FloatArray
    conductance: FloatArray
    held: BoolArray


class BinnedCycle:
    """Bins as a cycle that can be put on a network for temperatures of its nodes.

    Satisfies `core.physics.settled_cycle.CutCycle`. What turning adds in a bin is one rotor-driven
    conductance per link, with which the bin has the mean that was found for it.
    """

    def __init__(
        self,
        bins: TraceBins,
        network: HeatNetwork,
        copper_per_torque_squared: float,
        phase_factor: float = 1.0,
    ) -> None:
        self._bins = bins
        self.duration, self.core_power, self.air_power = bins.duration, bins.core_power, bins.air_power
        copper = np.stack([bins.drag_squared, bins.torque_drag, bins.torque_squared], axis=1)
        self.copper: FloatArray = copper * copper_per_torque_squared
        self._phase: FloatArray = np.where(bins.held, phase_factor, 1.0)
        beside = bins.conductance - network.fixed
        self._driven: FloatArray = np.maximum(beside**3 - network.natural**3, 0.0)

    def links(self, network: HeatNetwork, temps: FloatArray | None = None) -> FloatArray:
        """Return the mean conductance of each link in each bin, shape (b, l). [W/K]"""
        if temps is None or network.by_temperature is None:
            return self._bins.conductance
        fixed, natural = conductance_parts(network, temps)
        blend: FloatArray = fixed + np.cbrt(natural**3 + self._driven)
        return blend

    def on(self, network: HeatNetwork, temps: FloatArray | None = None) -> HeatPieces:
        """Return the bins as pieces with the conductances of a network at temperatures of its nodes. [SI]"""
        matrix, inflow = node_matrices(network, self.links(network, temps))
        inflow[:, network.core] += self.core_power
        if network.air >= 0:
            inflow[:, network.air] += self.air_power
        return HeatPieces(
            duration=self.duration,
            segment=np.zeros(self.duration.size, dtype=np.int64),
            conductance=matrix,
            inflow=inflow,
            copper=self.copper,
            stall_phase_factor=self._phase,
        )


def trace_pieces(
    trace: Trace,
    network: HeatNetwork,
    drag: DragLaw,
    rotor_inertia: float,
    copper_per_torque_squared: float,
    still: StandStill | None = None,
    smoothed_over: int = 1,
    segment: int = 0,
) -> HeatPieces:
    """Return a trace as pieces of a cycle that repeats.

    Parameters
    ----------
    trace, network, drag, rotor_inertia, copper_per_torque_squared, still, smoothed_over : see `trace_bins`
        The same. [SI]
    segment : int
        Number of the segment that the pieces carry. [-]

    Returns
    -------
    pieces : HeatPieces
        Pieces in the order of time. [SI]

    References
    ----------
    As `core.physics.cycle_heat.cycle_cut`.
    """
    still = still or StandStill()
    bins = trace_bins(trace, network, drag, rotor_inertia, copper_per_torque_squared, still, smoothed_over)
    return pieces_of_bins(bins, network, copper_per_torque_squared, still.phase_factor, segment)


def pieces_of_bins(
    bins: TraceBins,
    network: HeatNetwork,
    copper_per_torque_squared: float,
    phase_factor: float = 1.0,
    segment: int = 0,
) -> HeatPieces:
    """Return bins as pieces of a cycle.

    Parameters
    ----------
    bins : TraceBins
        The bins. [SI]
    network : HeatNetwork
        The network they were made for. [-]
    copper_per_torque_squared : float
        Copper loss per square of electromagnetic torque at reference temperatures. [W/(N m)^2]
    phase_factor : float
        Loss of the hottest phase over the mean of the phases in bins held still. [-]
    segment : int
        Number of the segment that the pieces carry. [-]

    Returns
    -------
    pieces : HeatPieces
        As many pieces as bins. [SI]

    References
    ----------
    As `core.physics.cycle_heat.cycle_cut`.
    """
    pieces = BinnedCycle(bins, network, copper_per_torque_squared, phase_factor).on(network)
    return replace(pieces, segment=np.full(bins.duration.size, segment))


def trace_bins(
    trace: Trace,
    network: HeatNetwork,
    drag: DragLaw,
    rotor_inertia: float,
    copper_per_torque_squared: float,
    still: StandStill | None = None,
    smoothed_over: int = 1,
    tolerance: float = TOLERANCE,
) -> TraceBins:
    r"""Return the means of a trace over bins that no node of the network can tell from the trace.

    Parameters
    ----------
    trace : Trace
        The trace. [SI]
    network : HeatNetwork
        The network. [-]
    drag : DragLaw
        Drag of the motor. [SI]
    rotor_inertia : float
        Moment of inertia of the rotor; 0 where the measured torque contains it. [kg m2]
    copper_per_torque_squared : float
        Copper loss per square of electromagnetic torque at reference temperatures. [W/(N m)^2]
    still : StandStill, optional
        When the motor counts as held still. [SI]
    smoothed_over : int, default 1
        Number of intervals over which the acceleration is averaged; 1 leaves it as measured. [-]
    tolerance : float
        Heat misplaced in time over heat capacity, see `core.physics.trace_bins`. [K]

    Returns
    -------
    bins : TraceBins
        The means. [SI]

    Raises
    ------
    InputRangeError
        If the inertia or the copper loss is negative.

    Notes
    -----
    The temperatures of the pieces differ from those of the trace by 0.05 K at most as long as the copper
    loss stays below 1.6 times that at the reference temperatures and no two nodes are more than 150 K
    apart; the work grows in proportion to the number of samples.

    References
    ----------
    Own formulation.
    """
    parts = trace_intervals(trace, rotor_inertia, smoothed_over)
    return interval_bins(parts, network, drag, copper_per_torque_squared, still, tolerance)


def interval_bins(
    parts: TraceIntervals,
    network: HeatNetwork,
    drag: DragLaw,
    copper_per_torque_squared: float,
    still: StandStill | None = None,
    tolerance: float = TOLERANCE,
) -> TraceBins:
    """Return the means of any duty with linear torque and speed, as `trace_bins` does for a trace.

    Parameters
    ----------
    parts : TraceIntervals
        The duty in intervals with one direction of speed, without a break in the speed. [SI]
    network : HeatNetwork
        The network. [-]
    drag : DragLaw
        Drag of the motor. [SI]
    copper_per_torque_squared : float
        Copper loss per square of electromagnetic torque at reference temperatures. [W/(N m)^2]
    still : StandStill, optional
        When the motor counts as held still. [SI]
    tolerance : float
        Heat misplaced in time over heat capacity. [K]

    Returns
    -------
    bins : TraceBins
        The means. [SI]

    Raises
    ------
    InputRangeError
        If the copper loss is negative.

    References
    ----------
    Own formulation.
    """
    require_not_negative("copper loss", copper_per_torque_squared, "W/(N m)^2")
    still = still or StandStill()
    highest = max(float(np.abs(parts.speed_start).max()), abs(float(parts.speed_end[-1])))
    table = speed_table(highest, network, drag)
    k = copper_per_torque_squared
    drags = _at_ends(table, table.torque, parts)
    spread = _speed_heat(parts, drags, table, network, k)
    heats = _at_ends(table, spread, parts)
    hot = _HOT_COPPER * k / _capacity(network)
    count = _cuts(parts, drags, heats, hot, tolerance)
    if (count > 1).any():
        parts = cut_intervals(parts, count)
        drags, heats = _at_ends(table, table.torque, parts), _at_ends(table, spread, parts)
    resting = np.maximum(np.abs(parts.speed_start), np.abs(parts.speed_end)) <= still.speed
    held = _lasting(resting, parts.duration, still)
    copper = np.where(held, still.copper_factor, 1.0) if still.copper_factor != 1.0 else 1.0
    squares = _mean_square(parts, drags, resting) * copper
    rates = (squares * hot, 0.5 * (heats[0] + heats[1]))
    courses = tuple(np.append(0.0, np.cumsum(rate * parts.duration)) for rate in rates)
    time = np.append(parts.start, parts.start[-1] + parts.duration[-1])
    edges = bin_edges(time, courses, np.flatnonzero(np.diff(held)) + 1, tolerance)
    return _means(parts, edges, resting, held, copper, table)


_Ends = tuple[FloatArray, FloatArray]


def _at_ends(table: SpeedTable, values: FloatArray, parts: TraceIntervals) -> _Ends:
    """Tabulated values at both ends of each interval; the end of one is the start of the next."""
    at_points = table.at(values, np.append(parts.speed_start, parts.speed_end[-1:]))
    return at_points[:-1], at_points[1:]


def _capacity(network: HeatNetwork) -> float:
    return float(network.capacity[network.winding])


def _lasting(resting: BoolArray, duration: FloatArray, still: StandStill) -> BoolArray:
    """Intervals in rests that last long enough for the phases to be told apart."""
    if still.phase_factor == 1.0 and still.copper_factor == 1.0:
        return np.zeros(resting.size, dtype=bool)
    first = np.flatnonzero(np.diff(resting, prepend=~resting[:1]))
    long = np.add.reduceat(duration, first) >= still.shortest
    return resting & np.repeat(long, np.diff(first, append=resting.size))


def _mean_square(parts: TraceIntervals, drags: _Ends, resting: BoolArray | None) -> FloatArray:
    """Mean square of the electromagnetic torque, the drag taken as straight within an interval."""
    direction = np.sign(parts.speed_start + parts.speed_end)
    if resting is not None:
        direction[resting] = 0.0
    a = parts.torque_start + direction * drags[0]
    b = parts.torque_end + direction * drags[1]
    return (a * a + a * b + b * b) / 3.0


def _speed_heat(
    whole: TraceIntervals,
    drags: _Ends,
    table: SpeedTable,
    network: HeatNetwork,
    copper_per_torque_squared: float,
) -> FloatArray:
    """Bound of what follows the speed and heats or cools any node, over its capacity, shape (K,). [K/s]

    The differences of temperature that drive the cooling are those of the trace's mean loss.
    """
    n, total = network.capacity.size, whole.duration.sum()
    near = table.position(whole.speed_start).astype(np.int64)
    count = table.torque.size
    dwell = np.bincount(near, whole.duration, count)[:count] / total
    matrix, _ = node_matrices(network, (dwell @ table.conductance)[None])
    square = _mean_square(whole, drags, None)
    heat = np.zeros(n)
    heat[network.winding] += _HOT_COPPER * copper_per_torque_squared * float(square @ whole.duration) / total
    heat[network.core] += dwell @ table.core_power
    rate = table.core_power / network.capacity[network.core]
    if network.air >= 0:
        heat[network.air] += dwell @ table.air_power
        rate = rate + table.air_power / network.capacity[network.air]
    rise = np.append(np.linalg.solve(matrix[0], heat), np.zeros(len(network.sinks)))
    difference = np.minimum(np.abs(rise[network.end_a] - rise[network.end_b]), _LARGEST_DIFFERENCE)
    answer = np.append(1.0 / network.capacity, np.zeros(len(network.sinks)))
    felt = difference * (answer[network.end_a] + answer[network.end_b])
    speed_heat: FloatArray = rate + (table.conductance - table.conductance[0]) @ felt
    return speed_heat


def _cuts(whole: TraceIntervals, drags: _Ends, heats: _Ends, copper: float, tolerance: float) -> IntArray:
    r"""Into how many pieces each interval is cut, where its heat changes too much for one bin.

    A heat that changes by S along a parabola in a time t strays from the chord by no more than
    :math:`S t/(4 n^2)` if it is cut in n; a quarter of the tolerance is allowed.
    """
    a, b = whole.torque_start, whole.torque_end
    largest = np.maximum(np.abs(a), np.abs(b)) + np.maximum(*drags)
    # |x^2 - y^2| <= 2 max |x - y|; also where the torque turns, as the square then falls and rises again
    copper_swing = 2.0 * copper * largest * (np.abs(a - b) + np.abs(drags[0] - drags[1]))
    # twice, because near rest these are steeper than a parabola
    swing = copper_swing + 2.0 * np.abs(heats[0] - heats[1])
    count: IntArray = np.ceil(np.sqrt(swing * whole.duration / tolerance)).astype(np.int64)
    count[count < 1] = 1
    return count


def _means(
    parts: TraceIntervals,
    edges: IntArray,
    resting: BoolArray,
    held: BoolArray,
    copper: FloatArray | float,
    table: SpeedTable,
) -> TraceBins:
    first = edges[:-1]
    a, b = parts.torque_start, parts.torque_end
    squares = (a * a + a * b + b * b) / 3.0 * copper
    duration = np.add.reduceat(parts.duration, first)
    speed = speed_means(parts, edges, resting, table)
    return TraceBins(
        start=parts.start[first] - parts.start[0],
        duration=duration,
        sample=parts.sample[first],
        torque_squared=np.add.reduceat(squares * parts.duration, first) / duration,
        torque_drag=speed.torque_drag,
        drag_squared=speed.drag_squared,
        core_power=speed.core_power,
        air_power=speed.air_power,
        conductance=speed.conductance,
        held=held[first],
    )
