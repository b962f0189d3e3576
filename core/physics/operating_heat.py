r"""What heats a motor at given speeds: one row of conductances, heat and copper law per speed.

The continuous, short-time, periodic and holding torque all start from these rows.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from core.errors import InputRangeError
from core.numeric import FloatArray, IntArray, Numeric
from core.physics.heat_network import HeatNetwork, link_conductance, link_conductance_at, node_matrices
from core.physics.heat_pieces import CopperLaw
from core.physics.input_ranges import require_finite, require_not_negative, require_positive
from core.records import dataclass


@dataclass(frozen=True, slots=True)
class OperatingHeat:
    r"""m operating conditions of a network of n nodes, one row per speed.

    Copper loss is :math:`P = (K_0 T_\mathrm{em}^2 + P_x)\,\rho(\vartheta_W)/\mu(\vartheta_R)^2`.

    Parameters
    ----------
    speed : ndarray, shape (m,)
        Shaft speeds. [rad/s]
    matrix : ndarray, shape (m, n, n)
        Node matrix of each row, `heat_network.node_matrices`. [W/K]
    inflow : ndarray, shape (m, n)
        Heat from the sinks plus every loss that depends on neither torque nor temperature. [W]
    capacity : ndarray, shape (n,)
        Heat capacities. [J/K]
    limit : ndarray, shape (n,)
        Highest admissible node temperatures, infinite where a node has none; `continuous_torque` takes them
        row by row too, shape (m, n). [degC]
    copper_per_torque_squared : ndarray, shape (m,)
        K_0 at the reference temperatures. [W/(N m)^2]
    extra_copper : ndarray, shape (m,)
        Copper loss at the reference temperatures that flows at zero torque too, as ripple. [W]
    drag_torque : ndarray, shape (m,)
        Magnitude of the drag torque, zero at standstill. [N m]
    phase_factor : ndarray, shape (m,)
        Rise of the hottest phase over the core, relative to the mean of the phases. [-]
    copper_law : CopperLaw
        How copper loss follows the temperatures. [-]
    winding, core, magnets : int
        Nodes of these names. [-]

    References
    ----------
    Own formulation of the lumped network; copper law as in IEC 60034-1 (from memory).
    """

    speed: FloatArray
    matrix: FloatArray
    inflow: FloatArray
    capacity: FloatArray
    limit: FloatArray
    copper_per_torque_squared: FloatArray
    extra_copper: FloatArray
    drag_torque: FloatArray
    phase_factor: FloatArray
    copper_law: CopperLaw
    winding: int
    core: int
    magnets: int

    def rows(self, index: IntArray) -> OperatingHeat:
        """Return the chosen rows, in that order and as often as named. Shape of `index`: (k,). [-]"""
        return replace(
            self,
            speed=self.speed[index],
            matrix=self.matrix[index],
            inflow=self.inflow[index],
            copper_per_torque_squared=self.copper_per_torque_squared[index],
            extra_copper=self.extra_copper[index],
            drag_torque=self.drag_torque[index],
            phase_factor=self.phase_factor[index],
        )


def operating_heat(
    network: HeatNetwork,
    speed: FloatArray,
    *,
    limit: FloatArray,
    copper_per_torque_squared: Numeric,
    drag_torque: Numeric = 0.0,
    fixed_heat: Numeric = 0.0,
    extra_copper: Numeric = 0.0,
    phase_factor: Numeric = 1.0,
    copper_law: CopperLaw | None = None,
    temps: FloatArray | None = None,
) -> OperatingHeat:
    r"""Return the rows of heat and conductance of a network at constant speeds.

    Parameters
    ----------
    network : HeatNetwork
        The network. [-]
    speed : ndarray, shape (m,)
        Shaft speeds, of either sign. [rad/s]
    limit : ndarray, shape (n,)
        Highest admissible node temperatures; infinite where none; the winding needs one. [degC]
    copper_per_torque_squared : float or ndarray, shape (m,)
        Copper loss per square of electromagnetic torque at the reference temperatures. [W/(N m)^2]
    drag_torque : float or ndarray, shape (m,), default 0
        Magnitude of the drag torque; ignored where the speed is zero, since friction at rest is no
        load on the motor. [N m]
    fixed_heat : float or ndarray, shape (m, n), default 0
        Heat into the nodes from iron, bearings, windage and what is mounted to the motor. [W]
    extra_copper : float or ndarray, shape (m,), default 0
        Copper loss of the current ripple at the reference temperatures. [W]
    phase_factor : float or ndarray, shape (m,), default 1
        Hottest phase over the mean of the phases, `core.physics.hold`. [-]
    copper_law : CopperLaw, optional
        Temperatures to which the constants belong; by default 25 degC and constant magnets. [-]
    temps : ndarray, shape (m, n), optional
        Node temperatures at which surface coefficients are taken, where the network has some that follow
        them; by default those that the network has. [degC]

    Returns
    -------
    heat : OperatingHeat
        The rows. [-]

    Raises
    ------
    InputRangeError
        If a speed is not finite, the copper coefficient not positive, a drag torque or extra copper
        loss negative, a phase factor below 1, the winding without a limit, or the magnets' flux
        grows with temperature.

    References
    ----------
    Nodal analysis of a conductance network, textbook method (from memory).

    Examples
    --------
    >>> from core.physics.heat_network import HeatNetwork
    >>> one = HeatNetwork(("winding",), np.array([60.0]), ("air",), np.array([25.0]), np.array([0]),
    ...     np.array([1]), np.array([0.5]), np.zeros(1), np.zeros(1), np.ones(1), 0, 0, 0, 0)
    >>> heat = operating_heat(one, np.array([0.0]), limit=np.array([125.0]),
    ...     copper_per_torque_squared=50.0, fixed_heat=2.0)
    >>> float(heat.inflow[0, 0])  # 0.5 W/K * 25 degC + 2 W
    14.5
    """
    law = copper_law or CopperLaw()
    speed = np.atleast_1d(np.asarray(speed, dtype=float))
    _require_sound(network, speed, limit, law)
    require_positive("copper loss per torque squared", copper_per_torque_squared, "W/(N m)^2")
    require_not_negative("drag torque", drag_torque, "N m")
    require_not_negative("extra copper loss", extra_copper, "W")
    require_finite("fixed heat", fixed_heat, "W")
    if not np.all(np.asarray(phase_factor) >= 1.0):
        raise InputRangeError("factor of the hottest phase", float(np.min(phase_factor)), "", ">= 1")
    conductance = (
        link_conductance(network, speed) if temps is None else link_conductance_at(network, speed, temps)
    )
    matrix, inflow = node_matrices(network, conductance)
    m = speed.size
    return OperatingHeat(
        speed=speed,
        matrix=matrix,
        inflow=inflow + fixed_heat,
        capacity=network.capacity,
        limit=np.asarray(limit, dtype=float),
        copper_per_torque_squared=_per_row(copper_per_torque_squared, m),
        extra_copper=_per_row(extra_copper, m),
        drag_torque=np.where(speed == 0.0, 0.0, _per_row(drag_torque, m)),
        phase_factor=_per_row(phase_factor, m),
        copper_law=law,
        winding=network.winding,
        core=network.core,
        magnets=network.magnets,
    )


def limited_temperatures(heat: OperatingHeat, node_temp: FloatArray, phase_excess: FloatArray) -> FloatArray:
    r"""Return the node temperatures with the hottest phase appended.

    Parameters
    ----------
    heat : OperatingHeat
        The rows. [-]
    node_temp : ndarray, shape (..., n)
        Node temperatures. [degC]
    phase_excess : ndarray, shape (...)
        Excess of the hottest phase over the mean winding, zero while turning. [K]

    Returns
    -------
    temperatures : ndarray, shape (..., n + 1)
        The nodes, then the hottest phase; `limits_of_limited` has the limits in this order. [degC]

    References
    ----------
    Own formulation; excess: `phase_excess_gain`.
    """
    hottest = node_temp[..., heat.winding] + phase_excess
    return np.concatenate([node_temp, hottest[..., None]], axis=-1)


def phase_excess_gain(heat: OperatingHeat) -> FloatArray:
    r"""Return the lasting excess of the hottest phase over the mean winding per watt of copper loss.

    Parameters
    ----------
    heat : OperatingHeat
        The rows. [-]

    Returns
    -------
    gain : ndarray, shape (m,)
        :math:`(f - 1)/G_W` with the winding's conductance to all its neighbours. [K/W]

    Notes
    -----
    Three phases reach the neighbours of the winding side by side and exchange no heat with each other:
    only that way carries a phase's own loss, beyond it the phases are one. The resistance is that of the
    mean winding; what that of the hottest phase adds is part of its factor.

    References
    ----------
    Three parallel paths, first principles; the factor itself: `core.physics.hold`.

    Examples
    --------
    Twice the mean loss over 0.5 W/K: 2 K more per watt.
    """
    gain: FloatArray = (heat.phase_factor - 1.0) / heat.matrix[:, heat.winding, heat.winding]
    return gain


def limits_of_limited(heat: OperatingHeat) -> FloatArray:
    """Return the limits in the order of `limited_temperatures`.

    Parameters
    ----------
    heat : OperatingHeat
        The rows. [-]

    Returns
    -------
    limit : ndarray, shape (n + 1,), or (m, n + 1) of limits row by row
        Limits of the nodes, then that of the winding again for its hottest phase. [degC]

    References
    ----------
    Own formulation.
    """
    return np.concatenate((heat.limit, heat.limit[..., heat.winding, None]), axis=-1)


def resting_temperatures(network: HeatNetwork) -> FloatArray:
    """Return the node temperatures of a motor long at rest without current: the cold start.

    Parameters
    ----------
    network : HeatNetwork
        The network; with one sink every node takes its temperature. [-]

    Returns
    -------
    node_temp : ndarray, shape (n,)
        Temperatures. [degC]

    References
    ----------
    Nodal analysis of a conductance network, textbook method (from memory).
    """
    matrix, inflow = node_matrices(network, link_conductance(network, np.zeros(1)))
    rest: FloatArray = np.linalg.solve(matrix[0], inflow[0])
    return rest


def _require_sound(network: HeatNetwork, speed: FloatArray, limit: FloatArray, law: CopperLaw) -> None:
    require_finite("speed", speed, "rad/s")
    if np.shape(limit) != (len(network.nodes),):
        raise InputRangeError("number of temperature limits", float(np.size(limit)), "", "one per node")
    if not np.isfinite(limit[network.winding]):
        raise InputRangeError(
            "temperature limit of the winding", float(limit[network.winding]), "degC", "finite"
        )
    if np.isnan(limit).any():
        raise InputRangeError(
            "temperature limit of a node", float("nan"), "degC", "a number, or infinite for none"
        )
    if not law.magnet_temp_coefficient <= 0.0:
        raise InputRangeError(
            "temperature coefficient of the magnets", law.magnet_temp_coefficient, "1/K", "<= 0"
        )


def _per_row(value: Numeric, m: int) -> FloatArray:
    return np.broadcast_to(np.asarray(value, dtype=float), (m,))
