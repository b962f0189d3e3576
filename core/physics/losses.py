"""Losses of the machine and its drive, and the power that the supply sees.

Where each loss goes: copper heats the winding; the core part of the drag heats the core, the air
part the air; leads and switches heat neither. What the supply delivers is shaft power plus losses,
never voltage times motor current.
"""

from __future__ import annotations

import math

import numpy as np

from core.errors import InputRangeError
from core.numeric import FloatArray, Numeric
from core.physics.drag import DragLaw, drag_torque
from core.physics.input_ranges import require_finite, require_not_negative
from core.physics.machine_constants import (
    Commutation,
    MachineConstants,
    copper_loss_factor,
    torque_constant,
)
from core.physics.materials import copper_resistance_factor, magnet_flux_factor
from core.records import dataclass


@dataclass(frozen=True, slots=True)
class SeriesPath:
    """What lies in series with the winding outside the machine.

    Attributes
    ----------
    lead_resistance : float
        One conductor between drive and motor. [ohm]
    switch_resistance : float
        One switch while on. [ohm]
    device_drop : float
        Constant drop of the two devices in the current path together: diodes or bipolar switches;
        0 for field-effect switches. [V]
    """

    lead_resistance: float = 0.0
    switch_resistance: float = 0.0
    device_drop: float = 0.0

    def __post_init__(self) -> None:
        """Refuse values that no path has."""
        for name, unit in (("lead_resistance", "ohm"), ("switch_resistance", "ohm"), ("device_drop", "V")):
            require_not_negative(name, getattr(self, name), unit)
            require_finite(name, getattr(self, name), unit)

    @property
    def loop_resistance(self) -> float:
        """Return what the path adds to the line-to-line resistance: two leads, two switches.

        Returns
        -------
        resistance : float
            Twice the sum of one lead and one switch. [ohm]

        References
        ----------
        .. [1] First principles.

        Examples
        --------
        >>> round(SeriesPath(0.05, 0.01).loop_resistance, 6)
        0.12
        """
        return 2.0 * (self.lead_resistance + self.switch_resistance)


NO_SERIES_PATH = SeriesPath()


def electromagnetic_torque(shaft_torque: Numeric, speed: Numeric, drag: DragLaw) -> Numeric:
    """Return the torque that the current must make for a torque at the shaft.

    Parameters
    ----------
    shaft_torque : float or ndarray, any shape
        Torque at the coupling plus what accelerates the rotor itself. [N m]
    speed : float or ndarray, shape that broadcasts
        Shaft speed with sign. [rad/s]
    drag : DragLaw
        Drag of the machine. [SI]

    Returns
    -------
    em_torque : float or ndarray, broadcast shape
        Torque in the air gap: the drag is added in the direction of the motion, nothing is added
        at rest. [N m]

    References
    ----------
    .. [1] First principles.

    Examples
    --------
    >>> law = DragLaw(constant=0.002, linear=1e-5)
    >>> round(float(electromagnetic_torque(0.1, 300.0, law)), 6)  # 0.1 + 0.002 + 0.003
    0.105
    >>> round(float(electromagnetic_torque(0.1, -300.0, law)), 6)
    0.095
    """
    torque: Numeric = shaft_torque + drag_torque(drag, speed) * np.sign(speed)
    return torque


def motor_current(
    constants: MachineConstants,
    commutation: Commutation,
    em_torque: Numeric,
    magnet_temp: Numeric | None = None,
) -> Numeric:
    """Return the current for a torque: link ampere (six-step) or peak phase ampere (sinusoidal).

    Parameters
    ----------
    constants : MachineConstants
        The machine. [SI]
    commutation : {"six-step", "sinusoidal"}
        How the drive feeds the machine. [-]
    em_torque : float or ndarray, any shape
        Torque in the air gap, with sign. [N m]
    magnet_temp : float or ndarray, shape that broadcasts, optional
        Magnet temperature; the reference temperature of the constants when left out. [degC]

    Returns
    -------
    current : float or ndarray, broadcast shape
        Current with the sign of the torque. [A]

    References
    ----------
    .. [1] First principles; see `torque_constant`.

    Examples
    --------
    >>> m = MachineConstants(0.030, 0.8, 0.35e-3, 8, emf_shape="trapezoidal")
    >>> round(motor_current(m, "six-step", 0.12), 6)  # 0.12 / 0.030
    4.0
    """
    k_t: Numeric = torque_constant(constants, commutation)
    if magnet_temp is not None:
        k_t = k_t * _flux(constants, magnet_temp)
    return em_torque / k_t


def copper_loss(
    constants: MachineConstants,
    commutation: Commutation,
    em_torque: Numeric,
    winding_temp: Numeric,
    magnet_temp: Numeric,
) -> Numeric:
    r"""Return the ohmic loss of the winding at its actual temperature.

    Parameters
    ----------
    constants : MachineConstants
        The machine. [SI]
    commutation : {"six-step", "sinusoidal"}
        How the drive feeds the machine. [-]
    em_torque : float or ndarray, any shape
        Torque in the air gap. [N m]
    winding_temp : float or ndarray, shape that broadcasts
        Mean winding temperature. [degC]
    magnet_temp : float or ndarray, shape that broadcasts
        Magnet temperature. [degC]

    Returns
    -------
    loss : float or ndarray, broadcast shape
        Copper loss, never negative. [W]

    Notes
    -----
    .. math:: P = c \, (T_\mathrm{em}/k_t(T_\mathrm{mag}))^2 \, R_{LL}(T_W)

    Ripple of the switching, skin and proximity effect are left out. At standstill with sinusoidal
    current the loss is not shared evenly between the phases.

    References
    ----------
    .. [1] First principles; temperature law after IEC 60034-1 (from memory).

    Examples
    --------
    >>> m = MachineConstants(0.030, 0.8, 0.35e-3, 8, emf_shape="trapezoidal")
    >>> round(copper_loss(m, "six-step", 0.12, 25.0, 25.0), 6)  # 4 A, 0.8 ohm
    12.8
    """
    current = motor_current(constants, commutation, em_torque, magnet_temp)
    return copper_loss_factor(commutation) * current**2 * winding_resistance(constants, winding_temp)


def winding_resistance(constants: MachineConstants, winding_temp: Numeric) -> Numeric:
    """Return the line-to-line resistance of the winding at its temperature.

    Parameters
    ----------
    constants : MachineConstants
        The machine. [SI]
    winding_temp : float or ndarray, any shape
        Mean winding temperature. [degC]

    Returns
    -------
    resistance : float or ndarray, shape of `winding_temp`
        Line-to-line resistance, leads and switches excluded. [ohm]

    References
    ----------
    .. [1] IEC 60034-1, winding temperature by change of resistance (from memory).

    Examples
    --------
    >>> m = MachineConstants(0.030, 0.52, 0.35e-3, 8)
    >>> round(winding_resistance(m, 125.0), 6)  # 0.52 * 360/260
    0.72
    """
    return constants.resistance * copper_resistance_factor(
        winding_temp, constants.resistance_ref_temp, constants.copper_constant
    )


def drive_conduction_loss(
    commutation: Commutation, current: Numeric, switch_resistance: float, device_drop: float = 0.0
) -> Numeric:
    r"""Return what the current loses in the switches of the drive.

    Parameters
    ----------
    commutation : {"six-step", "sinusoidal"}
        How the drive feeds the machine. [-]
    current : float or ndarray, any shape
        Link current (six-step) or peak phase current (sinusoidal). [A]
    switch_resistance : float
        One switch while on. [ohm]
    device_drop : float, default 0.0
        Constant drop of the two devices in the path together. [V]

    Returns
    -------
    loss : float or ndarray, shape of `current`
        Heat in the drive; it never enters the winding. [W]

    Raises
    ------
    InputRangeError
        If a resistance or drop is negative.

    Notes
    -----
    Six-step `2 R_on I^2 + U_d |I|`; sinusoidal `1.5 R_on I_pk^2 + (3/pi) U_d I_pk`, the second from
    the mean of three rectified sines over half the pair's drop each. Switching loss and idle power
    are not in it.

    References
    ----------
    .. [1] First principles; common practice, no source.

    Examples
    --------
    >>> round(float(drive_conduction_loss("six-step", 10.0, 0.01)), 6)
    2.0
    >>> round(float(drive_conduction_loss("sinusoidal", 10.0, 0.01)), 6)
    1.5
    """
    require_not_negative("switch_resistance", switch_resistance, "ohm")
    require_not_negative("device_drop", device_drop, "V")
    ohmic: Numeric = copper_loss_factor(commutation) * 2.0 * switch_resistance * current**2
    share = 1.0 if commutation == "six-step" else 3.0 / np.pi
    loss: Numeric = ohmic + share * device_drop * np.abs(current)
    return loss


def lead_loss(commutation: Commutation, current: Numeric, lead_resistance: float) -> Numeric:
    """Return what the current loses in the leads between drive and motor.

    Parameters
    ----------
    commutation : {"six-step", "sinusoidal"}
        How the drive feeds the machine. [-]
    current : float or ndarray, any shape
        Link current (six-step) or peak phase current (sinusoidal). [A]
    lead_resistance : float
        One conductor from drive to motor. [ohm]

    Returns
    -------
    loss : float or ndarray, shape of `current`
        Heat along the leads. [W]

    Raises
    ------
    InputRangeError
        If the resistance is negative.

    References
    ----------
    .. [1] First principles.

    Examples
    --------
    >>> lead_loss("six-step", 4.0, 0.05)  # there and back: 2 * 0.05 * 16
    1.6
    """
    require_not_negative("lead_resistance", lead_resistance, "ohm")
    loss: Numeric = copper_loss_factor(commutation) * 2.0 * lead_resistance * current**2
    return loss


@dataclass(frozen=True, slots=True)
class PowerBalance:
    """Where the power goes at operating points.

    Attributes
    ----------
    shaft_power : ndarray, broadcast shape of the operating points
        Torque times speed at the coupling. [W]
    drag_power : ndarray, same shape
        Iron, bearings and air. [W]
    copper_loss : ndarray, same shape
        In the winding. [W]
    lead_loss : ndarray, same shape
        In the leads. [W]
    drive_loss : ndarray, same shape
        In the electronics. [W]
    supply_power : ndarray, same shape
        Sum of all; negative where the drive returns power to its supply. [W]
    """

    shaft_power: FloatArray
    drag_power: FloatArray
    copper_loss: FloatArray
    lead_loss: FloatArray
    drive_loss: FloatArray
    supply_power: FloatArray


def power_balance(
    constants: MachineConstants,
    commutation: Commutation,
    drag: DragLaw,
    shaft_torque: Numeric,
    speed: Numeric,
    winding_temp: Numeric,
    magnet_temp: Numeric,
    path: SeriesPath = NO_SERIES_PATH,
    idle_power: float = 0.0,
) -> PowerBalance:
    r"""Return shaft power, each loss and supply power at steady operating points.

    Parameters
    ----------
    constants : MachineConstants
        The machine. [SI]
    commutation : {"six-step", "sinusoidal"}
        How the drive feeds the machine. [-]
    drag : DragLaw
        Drag of the machine. [SI]
    shaft_torque : float or ndarray, any shape
        Torque at the coupling, with sign. [N m]
    speed : float or ndarray, shape that broadcasts
        Shaft speed, with sign. [rad/s]
    winding_temp : float or ndarray, shape that broadcasts
        Mean winding temperature. [degC]
    magnet_temp : float or ndarray, shape that broadcasts
        Magnet temperature. [degC]
    path : SeriesPath, default nothing in series
        Leads and switches. [SI]
    idle_power : float, default 0.0
        What the electronics takes without motor current. [W]

    Returns
    -------
    balance : PowerBalance
        Shaft, drag, copper, lead, drive and supply power. [W]

    Raises
    ------
    InputRangeError
        If the idle power is negative.

    Notes
    -----
    .. math:: P_s = T \omega + P_\mathrm{drag} + P_\mathrm{Cu} + P_\mathrm{lead} + P_\mathrm{drive}

    Holds for steady points: energy stored in inductances and inertias does not change.

    References
    ----------
    .. [1] First principles.

    Examples
    --------
    >>> m = MachineConstants(0.030, 0.8, 0.35e-3, 8, emf_shape="trapezoidal")
    >>> b = power_balance(m, "six-step", DragLaw(), 0.12, 100.0, 25.0, 25.0)
    >>> round(float(b.supply_power), 6)  # 12 W at the shaft, 12.8 W in the copper
    24.8
    """
    require_not_negative("idle_power", idle_power, "W")
    em_torque = electromagnetic_torque(shaft_torque, speed, drag)
    current = motor_current(constants, commutation, em_torque, magnet_temp)
    copper = copper_loss_factor(commutation) * current**2 * winding_resistance(constants, winding_temp)
    leads = lead_loss(commutation, current, path.lead_resistance)
    drive = idle_power + drive_conduction_loss(commutation, current, path.switch_resistance, path.device_drop)
    shaft = np.multiply(shaft_torque, speed)
    dragged = drag_torque(drag, speed) * np.abs(speed)
    supply = shaft + dragged + copper + leads + drive
    parts = np.broadcast_arrays(shaft, dragged, copper, leads, drive, supply)
    return PowerBalance(*(np.asarray(part, dtype=np.float64) for part in parts))


def efficiency(balance: PowerBalance) -> FloatArray:
    """Return the efficiency of the energy conversion in its actual direction.

    Parameters
    ----------
    balance : PowerBalance
        Result of `power_balance`. [W]

    Returns
    -------
    efficiency : ndarray, shape of the balance
        Motoring: shaft over supply power. Braking with power returned: returned over shaft power.
        Zero at rest, and where braking power and supply power are both consumed. [-]

    References
    ----------
    .. [1] First principles.

    Examples
    --------
    >>> m = MachineConstants(0.030, 0.8, 0.35e-3, 8, emf_shape="trapezoidal")
    >>> b = power_balance(m, "six-step", DragLaw(), 0.12, 1000.0, 25.0, 25.0)
    >>> round(float(efficiency(b)), 4)  # 120 / 132.8
    0.9036
    """
    shaft, supply = balance.shaft_power, balance.supply_power
    motoring, returning = shaft > 0.0, supply < 0.0
    given = np.where(motoring, supply, np.where(returning, -shaft, 1.0))
    gained = np.where(motoring, shaft, np.where(returning, -supply, 0.0))
    return np.asarray(gained / given, dtype=np.float64)


def best_efficiency_point(no_load_current: float, stall_current: float) -> tuple[float, float]:
    r"""Return the highest efficiency on a constant voltage, and the current at which it is reached.

    Parameters
    ----------
    no_load_current : float
        Current without load, taken as constant over speed. [A]
    stall_current : float
        Current of the locked machine on the same voltage. [A]

    Returns
    -------
    efficiency : float
        Highest efficiency. [-]
    current : float
        Current at that point. [A]

    Raises
    ------
    InputRangeError
        If the currents are not 0 <= no-load < stall.

    Notes
    -----
    .. math:: \eta_\max = (1 - \sqrt{I_0/I_\mathrm{st}})^2 ,\quad I = \sqrt{I_0 I_\mathrm{st}}

    A machine with many poles draws more no-load current at speed: then this is too good.

    References
    ----------
    .. [1] First principles; textbook fact from memory.

    Examples
    --------
    >>> tuple(round(x, 6) for x in best_efficiency_point(0.1, 10.0))
    (0.81, 1.0)
    """
    require_not_negative("no_load_current", no_load_current, "A")
    if not stall_current > no_load_current:
        raise InputRangeError("stall_current", stall_current, "A", "> no-load current")
    efficiency = (1.0 - math.sqrt(no_load_current / stall_current)) ** 2
    return efficiency, math.sqrt(no_load_current * stall_current)


def _flux(constants: MachineConstants, magnet_temp: Numeric) -> Numeric:
    return magnet_flux_factor(magnet_temp, constants.magnet_temp_coefficient, constants.magnet_ref_temp)
