"""What happens when something fails: run-away, jam, loss of power, lost or frozen feedback, in numbers."""

from __future__ import annotations

import math

import numpy as np

from core.errors import InputRangeError
from core.numeric import FloatArray, Numeric
from core.physics.body_inertia import kinetic_energy
from core.physics.drag import DragLaw, drag_torque
from core.physics.hold import standing_heat
from core.physics.input_ranges import require_finite, require_not_negative, require_positive
from core.physics.losses import NO_SERIES_PATH, SeriesPath
from core.physics.machine_constants import Commutation, MachineConstants, no_load_speed
from core.physics.materials import magnet_flux_factor
from core.physics.operating_heat import OperatingHeat
from core.physics.short_time import time_to_limit
from core.physics.voltage import voltage_limit_torque
from core.records import dataclass

_HALVINGS = 60
_NODES = np.polynomial.legendre.leggauss(64)


def run_away_speed(
    constants: MachineConstants,
    commutation: Commutation,
    voltage: float,
    drag: DragLaw,
    winding_temp: float,
    magnet_temp: float,
    path: SeriesPath = NO_SERIES_PATH,
) -> float:
    """Return the speed at which an unloaded machine ends when nothing limits it but voltage and drag.

    Parameters
    ----------
    constants : MachineConstants
        The machine. [SI]
    commutation : {"six-step", "sinusoidal"}
        How the drive feeds the machine. [-]
    voltage : float
        Result of `available_voltage` at the highest link voltage. [V]
    drag : DragLaw
        Drag of the machine. [SI]
    winding_temp : float
        Mean winding temperature. [degC]
    magnet_temp : float
        Magnet temperature; hot magnets have less EMF and let the machine run faster. [degC]
    path : SeriesPath, default nothing in series
        Leads and switches between link and winding. [SI]

    Returns
    -------
    speed : float
        Where `voltage_limit_torque` equals the drag; at most `no_load_speed` over the flux factor. A
        drive that weakens the field goes beyond: `largest_weakened_speed`. A load that overhauls goes
        beyond both. [rad/s]

    Raises
    ------
    InputRangeError
        If the voltage is not positive.

    References
    ----------
    .. [1] Balance of torque, first principles.

    Examples
    --------
    24 V, 0.8 ohm and 0.003 N m of drag, which take 0.1 A and 0.08 V:

    >>> m = MachineConstants(0.030, 0.8, 1e-12, 8, emf_shape="trapezoidal")
    >>> round(run_away_speed(m, "six-step", 24.0, DragLaw(0.003), 25.0, 25.0), 3)  # 23.92 / 0.030
    797.333
    """
    flux = magnet_flux_factor(magnet_temp, constants.magnet_temp_coefficient, constants.magnet_ref_temp)
    low, high = 0.0, float(no_load_speed(constants, commutation, voltage) / flux)
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        limit = voltage_limit_torque(constants, commutation, middle, voltage, winding_temp, magnet_temp, path)
        low, high = (middle, high) if float(limit) >= float(drag_torque(drag, middle)) else (low, middle)
    return low


@dataclass(frozen=True, slots=True)
class RunAway:
    """The way from rest to a run-away speed under full torque.

    Attributes
    ----------
    time : float
        Until the speed is reached; infinite where the torque does not move the load. [s]
    turns : float
        Turns of the shaft until then. [revolutions]
    energy : float
        Kinetic energy then. [J]
    """

    time: float
    turns: float
    energy: float


def run_away(speed: float, torque: float, inertia: float) -> RunAway:
    r"""Return how soon a drive that has lost its speed signal reaches a speed.

    Parameters
    ----------
    speed : float
        Speed to be reached, not negative. [rad/s]
    torque : float
        Torque that accelerates: the drive's peak torque, and what pulls at the load with it. [N m]
    inertia : float
        Rotor and load together. [kg m^2]

    Returns
    -------
    run : RunAway
        Time, turns and energy. [s, revolutions, J]

    Raises
    ------
    InputRangeError
        If a value is negative or the inertia not positive.

    Notes
    -----
    :math:`t = J\omega/T` at constant torque: the soonest, since near the no-load speed the voltage
    leaves less.

    References
    ----------
    .. [1] First principles.

    Examples
    --------
    >>> run = run_away(500.0, 0.5, 1e-4)
    >>> round(run.time, 6), round(run.energy, 6)
    (0.1, 12.5)
    """
    require_not_negative("speed", speed, "rad/s")
    require_not_negative("torque", torque, "N m")
    require_positive("inertia", inertia, "kg m^2")
    momentum = inertia * speed
    time = momentum / torque if torque > 0.0 else math.inf if momentum > 0.0 else 0.0
    turns = 0.5 * speed * time / (2.0 * math.pi) if momentum > 0.0 else 0.0
    return RunAway(time, turns, kinetic_energy(inertia, speed))


def locked_rotor_time(
    heat: OperatingHeat,
    commutation: Commutation,
    em_torque: FloatArray,
    start_temp: FloatArray,
    trapezoidal_emf: bool = False,
) -> FloatArray:
    """Return how long a jammed motor may stand under a torque before the first node is too hot.

    Parameters
    ----------
    heat : OperatingHeat
        Rows at speed zero. [-]
    commutation : {"six-step", "sinusoidal"}
        How the drive feeds the machine. [-]
    em_torque : ndarray, shape (m,) or (k, m)
        Torque of the current that the drive then holds: of its peak current, or of the stall current
        where that is less. [N m]
    start_temp : ndarray, shape (n,) or (m, n)
        Node temperatures when it jams: cold, or those of the repeating cycle. [degC]
    trapezoidal_emf : bool, default False
        Shape of the EMF; counts for six-step. [-]

    Returns
    -------
    time : ndarray, shape of `em_torque`
        Time to the first limit at the worst angle of the rotor; infinite where none is reached. The
        protection must act sooner. [s]

    References
    ----------
    .. [1] As in `time_to_limit` and `standing_heat`.

    Examples
    --------
    See `tests/core/test_fault_facts.py`: the adiabatic rise of a winding with twice the mean loss.
    """
    return time_to_limit(standing_heat(heat, commutation, trapezoidal_emf), em_torque, start_temp)


def run_down(
    drag: DragLaw, load_friction: float, inertia: float, start_speed: float, end_speed: float = 0.0
) -> tuple[float, float]:
    r"""Return time and angle of the run-down without power and without a brake.

    Parameters
    ----------
    drag : DragLaw
        Drag of the machine. [SI]
    load_friction : float
        Constant friction of the load at the motor shaft; a level axis, or gravity balanced. [N m]
    inertia : float
        Rotor and load together. [kg m^2]
    start_speed : float
        Speed when power is lost. [rad/s]
    end_speed : float, default 0
        Speed that counts as stopped. [rad/s]

    Returns
    -------
    time : float
        From start to end speed; infinite to standstill without any constant friction. [s]
    angle : float
        Angle of the shaft meanwhile; infinite likewise. [rad]

    Raises
    ------
    InputRangeError
        If friction or a speed is negative, the inertia not positive, or the end speed above the start.

    Notes
    -----
    .. math:: t = \int \frac{J\,d\omega}{T_d(\omega) + T_f}, \qquad
              \varphi = \int \frac{J\,\omega\,d\omega}{T_d(\omega) + T_f}

    by 64 Gauss points over the cube root of the speed, which holds to 1e-5 while the friction is at
    least a millionth of the drag at the start. Without any, the shaft creeps: the angle is given as
    infinite too, although a purely viscous drag would end it. Cogging stops the shaft a little sooner.

    References
    ----------
    .. [1] Equation of motion, first principles.

    Examples
    --------
    >>> time, angle = run_down(DragLaw(0.01), 0.04, 1e-3, 100.0)
    >>> round(time, 9), round(angle, 9)  # 50 rad/s2: 2 s, 100 rad
    (2.0, 100.0)
    """
    require_not_negative("load friction", load_friction, "N m")
    require_positive("inertia", inertia, "kg m^2")
    require_not_negative("end speed", end_speed, "rad/s")
    require_finite("start speed", start_speed, "rad/s")
    if not end_speed <= start_speed:
        raise InputRangeError("start speed", start_speed, "rad/s", f"at least {end_speed:g}")
    if start_speed == end_speed:
        return 0.0, 0.0
    if float(drag_torque(drag, end_speed)) + load_friction <= 0.0:
        return math.inf, math.inf
    nodes, weights = _NODES
    low, high = math.cbrt(end_speed), math.cbrt(start_speed)
    u = low + 0.5 * (high - low) * (nodes + 1.0)
    w, step = u**3, 0.5 * (high - low) * weights * 3.0 * u * u
    slowness = inertia / (drag_torque(drag, w) + load_friction) * step
    return float(np.sum(slowness)), float(np.dot(slowness, w))


def misaligned_torque(em_torque: Numeric, electrical_error: Numeric) -> Numeric:
    r"""Return the torque that is left when the drive has a wrong idea of the rotor's angle.

    Parameters
    ----------
    em_torque : float or ndarray, any shape
        Torque that the same current would make at the right angle. [N m]
    electrical_error : float or ndarray, shape that broadcasts
        Error of the angle, pole pairs times the mechanical one. [rad]

    Returns
    -------
    torque : float or ndarray, broadcast shape
        Torque; beyond 90 electrical degrees it drives the wrong way, and a control loop that then asks
        for more runs away. [N m]

    Notes
    -----
    :math:`T \cos\varepsilon`, sinusoidal EMF and surface magnets. With p pole pairs the sign turns at
    90/p mechanical degrees: a Hall sensor swapped or an encoder slipped by a few degrees.

    References
    ----------
    .. [1] First principles.

    Examples
    --------
    >>> round(float(misaligned_torque(0.2, math.radians(60.0))), 9)
    0.1
    """
    torque: Numeric = em_torque * np.cos(electrical_error)
    return torque


def frozen_angle_swing(em_torque: float, pole_pairs: int, inertia: float) -> tuple[float, float]:
    r"""Return how far and how fast a rotor can swing when its angle signal freezes under current.

    Parameters
    ----------
    em_torque : float
        Torque that the current makes at the right angle, an amount. [N m]
    pole_pairs : int
        Pole pairs. [-]
    inertia : float
        Rotor and what is rigidly coupled to it. [kg m^2]

    Returns
    -------
    angle : float
        Most that it turns from rest, without damping and load. [rad]
    speed : float
        Highest speed on the way. [rad/s]

    Raises
    ------
    InputRangeError
        If the torque is negative or the inertia or the pole pairs not positive.

    Notes
    -----
    The field stands still; the torque is that of a pendulum, :math:`T \sin(p\vartheta)`. From its upper
    balance the rotor falls through the lower one to the upper one on the other side: one electrical
    turn, :math:`2\pi/p`, with :math:`\tfrac12 J \omega^2 = 2 T/p` at the bottom. It comes to rest at
    the lower balance with the full current in the winding: from there on it is a jam, see
    `locked_rotor_time`. A load above T pulls it through from pole to pole.

    References
    ----------
    .. [1] First principles (energy of a pendulum).

    Examples
    --------
    >>> angle, speed = frozen_angle_swing(0.2, 8, 1e-5)
    >>> round(math.degrees(angle), 6), round(speed, 6)  # sqrt(4 * 0.2 / (8 * 1e-5))
    (45.0, 100.0)
    """
    require_not_negative("torque", em_torque, "N m")
    require_positive("inertia", inertia, "kg m^2")
    require_positive("pole pairs", float(pole_pairs), "")
    return 2.0 * math.pi / pole_pairs, math.sqrt(4.0 * em_torque / (pole_pairs * inertia))
