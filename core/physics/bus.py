"""The supply of the drive: voltage over the cycle, what braking does to it, clamp, battery.

Power counts positive when the supply gives it. Sag under load is `sagged_voltage`.
"""

from __future__ import annotations

import numpy as np

from core.errors import InputRangeError
from core.numeric import BoolArray, FloatArray, Numeric
from core.physics.input_ranges import require_not_negative, require_positive
from core.physics.power_course import (
    BrakingEvents,
    PowerCourse,
    bus_surplus,
    energy_until,
    power_course,
)
from core.physics.voltage import sagged_voltage
from core.records import dataclass


def supply_current(source_voltage: Numeric, source_resistance: float, power: Numeric) -> FloatArray:
    r"""Return the current that a source with internal resistance gives at a power.

    Parameters
    ----------
    source_voltage : float or ndarray, any shape
        Voltage without load. [V]
    source_resistance : float
        Internal resistance with the supply leads, both ways. [ohm]
    power : float or ndarray, shape that broadcasts
        Power taken at the drive; negative while power is returned. [W]

    Returns
    -------
    current : ndarray, broadcast shape
        Current of the supply, which is not that of the motor; NaN where the power is out of reach. [A]

    Raises
    ------
    InputRangeError
        If the source voltage is not positive or the resistance negative.

    Notes
    -----
    .. math:: I = P / U

    The mean over the pulses; between the pulses the capacitor of the drive takes up the difference.

    References
    ----------
    .. [1] First principles.

    Examples
    --------
    >>> round(float(supply_current(24.0, 0.1, 230.0)), 6)
    10.0
    """
    voltage, reachable = sagged_voltage(source_voltage, source_resistance, power)
    return np.asarray(np.where(reachable, power / voltage, np.nan))


def bus_rise(start_voltage: Numeric, energy: Numeric, capacitance: float) -> Numeric:
    r"""Return the voltage of the bus after its capacitor alone has taken up an energy.

    Parameters
    ----------
    start_voltage : float or ndarray, any shape
        Voltage before. [V]
    energy : float or ndarray, shape that broadcasts
        Energy returned, positive. [J]
    capacitance : float
        Of everything on the bus together. [F]

    Returns
    -------
    voltage : float or ndarray, broadcast shape
        Voltage after. [V]

    Raises
    ------
    InputRangeError
        If voltage or capacitance are not positive, or the energy is negative.

    Notes
    -----
    .. math:: U_\mathrm{end} = \sqrt{U^2 + 2 E / C}

    Nothing else takes energy: the upper bound for a supply that cannot sink.

    References
    ----------
    .. [1] First principles.

    Examples
    --------
    >>> round(bus_rise(30.0, 0.8, 1e-3), 9)  # sqrt(900 + 1600)
    50.0
    """
    require_positive("start_voltage", start_voltage, "V")
    require_positive("capacitance", capacitance, "F")
    require_not_negative("energy", energy, "J")
    risen: Numeric = (start_voltage * start_voltage + 2.0 * energy / capacitance) ** 0.5
    return risen


def required_capacitance(start_voltage: float, highest_voltage: float, energy: float) -> float:
    r"""Return the capacitance on the bus that keeps its voltage under a limit.

    Parameters
    ----------
    start_voltage : float
        Highest voltage before. [V]
    highest_voltage : float
        Limit, the lowest rating of what hangs on the bus. [V]
    energy : float
        Energy returned, positive. [J]

    Returns
    -------
    capacitance : float
        Of everything on the bus together, at its lower tolerance. [F]

    Raises
    ------
    InputRangeError
        If the limit is not above the start, the start not positive or the energy negative.

    Notes
    -----
    .. math:: C = 2 E / (U_\mathrm{max}^2 - U^2)

    References
    ----------
    .. [1] First principles.

    Examples
    --------
    >>> round(required_capacitance(30.0, 50.0, 0.8), 9)
    0.001
    """
    require_positive("start_voltage", start_voltage, "V")
    require_not_negative("energy", energy, "J")
    if not highest_voltage > start_voltage:
        raise InputRangeError("highest_voltage", highest_voltage, "V", f"> {start_voltage:g} V, the start")
    return 2.0 * energy / (highest_voltage**2 - start_voltage**2)


@dataclass(frozen=True, slots=True)
class ClampResistor:
    """What a switched resistor across the bus must be to take all that braking returns.

    Attributes
    ----------
    largest_resistance : float
        With more the bus rises on, the clamp switched on for good. [ohm]
    peak_power : float
        Largest power returned. A smaller resistor takes more while it is switched on. [W]
    mean_power : float
        Over the cycle. [W]
    largest_energy : float
        Of one event: what the resistor must store if it is short. [J]
    """

    largest_resistance: float
    peak_power: float
    mean_power: float
    largest_energy: float


def clamp_resistor(events: BrakingEvents, cycle_time: float, clamp_voltage: float) -> ClampResistor | None:
    r"""Return the clamp resistor for the braking events of a cycle; None if nothing is returned.

    Parameters
    ----------
    events : BrakingEvents
        Of one cycle. [SI]
    cycle_time : float
        Duration of the cycle. [s]
    clamp_voltage : float
        Voltage at which the clamp switches. [V]

    Returns
    -------
    resistor : ClampResistor or None
        Resistance and load. [SI]

    Raises
    ------
    InputRangeError
        If time or voltage are not positive.

    Notes
    -----
    .. math:: R \le U_\mathrm{clamp}^2 / P_\mathrm{peak} , \quad \bar P = \sum E / t_\mathrm{cycle}

    What the capacitor of the bus takes up before the clamp switches is not deducted: on the safe side.

    References
    ----------
    .. [1] First principles.

    Examples
    --------
    >>> from core.physics.power_course import braking_events
    >>> course = power_course(*(np.array(x) for x in ([8.0, 2.0], [9.0, -100.0], [9.0, -50.0], [9.0, 0.0])))
    >>> clamp_resistor(braking_events(course), 10.0, 50.0)
    ClampResistor(largest_resistance=25.0, peak_power=100.0, mean_power=10.0, largest_energy=100.0)
    """
    require_positive("cycle_time", cycle_time, "s")
    require_positive("clamp_voltage", clamp_voltage, "V")
    if events.energy.size == 0:
        return None
    peak = float(events.peak_power.max())
    return ClampResistor(
        largest_resistance=clamp_voltage**2 / peak,
        peak_power=peak,
        mean_power=events.total_energy / cycle_time,
        largest_energy=float(events.energy.max()),
    )


@dataclass(frozen=True, slots=True)
class VoltageCourse:
    """Voltage at the electronics over the cycle.

    Attributes
    ----------
    time : ndarray, shape (n, points)
        Instants of each piece of the power course, its ends included. [s]
    voltage : ndarray, shape (n, points)
        Voltage there; it jumps between pieces where the power does. [V]
    reachable : ndarray of bool, shape (n, points)
        Whether the source can give the power there at all. [-]
    """

    time: FloatArray
    voltage: FloatArray
    reachable: BoolArray


def voltage_course(
    course: PowerCourse,
    source_voltage: float,
    source_resistance: float,
    capacitance: float | None = None,
    points: int = 9,
) -> VoltageCourse:
    r"""Return the voltage at the electronics over the whole repeating cycle.

    Parameters
    ----------
    course : PowerCourse
        Power over the cycle. [SI]
    source_voltage : float
        Voltage of the source without load. [V]
    source_resistance : float
        Internal resistance with the supply leads, both ways. [ohm]
    capacitance : float, optional
        On the bus, of a supply that takes nothing back; left out, the supply takes everything back through
        its resistance, as a battery does. [F]
    points : int, default 9
        Instants per piece, ends included. [-]

    Returns
    -------
    course : VoltageCourse
        Instants and voltages. [SI]

    Raises
    ------
    InputRangeError
        If voltage or capacitance are not positive, the resistance is negative or points are below 2.

    Notes
    -----
    Where energy returned stands on the bus (`bus_surplus`), the supply is blocked and
    `U = sqrt(U_0^2 + 2 E/C)`; elsewhere the source sags. The capacitor is taken to follow the sag at
    once: good where `R_s C` is short against the parts of the cycle. Where a cycle returns
    more than it takes, the course is that of the first cycle from rest and the next ones rise on.

    References
    ----------
    .. [1] First principles; `sagged_voltage`, `bus_rise`.

    Examples
    --------
    >>> corners = ([1.0, 0.1], [230.0, -16.0], [230.0, -8.0], [230.0, 0.0])
    >>> course = power_course(*(np.array(x) for x in corners))
    >>> seen = voltage_course(course, 24.0, 0.1, 2e-3, points=2)
    >>> seen.voltage.round(3).tolist()  # sag of 1 V, then 0.8 J into 2 mF
    [[37.094, 23.0], [24.0, 37.094]]
    """
    if points < 2:
        raise InputRangeError("points", points, "", ">= 2")
    share = np.linspace(0.0, 1.0, points)[:, None]
    power = course.at(share).T
    voltage, reachable = sagged_voltage(source_voltage, source_resistance, power)
    if capacitance is not None:
        energy = bus_surplus(course).at_start[:, None] - energy_until(course, share).T
        rounding = 1e-9 * 0.5 * capacitance * source_voltage**2
        blocked = (energy > rounding) | (power < 0.0)
        on_capacitor = np.asarray(bus_rise(source_voltage, np.maximum(energy, 0.0), capacitance))
        voltage, reachable = np.where(blocked, on_capacitor, voltage), reachable | blocked
    time = course.start[:, None] + share.T * course.duration[:, None]
    return VoltageCourse(time, voltage, reachable)


@dataclass(frozen=True, slots=True)
class BatteryUse:
    """What a repeating cycle takes out of a battery.

    Attributes
    ----------
    drawn : float
        Per cycle. [J]
    returned : float
        Per cycle, at the terminals, before the share that is accepted. [J]
    net : float
        Per cycle: drawn less the accepted share of what is returned. [J]
    run_time : float
        Until the usable energy is gone; infinite if the net is not positive. [s]
    """

    drawn: float
    returned: float
    net: float
    run_time: float


def battery_use(
    course: PowerCourse, usable_energy: float, accepted_share: float = 1.0, idle_power: float = 0.0
) -> BatteryUse:
    r"""Return the energy per cycle from a battery and its run time.

    Parameters
    ----------
    course : PowerCourse
        Power over the repeating cycle. [SI]
    usable_energy : float
        What the battery gives from full to its end of discharge, at its terminals. [J]
    accepted_share : float, default 1.0
        Of what is returned, the share that can be drawn again; 0 if the battery is full or may not be
        charged. [-]
    idle_power : float, default 0.0
        What takes power all the time and is not in the course: control, sensors. [W]

    Returns
    -------
    use : BatteryUse
        Energies per cycle and run time. [SI]

    Raises
    ------
    InputRangeError
        If the energy is not positive, the share not from 0 to 1 or the idle power negative.

    Notes
    -----
    .. math:: E = \int P^+ \mathrm{d}t - \eta \int P^- \mathrm{d}t , \quad t = W\, t_\mathrm{cycle} / E

    The idle power is met from what braking returns first. That a battery gives less at high
    current, in the cold and with age must be in the usable energy.

    References
    ----------
    .. [1] First principles.

    Examples
    --------
    >>> course = power_course(*(np.array(x) for x in ([6.0, 2.0, 2.0], *[[20.0, 0.0, -20.0]] * 3)))
    >>> use = battery_use(course, 36e3, 0.5)
    >>> use.drawn, use.returned, use.net, round(use.run_time, 3)  # 10 W in the mean: an hour
    (120.0, 40.0, 100.0, 3600.0)
    """
    require_positive("usable_energy", usable_energy, "J")
    require_not_negative("idle_power", idle_power, "W")
    if not 0.0 <= accepted_share <= 1.0:
        raise InputRangeError("accepted_share", accepted_share, "", "from 0 to 1")
    powers = (course.power_start, course.power_middle, course.power_end)
    start, middle, end = (power + idle_power for power in powers)
    energy = power_course(course.duration, start, middle, end).energy
    drawn, returned = float(np.maximum(energy, 0.0).sum()), float(np.maximum(-energy, 0.0).sum())
    net = drawn - accepted_share * returned
    run_time = usable_energy * course.cycle_time / net if net > 0.0 else float("inf")
    return BatteryUse(drawn, returned, net, run_time)
