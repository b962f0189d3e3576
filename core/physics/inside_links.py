r"""Links inside a motor: slot lining, magnetic gap, end windings and cup through the air they share."""

from __future__ import annotations

import numpy as np

from core.numeric import FloatArray
from core.physics.air import SEA_LEVEL_PRESSURE, air_at
from core.physics.annular_gap import gap_conduction
from core.physics.geometry_links import GeometryLink, LinkSetting
from core.physics.inside_air import passing_air
from core.physics.motor_dimensions import FrameDimensions, OpenRotor
from core.physics.motor_surfaces import MotorSurfaces
from core.physics.radiation import facing_emissivity, radiation_coefficient
from core.physics.ventilation import BellOpenings, end_winding_coefficient, ventilation_flow

INSIDE_EMISSIVITY = 0.8
"""Of varnished windings, coated magnets, steel and the inside of a housing. Assumed, no source. [-]"""

REST_TEMP = 80.0
"""Usual temperature in a motor, at which radiation is taken out of the end-winding law. Assumed. [degC]"""

REST_PRESSURE_EXPONENT = 0.5
"""Of air at rest over pressure: laminar natural convection, Ra^0.25 with Ra as density squared. [-]"""
DRIVEN_PRESSURE_EXPONENT = 0.8
"""Of stirred air over pressure: turbulent, Re^0.8. Assumed. [-]"""


def solid_links(
    frame: FrameDimensions, surfaces: MotorSurfaces, setting: LinkSetting, nodes: tuple[int, int, int]
) -> list[GeometryLink]:
    r"""Return the links from winding to core and from core to rotor.

    Parameters
    ----------
    frame : FrameDimensions
        Slots, lining, magnetic gap. [-]
    surfaces : MotorSurfaces
        Area at the gap. [m2]
    setting : LinkSetting
        Air and factors. [-]
    nodes : tuple of int
        Winding, core, rotor. [-]

    Returns
    -------
    links : list of GeometryLink
        Slot lining; magnetic gap. [-]

    Notes
    -----
    In the magnetic gap the OUTER cylinder turns: no vortices, so the air conducts like a solid at every
    speed. Bearings and shaft are left out: a few 0.01 W/K (common practice, no source) that would
    bring core and rotor closer; without them the winding comes out hotter, not cooler.

    References
    ----------
    `annular_gap.gap_conduction`, `radiation.radiation_coefficient`.
    """
    winding, core, rotor = nodes
    lining = setting.factors.winding_core * frame.slot_wall_area * frame.lining_conductance
    mean = setting.grid.mean
    ratio = frame.stator_diameter / (frame.stator_diameter + 2.0 * frame.gap)
    emissivity = facing_emissivity(INSIDE_EMISSIVITY, INSIDE_EMISSIVITY, ratio)
    across = radiation_coefficient(emissivity, mean, mean)
    if setting.has_air:
        air = air_at(mean, setting.place.pressure)
        across = across + gap_conduction(0.5 * frame.stator_diameter, frame.gap, air.conductivity)
    return [
        GeometryLink("winding to core through the slot lining", (winding, core), fixed=lining),
        GeometryLink("core to rotor across the magnetic gap", (core, rotor), fixed=surfaces.gap * across),
    ]


def end_winding_links(
    frame: FrameDimensions,
    surfaces: MotorSurfaces,
    setting: LinkSetting,
    ends: dict[str, tuple[int, float]],
    flow: FloatArray,
    ambient: int,
) -> list[GeometryLink]:
    r"""Return the links of the end windings: radiation to the cup, and the air they share with others.

    Parameters
    ----------
    frame : FrameDimensions
        For the speed of the surface that stirs the air, the inside of the cup's rim. [-]
    surfaces : MotorSurfaces
        Areas. [m2]
    setting : LinkSetting
        Air, factors, speeds. [-]
    ends : dict
        What shares the air, by name: number of its node and area; end windings first, the cup second. [-, m2]
    flow : ndarray, shape (m,)
        What the air that passes through the openings carries, over speed. [W/K]
    ambient : int
        Number of the ambient air. [-]

    Returns
    -------
    links : list of GeometryLink
        Radiation; each two surfaces through the air between them; each surface to the ambient air. [-]

    Notes
    -----
    The law :math:`15.5(1 + 0.29 v)` contains radiation at rest: what the end windings radiate at
    `REST_TEMP` is taken out of its first term, since it has a link of its own. Both terms fall in thin air,
    by own exponents. All surfaces in this air have the same coefficient: the least certain law of all.
    A link that weakens as more air passes keeps its smallest value as its fixed part.

    References
    ----------
    `ventilation.end_winding_coefficient`, `inside_air.passing_air`.
    """
    names, numbers = list(ends), [number for number, _ in ends.values()]
    emissivity, mean = facing_emissivity(INSIDE_EMISSIVITY, INSIDE_EMISSIVITY), setting.grid.mean
    radiated = surfaces.end_winding_hull * radiation_coefficient(emissivity, mean, mean)
    to_cup = "end windings to the inside of the cup by radiation"
    links = [GeometryLink(to_cup, (numbers[0], numbers[1]), fixed=radiated)]
    if not setting.has_air:
        return links
    share = surfaces.end_winding_hull / surfaces.end_windings
    at_rest = share * float(radiation_coefficient(emissivity, REST_TEMP, REST_TEMP))
    coefficient = _inside_coefficient(frame, setting, at_rest)
    area = np.array([area for _, area in ends.values()])
    between, outwards = passing_air(area[:, None] * coefficient, flow)
    for i in range(len(ends)):
        for j in range(i + 1, len(ends)):
            least = float(between[i, j].min())
            name = f"{names[i]} to {names[j]} through the air inside"
            links.append(
                GeometryLink(name, (numbers[i], numbers[j]), fixed=least, forced=between[i, j] - least)
            )
        name = f"{names[i]} to ambient through the openings"
        links.append(GeometryLink(name, (numbers[i], ambient), forced=outwards[i]))
    return links


def _inside_coefficient(frame: FrameDimensions, setting: LinkSetting, radiated: float) -> FloatArray:
    """Return the coefficient of all surfaces in the air inside, shape (m,)."""
    factors, thin = setting.factors, setting.place.pressure / SEA_LEVEL_PRESSURE
    still = end_winding_coefficient(0.0)
    stirred = end_winding_coefficient(0.5 * frame.stator_diameter * setting.grid.speed) - still
    air_at_rest = max(float(still) - radiated, 0.0) * thin**REST_PRESSURE_EXPONENT
    driven = factors.turning * stirred * thin**DRIVEN_PRESSURE_EXPONENT
    coefficient: FloatArray = factors.end_winding * (air_at_rest + driven)
    return coefficient


def opening_flow(variant: OpenRotor, surfaces: MotorSurfaces, setting: LinkSetting) -> FloatArray:
    r"""Return what the air that a turning cup throws out of its openings carries.

    Parameters
    ----------
    variant : OpenRotor
        Where the openings are. [-]
    surfaces : MotorSurfaces
        Their area. [m2]
    setting : LinkSetting
        Air, factors, speeds. [-]

    Returns
    -------
    flow : ndarray, shape (m,)
        Mass flow times specific heat, 0 for a closed face and in vacuum. [W/K]

    References
    ----------
    `ventilation.ventilation_flow`.
    """
    speed = setting.grid.speed
    if surfaces.openings == 0.0 or not setting.has_air:
        return np.zeros_like(speed)
    air = air_at(setting.place.ambient_temp, setting.place.pressure)
    openings = BellOpenings(surfaces.openings, variant.opening_radius)
    flow = setting.factors.turning * air.heat_capacity * ventilation_flow(speed, openings, air.density)
    return np.asarray(flow)
