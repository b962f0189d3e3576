r"""What carries a motor as a way of heat: a plate in free air, or a bracket to a large body.

A carrier is a link, not a node: joint, fin and the air around it in a row, solved for its own temperature.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache
from math import pi

import numpy as np

from core.errors import AmpturnError, InputRangeError
from core.numeric import FloatArray, read_only
from core.physics.geometry_links import GeometryLink, LinkSetting, link_grid
from core.physics.motor_dimensions import CarryingBracket, CarryingPlate, HeatPlace, LawFactors
from core.physics.natural_convection import vertical_plate_coefficient
from core.physics.plate_fin import (
    annular_fin_conductance,
    bracket_conductance,
    equal_area_radius,
    in_series,
    joint_conductance,
)
from core.physics.radiation import radiation_coefficient

SETTLED = 1e-6
"""Change of the carrier's temperature at which it counts as settled. [K]"""
_MOST_ROUNDS = 20


def carrier_link(
    carrier: CarryingPlate | CarryingBracket,
    flange_diameter: float,
    setting: LinkSetting,
    ends: tuple[int, int],
) -> GeometryLink:
    r"""Return the link from the flange through what carries it to the ambient air.

    Parameters
    ----------
    carrier : CarryingPlate or CarryingBracket
        What the flange is mounted to. [-]
    flange_diameter : float
        Of the face that touches it. [m]
    setting : LinkSetting
        Air and factors. [-]
    ends : tuple of int
        Core, ambient air. [-]

    Returns
    -------
    link : GeometryLink
        Conduction and radiation by the mean, convection by the difference. [-]

    Raises
    ------
    InputRangeError
        If the carrier is not larger than the flange or a value leaves its range.

    Notes
    -----
    The whole conductance for one temperature of the flange is split in the ratio of radiation to convection
    at the carrier (a bracket that conducts to its body counts its conduction without air as fixed). While the
    other end is the ambient air both tables name the same temperature and their sum is exact; with air
    30 K warmer in a box the split errs by about 1 % of the link.

    References
    ----------
    `plate_fin`, `natural_convection`, `radiation`.
    """
    fixed, natural = _columns(carrier, flange_diameter, setting.place, setting.factors.surface)
    return GeometryLink("flange through what carries it to ambient", ends, fixed=fixed, natural=natural)


# a calibration changes other factors while this one stays
@lru_cache(maxsize=64)
def _columns(
    carrier: CarryingPlate | CarryingBracket, flange_diameter: float, place: HeatPlace, surface: float
) -> tuple[FloatArray, FloatArray]:
    """Return the columns of the link for a factor on surfaces, which is all that it takes of the factors."""
    setting = LinkSetting(link_grid(place.ambient_temp, 1.0), place, LawFactors(surface=surface))
    ambient, grid = place.ambient_temp, setting.grid
    flange_temp = np.concatenate((2.0 * grid.mean - ambient, ambient + grid.difference))
    if isinstance(carrier, CarryingPlate):
        fixed, natural = _plate(carrier, flange_diameter, setting, flange_temp)
    else:
        fixed, natural = _bracket(carrier, flange_diameter, setting, flange_temp)
    read_only(fixed, natural)
    return fixed[: grid.mean.size], natural[grid.mean.size :]


def _plate(
    plate: CarryingPlate, flange_diameter: float, setting: LinkSetting, flange_temp: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Return what a plate conducts to its radiating and to its convecting, for temperatures of the flange."""
    inner, outer = 0.5 * flange_diameter, equal_area_radius(plate.side)
    root = pi * inner**2
    if not outer > inner:
        rule = f"above {root**0.5:.4g} m, so that it is larger than the flange"
        raise InputRangeError("side of the carrying plate", plate.side, "m", rule)
    joint = joint_conductance(root, plate.joint_resistance)
    cooled = 2.0 * plate.side**2 - root

    def conducts(coefficient: FloatArray) -> tuple[FloatArray, FloatArray]:
        fin = annular_fin_conductance(plate.conductivity, plate.thickness, inner, outer, 2.0 * coefficient)
        # behind the flange the plate has the temperature of the fin's root
        whole = in_series(joint, fin + root * coefficient)
        return whole, whole / (coefficient * cooled)

    return _settled(setting, plate.emissivity, plate.side, flange_temp, conducts)


def _bracket(
    bracket: CarryingBracket, flange_diameter: float, setting: LinkSetting, flange_temp: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Return what a bracket conducts without air, and what its convecting adds."""
    joint = joint_conductance(0.25 * pi * flange_diameter**2, bracket.joint_resistance)
    bar = (bracket.conductivity, bracket.section, bracket.perimeter, bracket.length)

    def conducts(coefficient: FloatArray) -> tuple[FloatArray, FloatArray]:
        onwards = bracket_conductance(*bar, coefficient)
        whole = in_series(joint, onwards)
        mL = np.sqrt(coefficient * bracket.perimeter / (bracket.conductivity * bracket.section))
        mL = mL * bracket.length
        # mean of sinh(m (L - x)) / sinh(m L) along the bracket
        return whole, whole / onwards * np.tanh(0.5 * mL) / mL

    bare = float(in_series(joint, bracket_conductance(*bar, 0.0)))
    return _settled(setting, bracket.emissivity, bracket.length, flange_temp, conducts, bare)


def _settled(
    setting: LinkSetting,
    emissivity: float,
    height: float,
    flange_temp: FloatArray,
    conducts: Callable[[FloatArray], tuple[FloatArray, FloatArray]],
    bare: float = 0.0,
) -> tuple[FloatArray, FloatArray]:
    """Return the conductance due to radiation (with what is conducted without any air) and to convection.

    `conducts` gives for a coefficient the conductance, and the rise of the carrier's mean over the flange's.
    Coefficients and the carrier's temperature follow each other, by the secant through the last two rounds.
    """
    place, factor = setting.place, setting.factors.surface
    rise = flange_temp - place.ambient_temp
    carrier_temp, before, missed_before = flange_temp, flange_temp, np.zeros_like(flange_temp)
    for _ in range(_MOST_ROUNDS):
        radiating = factor * radiation_coefficient(emissivity, carrier_temp, place.ambient_temp)
        convecting = np.zeros_like(radiating)
        if setting.has_air:
            rising = vertical_plate_coefficient(height, carrier_temp, place.ambient_temp, place.pressure)
            convecting = factor * np.asarray(rising)
        both = radiating + convecting
        whole, share = conducts(both)
        missed = place.ambient_temp + share * rise - carrier_temp
        if np.abs(missed).max() <= SETTLED:
            break
        moved, bend = carrier_temp - before, missed - missed_before
        secant = (moved != 0.0) & (bend != 0.0)  # nothing has moved before the first round
        part = np.divide(moved, bend, out=np.full_like(bend, -1.0), where=secant)
        before, missed_before, carrier_temp = carrier_temp, missed, carrier_temp - missed * part
    else:
        raise AmpturnError("the temperature of what carries the motor does not settle")
    by_air = (whole - bare) * convecting / both
    return whole - by_air, by_air
