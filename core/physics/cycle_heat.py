r"""What each piece of the cycle puts into the heat network: copper, core and air, with its conductances.

Ramps of speed or torque are cut into equal pieces, because loss and cooling change along them; parts at
constant speed and torque stay whole, because there the solution is exact.
"""

from __future__ import annotations

import numpy as np

from core.errors import InputRangeError
from core.numeric import FloatArray, IntArray, Numeric
from core.physics.drag import DragLaw, RampMeans, mean_drag_over_ramp
from core.physics.heat_network import HeatNetwork, mean_link_conductance, node_matrices
from core.physics.heat_pieces import HeatPieces
from core.physics.shaft_duty import ShaftDuty
from core.records import dataclass


@dataclass(frozen=True, slots=True)
class CycleCut:
    """A cycle cut into pieces, without a network: what heats, and at which speeds.

    Parameters
    ----------
    duration : ndarray, shape (m,)
        Durations of the pieces. [s]
    segment : ndarray of int, shape (m,)
        Segment to which each piece belongs. [-]
    speed_start, speed_end : ndarray, shape (m,)
        Speeds at the ends of each piece. [rad/s]
    core_power, air_power : ndarray, shape (m,)
        Mean heat of the drag in core and air. [W]
    copper : ndarray, shape (m, 3)
        As `HeatPieces.copper`. [W]
    stall_phase_factor : ndarray, shape (m,)
        As `HeatPieces.stall_phase_factor`. [-]

    References
    ----------
    Own formulation.
    """

    duration: FloatArray
    segment: IntArray
    speed_start: FloatArray
    speed_end: FloatArray
    core_power: FloatArray
    air_power: FloatArray
    copper: FloatArray
    stall_phase_factor: FloatArray

    def links(self, network: HeatNetwork, temps: FloatArray | None = None) -> FloatArray:
        """Return the mean conductance of each link in each piece, shape (m, l). [W/K]

        `temps` [degC, shape (n,)] are those of the surface coefficients, by default as the network has them.
        """
        return mean_link_conductance(network, self.speed_start, self.speed_end, temps)

    def on(self, network: HeatNetwork, temps: FloatArray | None = None) -> HeatPieces:
        """Return the pieces with the conductances and sinks of a network; `temps` as in `links`. [SI]"""
        matrix, inflow = node_matrices(network, self.links(network, temps))
        inflow[:, network.core] += self.core_power
        if network.air >= 0:
            inflow[:, network.air] += self.air_power
        return HeatPieces(
            duration=self.duration,
            segment=self.segment,
            conductance=matrix,
            inflow=inflow,
            copper=self.copper,
            stall_phase_factor=self.stall_phase_factor,
        )


def cycle_cut(
    duty: ShaftDuty,
    drag: DragLaw,
    copper_per_torque_squared: float,
    pieces_per_ramp: int = 1,
    phase_factor: Numeric = 1.0,
    copper_factor: Numeric = 1.0,
) -> CycleCut:
    r"""Return a cycle cut into pieces with the mean of everything that heats.

    Parameters
    ----------
    duty : ShaftDuty
        The duty at the shaft, rotor inertia included. [SI]
    drag : DragLaw
        Drag of the motor. [SI]
    copper_per_torque_squared : float
        Copper loss per square of electromagnetic torque at reference temperatures. [W/(N m)^2]
    pieces_per_ramp : int, default 1
        Into how many equal pieces each ramp is cut. [-]
    phase_factor, copper_factor : float or ndarray, shape (parts,), default 1
        Rise of the hottest phase over the mean of the phases, and copper loss over that of the
        turning motor at the same torque: both above 1 at standstill (`core.physics.hold`). [-]

    Returns
    -------
    cut : CycleCut
        Pieces in the order of time. [SI]

    Raises
    ------
    InputRangeError
        If `pieces_per_ramp` is below 1.

    Notes
    -----
    With :math:`T_\mathrm{em} = T + s\,d`, s the sign of the speed and d the drag torque,

    .. math:: \overline{T_\mathrm{em}^2} = \overline{T^2} + 2 s \overline{T d} + \overline{d^2}

    kept apart as a polynomial of a factor on T. Iron and bearing loss heat the core, windage the
    node that the network names, or nothing where it goes straight to the ambient air.

    References
    ----------
    Own formulation; the means over a ramp are exact (`core.physics.drag.mean_drag_over_ramp`).
    """
    if pieces_per_ramp < 1:
        raise InputRangeError("pieces_per_ramp", pieces_per_ramp, "", ">= 1")
    if pieces_per_ramp == 1:
        return _uncut(duty, drag, copper_per_torque_squared, phase_factor, copper_factor)
    ramps = (duty.speed_start != duty.speed_end) | (duty.torque_start != duty.torque_end)
    count = np.where(ramps, pieces_per_ramp, 1)
    part = np.repeat(np.arange(count.size), count)
    position = np.arange(part.size) - np.repeat(np.cumsum(count) - count, count)
    start, end = _cut(duty.speed_start, duty.speed_end, count, part, position)
    torque_start, torque_end = _cut(duty.torque_start, duty.torque_end, count, part, position)

    means = mean_drag_over_ramp(drag, start, end)
    copper = _mean_square(torque_start, torque_end, start, end, means)
    copper *= copper_per_torque_squared * np.broadcast_to(copper_factor, count.shape)[part, None]
    return CycleCut(
        duration=duty.duration[part] / count[part],
        segment=duty.segment[part],
        speed_start=start,
        speed_end=end,
        core_power=means.core_power,
        air_power=means.air_power,
        copper=copper,
        stall_phase_factor=np.broadcast_to(phase_factor, count.shape)[part],
    )


def _uncut(
    duty: ShaftDuty, drag: DragLaw, copper_per_square: float, phase_factor: Numeric, copper_factor: Numeric
) -> CycleCut:
    """Return a cycle with one piece for each part."""
    start, end, size = duty.speed_start, duty.speed_end, duty.duration.size
    means = mean_drag_over_ramp(drag, start, end)
    copper = _mean_square(duty.torque_start, duty.torque_end, start, end, means)
    copper *= copper_per_square * np.broadcast_to(copper_factor, size)[:, None]
    return CycleCut(
        duration=duty.duration,
        segment=duty.segment,
        speed_start=start,
        speed_end=end,
        core_power=means.core_power,
        air_power=means.air_power,
        copper=copper,
        stall_phase_factor=np.broadcast_to(phase_factor, size),
    )


def mean_square_torque(
    duty: ShaftDuty, drag: DragLaw, means: RampMeans | None = None
) -> tuple[FloatArray, FloatArray]:
    r"""Return the mean square of the electromagnetic torque and the mean drag torque of each part.

    Parameters
    ----------
    duty : ShaftDuty
        The duty at the shaft. [SI]
    drag : DragLaw
        Drag of the motor. [SI]
    means : RampMeans, optional
        Result of `mean_drag_over_ramp` for the parts of the duty, if it is known. [SI]

    Returns
    -------
    mean_square : ndarray, shape (m,)
        Time mean of the square. [(N m)^2]
    mean_drag : ndarray, shape (m,)
        Time mean of the magnitude of the drag torque, zero at rest. [N m]

    References
    ----------
    As `cycle_pieces`.
    """
    start, end = duty.speed_start, duty.speed_end
    if means is None:
        means = mean_drag_over_ramp(drag, start, end)
    square = _mean_square(duty.torque_start, duty.torque_end, start, end, means)
    return square @ np.array([1.0, 2.0, 1.0]), np.where(duty.direction != 0.0, means.torque, 0.0)


def _cut(
    first: FloatArray, last: FloatArray, count: IntArray, part: IntArray, position: IntArray
) -> tuple[FloatArray, FloatArray]:
    """Return the values at both ends of the equal pieces into which linear parts are cut."""
    step = (last - first)[part] / count[part]
    start = first[part] + position * step
    return start, np.where(position + 1 == count[part], last[part], start + step)


def _mean_square(
    torque_start: FloatArray,
    torque_end: FloatArray,
    speed_start: FloatArray,
    speed_end: FloatArray,
    means: RampMeans,
) -> FloatArray:
    """Return the means of d^2, T s d and T^2, shape (m, 3), of linear torque T and drag s d. [(N m)^2]

    Friction at rest is no load on the motor.
    """
    direction = np.sign(speed_start + speed_end)
    moving = direction != 0.0
    change = torque_end - torque_start
    middle = 0.5 * (torque_start + torque_end)
    square = np.empty((middle.size, 3))
    square[:, 0] = np.where(moving, means.torque_squared, 0.0)
    square[:, 1] = direction * (middle * means.torque + change * means.moment)
    square[:, 2] = middle**2 + change**2 / 12.0
    return square
