"""Leads and cables: resistance by size and temperature, voltage drop, what current they must carry.

What a wire may carry and which fuse protects it is the matter of the electrical code that applies
where the machine is used; nothing here decides it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import field

from core.errors import InputRangeError
from core.numeric import Numeric
from core.physics.input_ranges import require_not_negative, require_one_of, require_positive
from core.physics.machine_constants import COMMUTATIONS, Commutation
from core.physics.materials import copper_resistance_factor
from core.records import dataclass

COPPER_RESISTIVITY = 1.0 / 58e6
"""Of standard annealed copper at 20 degC, IEC 60028. [ohm m]"""

CABLE_COPPER_CONSTANT = 234.5
"""Negated temperature of the zero of copper's resistance line in cable standards. [degC]"""

CABLE_REF_TEMP = 20.0
"""Temperature at which cable tables state resistance. [degC]"""

WIRING_CAUTION = (
    "Wire and fuse must follow the electrical code that applies where the machine is used. "
    "These figures are what the wire has to carry, not a choice of wire or fuse."
)
"""Goes with every current that somebody might size a wire or fuse by."""


@dataclass(frozen=True, slots=True)
class Conductor:
    """One conductor of a cable.

    Attributes
    ----------
    name : str
        Size as it is printed on cables. [-]
    area : float
        Cross-section, nominal where the size is one. [m^2]
    resistance_per_length : float
        At 20 degC, direct current. [ohm/m]
    """

    name: str
    area: float
    resistance_per_length: float


# Nominal cross-section in mm2 -> largest resistance of plain copper at 20 degC in ohm/km. IEC 60228, class 5:
# 0.5 to 2.5 read in published tables, 4 to 16 from memory. Below 0.5 the sizes of DIN VDE 0295 fine-wire
# conductors, not in IEC 60228, good to 5 % (the published columns for plain and tinned copper are ambiguous).
_FLEXIBLE_OHM_PER_KM = {
    0.05: 380.0,
    0.14: 134.0,
    0.25: 76.0,
    0.34: 53.0,
    0.5: 39.0,
    0.75: 26.0,
    1.0: 19.5,
    1.5: 13.3,
    2.5: 7.98,
    4.0: 4.95,
    6.0: 3.30,
    10.0: 1.91,
    16.0: 1.21,
}

FLEXIBLE_CONDUCTORS = tuple(
    Conductor(f"{size:g} mm²", size * 1e-6, ohm_per_km * 1e-3)
    for size, ohm_per_km in _FLEXIBLE_OHM_PER_KM.items()
)
"""Flexible copper conductors by nominal size, smallest first; largest resistance the standard allows."""


def awg_diameter(size: int) -> float:
    r"""Return the diameter of a solid wire of the American gauge.

    Parameters
    ----------
    size : int
        Gauge number; 0 for 1/0, -1 for 2/0, down to -3 for 4/0. [-]

    Returns
    -------
    diameter : float
        Of the bare wire. [m]

    Raises
    ------
    InputRangeError
        If the gauge is not from -3 to 40.

    Notes
    -----
    .. math:: d = 0.127\,\mathrm{mm} \cdot 92^{(36 - n)/39}

    References
    ----------
    .. [1] ASTM B258, Standard nominal diameters and cross-sectional areas of AWG sizes of solid round
       wires used as electrical conductors: geometric series (from memory).

    Examples
    --------
    >>> awg_diameter(36)
    0.000127
    >>> round(awg_diameter(-3) * 1e3, 3)  # 0.46 inch
    11.684
    """
    if not -3 <= size <= 40:
        raise InputRangeError("gauge", size, "", "from -3 (4/0) to 40")
    return 0.127e-3 * float(92.0 ** ((36 - size) / 39.0))


def awg_conductor(size: int, stranding_factor: float = 1.02) -> Conductor:
    r"""Return a copper conductor of the American gauge.

    Parameters
    ----------
    size : int
        Gauge number; 0 for 1/0, -1 for 2/0, down to -3 for 4/0. [-]
    stranding_factor : float, default 1.02
        Length of the strands over length of the conductor; 1 for solid wire. [-]

    Returns
    -------
    conductor : Conductor
        With the copper cross-section of the solid wire of that gauge. [SI]

    Raises
    ------
    InputRangeError
        If the gauge is not from -3 to 40 or the factor below 1.

    Notes
    -----
    .. math:: R' = \rho f / (\pi d^2/4)

    Copper of full conductivity. Stranded wires as sold differ by a few per cent: their strands
    come in whole gauges, and tinned copper has some more resistance.

    References
    ----------
    .. [1] `awg_diameter`; IEC 60028, International standard of resistance for copper: 1/58 ohm mm2/m at
       20 degC. Two per cent for the lay of strands: common practice, no source.

    Examples
    --------
    >>> round(awg_conductor(10, 1.0).resistance_per_length * 1e3, 3)  # ohm/km
    3.277
    """
    if not stranding_factor >= 1.0:
        raise InputRangeError("stranding_factor", stranding_factor, "", ">= 1")
    area = math.pi / 4.0 * awg_diameter(size) ** 2
    name = f"AWG {size}" if size > 0 else f"AWG {1 - size}/0"
    return Conductor(name, area, COPPER_RESISTIVITY * stranding_factor / area)


def conductor_resistance(conductor: Conductor, length: float, temp: Numeric = CABLE_REF_TEMP) -> Numeric:
    r"""Return the resistance of one conductor, one way, at its temperature.

    Parameters
    ----------
    conductor : Conductor
        Size. [SI]
    length : float
        Length of the cable. [m]
    temp : float or ndarray, any shape, default 20.0
        Temperature of the conductor. [degC]

    Returns
    -------
    resistance : float or ndarray, shape of `temp`
        As a lead of the motor counts it. [ohm]

    Raises
    ------
    InputRangeError
        If the length is negative or the temperature below the linear law.

    Notes
    -----
    .. math:: R = l R'_{20} \frac{234.5 + T}{254.5}

    Contacts and connectors are not in it: at low voltage they can matter as much as the wire.

    References
    ----------
    .. [1] IEC 60228, Conductors of insulated cables, temperature correction (from memory).

    Examples
    --------
    >>> wire = FLEXIBLE_CONDUCTORS[5]
    >>> wire.name, round(conductor_resistance(wire, 2.0), 6)
    ('0.75 mm²', 0.052)
    >>> round(conductor_resistance(wire, 2.0, 70.9), 6)  # 1.2 times
    0.0624
    """
    require_not_negative("length", length, "m")
    factor = copper_resistance_factor(temp, CABLE_REF_TEMP, CABLE_COPPER_CONSTANT)
    return length * conductor.resistance_per_length * factor


def pair_resistance(conductor: Conductor, length: float, temp: Numeric = CABLE_REF_TEMP) -> Numeric:
    """Return the resistance of a pair of leads, there and back, at its temperature.

    Parameters
    ----------
    conductor : Conductor
        Size. [SI]
    length : float
        Length of the cable. [m]
    temp : float or ndarray, any shape, default 20.0
        Temperature of the conductors. [degC]

    Returns
    -------
    resistance : float or ndarray, shape of `temp`
        What a supply cable adds to the resistance of its source. [ohm]

    Raises
    ------
    InputRangeError
        If the length is negative or the temperature below the linear law.

    References
    ----------
    .. [1] First principles.

    Examples
    --------
    >>> round(pair_resistance(FLEXIBLE_CONDUCTORS[5], 2.0), 6)
    0.104
    """
    return 2.0 * conductor_resistance(conductor, length, temp)


def voltage_drop(
    conductor: Conductor, length: float, current: Numeric, temp: Numeric = CABLE_REF_TEMP
) -> Numeric:
    r"""Return the voltage that a pair of leads takes.

    Parameters
    ----------
    conductor : Conductor
        Size. [SI]
    length : float
        Length of the cable. [m]
    current : float or ndarray, any shape
        Current through both conductors. [A]
    temp : float or ndarray, shape that broadcasts, default 20.0
        Temperature of the conductors. [degC]

    Returns
    -------
    voltage : float or ndarray, broadcast shape
        Drop there and back. [V]

    Raises
    ------
    InputRangeError
        If the length is negative or the temperature below the linear law.

    Notes
    -----
    .. math:: \Delta U = 2 l R' I

    References
    ----------
    .. [1] First principles (Ohm's law).

    Examples
    --------
    >>> round(voltage_drop(FLEXIBLE_CONDUCTORS[5], 2.0, 10.0), 6)
    1.04
    """
    drop: Numeric = pair_resistance(conductor, length, temp) * current
    return drop


def smallest_for_drop(
    conductors: Iterable[Conductor],
    length: float,
    current: float,
    largest_drop: float,
    temp: float = CABLE_REF_TEMP,
) -> Conductor | None:
    """Return the smallest conductor whose pair keeps the voltage drop; says nothing about its heat.

    Parameters
    ----------
    conductors : iterable of Conductor
        Sizes to choose from. [SI]
    length : float
        Length of the cable. [m]
    current : float
        Largest current. [A]
    largest_drop : float
        Drop there and back that is accepted. [V]
    temp : float, default 20.0
        Temperature of the conductors. [degC]

    Returns
    -------
    conductor : Conductor or None
        None if no size does. Whether it may carry the current is not looked at. [SI]

    Raises
    ------
    InputRangeError
        If the drop is not positive or the length negative.

    References
    ----------
    .. [1] First principles; see `voltage_drop`.

    Examples
    --------
    >>> smallest_for_drop(FLEXIBLE_CONDUCTORS, 2.0, 10.0, 1.0).name
    '1 mm²'
    """
    require_positive("largest_drop", largest_drop, "V")
    enough = [c for c in conductors if voltage_drop(c, length, abs(current), temp) <= largest_drop]
    return min(enough, key=lambda c: c.area, default=None)


def lead_mean_current(commutation: Commutation, current: Numeric) -> Numeric:
    """Return the rectified mean of the current in one motor lead, as a meter of that kind shows it.

    Parameters
    ----------
    commutation : {"six-step", "sinusoidal"}
        How the drive feeds the machine. [-]
    current : float or ndarray, any shape
        Link ampere (six-step) or peak phase ampere (sinusoidal). [A]

    Returns
    -------
    current : float or ndarray, shape of `current`
        Two thirds of a six-step link current, `2/pi` of the peak of a sine. Heat goes by the rms:
        `phase_rms_current`. [A]

    Raises
    ------
    UnitError
        If the commutation is not one of the two.

    References
    ----------
    .. [1] First principles; textbook fact from memory.

    Examples
    --------
    >>> round(lead_mean_current("six-step", 16.0), 1)
    10.7
    """
    require_one_of("commutation", commutation, COMMUTATIONS)
    return current * (2.0 / 3.0 if commutation == "six-step" else 2.0 / math.pi)


@dataclass(frozen=True, slots=True)
class ConductorLoad:
    """What a wire and its fuse have to carry: numbers for whoever applies the code, with the caution.

    Attributes
    ----------
    mean_current : float
        Mean over the cycle. [A]
    rms_current : float
        Root mean square over the cycle, which heats. [A]
    peak_current : float
        Largest. [A]
    rms_density, peak_density : float
        Current per cross-section at rms and at peak. [A/m^2]
    caution : str
        The words that go with the numbers wherever they are shown. [-]
    """

    mean_current: float
    rms_current: float
    peak_current: float
    rms_density: float
    peak_density: float
    caution: str = field(default=WIRING_CAUTION, init=False)


def conductor_load(
    conductor: Conductor, mean_current: float, rms_current: float, peak_current: float
) -> ConductorLoad:
    """Return what a conductor carries, as currents and current densities.

    Parameters
    ----------
    conductor : Conductor
        Size. [SI]
    mean_current : float
        Mean over the cycle; negative if more flows back than out. [A]
    rms_current : float
        Root mean square over the cycle. [A]
    peak_current : float
        Largest in amount. [A]

    Returns
    -------
    load : ConductorLoad
        Currents, densities and the caution. [SI]

    Raises
    ------
    InputRangeError
        If not |mean| <= rms <= peak.

    Notes
    -----
    No limit is given: what a density does depends on bundling, insulation, ambient and time, and
    what is allowed depends on the code.

    References
    ----------
    .. [1] First principles.

    Examples
    --------
    >>> load = conductor_load(FLEXIBLE_CONDUCTORS[6], 2.0, 3.0, 8.0)
    >>> round(load.rms_density / 1e6, 6), load.caution[:38]
    (3.0, 'Wire and fuse must follow the electric')
    """
    slack = 1.0 + 1e-9  # a constant current is its own mean, rms and peak, but for rounding
    if not abs(mean_current) <= rms_current * slack:
        raise InputRangeError("rms_current", rms_current, "A", ">= amount of the mean current")
    if not rms_current <= peak_current * slack:
        raise InputRangeError("peak_current", peak_current, "A", ">= rms current")
    return ConductorLoad(
        mean_current,
        rms_current,
        peak_current,
        rms_density=rms_current / conductor.area,
        peak_density=peak_current / conductor.area,
    )
