"""Compare the heat figures of a data sheet with the size, the mass and the continuous torque beside them."""

from __future__ import annotations

import math
from collections.abc import Iterator

from core.catalogue.motor_draft import HEAT
from core.catalogue.sheet_checks import CrossCheck
from core.catalogue.sheet_figures import Figures
from core.physics.machine_constants import MachineConstants, copper_loss_coefficient
from core.physics.materials import copper_resistance_factor, magnet_flux_factor
from core.physics.natural_convection import vertical_plate_coefficient
from core.physics.radiation import radiation_coefficient
from core.sentences import sentence
from core.units import Kind

# Common practice, no source: how far size and mass alone may miss a thermal figure. Bright metal gives off
# about half of what paint does, and a bracket or leads can take as much again as the surface, so only a wrong
# unit or another meaning is found out.
SURFACE_APART = 1.5  # relative: a factor of 2.5 either way
CAPACITY_APART = 1.0
CONTINUOUS_APART = 0.15
AIRFLOW_APART = 1.5  # an open rotor at speed above what its resistances at rest allow

SURFACE_TEMP, AIR_TEMP = 80.0, 25.0  # of a motor at its continuous load [degC]
EMISSIVITY = 0.9  # of painted or oxidised metal
PRESSURE = 101325.0  # [Pa]
MOTOR_HEAT = 480.0  # steel, copper and some aluminium, from handbook values: 450, 385 and 900 [J/(kg K)]


def heat_checks(place: str, figures: Figures, constants: MachineConstants | None) -> Iterator[CrossCheck]:
    """Yield the comparisons of the heat figures of one variant."""
    yield from _surface_check(place, figures)
    yield from _capacity_check(place, figures)
    if constants is not None:
        yield from _continuous_check(place, figures, constants)


def surface_resistance(diameter: float, length: float, plate_side: float | None = None) -> float:
    r"""Return the thermal resistance of the surface of a motor at rest to the air. [K/W]

    Notes
    -----
    A cylinder with both faces, and one side of a plate where there is one, all at 80 degC in air of 25 degC:
    natural convection of an upright surface as high as the diameter, and radiation. A plate keeps less than
    that warm, so on a plate the figure is a lower bound.

    Examples
    --------
    A motor of 60 mm by 25 mm has 104 cm2; at about 13 W/(m2 K) that is 7.5 K/W:

    >>> 6.0 < surface_resistance(0.060, 0.025) < 9.0
    True
    """
    area = math.pi * diameter * length + 0.5 * math.pi * diameter**2
    if plate_side is not None:
        area += plate_side**2
    convection = float(vertical_plate_coefficient(plate_side or diameter, SURFACE_TEMP, AIR_TEMP, PRESSURE))
    radiation = float(radiation_coefficient(EMISSIVITY, SURFACE_TEMP, AIR_TEMP))
    return 1.0 / (area * (convection + radiation))


def _surface_check(place: str, figures: Figures) -> Iterator[CrossCheck]:
    stated = _number(figures, HEAT[1])
    diameter, length = _number(figures, "diameter"), _number(figures, "length")
    if stated is None or diameter is None or length is None:
        return
    side = _number(figures, "plate side")
    follows = surface_resistance(diameter, length, side)
    what = "with its plate" if side is not None else "hung in air"
    template = f"A surface of {{diameter}} by {{length}} {what} has about {{follows}} at rest."
    ratio = stated / follows
    if ratio < 1.0 / (1.0 + SURFACE_APART):
        if side is None:
            template += (
                " So little is impossible for the size without a plate: give the plate it was measured on."
            )
        else:
            template += (
                " So little is impossible for that plate: a larger plate, a fan or cooling by contact."
            )
    elif ratio > 1.0 + SURFACE_APART:
        template += " So much is unusual for the size: is it winding to ambient, or in another unit?"
    yield CrossCheck(
        "surface", place, "thermal resistance to ambient against size", Kind.THERMAL_RESISTANCE, stated,
        follows, SURFACE_APART,
        sentence(
            template, diameter=(diameter, Kind.LENGTH), length=(length, Kind.LENGTH),
            follows=(follows, Kind.THERMAL_RESISTANCE),
        ),
        "finish of the surface and conduction into the mounting are not known",
    )  # fmt: skip


def _capacity_check(place: str, figures: Figures) -> Iterator[CrossCheck]:
    """Yield tau_m / R_ha against the mass, and on a plate that of the plate with it."""
    outer, slow = _number(figures, HEAT[1]), _number(figures, HEAT[3])
    mass = _number(figures, "mass")
    if outer is None or slow is None or mass is None:
        return
    follows = MOTOR_HEAT * mass
    side, thickness = _number(figures, "plate side"), _number(figures, "plate thickness")
    words = ""
    if side is not None and thickness is not None:
        follows += 2700.0 * 900.0 * side**2 * thickness  # aluminium, handbook values [kg/m3, J/(kg K)]
        words = " and its plate"
    stated = slow / outer
    template = f"{{slow}} over {{outer}} gives {{stated}}; a mass of {{mass}}{words} has about {{follows}}."
    ratio = stated / follows
    if ratio > 1.0 + CAPACITY_APART:
        extra = " A plate that is not given may be in it," if side is None else ""
        template += f"{extra} or the time constant is in another unit." if extra else " A unit may be wrong."
    elif ratio < 1.0 / (1.0 + CAPACITY_APART):
        template += " The time constant may be in minutes, or that of the winding alone."
    yield CrossCheck(
        "heat capacity", place, "heat capacity against mass", Kind.HEAT_CAPACITY, stated, follows,
        CAPACITY_APART,
        sentence(
            template, slow=(slow, Kind.TIME), outer=(outer, Kind.THERMAL_RESISTANCE),
            stated=(stated, Kind.HEAT_CAPACITY), mass=(mass, Kind.MASS),
            follows=(follows, Kind.HEAT_CAPACITY),
        ),
        "the mix of metals, and what the mounting stores, are not known",
    )  # fmt: skip


def _continuous_check(place: str, figures: Figures, c: MachineConstants) -> Iterator[CrossCheck]:
    """Yield the continuous torque against what the copper loss alone allows with the heat figures.

    K_0 (T / B)^2 r = (T_w - T_a) / (R_wh + R_ha), B the flux and r the resistance when hot. Drag takes
    from it, so on an enclosed motor the stated torque lies below; an open rotor cools itself.
    """
    inner, outer = _number(figures, HEAT[0]), _number(figures, HEAT[1])
    torque = _number(figures, "continuous torque")
    hot = _number(figures, "continuous torque winding")
    if inner is None or outer is None or torque is None or hot is None:
        return
    air = float(figures.get("continuous torque ambient", 25.0))
    if not hot > air:
        return
    six_step = figures.get("continuous torque commutation") == "six-step"
    k_0 = copper_loss_coefficient(c, "six-step" if six_step else "sinusoidal")
    core = air + (hot - air) * outer / (inner + outer)  # the magnets sit at the housing
    flux = float(magnet_flux_factor(core, c.magnet_temp_coefficient, c.magnet_ref_temp))
    rise = float(copper_resistance_factor(hot, c.resistance_ref_temp))
    follows = flux * math.sqrt((hot - air) / (inner + outer) / (k_0 * rise))
    is_open = figures.get("variant") == "open rotor"
    template = (
        "Copper loss alone, from {air} to {hot} through both thermal resistances at rest, allows {follows}."
    )
    cools_itself = is_open and torque > follows
    allowed = AIRFLOW_APART if cools_itself else CONTINUOUS_APART
    if max(torque / follows, follows / torque) - 1.0 > allowed:
        template += _continuous_words(torque > follows, is_open)
    yield CrossCheck(
        "continuous torque", place, "continuous torque against heat figures", Kind.TORQUE, torque, follows,
        allowed,
        sentence(
            template, air=(air, Kind.TEMPERATURE), hot=(hot, Kind.TEMPERATURE), follows=(follows, Kind.TORQUE)
        ),
        "an open rotor cools itself by turning, which the figures at rest leave out" if cools_itself else "",
    )  # fmt: skip


def _continuous_words(is_above: bool, is_open: bool) -> str:
    if is_above and is_open:
        return " Even its own airflow does not explain so much: was it measured on another plate?"
    if is_above:
        return (
            " The rating may hold for another plate or a fan, or a resistance or constant in another meaning."
        )
    return (
        " Drag may take the difference at its speed; else the rating keeps a reserve, or holds for another "
        "mounting or winding temperature."
    )


def _number(figures: Figures, key: str) -> float | None:
    value = figures.get(key)
    return value if isinstance(value, float) and value > 0.0 else None
