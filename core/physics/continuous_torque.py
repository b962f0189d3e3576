r"""Continuous torque: what a motor carries for ever at each speed, and how hot it is in between.

At constant speed every node temperature is affine in the copper loss P:
:math:`\vartheta = \vartheta_0 + H P`. The first limit gives the admissible loss, the copper law turns
it into torque, the drag torque comes off.
"""

from __future__ import annotations

import numpy as np

from core.errors import InputRangeError
from core.numeric import BoolArray, FloatArray, IntArray, read_only
from core.physics.operating_heat import (
    OperatingHeat,
    limited_temperatures,
    limits_of_limited,
    phase_excess_gain,
)
from core.records import dataclass

WEAKENING_MAGNETS = -1
"""Value of `ContinuousTorque.limiting` where more loss no longer gives more torque. [-]"""

# Newton on the copper loss runs from the left on a concave branch: it cannot overshoot, and only
# within 1e-8 of the run-away torque does it need more than ten steps.
_NEWTON_STEPS = 60
_NEWTON_TOLERANCE = 1e-12


@dataclass(frozen=True, slots=True)
class ContinuousTorque:
    """Continuous torque at m speeds.

    Parameters
    ----------
    speed : ndarray, shape (m,)
        Shaft speeds. [rad/s]
    motoring : ndarray, shape (m,)
        Shaft torque while driving, not below zero. [N m]
    braking : ndarray, shape (m,)
        Magnitude of the shaft torque while braking: the drag helps. [N m]
    em_torque : ndarray, shape (m,)
        Electromagnetic torque behind both. [N m]
    copper_loss : ndarray, shape (m,)
        Copper loss at that torque, ripple included. [W]
    node_temp : ndarray, shape (m, n)
        Node temperatures at that torque. [degC]
    limiting : ndarray of int, shape (m,)
        Node that reaches its limit first; n for the hottest phase of a standing motor;
        `WEAKENING_MAGNETS` where warmer magnets take more torque than more loss gives. [-]
    drag_alone : ndarray of bool, shape (m,)
        True where the drag takes the whole electromagnetic torque. [-]
    too_hot_idle : ndarray of bool, shape (m,)
        True where a limit is passed without any torque; all torques are then zero. [-]

    References
    ----------
    Duty type S1: IEC 60034-1 (from memory).
    """

    speed: FloatArray
    motoring: FloatArray
    braking: FloatArray
    em_torque: FloatArray
    copper_loss: FloatArray
    node_temp: FloatArray
    limiting: IntArray
    drag_alone: BoolArray
    too_hot_idle: BoolArray


@dataclass(frozen=True, slots=True)
class SteadyState:
    """Steady node temperatures at given electromagnetic torques.

    Parameters
    ----------
    node_temp : ndarray, shape (..., m, n)
        Node temperatures; infinite where the temperatures run away. [degC]
    hottest_phase : ndarray, shape (..., m)
        Temperature of the hottest phase. [degC]
    copper_loss : ndarray, shape (..., m)
        Copper loss; infinite where the temperatures run away. [W]
    runaway : ndarray of bool, shape (..., m)
        True where no steady state exists. [-]

    References
    ----------
    Own formulation.
    """

    node_temp: FloatArray
    hottest_phase: FloatArray
    copper_loss: FloatArray
    runaway: BoolArray


def continuous_torque(heat: OperatingHeat) -> ContinuousTorque:
    r"""Return the continuous torque at every speed, driving and braking.

    Parameters
    ----------
    heat : OperatingHeat
        One row per speed. [-]

    Returns
    -------
    torque : ContinuousTorque
        Torques, temperatures and the limiting node per speed. [-]

    Notes
    -----
    With :math:`\vartheta = \vartheta_0 + H P` the admissible loss is
    :math:`P^* = \min_i (\vartheta_{\mathrm{lim},i} - \vartheta_{0,i})/H_i`, and

    .. math:: T_\mathrm{em}^2 = \max_{0 \le P \le P^*}
        \frac{1}{K_0}\left(\frac{P\,\mu(\vartheta_R)^2}{\rho(\vartheta_W)} - P_x\right)

    With :math:`\mu = a + bP`, :math:`\rho = c + dP` the bracket is stationary where
    :math:`2bd P^2 + 3bc P + ac = 0`, so that the maximum is found without iteration. Radiation and
    natural convection are taken as linear, at the conductances of the row.

    References
    ----------
    Duty type S1: IEC 60034-1 (from memory); the maximum by elementary calculus.

    Examples
    --------
    Limit 125 degC, ambient 25 degC, 2 K/W: 50 W, at rho = 360/260 and 50 W/(N m)^2 of cold copper:

    >>> from core.physics.heat_network import HeatNetwork
    >>> from core.physics.operating_heat import operating_heat
    >>> one = HeatNetwork(("winding",), np.array([60.0]), ("air",), np.array([25.0]), np.array([0]),
    ...     np.array([1]), np.array([0.5]), np.zeros(1), np.zeros(1), np.ones(1), 0, 0, 0, 0)
    >>> heat = operating_heat(one, np.array([100.0]), limit=np.array([125.0]),
    ...     copper_per_torque_squared=50.0, drag_torque=0.01)
    >>> round(float(continuous_torque(heat).motoring[0]), 4)  # sqrt(50/(50*360/260)) - 0.01
    0.8398
    """
    base, gain = steady_response(heat)
    allowed, limiting = _admissible_loss(heat, base, gain)
    a, b, c, d = _feedback(heat, base, gain)
    peak = loss_of_most_torque(a, b, c, d)
    limiting = np.where(peak < allowed, WEAKENING_MAGNETS, limiting)
    loss = np.maximum(np.minimum(allowed, peak), 0.0)
    at_reference = loss * np.maximum(a + b * loss, 0.0) ** 2 / (c + d * loss)
    square = (at_reference - heat.extra_copper) / heat.copper_per_torque_squared
    idle = (allowed < 0.0) | (square < 0.0)
    em = np.sqrt(np.where(idle, 0.0, square))
    if idle.any():
        loss = np.where(idle, _steady_loss(heat.extra_copper, a, b, c, d)[0], loss)
    drag = heat.drag_torque
    result = ContinuousTorque(
        speed=heat.speed,
        motoring=np.maximum(em - drag, 0.0),
        braking=np.where(idle, 0.0, em + drag),
        em_torque=em,
        copper_loss=loss,
        node_temp=_affine(base, gain, loss),
        limiting=limiting,
        drag_alone=~idle & (em < drag),
        too_hot_idle=idle,
    )
    read_only(result.motoring, result.braking, result.em_torque, result.copper_loss, result.node_temp)
    return result


def torque_reserve(heat: OperatingHeat, shaft_torque: FloatArray) -> FloatArray:
    r"""Return by how much a lasting shaft torque may be multiplied until the first limit is reached.

    Parameters
    ----------
    heat : OperatingHeat
        One row per speed. [-]
    shaft_torque : ndarray, shape (m,)
        Torque the load takes; torque times speed below zero is braking. [N m]

    Returns
    -------
    reserve : ndarray, shape (m,)
        Continuous torque over magnitude of the torque; infinite at zero torque. [-]

    Notes
    -----
    The drag is not multiplied. The same number as the torque reserve of a cycle that consists of this
    one segment.

    References
    ----------
    Own formulation.

    Examples
    --------
    See `continuous_torque`: its motoring torque has the reserve 1, half of it the reserve 2.
    """
    limit = continuous_torque(heat)
    torque = np.asarray(shaft_torque, dtype=float)
    admissible = np.where(torque * heat.speed < 0.0, limit.braking, limit.motoring)
    size = np.abs(torque)
    # an idle motor that is too hot has no reserve at all, whatever the torque
    idle = np.where(limit.too_hot_idle, 0.0, np.inf)
    return np.where(size > 0.0, admissible / np.where(size > 0.0, size, 1.0), idle)


def steady_temperatures(heat: OperatingHeat, em_torque: FloatArray) -> SteadyState:
    r"""Return the steady temperatures at given electromagnetic torques, and where there are none.

    Parameters
    ----------
    heat : OperatingHeat
        One row per speed. [-]
    em_torque : ndarray, shape (m,) or (k, m)
        Electromagnetic torques; the sign does not matter. [N m]

    Returns
    -------
    state : SteadyState
        Temperatures, loss, and where they run away. [-]

    Raises
    ------
    InputRangeError
        If the last axis of `em_torque` is not one torque per row.

    Notes
    -----
    Solves :math:`P\,\mu^2 = A\,\rho`, :math:`A = K_0 T^2 + P_x`, for its smallest root by Newton from
    P = 0. There is none where A passes the maximum of :math:`P\mu^2/\rho`; with constant magnets that
    is :math:`A\,d \ge a^2`, the same as a smallest eigenvalue of
    :math:`C^{-1/2}(G - q_T)C^{-1/2}` at or below zero (matrix determinant lemma).

    References
    ----------
    Own formulation; Newton on a concave branch, textbook method (from memory).

    Examples
    --------
    >>> from core.physics.heat_network import HeatNetwork
    >>> from core.physics.operating_heat import operating_heat
    >>> one = HeatNetwork(("winding",), np.array([60.0]), ("air",), np.array([25.0]), np.array([0]),
    ...     np.array([1]), np.array([0.5]), np.zeros(1), np.zeros(1), np.ones(1), 0, 0, 0, 0)
    >>> heat = operating_heat(one, np.array([0.0]), limit=np.array([125.0]),
    ...     copper_per_torque_squared=65.0)
    >>> state = steady_temperatures(heat, np.array([[1.0], [2.0]]))  # 65 W, then 260 W when cold
    >>> float(round(state.copper_loss[0, 0], 9))  # 65/(1 - 65*2/260)
    130.0
    >>> bool(state.runaway[1, 0])  # 260*2/260 = 2 > 1
    True
    """
    torque = np.asarray(em_torque, dtype=float)
    if torque.ndim == 0 or torque.shape[-1] != heat.speed.size:
        raise InputRangeError(
            "length of em_torque", float(torque.size), "", f"{heat.speed.size}, one per row"
        )
    base, gain = steady_response(heat)
    at_reference = heat.copper_per_torque_squared * torque**2 + heat.extra_copper
    loss, runaway = _steady_loss(at_reference, *_feedback(heat, base, gain))
    finite = _affine(base, gain, np.where(runaway, 0.0, loss))
    phase = finite[..., heat.winding] + phase_excess_gain(heat) * np.where(runaway, 0.0, loss)
    return SteadyState(
        node_temp=np.where(runaway[..., None], np.inf, finite),
        hottest_phase=np.where(runaway, np.inf, phase),
        copper_loss=loss,
        runaway=runaway,
    )


def steady_response(heat: OperatingHeat) -> tuple[FloatArray, FloatArray]:
    """Return node temperatures without copper loss, and their rise per watt of it.

    Parameters
    ----------
    heat : OperatingHeat
        One row per speed. [-]

    Returns
    -------
    base : ndarray, shape (m, n)
        Node temperatures without copper loss. [degC]
    gain : ndarray, shape (m, n)
        Rise per watt of copper loss. [K/W]

    References
    ----------
    Nodal analysis of a conductance network, textbook method (from memory).
    """
    right = np.zeros((*heat.inflow.shape, 2))
    right[..., 0] = heat.inflow
    right[:, heat.winding, 1] = 1.0
    solved = np.asarray(np.linalg.solve(heat.matrix, right), dtype=np.float64)
    return solved[..., 0], solved[..., 1]


def _admissible_loss(heat: OperatingHeat, base: FloatArray, gain: FloatArray) -> tuple[FloatArray, IntArray]:
    excess = phase_excess_gain(heat)
    room = limits_of_limited(heat) - limited_temperatures(heat, base, np.zeros_like(excess))
    per_watt = limited_temperatures(heat, gain, excess)
    heated = per_watt > 0.0
    # a node that the copper does not warm limits nothing, unless it is too hot already
    allowed = np.where(heated, room / np.where(heated, per_watt, 1.0), np.where(room < 0.0, -np.inf, np.inf))
    limiting = np.argmin(allowed, axis=-1)
    return np.take_along_axis(allowed, limiting[:, None], axis=-1)[:, 0], limiting


def _feedback(
    heat: OperatingHeat, base: FloatArray, gain: FloatArray
) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    """Return a, b, c, d of mu = a + b P (magnets) and rho = c + d P (copper)."""
    law = heat.copper_law
    span = law.copper_constant + law.winding_ref_temp
    a = 1.0 + law.magnet_temp_coefficient * (base[:, heat.magnets] - law.magnet_ref_temp)
    b = law.magnet_temp_coefficient * gain[:, heat.magnets]
    return a, b, (law.copper_constant + base[:, heat.winding]) / span, gain[:, heat.winding] / span


def loss_of_most_torque(a: FloatArray, b: FloatArray, c: FloatArray, d: FloatArray) -> FloatArray:
    """Return the copper loss beyond which warmer magnets take more torque than more loss gives.

    Parameters
    ----------
    a, b, c, d : ndarray, shape (...)
        Of the flux a + b P and the resistance c + d P over the copper loss P. [-, 1/W, -, 1/W]

    Returns
    -------
    loss : ndarray, shape (...)
        Infinite where the magnets keep their flux. [W]

    References
    ----------
    Elementary calculus, see `continuous_torque`.

    Examples
    --------
    Flux that falls to nothing at 30 W with constant resistance gives most at a third of it:

    >>> loss_of_most_torque(*(np.array(x) for x in (1.0, -1.0 / 30.0, 1.0, 0.0))).round(9).tolist()
    10.0
    """
    # positive root of 2bd P^2 + 3bc P + ac = 0 with b < 0, in the form that keeps its digits as d -> 0
    s = -b
    below = 3.0 * s * c + np.sqrt(9.0 * (s * c) ** 2 + 8.0 * s * d * np.maximum(a, 0.0) * c)
    weakens = below > 0.0
    return np.where(weakens, 2.0 * np.maximum(a, 0.0) * c / np.where(weakens, below, 1.0), np.inf)


def _steady_loss(
    at_reference: FloatArray, a: FloatArray, b: FloatArray, c: FloatArray, d: FloatArray
) -> tuple[FloatArray, BoolArray]:
    peak = loss_of_most_torque(a, b, c, d)
    turning = np.isfinite(peak)
    p = np.where(turning, peak, 0.0)
    highest = np.where(turning, p * (a + b * p) ** 2 / (c + d * p), np.maximum(a, 0.0) ** 2 / d)
    runaway = (at_reference >= highest) & (at_reference > 0.0)
    demand = np.where(runaway, 0.0, at_reference)
    loss = np.zeros(np.broadcast_shapes(demand.shape, a.shape))
    for _ in range(_NEWTON_STEPS):
        mu = a + b * loss
        slope = mu * (mu + 2.0 * b * loss) - demand * d
        steep = (demand > 0.0) & (slope > 0.0)
        missing = demand * (c + d * loss) - loss * mu**2
        step = np.where(steep, missing / np.where(steep, slope, 1.0), 0.0)
        loss = loss + step
        if np.all(np.abs(step) <= _NEWTON_TOLERANCE * loss):
            break
    return np.where(runaway, np.inf, loss), runaway


def _affine(base: FloatArray, gain: FloatArray, loss: FloatArray) -> FloatArray:
    temperatures: FloatArray = base + gain * loss[..., None]
    return temperatures
