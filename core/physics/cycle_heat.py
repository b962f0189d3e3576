r"""What each piece of the cycle puts into the heat network: copper, core and air, with its conductances.

Ramps are cut into equal pieces, because loss and cooling change along them; parts at constant speed
stay whole, because there the solution is exact.
"""

from __future__ import annotations

import numpy as np

from core.errors import InputRangeError
from core.numeric import FloatArray, Numeric
from core.physics.drag import DragLaw, mean_drag_over_ramp
from core.physics.heat_network import HeatNetwork, mean_link_conductance, node_matrices
from core.physics.heat_pieces import HeatPieces
from core.physics.shaft_duty import ShaftDuty


def cycle_pieces(
    network: HeatNetwork,
    duty: ShaftDuty,
    drag: DragLaw,
    copper_per_torque_squared: float,
    pieces_per_ramp: int = 1,
    phase_factor: Numeric = 1.0,
    copper_factor: Numeric = 1.0,
) -> HeatPieces:
    r"""Return the pieces of a cycle with the mean of everything that heats.

    Parameters
    ----------
    network : HeatNetwork
        The network. [-]
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
    pieces : HeatPieces
        Pieces in the order of time. [SI]

    Raises
    ------
    InputRangeError
        If `pieces_per_ramp` is below 1.

    Notes
    -----
    With :math:`T_\mathrm{em} = T + s\,d`, s the sign of the speed and d the drag torque,

    .. math:: \overline{T_\mathrm{em}^2} = T^2 + 2 T s \bar d + \overline{d^2}

    kept apart as a polynomial of a factor on T. Iron and bearing loss heat the core, windage the
    node that the network names, or nothing where it goes straight to the ambient air.

    References
    ----------
    Own formulation; the means over a ramp are exact (`core.physics.drag.mean_drag_over_ramp`).
    """
    if pieces_per_ramp < 1:
        raise InputRangeError("pieces_per_ramp", pieces_per_ramp, "", ">= 1")
    count = np.where(duty.speed_start != duty.speed_end, pieces_per_ramp, 1)
    part = np.repeat(np.arange(count.size), count)
    position = np.arange(part.size) - np.repeat(np.cumsum(count) - count, count)
    share = 1.0 / count[part]
    slope = (duty.speed_end - duty.speed_start)[part] * share
    start = duty.speed_start[part] + position * slope
    end = np.where(position + 1 == count[part], duty.speed_end[part], start + slope)

    means = mean_drag_over_ramp(drag, start, end)
    torque, direction = duty.torque[part], np.sign(start + end)
    matrix, inflow = node_matrices(network, mean_link_conductance(network, start, end))
    moving = direction != 0.0  # friction at rest is no load on the motor
    copper = np.empty((part.size, 3))
    copper[:, 0] = np.where(moving, means.torque_squared, 0.0)
    copper[:, 1] = torque * direction * means.torque
    copper[:, 2] = torque**2
    copper *= copper_per_torque_squared * np.broadcast_to(copper_factor, count.shape)[part, None]
    inflow[:, network.core] += means.core_power
    if network.air >= 0:
        inflow[:, network.air] += means.air_power
    return HeatPieces(
        duration=duty.duration[part] * share,
        segment=duty.segment[part],
        conductance=matrix,
        inflow=inflow,
        copper=copper,
        stall_phase_factor=np.broadcast_to(phase_factor, count.shape)[part],
    )


def mean_square_torque(duty: ShaftDuty, drag: DragLaw) -> tuple[FloatArray, FloatArray]:
    r"""Return the mean square of the electromagnetic torque and the mean drag torque of each part.

    Parameters
    ----------
    duty : ShaftDuty
        The duty at the shaft. [SI]
    drag : DragLaw
        Drag of the motor. [SI]

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
    means = mean_drag_over_ramp(drag, duty.speed_start, duty.speed_end)
    direction = duty.direction
    moving = direction != 0.0
    drag_torque = np.where(moving, means.torque, 0.0)
    drag_square = np.where(moving, means.torque_squared, 0.0)
    return duty.torque**2 + 2.0 * duty.torque * direction * drag_torque + drag_square, drag_torque
