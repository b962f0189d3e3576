"""Does the voltage reach? Required and available voltage, and the torque that the voltage allows.

All functions count the current positive when it motors in the direction of the motion, so one
equation serves both directions of rotation. The voltage of a commutation is the link voltage for
six-step and the peak phase voltage for sinusoidal current.
"""

from __future__ import annotations

from typing import Literal

import numpy as np

from core.errors import InputRangeError
from core.numeric import BoolArray, FloatArray, IntArray, Numeric
from core.physics.commutation_overlap import (
    OVERLAP_PLAIN,
    braking_overlap_factor,
    overlap_factor,
    six_step_braking_voltage,
    six_step_voltage,
)
from core.physics.input_ranges import require_not_negative, require_one_of, require_positive
from core.physics.losses import NO_SERIES_PATH, SeriesPath, winding_resistance
from core.physics.machine_constants import (
    Commutation,
    MachineConstants,
    phase_emf_fundamental,
    torque_constant,
)
from core.physics.materials import magnet_flux_factor
from core.records import dataclass

Modulation = Literal["space-vector", "sine-triangle"]


@dataclass(frozen=True, slots=True)
class _Condition:
    """What one operating condition makes of speed and torque; all broadcast against each other."""

    emf: FloatArray  # [V] fundamental phase peak, or mean line-to-line EMF of a six-step sector
    peak_emf: FloatArray  # [V] peak line-to-line EMF
    reactance: FloatArray  # [ohm] w_e L_ph
    resistance: FloatArray  # [ohm] phase (sinusoidal) or loop (six-step), leads and switches included
    torque_constant: FloatArray  # [N m/A]
    drop: float  # [V] constant drop as it appears in the voltage of the commutation


def _condition(
    constants: MachineConstants,
    commutation: Commutation,
    speed: Numeric,
    winding_temp: Numeric,
    magnet_temp: Numeric,
    path: SeriesPath,
) -> _Condition:
    flux = magnet_flux_factor(magnet_temp, constants.magnet_temp_coefficient, constants.magnet_ref_temp)
    w = np.abs(speed)
    k_t = torque_constant(constants, commutation)
    loop = np.asarray(winding_resistance(constants, winding_temp) + path.loop_resistance)
    six_step = commutation == "six-step"
    emf_constant = k_t if six_step else phase_emf_fundamental(constants)
    return _Condition(
        emf=np.asarray(emf_constant * flux * w),
        peak_emf=np.asarray(constants.back_emf_constant * flux * w),
        reactance=np.asarray(constants.pole_pairs * w * 0.5 * constants.inductance),
        resistance=loop if six_step else 0.5 * loop,
        torque_constant=np.asarray(k_t * flux),
        # sinusoidal: fundamental of a square wave of half the pair's drop per phase, 4/pi * 1/2
        drop=path.device_drop if six_step else 2.0 / np.pi * path.device_drop,
    )


def required_voltage(
    constants: MachineConstants,
    commutation: Commutation,
    em_torque: Numeric,
    speed: Numeric,
    winding_temp: Numeric,
    magnet_temp: Numeric,
    path: SeriesPath = NO_SERIES_PATH,
) -> FloatArray:
    r"""Return the voltage that the drive must apply for a torque at a speed.

    Parameters
    ----------
    constants : MachineConstants
        The machine. [SI]
    commutation : {"six-step", "sinusoidal"}
        How the drive feeds the machine. [-]
    em_torque : float or ndarray, any shape
        Torque in the air gap, with sign. [N m]
    speed : float or ndarray, shape that broadcasts
        Shaft speed, with sign; torque times speed above zero is motoring. [rad/s]
    winding_temp : float or ndarray, shape that broadcasts
        Mean winding temperature. [degC]
    magnet_temp : float or ndarray, shape that broadcasts
        Magnet temperature. [degC]
    path : SeriesPath, default nothing in series
        Leads and switches between link and winding. [SI]

    Returns
    -------
    voltage : ndarray, broadcast shape
        Six-step: link voltage times duty. Sinusoidal: peak phase voltage. Never negative. [V]

    Notes
    -----
    Sinusoidal, current in phase with the EMF, no field weakening:

    .. math:: v = \sqrt{(E + R I + U_d)^2 + (\omega_e L I)^2}

    with phase values; on a trapezoidal EMF the fundamental, harmonics left out. Six-step, motoring:

    .. math:: U = k_{t} \omega + R I + \kappa \omega_e L_\mathrm{ph} I + U_d

    with kappa from `overlap_factor`, which here is resolved for the voltage in closed form.
    Braking (I < 0): the sinusoidal equation holds as it stands. Six-step takes, at the amount of
    current, the larger of `|E - R I| + (3/pi) w_e L_ph I` (an assumption on the safe side while the
    EMF drives the current) and `six_step_braking_voltage`; the device drop is not counted in its
    favour. Braking never asks for more than motoring at the same torque.

    References
    ----------
    .. [1] Overlap of a bridge rectifier, mean voltage drop (3/pi) w L I: N. Mohan, T. M. Undeland,
       W. P. Robbins, Power Electronics (from memory).

    Examples
    --------
    >>> m = MachineConstants(0.030, 0.8, 1e-9, 8, emf_shape="trapezoidal")
    >>> round(float(required_voltage(m, "six-step", 0.12, 500.0, 25.0, 25.0)), 3)  # 15 + 4*0.8
    18.2
    """
    c = _condition(constants, commutation, speed, winding_temp, magnet_temp, path)
    # at rest there is no direction of motion: the current counts as motoring
    motoring = np.where(np.equal(speed, 0.0), np.abs(em_torque), em_torque * np.sign(speed))
    current = motoring / c.torque_constant
    resistive = c.emf + c.resistance * current
    if commutation == "sinusoidal":
        return np.asarray(np.hypot(resistive + c.drop * np.sign(current), c.reactance * current))
    amount = np.abs(current)
    overlap = c.reactance * amount
    ratio = 2.0 * c.reactance / c.resistance
    motor = six_step_voltage(resistive + c.drop * np.sign(current), overlap, c.peak_emf, ratio)
    against = six_step_braking_voltage(-resistive, overlap, c.peak_emf, ratio)
    brake = np.maximum(np.abs(resistive) + OVERLAP_PLAIN * overlap, against)
    return np.asarray(np.where(current >= 0.0, motor, brake))


def available_voltage(
    commutation: Commutation,
    link_voltage: Numeric,
    duty_limit: float = 1.0,
    modulation: Modulation = "space-vector",
) -> Numeric:
    """Return the largest voltage of the commutation that the drive can apply.

    Parameters
    ----------
    commutation : {"six-step", "sinusoidal"}
        How the drive feeds the machine. [-]
    link_voltage : float or ndarray, any shape
        Voltage at the input of the drive, after its sag. [V]
    duty_limit : float, default 1.0
        Largest usable duty. [-]
    modulation : {"space-vector", "sine-triangle"}, default "space-vector"
        How sinusoidal voltage is made; without meaning for six-step. [-]

    Returns
    -------
    voltage : float or ndarray, shape of `link_voltage`
        Six-step `m U`; sinusoidal peak phase voltage `m U/sqrt(3)` or `m U/2`. [V]

    Raises
    ------
    InputRangeError
        If the link voltage is not positive or the duty limit not in (0, 1].
    UnitError
        If a word is not one of those listed.

    References
    ----------
    .. [1] N. Mohan, T. M. Undeland, W. P. Robbins, Power Electronics, linear range of
       sine-triangle and space-vector modulation (from memory).

    Examples
    --------
    >>> available_voltage("six-step", 24.0, 0.95)
    22.799999999999997
    >>> round(available_voltage("sinusoidal", 24.0), 4)
    13.8564
    """
    require_positive("link_voltage", link_voltage, "V")
    if not 0.0 < duty_limit <= 1.0:
        raise InputRangeError("duty_limit", duty_limit, "", "in (0, 1]")
    require_one_of("commutation", commutation, ("six-step", "sinusoidal"))
    require_one_of("modulation", modulation, ("space-vector", "sine-triangle"))
    if commutation == "six-step":
        return duty_limit * link_voltage
    share = 1.0 / np.sqrt(3.0) if modulation == "space-vector" else 0.5
    return duty_limit * link_voltage * float(share)


@dataclass(frozen=True, slots=True)
class WorstVoltage:
    """The hardest of the temperature cases at each operating point.

    Attributes
    ----------
    required : ndarray, broadcast shape of torque and speed
        Highest required voltage. [V]
    utilisation : ndarray, same shape
        Required over available voltage. [-]
    case : ndarray of int, same shape
        Index into `CASES` of the case that won. [-]
    """

    required: FloatArray
    utilisation: FloatArray
    case: IntArray


CASES = (
    "cold winding, cold magnets",
    "cold winding, hot magnets",
    "hot winding, cold magnets",
    "hot winding, hot magnets",
)


def worst_voltage(
    constants: MachineConstants,
    commutation: Commutation,
    em_torque: Numeric,
    speed: Numeric,
    winding_temps: tuple[float, float],
    magnet_temps: tuple[float, float],
    available: Numeric,
    path: SeriesPath = NO_SERIES_PATH,
) -> WorstVoltage:
    """Return the highest required voltage over cold and hot winding, cold and hot magnets.

    Parameters
    ----------
    constants : MachineConstants
        The machine. [SI]
    commutation : {"six-step", "sinusoidal"}
        How the drive feeds the machine. [-]
    em_torque : float or ndarray, any shape
        Torque in the air gap, with sign. [N m]
    speed : float or ndarray, shape that broadcasts
        Shaft speed, with sign. [rad/s]
    winding_temps : tuple of float
        Cold and hot mean winding temperature. [degC]
    magnet_temps : tuple of float
        Cold and hot magnet temperature. [degC]
    available : float or ndarray, shape that broadcasts
        Result of `available_voltage` at the lowest link voltage. [V]
    path : SeriesPath, default nothing in series
        Leads and switches between link and winding. [SI]

    Returns
    -------
    worst : WorstVoltage
        Required voltage, required over available, and index into `CASES`. [V, -, -]

    Raises
    ------
    InputRangeError
        If the available voltage is not positive.

    Notes
    -----
    Cold magnets raise the EMF and win at light load; hot magnets raise the current and, with a hot
    winding, win at high torque. All four cases are computed in one pass.

    References
    ----------
    .. [1] First principles; common practice, no source, for the choice of cases.

    Examples
    --------
    >>> m = MachineConstants(0.030, 0.8, 1e-9, 8)
    >>> light = worst_voltage(m, "six-step", 0.0, 500.0, (20.0, 120.0), (20.0, 90.0), 24.0)
    >>> CASES[int(light.case)]
    'cold winding, cold magnets'
    """
    require_positive("available voltage", available, "V")
    torque, w = np.broadcast_arrays(np.asarray(em_torque, float), np.asarray(speed, float))
    column = (4,) + (1,) * torque.ndim
    winding = np.repeat(np.asarray(winding_temps, float), 2).reshape(column)
    magnet = np.tile(np.asarray(magnet_temps, float), 2).reshape(column)
    all_cases = required_voltage(constants, commutation, torque, w, winding, magnet, path)
    case = np.asarray(all_cases.argmax(axis=0), dtype=np.int64)
    required = all_cases.max(axis=0)
    return WorstVoltage(required, np.asarray(required / available), case)


def sagged_voltage(
    source_voltage: Numeric, source_resistance: float, power: Numeric
) -> tuple[FloatArray, BoolArray]:
    r"""Return the voltage of a source with internal resistance while it delivers a power.

    Parameters
    ----------
    source_voltage : float or ndarray, any shape
        Voltage without load. [V]
    source_resistance : float
        Internal resistance with the supply leads, both ways. [ohm]
    power : float or ndarray, shape that broadcasts
        Power taken; negative while power is returned. [W]

    Returns
    -------
    voltage : ndarray, broadcast shape
        Voltage at the drive; where the power is out of reach, the voltage of the largest power,
        half the no-load voltage. [V]
    reachable : ndarray of bool, broadcast shape
        Whether the source can deliver the power at all. [-]

    Raises
    ------
    InputRangeError
        If the source voltage is not positive or the resistance negative.

    Notes
    -----
    .. math:: U = \tfrac12 \left(U_0 + \sqrt{U_0^2 - 4 R_s P}\right)

    The upper root is the stable one. For a current instead of a power: `U = U_0 - R_s I`.

    References
    ----------
    .. [1] First principles (Ohm's law with constant power).

    Examples
    --------
    >>> voltage, reachable = sagged_voltage(24.0, 0.1, 230.0)  # 10 A: 24 - 1
    >>> round(float(voltage), 6), bool(reachable)
    (23.0, True)
    """
    require_positive("source_voltage", source_voltage, "V")
    require_not_negative("source_resistance", source_resistance, "ohm")
    u0 = np.asarray(source_voltage, float)
    discriminant = u0 * u0 - 4.0 * source_resistance * np.asarray(power, float)
    voltage = 0.5 * (u0 + np.sqrt(np.maximum(discriminant, 0.0)))
    return np.asarray(voltage), np.asarray(discriminant >= 0.0)


def voltage_limit_torque(
    constants: MachineConstants,
    commutation: Commutation,
    speed: Numeric,
    voltage: Numeric,
    winding_temp: Numeric,
    magnet_temp: Numeric,
    path: SeriesPath = NO_SERIES_PATH,
) -> FloatArray:
    r"""Return the largest motoring torque in the air gap that the voltage allows at a speed.

    Parameters
    ----------
    constants : MachineConstants
        The machine. [SI]
    commutation : {"six-step", "sinusoidal"}
        How the drive feeds the machine. [-]
    speed : float or ndarray, any shape
        Shaft speed; its sign does not matter. [rad/s]
    voltage : float or ndarray, shape that broadcasts
        Result of `available_voltage`. [V]
    winding_temp : float or ndarray, shape that broadcasts
        Mean winding temperature. [degC]
    magnet_temp : float or ndarray, shape that broadcasts
        Magnet temperature. [degC]
    path : SeriesPath, default nothing in series
        Leads and switches between link and winding. [SI]

    Returns
    -------
    em_torque : ndarray, broadcast shape
        Magnitude; zero where the EMF alone exceeds the voltage. Exact inverse of
        `required_voltage`. [N m]

    Raises
    ------
    InputRangeError
        If the voltage is not positive.

    Notes
    -----
    Sinusoidal, with phase values and `v' = E + U_d`:

    .. math:: (R^2 + X^2) I^2 + 2 R v' I + v'^2 - v^2 = 0

    Six-step: :math:`I = (U - U_d - k_t\omega)/(R + \kappa X)`, kappa from `overlap_factor`.

    References
    ----------
    .. [1] First principles; the overlap as in `overlap_factor`.

    Examples
    --------
    >>> m = MachineConstants(0.030, 0.8, 1e-9, 8, emf_shape="trapezoidal")
    >>> round(float(voltage_limit_torque(m, "six-step", 500.0, 18.2, 25.0, 25.0)), 4)
    0.12
    """
    require_positive("voltage", voltage, "V")
    c = _condition(constants, commutation, speed, winding_temp, magnet_temp, path)
    u = np.asarray(voltage, float)
    opposing = c.emf + c.drop
    if commutation == "sinusoidal":
        current = _upper_root(c.resistance, c.reactance, opposing, u)
    else:
        kappa = overlap_factor(c.peak_emf / u, 2.0 * c.reactance / c.resistance)
        current = (u - opposing) / (c.resistance + kappa * c.reactance)
    return np.asarray(c.torque_constant * np.where(opposing < u, current, 0.0))


def braking_limit_torque(
    constants: MachineConstants,
    commutation: Commutation,
    speed: Numeric,
    voltage: Numeric,
    winding_temp: Numeric,
    magnet_temp: Numeric,
    path: SeriesPath = NO_SERIES_PATH,
) -> FloatArray:
    r"""Return the largest braking torque in the air gap that the drive can control at a speed.

    Parameters
    ----------
    constants : MachineConstants
        The machine. [SI]
    commutation : {"six-step", "sinusoidal"}
        How the drive feeds the machine. [-]
    speed : float or ndarray, any shape
        Shaft speed; its sign does not matter. [rad/s]
    voltage : float or ndarray, shape that broadcasts
        Result of `available_voltage`; the drive can also apply it against the EMF. [V]
    winding_temp : float or ndarray, shape that broadcasts
        Mean winding temperature. [degC]
    magnet_temp : float or ndarray, shape that broadcasts
        Magnet temperature. [degC]
    path : SeriesPath, default nothing in series
        Leads and switches between link and winding. [SI]

    Returns
    -------
    em_torque : ndarray, broadcast shape
        Magnitude of the braking torque; zero where the EMF alone exceeds the voltage, because
        the diodes then conduct and the current is no longer controlled. [N m]

    Raises
    ------
    InputRangeError
        If the voltage is not positive.

    Notes
    -----
    Braking the EMF drives the current and the resistance helps, so the voltage hardly ever limits;
    the current limit of the drive, or what the supply takes back, comes first. Sinusoidal:

    .. math:: (E - R I)^2 + (X I)^2 = v^2

    Six-step as in `required_voltage`, up to the current that the full voltage applied against the
    motion reaches. A drive that only shorts the winding or lets it freewheel brakes less than this.

    References
    ----------
    .. [1] First principles; the overlap as in `braking_overlap_factor`.

    Examples
    --------
    >>> m = MachineConstants(0.030, 0.8, 1e-9, 8, emf_shape="trapezoidal")
    >>> round(float(braking_limit_torque(m, "six-step", 0.0, 24.0, 25.0, 25.0)), 4)  # 30 A
    0.9
    """
    require_positive("voltage", voltage, "V")
    c = _condition(constants, commutation, speed, winding_temp, magnet_temp, path)
    u = np.asarray(voltage, float)
    if commutation == "sinusoidal":
        current = _upper_root(c.resistance, c.reactance, -(c.emf - c.drop), u)
    else:
        x = OVERLAP_PLAIN * c.reactance
        kappa = braking_overlap_factor(c.peak_emf / u, 2.0 * c.reactance / c.resistance)
        beyond = (u + c.emf) / (c.resistance + kappa * c.reactance)
        # while the EMF still exceeds R I, a reactance above R eats the voltage as current grows
        excess = np.maximum(x - c.resistance, 1e-300)
        before = (u - c.emf) / excess
        stopped = (x > c.resistance) & (before * c.resistance < c.emf)
        current = np.where(stopped, np.minimum(before, beyond), beyond)
    return np.asarray(c.torque_constant * np.where(c.emf < u, current, 0.0))


def _upper_root(r: FloatArray, x: FloatArray, e: FloatArray, u: FloatArray) -> FloatArray:
    # (e + r i)^2 + (x i)^2 = u^2; the clipped case |e| > u is set to zero by the callers
    square = r * r + x * x
    root = np.sqrt(np.maximum(u * u * square - (e * x) ** 2, 0.0))
    return np.asarray((root - e * r) / square)
