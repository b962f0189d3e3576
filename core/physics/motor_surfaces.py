r"""Which surfaces a motor of given dimensions has, and which dimensions cannot go together."""

from __future__ import annotations

from math import pi

from core.errors import InputRangeError
from core.physics.motor_dimensions import EnclosedRotor, FrameDimensions, OpenRotor
from core.records import dataclass

FLANGE_DENSITY = 2700.0
"""Density of the flange, aluminium; its mass then gives its thickness. From memory. [kg/m3]"""


@dataclass(frozen=True, slots=True)
class MotorSurfaces:
    """Areas through which heat passes in a motor.

    Parameters
    ----------
    gap : float
        Of the stator at the magnetic gap. [m2]
    end_windings : float
        Of both end windings to the air: outside, inside and front of each ring. [m2]
    end_winding_hull : float
        Of both end windings to radiation: outside and front, since the inside sees itself. [m2]
    cup_inside : float
        Inside of the cup's face and of its rim beyond the stack. [m2]
    rim, face : float
        Outside of the cup: its rim, and its face without the openings. [m2]
    openings : float
        Of the face. [m2]
    flange_face, flange_edge : float
        The face that is mounted, and the edge around it. [m2]

    References
    ----------
    Geometry.
    """

    gap: float
    end_windings: float
    end_winding_hull: float
    cup_inside: float
    rim: float
    face: float
    openings: float
    flange_face: float
    flange_edge: float


def motor_surfaces(frame: FrameDimensions, opening_share: float = 0.0) -> MotorSurfaces:
    r"""Return the surfaces of a frame.

    Parameters
    ----------
    frame : FrameDimensions
        The dimensions. [-]
    opening_share : float, default a closed face
        Share of the cup's face that is open. [-]

    Returns
    -------
    surfaces : MotorSurfaces
        Their areas. [-]

    Notes
    -----
    The edge of the flange is :math:`\pi d t` with the thickness :math:`t = m/(\rho\,\pi d^2/4)`.

    References
    ----------
    Geometry.

    Examples
    --------
    >>> frame = FrameDimensions(0.04, 0.02, 0.01, 5e-4, 0.003, 1e-3, 100.0, 0.045, 0.016, 0.04,
    ...     0.02, 0.04, 0.03, 0.04)
    >>> surfaces = motor_surfaces(frame, 0.25)
    >>> round(surfaces.rim * 1e6, 1), round(surfaces.face * 1e6, 1)  # pi 45 16; 0.75 pi 45^2/4
    (2261.9, 1192.8)
    """
    outer, inner, height = frame.stator_diameter, frame.yoke_diameter, frame.end_winding_length
    front = 0.25 * pi * (outer**2 - inner**2)
    whole_face = 0.25 * pi * frame.rotor_diameter**2
    closed = (1.0 - opening_share) * whole_face
    overhang = max(frame.rotor_length - frame.stack_length, 0.0)
    flange_face = 0.25 * pi * frame.flange_diameter**2
    thickness = frame.flange_mass / (FLANGE_DENSITY * flange_face)
    return MotorSurfaces(
        gap=pi * outer * frame.stack_length,
        end_windings=2.0 * (pi * (outer + inner) * height + front),
        end_winding_hull=2.0 * (pi * outer * height + front),
        cup_inside=closed + pi * outer * overhang,
        rim=pi * frame.rotor_diameter * frame.rotor_length,
        face=closed,
        openings=opening_share * whole_face,
        flange_face=flange_face,
        flange_edge=pi * frame.flange_diameter * thickness,
    )


def refuse_impossible(frame: FrameDimensions, variant: OpenRotor | EnclosedRotor) -> None:
    """Refuse dimensions that cannot go together.

    Parameters
    ----------
    frame : FrameDimensions
        The frame. [-]
    variant : OpenRotor or EnclosedRotor
        What is around it. [-]

    Raises
    ------
    InputRangeError
        If one part does not fit into the other, or openings have no radius on the face.

    References
    ----------
    Geometry.

    Examples
    --------
    >>> frame = FrameDimensions(0.04, 0.02, 0.01, 5e-4, 0.003, 1e-3, 100.0, 0.045, 0.016, 0.04,
    ...     0.02, 0.04, 0.03, 0.04)
    >>> refuse_impossible(frame, OpenRotor(opening_share=0.2, opening_radius=0.015))
    """
    _require_below("yoke diameter", frame.yoke_diameter, frame.stator_diameter, "the stator diameter")
    bore = frame.stator_diameter + 2.0 * frame.gap
    _require_below("stator diameter with the gap", bore, frame.rotor_diameter, "the rotor diameter")
    if isinstance(variant, EnclosedRotor):
        wall = frame.rotor_diameter + 2.0 * variant.gap
        _require_below("rotor diameter with its gap", wall, variant.diameter, "the diameter of the housing")
        inside = frame.rotor_length + variant.face_clearance
        _require_below("rotor length with its clearance", inside, variant.length, "the length of the housing")
        return
    radius = 0.5 * frame.rotor_diameter
    if variant.opening_share > 0.0 and not 0.0 < variant.opening_radius <= radius:
        rule = f"> 0 and at most {radius:.4g} m, the radius of the rotor, where the face is open"
        raise InputRangeError("radius of the openings", variant.opening_radius, "m", rule)


def _require_below(name: str, value: float, bound: float, bound_name: str) -> None:
    if not value < bound:
        raise InputRangeError(name, value, "m", f"below {bound_name}, {bound:.4g} m")
