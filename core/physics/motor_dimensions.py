r"""What a heat network from dimensions is made of: frame, variant, place, and factors on the laws.

Plain dimensions in SI units. An outer-rotor motor: a wound stator core on a flange, a cup with magnets
turning around it, and, where it is enclosed, a housing around the cup.
"""

from __future__ import annotations

from core.errors import InputRangeError
from core.physics.input_ranges import require_finite, require_not_negative, require_positive
from core.records import dataclass


@dataclass(frozen=True, slots=True)
class FrameDimensions:
    """Inner dimensions and masses of a frame.

    Parameters
    ----------
    stator_diameter, yoke_diameter : float
        Over the tooth tips, and where the slots end. [m]
    stack_length, gap, end_winding_length : float
        Axial length of the steel, radial magnetic gap, axial height of each end winding. [m]
    slot_wall_area : float
        Area through which the winding touches the steel behind its lining. [m2]
    lining_conductance : float
        Of lining and impregnation. [W/(m2 K)]
    rotor_diameter, rotor_length : float
        Outer diameter of the cup, axial length of its rim. [m]
    flange_diameter : float
        Of the face that is mounted. [m]
    copper_mass, core_mass, flange_mass, rotor_mass : float
        Masses. [kg]

    References
    ----------
    Own formulation.
    """

    stator_diameter: float
    yoke_diameter: float
    stack_length: float
    gap: float
    end_winding_length: float
    slot_wall_area: float
    lining_conductance: float
    rotor_diameter: float
    rotor_length: float
    flange_diameter: float
    copper_mass: float
    core_mass: float
    flange_mass: float
    rotor_mass: float

    def __post_init__(self) -> None:
        for name in self.__slots__:
            require_positive(name.replace("_", " "), getattr(self, name), _unit(name))


@dataclass(frozen=True, slots=True)
class OpenRotor:
    """An open rotor: the cup turns in the free air, its face may have openings.

    Parameters
    ----------
    opening_share, opening_radius : float
        Share of the face that is open, and the radius at which the openings lie; 0 is a closed face. [-, m]
    rotor_emissivity, flange_emissivity : float
        Of the surfaces that meet the air. [-]

    References
    ----------
    Own formulation.
    """

    opening_share: float = 0.0
    opening_radius: float = 0.0
    rotor_emissivity: float = 0.85
    flange_emissivity: float = 0.85

    def __post_init__(self) -> None:
        if not 0.0 <= self.opening_share <= 1.0:
            raise InputRangeError("open share of the rotor's face", self.opening_share, "", "from 0 to 1")
        require_not_negative("radius of the openings", self.opening_radius, "m")


@dataclass(frozen=True, slots=True)
class EnclosedRotor:
    """A rotor in a housing.

    Parameters
    ----------
    diameter, length : float
        Outside of the housing. [m]
    gap, face_clearance : float
        From the rim to the wall, and from the cup's face to the cover. [m]
    mass : float
        Of the housing. [kg]
    flange_contact : float
        Conductance of the joint between flange and housing. [W/K]
    emissivity, rotor_emissivity, flange_emissivity : float
        Of the outside, of the cup, of the flange. [-]

    References
    ----------
    Own formulation.
    """

    diameter: float
    length: float
    gap: float
    face_clearance: float
    mass: float
    flange_contact: float
    emissivity: float = 0.85
    rotor_emissivity: float = 0.85
    flange_emissivity: float = 0.85

    def __post_init__(self) -> None:
        for name in ("diameter", "length", "gap", "face_clearance", "mass", "flange_contact"):
            require_positive(f"{name.replace('_', ' ')} of the housing", getattr(self, name), _unit(name))


@dataclass(frozen=True, slots=True)
class CarryingPlate:
    """A square plate in the free air, the motor on one face.

    Parameters
    ----------
    conductivity, side, thickness : float
        [W/(m K), m, m]
    emissivity : float
        Of both faces. [-]
    joint_resistance : float
        Of the joint to the flange, times its area. [K m2/W]

    References
    ----------
    Own formulation.
    """

    conductivity: float
    side: float
    thickness: float
    emissivity: float = 0.85
    joint_resistance: float = 2e-4


@dataclass(frozen=True, slots=True)
class CarryingBracket:
    """A bracket to a large body at ambient temperature.

    Parameters
    ----------
    conductivity, section, length, perimeter : float
        [W/(m K), m2, m, m]
    emissivity : float
        Of its surface. [-]
    joint_resistance : float
        Of the joint to the flange, times its area. [K m2/W]

    References
    ----------
    Own formulation.
    """

    conductivity: float
    section: float
    length: float
    perimeter: float
    emissivity: float = 0.85
    joint_resistance: float = 2e-4


@dataclass(frozen=True, slots=True)
class HeatPlace:
    """Where a motor sits, as far as heat is concerned.

    Parameters
    ----------
    ambient_temp : float
        Of the air. [degC]
    pressure : float, default sea level
        Of the air; 0 is vacuum. [Pa]
    carrier : CarryingPlate or CarryingBracket, optional
        What the flange is mounted to; None is a flange that gives no heat to what carries it.

    References
    ----------
    Own formulation.
    """

    ambient_temp: float
    pressure: float = 101325.0
    carrier: CarryingPlate | CarryingBracket | None = None

    def __post_init__(self) -> None:
        require_finite("ambient temperature", self.ambient_temp, "degC")
        require_not_negative("air pressure", self.pressure, "Pa")


@dataclass(frozen=True, slots=True)
class LawFactors:
    """Factors on the laws: 1 is what dimensions alone give; a calibration finds others.

    Parameters
    ----------
    winding_core : float
        On the conductance of the slot lining. [-]
    end_winding : float
        On the coefficient of the end windings. [-]
    surface : float
        On natural convection and radiation of the outer surfaces. [-]
    turning : float
        On everything that the rotor drives. [-]
    winding_capacity, body_capacity : float
        On the heat capacity of the winding and of all other nodes. [-]

    References
    ----------
    Own formulation.
    """

    winding_core: float = 1.0
    end_winding: float = 1.0
    surface: float = 1.0
    turning: float = 1.0
    winding_capacity: float = 1.0
    body_capacity: float = 1.0

    def __post_init__(self) -> None:
        for name in self.__slots__:
            require_positive(f"factor on {name.replace('_', ' ')}", getattr(self, name), "")


def _unit(name: str) -> str:
    """Return the unit of a dimension by its name; lengths have none in theirs."""
    last = name.rpartition("_")[2]
    return {"mass": "kg", "area": "m^2", "conductance": "W/(m^2 K)", "contact": "W/K"}.get(last, "m")
