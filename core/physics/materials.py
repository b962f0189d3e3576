"""What temperature does to copper, to magnets and to insulation."""

from __future__ import annotations

from core.errors import InputRangeError
from core.numeric import Numeric
from core.physics.input_ranges import require_one_of, require_positive

COPPER_CONSTANT = 235.0
"""Temperature at which the resistance line of copper crosses zero, negated, IEC 60034-1. [degC]

Tables that build on the International Annealed Copper Standard use 234.5 instead; the difference
is 0.03 K on a rise of 60 K.
"""

NDFEB_FLUX_COEFFICIENT = -0.0011
"""Reversible loss of flux of sintered NdFeB, middle of the published -0.0009 to -0.0013. [1/K]"""

FERRITE_FLUX_COEFFICIENT = -0.0020
"""Reversible loss of flux of hard ferrite, typical, IEC 60404-8-1, from memory. [1/K]"""

THERMAL_CLASS_LIMITS = {
    "Y": 90.0,
    "A": 105.0,
    "E": 120.0,
    "B": 130.0,
    "F": 155.0,
    "H": 180.0,
    "N": 200.0,
    "R": 220.0,
}
"""Limiting temperature of each thermal class of insulation, IEC 60085. [degC]"""


def copper_resistance_factor(
    winding_temp: Numeric, ref_temp: float = 25.0, copper_constant: float = COPPER_CONSTANT
) -> Numeric:
    r"""Return the resistance of a copper winding relative to its value at the reference temperature.

    Parameters
    ----------
    winding_temp : float or ndarray, any shape
        Mean temperature of the winding. [degC]
    ref_temp : float, default 25.0
        Temperature at which the resistance is stated. [degC]
    copper_constant : float, default 235.0
        Negated temperature at which the resistance line crosses zero. [degC]

    Returns
    -------
    factor : float or ndarray, shape of `winding_temp`
        Resistance over resistance at `ref_temp`. [-]

    Raises
    ------
    InputRangeError
        If a temperature is so low that the linear law gives no resistance.

    Notes
    -----
    .. math:: R(T) / R_\mathrm{ref} = (k + T) / (k + T_\mathrm{ref})

    Linear law, good from about -50 to 200 degC. Skin and proximity effect are left out.

    References
    ----------
    .. [1] IEC 60034-1, "Rotating electrical machines - Part 1: Rating and performance", winding
       temperature by change of resistance, k = 235 for copper (from memory).

    Examples
    --------
    >>> round(copper_resistance_factor(125.0), 6)  # 360/260
    1.384615
    """
    k = copper_constant
    require_positive("ref_temp + copper_constant", k + ref_temp, "K")
    require_positive("winding_temp + copper_constant", k + winding_temp, "K")
    return (k + winding_temp) / (k + ref_temp)


def winding_temp_from_resistance(
    resistance: Numeric,
    ref_resistance: float,
    ref_temp: float = 25.0,
    copper_constant: float = COPPER_CONSTANT,
) -> Numeric:
    r"""Return the mean winding temperature that belongs to a measured resistance.

    Parameters
    ----------
    resistance : float or ndarray, any shape
        Resistance at the unknown temperature. [ohm]
    ref_resistance : float
        Resistance of the same winding, same terminals, at `ref_temp`. [ohm]
    ref_temp : float, default 25.0
        Temperature of the first measurement. [degC]
    copper_constant : float, default 235.0
        Negated temperature at which the resistance line crosses zero. [degC]

    Returns
    -------
    winding_temp : float or ndarray, shape of `resistance`
        Mean temperature of the winding. [degC]

    Raises
    ------
    InputRangeError
        If a resistance is not positive.

    Notes
    -----
    .. math:: T_2 = (R_2/R_1) (k + T_1) - k

    The method gives the mean; the hottest spot of a winding lies some 10 K above it.

    References
    ----------
    .. [1] IEC 60034-1, "Rotating electrical machines - Part 1: Rating and performance", winding
       temperature by change of resistance, k = 235 for copper (from memory).

    Examples
    --------
    >>> winding_temp_from_resistance(100.0, 80.0, ref_temp=20.0)  # rise 63.75 K
    83.75
    """
    require_positive("resistance", resistance, "ohm")
    require_positive("ref_resistance", ref_resistance, "ohm")
    k = copper_constant
    require_positive("ref_temp + copper_constant", k + ref_temp, "K")
    return resistance / ref_resistance * (k + ref_temp) - k


def magnet_flux_factor(
    magnet_temp: Numeric,
    temp_coefficient: float = NDFEB_FLUX_COEFFICIENT,
    ref_temp: float = 25.0,
) -> Numeric:
    r"""Return the magnet flux relative to its value at the reference temperature.

    Parameters
    ----------
    magnet_temp : float or ndarray, any shape
        Temperature of the magnets. [degC]
    temp_coefficient : float, default -0.0011
        Relative change of flux per kelvin; negative for every common magnet. [1/K]
    ref_temp : float, default 25.0
        Temperature at which the back-EMF constant is stated. [degC]

    Returns
    -------
    factor : float or ndarray, shape of `magnet_temp`
        Flux, back-EMF constant and torque constant over their values at `ref_temp`. [-]

    Raises
    ------
    InputRangeError
        If the law gives no flux, or reverses it, at one of the temperatures.

    Notes
    -----
    .. math:: B(T) / B_\mathrm{ref} = 1 + \alpha_B (T - T_\mathrm{ref})

    Reversible change only: flux lost by demagnetisation does not come back on cooling. About
    -0.0011 1/K for sintered NdFeB (-0.0009 to -0.0013), -0.0020 1/K for ferrite, -0.0003 to
    -0.00045 1/K for samarium cobalt.

    References
    ----------
    .. [1] IEC 60404-8-1, "Magnetic materials - Specifications for individual materials -
       Magnetically hard materials" (typical coefficients, from memory).
    .. [2] LIGO 40m wiki (Caltech), suspension magnets, properties: NdFeB -0.09 to -0.13 %/K.

    Examples
    --------
    >>> round(magnet_flux_factor(85.0), 3)  # 1 - 0.0011 * 60
    0.934
    """
    factor = 1.0 + temp_coefficient * (magnet_temp - ref_temp)
    require_positive("magnet flux factor", factor, "")
    return factor


def thermal_class_limit(thermal_class: str) -> float:
    """Return the limiting temperature of a thermal class of insulation.

    Parameters
    ----------
    thermal_class : str
        Letter Y, A, E, B, F, H, N or R, or the temperature itself as the standard also writes it
        ("155"), with or without the letter ("155 (F)"). [-]

    Returns
    -------
    limit : float
        Limiting temperature of the hottest spot. [degC]

    Raises
    ------
    UnitError
        If the class is not one of the standard's.

    Notes
    -----
    The limit holds for the hottest spot; the mean temperature that a resistance measurement gives
    must stay lower by the hot-spot allowance.

    References
    ----------
    .. [1] IEC 60085, "Electrical insulation - Thermal evaluation and designation" (two public
       tables read; N and R from memory).

    Examples
    --------
    >>> thermal_class_limit("F"), thermal_class_limit("155 (F)"), thermal_class_limit("180")
    (155.0, 155.0, 180.0)
    """
    by_number = {f"{limit:g}": letter for letter, limit in THERMAL_CLASS_LIMITS.items()}
    number, _, letter = thermal_class.strip().partition(" ")
    found = by_number.get(number, number.upper())
    require_one_of("thermal class", found, tuple(THERMAL_CLASS_LIMITS))
    if letter and letter.strip(" ()").upper() != found:
        require_one_of(f"letter of thermal class {number}", letter.strip(" ()"), (found,))
    return THERMAL_CLASS_LIMITS[found]


def insulation_life_factor(winding_temp: Numeric, limit_temp: float, halving_rise: float = 10.0) -> Numeric:
    r"""Return how many times its life at the limit an insulation lasts at another temperature.

    Parameters
    ----------
    winding_temp : float or ndarray, any shape
        Temperature at which the winding runs. [degC]
    limit_temp : float
        Temperature at which the reference life is stated. [degC]
    halving_rise : float, default 10.0
        Rise that halves the life. [K]

    Returns
    -------
    factor : float or ndarray, shape of `winding_temp`
        Life over life at `limit_temp`; above 1 when cooler. [-]

    Raises
    ------
    InputRangeError
        If `halving_rise` is not positive.

    Notes
    -----
    .. math:: L / L_\mathrm{lim} = 2^{(T_\mathrm{lim} - T)/\Delta T_{1/2}}

    A rule for comparing, not a life prediction; the halving rise of real systems is 8 to 12 K.

    References
    ----------
    .. [1] I. L. Kosow, Electric Machinery and Transformers, Ex. 13.3 and 13.6 [as re-worked in a
       public textbook-companion notebook; the printed page was not seen].

    Examples
    --------
    >>> insulation_life_factor(135.0, 155.0)  # 20 K cooler: four times
    4.0
    """
    require_positive("halving_rise", halving_rise, "K")
    factor: Numeric = 2.0 ** ((limit_temp - winding_temp) / halving_rise)
    return factor


def mean_winding_temp_limit(limit_temp: float, hot_spot_allowance: float = 10.0) -> float:
    """Return the highest mean winding temperature that keeps the hottest spot within its limit.

    Parameters
    ----------
    limit_temp : float
        Limit of the hottest spot. [degC]
    hot_spot_allowance : float, default 10.0
        How much hotter the hottest spot is than the mean. [K]

    Returns
    -------
    mean_limit : float
        Limit of the mean winding temperature. [degC]

    Raises
    ------
    InputRangeError
        If the allowance is negative.

    References
    ----------
    Common practice, no source: 5 to 15 K, 10 K is usual for small windings.

    Examples
    --------
    >>> mean_winding_temp_limit(155.0)
    145.0
    """
    if not hot_spot_allowance >= 0.0:
        raise InputRangeError("hot_spot_allowance", hot_spot_allowance, "K", ">= 0")
    return limit_temp - hot_spot_allowance
