r"""Braking by shorting the three phases: current, torque and run-down without any supply.

In phase values, with the flux linkage :math:`\psi = k/p` of the phase EMF k w and the reactance
:math:`X = p\,\omega L` of a phase:

.. math:: I = \frac{p\,\omega\,\psi}{\sqrt{R^2 + X^2}}, \qquad
          T = \frac{3}{2}\,\frac{k^2 \omega R}{R^2 + X^2}

The torque is largest at X = R and falls beyond, while the current climbs to psi/L and stays there: at
high speed a shorted machine hardly brakes, and all its current lies against the magnets.
"""

from __future__ import annotations

import numpy as np

from core.errors import InputRangeError
from core.numeric import FloatArray, Numeric
from core.physics.input_ranges import require_positive
from core.physics.losses import NO_SERIES_PATH, SeriesPath, winding_resistance
from core.physics.machine_constants import MachineConstants, phase_emf_fundamental
from core.physics.materials import magnet_flux_factor
from core.records import dataclass

_PEAK_STEPS = 40  # the fixed point of the first swing gains a digit or more per step


@dataclass(frozen=True, slots=True)
class ShortCircuit:
    """Steady state of the shorted machine.

    Attributes
    ----------
    current : ndarray, broadcast shape of the inputs
        Peak phase current. [A]
    torque : ndarray, same shape
        Braking torque in the air gap, a magnitude. [N m]
    first_peak : ndarray, same shape
        Highest current of the first swing after a sudden short of the machine running without
        current, as length of the current vector: what the demagnetisation limit is compared with. At
        most twice the steady current. [A]
    """

    current: FloatArray
    torque: FloatArray
    first_peak: FloatArray


def short_circuit(
    constants: MachineConstants,
    speed: Numeric,
    winding_temp: Numeric,
    magnet_temp: Numeric,
    path: SeriesPath = NO_SERIES_PATH,
) -> ShortCircuit:
    r"""Return current and braking torque of the machine with its three phases shorted.

    Parameters
    ----------
    constants : MachineConstants
        The machine. [SI]
    speed : float or ndarray, any shape
        Shaft speed; its sign does not matter. [rad/s]
    winding_temp : float or ndarray, shape that broadcasts
        Mean winding temperature; a cold winding carries most current. [degC]
    magnet_temp : float or ndarray, shape that broadcasts
        Magnet temperature. [degC]
    path : SeriesPath, default nothing in series
        Leads and switches in the short; a device drop is left out. [SI]

    Returns
    -------
    short : ShortCircuit
        Currents and torque. [A, N m]

    Notes
    -----
    Suddenly shorted, the current vector grows as :math:`I\,|1 - e^{-(R/X + j)\theta}|` over the
    electrical angle; its highest point lies just before half a turn and is
    :math:`I (1 + e^{-\pi R/X})` or a little more. A current that flows before the short adds to it. A
    trapezoidal EMF counts with its fundamental.

    References
    ----------
    .. [1] Voltage equations of a synchronous machine in rotor axes: P. C. Krause, O. Wasynczuk,
       S. D. Sudhoff, Analysis of Electric Machinery and Drive Systems (from memory).

    Examples
    --------
    0.030 V s/rad and 1 ohm per phase, 8 pole pairs, 0.25 mH: at 500 rad/s E is 15 V and X is 1 ohm.

    >>> m = MachineConstants(0.030 * 3**0.5, 2.0, 0.5e-3, 8)
    >>> short = short_circuit(m, 500.0, 25.0, 25.0)
    >>> round(float(short.current), 4), round(float(short.torque), 4)  # 15/sqrt2; 3/4 * 15^2/500
    (10.6066, 0.3375)
    """
    k, r, length = _phase(constants, winding_temp, magnet_temp, path)
    w = np.abs(np.asarray(speed, dtype=float))
    x = constants.pole_pairs * w * length
    current = k * w / np.hypot(r, x)
    torque = 1.5 * k * k * w * r / (r * r + x * x)
    return ShortCircuit(*np.broadcast_arrays(current, torque, current * _first_swing(r, x)))


def strongest_short_circuit(
    constants: MachineConstants,
    winding_temp: Numeric,
    magnet_temp: Numeric,
    path: SeriesPath = NO_SERIES_PATH,
) -> tuple[Numeric, Numeric]:
    r"""Return the speed at which the shorted machine brakes most, and that torque.

    Parameters
    ----------
    constants : MachineConstants
        The machine. [SI]
    winding_temp : float or ndarray, any shape
        Mean winding temperature. [degC]
    magnet_temp : float or ndarray, shape that broadcasts
        Magnet temperature. [degC]
    path : SeriesPath, default nothing in series
        Leads and switches in the short. [SI]

    Returns
    -------
    speed : float or ndarray, broadcast shape
        :math:`R/(p L)`. [rad/s]
    torque : float or ndarray, broadcast shape
        :math:`\tfrac34 k^2/(p L)`, whatever the resistance. [N m]

    References
    ----------
    .. [1] As in `short_circuit`.

    Examples
    --------
    >>> m = MachineConstants(0.030 * 3**0.5, 2.0, 0.5e-3, 8)
    >>> [round(float(value), 6) for value in strongest_short_circuit(m, 25.0, 25.0)]
    [500.0, 0.3375]
    """
    k, r, length = _phase(constants, winding_temp, magnet_temp, path)
    p = constants.pole_pairs
    return r / (p * length), 0.75 * k * k / (p * length)


def short_circuit_run_down(
    constants: MachineConstants,
    inertia: float,
    start_speed: float,
    end_speed: float,
    winding_temp: float,
    magnet_temp: float,
    path: SeriesPath = NO_SERIES_PATH,
) -> tuple[float, float]:
    r"""Return time and angle in which the shorted machine slows its inertia down.

    Parameters
    ----------
    constants : MachineConstants
        The machine. [SI]
    inertia : float
        Rotor and load together. [kg m^2]
    start_speed : float
        Speed at the short. [rad/s]
    end_speed : float
        Speed that counts as stopped; the torque fades with the speed, so it is never quite zero. [rad/s]
    winding_temp : float
        Mean winding temperature; a cold winding brakes less at high speed. [degC]
    magnet_temp : float
        Magnet temperature. [degC]
    path : SeriesPath, default nothing in series
        Leads and switches in the short. [SI]

    Returns
    -------
    time : float
        From start to end speed. [s]
    angle : float
        Angle of the shaft meanwhile. [rad]

    Raises
    ------
    InputRangeError
        If the inertia or a speed is not positive, or the end speed above the start.

    Notes
    -----
    .. math:: t = \frac{2J}{3 k^2 R}\left[R^2 \ln\frac{\omega_0}{\omega_1}
              + \frac{p^2 L^2}{2}(\omega_0^2 - \omega_1^2)\right], \qquad
              \varphi = \frac{2J}{3 k^2 R}\left[R^2 (\omega_0 - \omega_1)
              + \frac{p^2 L^2}{3}(\omega_0^3 - \omega_1^3)\right]

    Exact for the steady torque at every speed, which needs the electrical time constant to be short
    against the run-down. Drag and load friction, which help, and gravity, which does not, are left out:
    a shorted machine never holds a load.

    References
    ----------
    .. [1] Integral of the torque in `short_circuit`.

    Examples
    --------
    Without inductance it is an exponential with J R/(1.5 k^2):

    >>> m = MachineConstants(0.030 * 3**0.5, 2.0, 1e-12, 8)
    >>> time, angle = short_circuit_run_down(m, 1.35e-3, 100.0, 50.0, 25.0, 25.0)
    >>> round(time, 6), round(angle, 6)  # 1 s * ln 2, 1 s * 50 rad/s
    (0.693147, 50.0)
    """
    require_positive("inertia", inertia, "kg m^2")
    require_positive("end speed", end_speed, "rad/s")
    if not end_speed <= start_speed:
        raise InputRangeError("start speed", start_speed, "rad/s", f"at least {end_speed:g}")
    k, r, length = _phase(constants, winding_temp, magnet_temp, path)
    scale, square = inertia / (1.5 * k * k * r), (constants.pole_pairs * length) ** 2
    high, low = start_speed, end_speed
    time = scale * (r * r * np.log(high / low) + square * (high**2 - low**2) / 2.0)
    angle = scale * (r * r * (high - low) + square * (high**3 - low**3) / 3.0)
    return float(time), float(angle)


def _phase(
    constants: MachineConstants, winding_temp: Numeric, magnet_temp: Numeric, path: SeriesPath
) -> tuple[Numeric, Numeric, float]:
    """Return EMF per rad/s [V s/rad], resistance [ohm] and inductance [H] of one phase."""
    flux = magnet_flux_factor(magnet_temp, constants.magnet_temp_coefficient, constants.magnet_ref_temp)
    r = 0.5 * (winding_resistance(constants, winding_temp) + path.loop_resistance)
    return phase_emf_fundamental(constants) * flux, r, 0.5 * constants.inductance


def _first_swing(r: Numeric, x: FloatArray) -> FloatArray:
    """Return the highest |1 - exp(-(a + j) theta)| with a = r/x, which lies where its slope is zero:
    sin theta + a cos theta = a exp(-a theta).
    """
    a = np.divide(r, x, out=np.full(np.broadcast(r, x).shape, 1e3), where=x > 1e-3 * np.asarray(r))
    theta = np.full(a.shape, np.pi)
    for _ in range(_PEAK_STEPS):
        theta = np.pi - np.arctan(a) - np.arcsin(a * np.exp(-a * theta) / np.hypot(1.0, a))
    fade = np.exp(-a * theta)
    return np.asarray(np.sqrt(1.0 - 2.0 * fade * np.cos(theta) + fade * fade))
