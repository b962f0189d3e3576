r"""Links of outer surfaces to the ambient air, and of a cup to the housing around it."""

from __future__ import annotations

from collections.abc import Callable
from math import pi

import numpy as np

from core.numeric import FloatArray, Numeric
from core.physics.air import air_at
from core.physics.annular_gap import gap_conduction
from core.physics.end_gap import end_gap_coefficient
from core.physics.geometry_links import GeometryLink, LinkSetting
from core.physics.inside_links import INSIDE_EMISSIVITY
from core.physics.motor_dimensions import EnclosedRotor, FrameDimensions, OpenRotor
from core.physics.motor_surfaces import MotorSurfaces
from core.physics.natural_convection import horizontal_cylinder_coefficient, vertical_plate_coefficient
from core.physics.radiation import facing_emissivity, radiation_coefficient
from core.physics.rotating_surfaces import cylinder_coefficient, disc_coefficient
from core.physics.turning_cup_gap import turning_inner_coefficient


def free_surface(
    name: str,
    node: tuple[int, int],
    area: float,
    natural: Callable[[FloatArray], Numeric],
    emissivity: float,
    setting: LinkSetting,
    driven: Numeric = 0.0,
) -> GeometryLink:
    r"""Return the link of an outer surface to the ambient air.

    Parameters
    ----------
    name : str
        What the surface is. [-]
    node : tuple of int
        Its node, and the ambient air. [-]
    area : float
        Its area. [m2]
    natural : callable
        Coefficient of natural convection for temperatures of the surface in degC. [W/(m2 K)]
    emissivity : float
        Of the surface. [-]
    setting : LinkSetting
        Air and factors. [-]
    driven : float or ndarray, shape (m,)
        Coefficient that the rotor drives, over speed. [W/(m2 K)]

    Returns
    -------
    link : GeometryLink
        Radiation by the mean, natural convection by the difference, what turns by the speed. [-]

    Notes
    -----
    One end is the ambient air, so mean and difference both name the temperature of the surface, and the
    tables hold exactly; a surface below ambient takes the convection of one as far above.

    References
    ----------
    `radiation.radiation_coefficient` and the law of natural convection given.
    """
    ambient, factors = setting.place.ambient_temp, setting.factors
    surface_temp = 2.0 * setting.grid.mean - ambient
    radiated = factors.surface * area * radiation_coefficient(emissivity, surface_temp, ambient)
    if not setting.has_air:
        return GeometryLink(name, node, fixed=radiated)
    rising = factors.surface * area * natural(ambient + setting.grid.difference)
    return GeometryLink(name, node, fixed=radiated, natural=rising, forced=factors.turning * area * driven)


def cup_in_air_links(
    frame: FrameDimensions,
    variant: OpenRotor,
    surfaces: MotorSurfaces,
    setting: LinkSetting,
    ends: tuple[int, int],
) -> list[GeometryLink]:
    r"""Return the links of an open rotor's rim and face to the ambient air.

    Parameters
    ----------
    frame : FrameDimensions
        Size of the cup. [-]
    variant : OpenRotor
        Its emissivity. [-]
    surfaces : MotorSurfaces
        Areas. [m2]
    setting : LinkSetting
        Air, factors, speeds. [-]
    ends : tuple of int
        Rotor, ambient air. [-]

    Returns
    -------
    links : list of GeometryLink
        Rim and face. [-]

    References
    ----------
    `rotating_surfaces` (turning cylinder, turning disc), `natural_convection`.
    """
    d, radius = frame.rotor_diameter, 0.5 * frame.rotor_diameter
    rim: Numeric = 0.0
    face: Numeric = 0.0
    if setting.has_air:
        air = air_at(setting.grid.usual_film_temp, setting.place.pressure)
        properties = (air.kinematic_viscosity, air.conductivity, air.prandtl)
        rim = cylinder_coefficient(setting.grid.speed, radius, *properties)
        face = disc_coefficient(setting.grid.speed, radius, *properties)
    e = variant.rotor_emissivity
    return [
        free_surface("rim of the cup to ambient", ends, surfaces.rim, _cylinder(d, setting), e, setting, rim),
        free_surface(
            "face of the cup to ambient", ends, surfaces.face, _upright(d, setting), e, setting, face
        ),
    ]


def flange_link(
    frame: FrameDimensions,
    variant: OpenRotor | EnclosedRotor,
    surfaces: MotorSurfaces,
    setting: LinkSetting,
    ends: tuple[int, int],
) -> GeometryLink:
    r"""Return the link of the flange's own surface to the ambient air.

    Parameters
    ----------
    frame : FrameDimensions
        Size of the flange. [-]
    variant : OpenRotor or EnclosedRotor
        Its emissivity. [-]
    surfaces : MotorSurfaces
        Areas. [m2]
    setting : LinkSetting
        Air, factors, carrier. [-]
    ends : tuple of int
        Core, ambient air. [-]

    Returns
    -------
    link : GeometryLink
        Its edge where it is not enclosed, its face where nothing carries it. [-]

    Notes
    -----
    The air that an open rotor throws over its flange is left out: no law for it, and its lack makes the
    motor come out hotter, not cooler.

    References
    ----------
    `natural_convection`, upright plate.
    """
    face = surfaces.flange_face if setting.place.carrier is None else 0.0
    edge = 0.0 if isinstance(variant, EnclosedRotor) else surfaces.flange_edge
    natural = _upright(frame.flange_diameter, setting)
    return free_surface("flange to ambient", ends, face + edge, natural, variant.flange_emissivity, setting)


def cup_in_housing_links(
    frame: FrameDimensions,
    variant: EnclosedRotor,
    surfaces: MotorSurfaces,
    setting: LinkSetting,
    ends: tuple[int, int],
) -> list[GeometryLink]:
    r"""Return the links of an enclosed cup's rim and face to the housing.

    Parameters
    ----------
    frame : FrameDimensions
        Size of the cup. [-]
    variant : EnclosedRotor
        Gap, clearance, emissivity. [-]
    surfaces : MotorSurfaces
        Areas. [m2]
    setting : LinkSetting
        Air, factors, speeds. [-]
    ends : tuple of int
        Rotor, housing. [-]

    Returns
    -------
    links : list of GeometryLink
        Rim and face. [-]

    Notes
    -----
    Conduction of air at rest and radiation follow the mean temperature; the rotor adds what the coefficient
    of the moved air has over that of air at rest. Radiation as between close surfaces, to a wall
    of `inside_links.INSIDE_EMISSIVITY`.

    References
    ----------
    `turning_cup_gap.turning_inner_coefficient`, `end_gap.end_gap_coefficient`.
    """
    radius, mean, speed = 0.5 * frame.rotor_diameter, setting.grid.mean, setting.grid.speed
    ratio = {"rim": radius / (radius + variant.gap), "face": 1.0}
    across = {
        part: radiation_coefficient(
            facing_emissivity(variant.rotor_emissivity, INSIDE_EMISSIVITY, ratio[part]), mean, mean
        )
        for part in ratio
    }
    moved: dict[str, Numeric] = {"rim": 0.0, "face": 0.0}
    if setting.has_air:
        still = air_at(mean, setting.place.pressure).conductivity
        across["rim"] = across["rim"] + gap_conduction(radius, variant.gap, still)
        across["face"] = across["face"] + still / variant.face_clearance
        air = air_at(setting.grid.usual_temp, setting.place.pressure)
        properties = (air.kinematic_viscosity, air.conductivity, air.prandtl)
        rim = np.asarray(turning_inner_coefficient(speed, radius, variant.gap, *properties))
        face = np.asarray(end_gap_coefficient(speed, radius, variant.face_clearance, *properties))
        moved = {"rim": rim - rim[0], "face": face - face[0]}
    area = {"rim": surfaces.rim, "face": surfaces.face}
    return [
        GeometryLink(
            f"{part} of the cup to the housing",
            ends,
            fixed=area[part] * across[part],
            forced=setting.factors.turning * area[part] * moved[part],
        )
        for part in area
    ]


def housing_links(
    frame: FrameDimensions,
    variant: EnclosedRotor,
    surfaces: MotorSurfaces,
    setting: LinkSetting,
    ends: tuple[int, int, int],
) -> list[GeometryLink]:
    r"""Return the links of housing and flange to each other and to the ambient air.

    Parameters
    ----------
    frame : FrameDimensions
        Size of the flange. [-]
    variant : EnclosedRotor
        Size of the housing, its joint with the flange. [-]
    surfaces : MotorSurfaces
        Areas. [m2]
    setting : LinkSetting
        Air, factors, carrier. [-]
    ends : tuple of int
        Core, housing, ambient air. [-]

    Returns
    -------
    links : list of GeometryLink
        Joint; wall; end faces; flange. [-]

    Notes
    -----
    The end faces are the cover and, where nothing carries the motor, the ring around the flange.

    References
    ----------
    `natural_convection`: level cylinder, upright plate.
    """
    core, housing, ambient = ends
    d, out = variant.diameter, (housing, ambient)
    whole = 0.25 * pi * d**2
    ring = max(whole - surfaces.flange_face, 0.0) if setting.place.carrier is None else 0.0
    wall = _cylinder(d, setting)
    cover = _upright(d, setting)
    e = variant.emissivity
    return [
        GeometryLink("flange to housing through their joint", (core, housing), fixed=variant.flange_contact),
        free_surface("wall of the housing to ambient", out, pi * d * variant.length, wall, e, setting),
        free_surface("end faces of the housing to ambient", out, whole + ring, cover, e, setting),
        flange_link(frame, variant, surfaces, setting, (core, ambient)),
    ]


def _cylinder(diameter: float, setting: LinkSetting) -> Callable[[FloatArray], Numeric]:
    """Return natural convection of a level cylinder over the temperature of its surface."""
    place = setting.place
    return lambda temp: horizontal_cylinder_coefficient(diameter, temp, place.ambient_temp, place.pressure)


def _upright(height: float, setting: LinkSetting) -> Callable[[FloatArray], Numeric]:
    """Return natural convection of an upright face over the temperature of its surface."""
    place = setting.place
    return lambda temp: vertical_plate_coefficient(height, temp, place.ambient_temp, place.pressure)
