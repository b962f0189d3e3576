r"""Field weakening of a sinusoidal drive: current against the magnets buys speed beyond the voltage.

Surface magnets, so a current along the magnet axis makes no torque; it only costs heat and lowers the
EMF that the voltage sees. Everything is in phase values: peak current, peak voltage to neutral. The
current that makes torque, i_q, counts positive when it motors in the direction of the motion.

.. math:: v_d = R i_d - X i_q, \qquad v_q = E' + R i_q + X i_d, \qquad v_d^2 + v_q^2 \le v^2

with X the reactance of a phase. E' is the EMF with the device drop, which is put along the torque
current as in `core.physics.voltage`: without weakening both files say the same.
"""

from __future__ import annotations

import numpy as np

from core.numeric import BoolArray, FloatArray, Numeric
from core.physics.drag import DragLaw, drag_torque
from core.physics.input_ranges import require_positive
from core.physics.losses import NO_SERIES_PATH, SeriesPath, winding_resistance
from core.physics.machine_constants import (
    MachineConstants,
    copper_loss_factor,
    phase_emf_fundamental,
    torque_constant,
)
from core.physics.materials import magnet_flux_factor
from core.records import dataclass

_SPEED_STEPS = 400  # of the search for the largest speed
_HALVINGS = 60


@dataclass(frozen=True, slots=True)
class WeakenedField:
    """Currents at operating points.

    Attributes
    ----------
    d_current : ndarray, broadcast shape of torque and speed
        Current along the magnet axis, negative against the magnets; zero where the voltage suffices
        without; the current of the lowest voltage where nothing suffices. [A]
    q_current : ndarray, same shape
        Current that makes the torque, motoring positive. [A]
    voltage : ndarray, same shape
        Peak phase voltage with these currents. [V]
    extra_copper_loss : ndarray, same shape
        Copper loss of the current along the magnet axis. [W]
    reachable : ndarray of bool, same shape
        Whether the voltage suffices with some current along the magnet axis; the current limit of
        the drive and the demagnetisation limit are compared with `current` by who asks. [-]
    """

    d_current: FloatArray
    q_current: FloatArray
    voltage: FloatArray
    extra_copper_loss: FloatArray
    reachable: BoolArray

    @property
    def current(self) -> FloatArray:
        """Peak phase current, shape of the operating points. [A]"""
        return np.hypot(self.d_current, self.q_current)


def weakened_field(
    constants: MachineConstants,
    em_torque: Numeric,
    speed: Numeric,
    voltage: Numeric,
    winding_temp: Numeric,
    magnet_temp: Numeric,
    path: SeriesPath = NO_SERIES_PATH,
) -> WeakenedField:
    r"""Return the smallest current along the magnet axis that makes a torque possible at a speed.

    Parameters
    ----------
    constants : MachineConstants
        The machine. [SI]
    em_torque : float or ndarray, any shape
        Torque in the air gap, with sign. [N m]
    speed : float or ndarray, shape that broadcasts
        Shaft speed, with sign. [rad/s]
    voltage : float or ndarray, shape that broadcasts
        Peak phase voltage, result of `available_voltage`. [V]
    winding_temp : float or ndarray, shape that broadcasts
        Mean winding temperature. [degC]
    magnet_temp : float or ndarray, shape that broadcasts
        Magnet temperature. [degC]
    path : SeriesPath, default nothing in series
        Leads and switches between link and winding. [SI]

    Returns
    -------
    weakened : WeakenedField
        Currents, voltage and extra loss. [A, V, W]

    Raises
    ------
    InputRangeError
        If the voltage is not positive.

    Notes
    -----
    The products of both currents cancel in the voltage circle, which leaves, with
    :math:`Z^2 = R^2 + X^2`,

    .. math:: Z^2 i_d^2 + 2 X E' i_d + (E' + R i_q)^2 + (X i_q)^2 - v^2 = 0

    exactly; the root nearer to zero is taken. A trapezoidal EMF counts with its fundamental.
    Iron loss and saturation are left out.

    References
    ----------
    .. [1] Voltage equations of a synchronous machine in rotor axes: P. C. Krause, O. Wasynczuk,
       S. D. Sudhoff, Analysis of Electric Machinery and Drive Systems (from memory).

    Examples
    --------
    Without resistance and torque the voltage sees E + X i_d: here 15 V - 1 ohm * 5 A.

    >>> m = MachineConstants(0.030 * 3**0.5, 1e-9, 0.5e-3, 8)  # 0.030 V s/rad per phase
    >>> weakened = weakened_field(m, 0.0, 500.0, 10.0, 25.0, 25.0)
    >>> round(float(weakened.d_current), 6)
    -5.0
    """
    require_positive("voltage", voltage, "V")
    e, r, x, k_t, drop = _phase_values(constants, speed, winding_temp, magnet_temp, path)
    # at rest there is no direction of motion: the current counts as motoring
    i_q = np.where(np.equal(speed, 0.0), np.abs(em_torque), em_torque * np.sign(speed)) / k_t
    u, e = np.asarray(voltage, dtype=float), e + drop * np.sign(i_q)
    square, plain = r * r + x * x, (e + r * i_q) ** 2 + (x * i_q) ** 2
    inside = (x * e) ** 2 - square * (plain - u * u)
    # the nearer root as a quotient keeps its digits where little weakening is needed
    root = np.sqrt(np.maximum(inside, 0.0))
    divisor = x * e + root
    needed = (plain > u * u) & (divisor > 0.0)
    i_d = np.where(needed, (u * u - plain) / np.where(needed, divisor, 1.0), 0.0)
    i_d = np.where(needed & (inside < 0.0), -x * e / square, i_d)
    v = np.hypot(r * i_d - x * i_q, e + r * i_q + x * i_d)
    extra = copper_loss_factor("sinusoidal") * winding_resistance(constants, winding_temp) * i_d**2
    reachable = (inside >= 0.0) & (needed | (plain <= u * u))
    i_d, i_q, v, extra, _ = np.broadcast_arrays(i_d, i_q, v, extra, reachable)
    return WeakenedField(i_d, i_q, v, extra, np.broadcast_to(reachable, i_d.shape))


def least_voltage(
    constants: MachineConstants,
    em_torque: Numeric,
    speed: Numeric,
    current_limit: float,
    winding_temp: Numeric,
    magnet_temp: Numeric,
    path: SeriesPath = NO_SERIES_PATH,
) -> FloatArray:
    r"""Return the least voltage at which a torque is possible with what the current limit leaves.

    Parameters
    ----------
    constants : MachineConstants
        The machine. [SI]
    em_torque : float or ndarray, any shape
        Torque in the air gap, with sign. [N m]
    speed : float or ndarray, shape that broadcasts
        Shaft speed, with sign. [rad/s]
    current_limit : float
        Largest peak phase current. [A]
    winding_temp : float or ndarray, shape that broadcasts
        Mean winding temperature. [degC]
    magnet_temp : float or ndarray, shape that broadcasts
        Magnet temperature. [degC]
    path : SeriesPath, default nothing in series
        Leads and switches between link and winding. [SI]

    Returns
    -------
    voltage : ndarray, broadcast shape
        Peak phase voltage; that without weakening where the torque alone takes the current. [V]

    Raises
    ------
    InputRangeError
        If the current limit is not positive.

    Notes
    -----
    .. math:: i_d = \max\left(-X E'/Z^2, -\sqrt{I^2 - i_q^2}\right)

    The first is the bottom of the parabola of `weakened_field`.

    References
    ----------
    .. [1] As in `weakened_field`.

    Examples
    --------
    Without resistance and torque the voltage is E - X I: 15 V - 1 ohm * 5 A.

    >>> m = MachineConstants(0.030 * 3**0.5, 1e-9, 0.5e-3, 8)
    >>> round(float(least_voltage(m, 0.0, 500.0, 5.0, 25.0, 25.0)), 6)
    10.0
    """
    require_positive("current limit", current_limit, "A")
    e, r, x, k_t, drop = _phase_values(constants, speed, winding_temp, magnet_temp, path)
    i_q = np.where(np.equal(speed, 0.0), np.abs(em_torque), em_torque * np.sign(speed)) / k_t
    e = e + drop * np.sign(i_q)
    left = np.sqrt(np.maximum(current_limit**2 - i_q**2, 0.0))
    # a drop that outweighs the EMF in braking must not turn the current towards the magnets
    i_d = -np.minimum(np.maximum(x * e, 0.0) / (r * r + x * x), left)
    return np.asarray(np.hypot(r * i_d - x * i_q, e + r * i_q + x * i_d))


def weakened_limit_torque(
    constants: MachineConstants,
    speed: Numeric,
    voltage: Numeric,
    current_limit: float,
    winding_temp: Numeric,
    magnet_temp: Numeric,
    path: SeriesPath = NO_SERIES_PATH,
) -> FloatArray:
    r"""Return the largest motoring torque in the air gap that voltage and current allow together.

    Parameters
    ----------
    constants : MachineConstants
        The machine. [SI]
    speed : float or ndarray, any shape
        Shaft speed; its sign does not matter. [rad/s]
    voltage : float or ndarray, shape that broadcasts
        Peak phase voltage, result of `available_voltage`. [V]
    current_limit : float
        Largest peak phase current, of the drive or against demagnetisation; infinite where none. [A]
    winding_temp : float or ndarray, shape that broadcasts
        Mean winding temperature. [degC]
    magnet_temp : float or ndarray, shape that broadcasts
        Magnet temperature. [degC]
    path : SeriesPath, default nothing in series
        Leads and switches between link and winding. [SI]

    Returns
    -------
    em_torque : ndarray, broadcast shape
        Magnitude; zero where no motoring torque is possible. [N m]

    Raises
    ------
    InputRangeError
        If the voltage or the current limit is not positive.

    Notes
    -----
    In the plane of the two currents the voltage allows a disc about `(-X E'/Z^2, -R E'/Z^2)` of radius
    `v/Z` and the current one about zero. The largest i_q that both hold is the top of the current
    disc, the top of the voltage disc, or the upper point where their edges cross.

    References
    ----------
    .. [1] As in `weakened_field`; circles of limits in the current plane, textbook method (from memory).

    Examples
    --------
    The current of 5 A is just enough to hold the voltage at 500 rad/s: nothing is left for torque.

    >>> m = MachineConstants(0.030 * 3**0.5, 1e-9, 0.5e-3, 8)
    >>> limits = weakened_limit_torque(m, np.array([0.0, 500.0]), 10.0, 5.0, 25.0, 25.0)
    >>> limits.round(4).tolist()  # 1.5 * 0.030 * 5 A at rest
    [0.225, 0.0]
    """
    require_positive("voltage", voltage, "V")
    require_positive("current limit", current_limit, "A")
    e, r, x, k_t, drop = _phase_values(constants, speed, winding_temp, magnet_temp, path)
    e, square = e + drop, r * r + x * x
    radius = np.asarray(voltage, dtype=float) / np.sqrt(square)
    centre_d, centre_q = -x * e / square, -r * e / square
    i_q = np.fmax(
        _top_of_voltage(centre_d, centre_q, radius, current_limit),
        _top_of_current(centre_d, centre_q, radius, current_limit),
    )
    return np.asarray(k_t * np.maximum(np.nan_to_num(i_q, nan=0.0), 0.0))


def largest_weakened_speed(
    constants: MachineConstants,
    voltage: float,
    current_limit: float,
    winding_temp: float,
    magnet_temp: float,
    speed_limit: float,
    drag: DragLaw | None = None,
    path: SeriesPath = NO_SERIES_PATH,
) -> float:
    r"""Return the highest speed that the drive reaches without load by weakening the field.

    Parameters
    ----------
    constants : MachineConstants
        The machine. [SI]
    voltage : float
        Peak phase voltage, result of `available_voltage`. [V]
    current_limit : float
        Largest peak phase current. [A]
    winding_temp : float
        Mean winding temperature. [degC]
    magnet_temp : float
        Magnet temperature. [degC]
    speed_limit : float
        Mechanical limit: the search ends there. [rad/s]
    drag : DragLaw, optional
        Drag of the machine; without it the machine turns freely. [SI]
    path : SeriesPath, default nothing in series
        Leads and switches between link and winding. [SI]

    Returns
    -------
    speed : float
        Lowest speed at which the torque of `weakened_limit_torque` no longer covers the drag, or
        `speed_limit` where that comes first. [rad/s]

    Raises
    ------
    InputRangeError
        If voltage, current or speed limit is not positive.

    Notes
    -----
    A current limit above the short-circuit current psi/L holds the voltage at any speed; there only
    drag and mechanics end it. Bracketed on 400 steps up to the limit, then halved to the last digit.

    References
    ----------
    .. [1] As in `weakened_field`.

    Examples
    --------
    Lossless: E - X I = v, so (0.030 - 0.002 * 5) w = 10 V.

    >>> m = MachineConstants(0.030 * 3**0.5, 1e-9, 0.5e-3, 8)
    >>> round(largest_weakened_speed(m, 10.0, 5.0, 25.0, 25.0, speed_limit=2000.0), 3)
    500.0
    """
    require_positive("speed limit", speed_limit, "rad/s")
    law = drag or DragLaw()

    def spare(speed: FloatArray) -> FloatArray:
        limit = weakened_limit_torque(
            constants, speed, voltage, current_limit, winding_temp, magnet_temp, path
        )
        return np.asarray(np.where(limit > 0.0, limit - drag_torque(law, speed), -1.0))

    grid = np.linspace(0.0, speed_limit, _SPEED_STEPS + 1)
    short = spare(grid) < 0.0
    if not short.any():
        return speed_limit
    first = int(short.argmax())
    if first == 0:
        return 0.0
    low, high = float(grid[first - 1]), float(grid[first])
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if spare(np.array([middle]))[0] >= 0.0 else (low, middle)
    return low


def emf_without_drive(constants: MachineConstants, speed: Numeric, magnet_temp: Numeric) -> Numeric:
    """Return the link voltage that the EMF makes through the diodes if the drive drops out at a speed.

    Parameters
    ----------
    constants : MachineConstants
        The machine. [SI]
    speed : float or ndarray, any shape
        Shaft speed; its sign does not matter. [rad/s]
    magnet_temp : float or ndarray, shape that broadcasts
        Magnet temperature; cold magnets make most. [degC]

    Returns
    -------
    voltage : float or ndarray, broadcast shape
        Peak line-to-line EMF. Above the supply voltage the machine brakes into the supply; above the
        highest voltage of drive or capacitors it destroys them. [V]

    References
    ----------
    .. [1] Bridge rectifier without load, first principles.

    Examples
    --------
    >>> float(emf_without_drive(MachineConstants(0.030, 0.8, 0.35e-3, 8), 2000.0, 25.0))
    60.0
    """
    flux = magnet_flux_factor(magnet_temp, constants.magnet_temp_coefficient, constants.magnet_ref_temp)
    voltage: Numeric = constants.back_emf_constant * flux * np.abs(speed)
    return voltage


def _phase_values(
    constants: MachineConstants, speed: Numeric, winding_temp: Numeric, magnet_temp: Numeric, path: SeriesPath
) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray, float]:
    """Return EMF [V], resistance and reactance [ohm], torque constant [N m/A], device drop [V]."""
    flux = magnet_flux_factor(magnet_temp, constants.magnet_temp_coefficient, constants.magnet_ref_temp)
    w = np.abs(speed)
    return (
        np.asarray(phase_emf_fundamental(constants) * flux * w),
        np.asarray(0.5 * (winding_resistance(constants, winding_temp) + path.loop_resistance)),
        np.asarray(0.5 * constants.pole_pairs * w * constants.inductance),
        np.asarray(torque_constant(constants, "sinusoidal") * flux),
        2.0 / np.pi * path.device_drop,
    )


def _top_of_voltage(
    centre_d: FloatArray, centre_q: FloatArray, radius: FloatArray, current_limit: float
) -> FloatArray:
    """Return i_q of the top of the voltage disc, NaN where the current limit forbids it."""
    top = centre_q + radius
    return np.asarray(np.where(np.hypot(centre_d, top) <= current_limit, top, np.nan))


def _top_of_current(
    centre_d: FloatArray, centre_q: FloatArray, radius: FloatArray, current_limit: float
) -> FloatArray:
    """Return i_q of the top of the current disc or of the upper crossing, NaN where there is none."""
    if np.isinf(current_limit):
        return np.full(np.shape(radius), np.nan)
    free = np.hypot(centre_d, current_limit - centre_q) <= radius
    distance = np.hypot(centre_d, centre_q)
    apart = np.where(distance > 0.0, distance, 1.0)
    # the chord lies square to the line of the centres, at `along` from zero
    along = (current_limit**2 - radius**2 + apart**2) / (2.0 * apart)
    half_chord = np.sqrt(np.maximum(current_limit**2 - along**2, 0.0))
    crossing = (along * centre_q + half_chord * np.abs(centre_d)) / apart
    crosses = (distance > 0.0) & (np.abs(along) <= current_limit)
    return np.asarray(np.where(free, current_limit, np.where(crosses, crossing, np.nan)))
