"""Dimensions of a frame and its variants from which the heat network is computed."""

import msgspec

from core.errors import ProjectFileError
from core.project.mounting import Emissivity
from core.project.saved import Positive, Saved, Share


class FrameGeometry(Saved, frozen=True, kw_only=True):
    """Inner dimensions that all windings and variants of an outer-rotor frame share.

    Parameters
    ----------
    stator_diameter, yoke_diameter : float
        Over the tooth tips, and where the slots end. [m]
    stack_length : float
        Axial length of the stator steel. [m]
    gap : float
        Magnetic air gap, radial. [m]
    end_winding_length : float
        Axial height of the end winding on each side. [m]
    slot_wall_area : float
        Area through which the winding touches the steel behind its lining. [m2]
    lining_conductance : float
        Conductance of lining and impregnation per area. [W/(m2 K)]
    rotor_diameter, rotor_length : float
        Outer diameter of the cup and axial length of its rim. [m]
    flange_diameter : float
        Diameter of the face that is mounted. [m]
    copper_mass, core_mass, flange_mass, rotor_mass : float
        Masses. [kg]
    """

    stator_diameter: Positive = msgspec.field(name="stator_diameter_m")
    yoke_diameter: Positive = msgspec.field(name="yoke_diameter_m")
    stack_length: Positive = msgspec.field(name="stack_length_m")
    gap: Positive = msgspec.field(name="gap_m")
    end_winding_length: Positive = msgspec.field(name="end_winding_length_m")
    slot_wall_area: Positive = msgspec.field(name="slot_wall_area_m2")
    lining_conductance: Positive = msgspec.field(name="lining_conductance_W_m2K", default=250.0)
    rotor_diameter: Positive = msgspec.field(name="rotor_diameter_m")
    rotor_length: Positive = msgspec.field(name="rotor_length_m")
    flange_diameter: Positive = msgspec.field(name="flange_diameter_m")
    copper_mass: Positive = msgspec.field(name="copper_mass_kg")
    core_mass: Positive = msgspec.field(name="core_mass_kg")
    flange_mass: Positive = msgspec.field(name="flange_mass_kg")
    rotor_mass: Positive = msgspec.field(name="rotor_mass_kg")

    def __post_init__(self) -> None:
        super().__post_init__()
        grows = (
            ("yoke_diameter", self.yoke_diameter, "stator_diameter", self.stator_diameter),
            ("stator_diameter + 2 gap", self.stator_diameter + 2.0 * self.gap, "rotor_diameter",
             self.rotor_diameter),
        )  # fmt: skip
        for small_name, small, large_name, large in grows:
            if not small < large:
                rule = f"must be larger than {small_name}, which is {1000.0 * small:.4g} mm; it is [mm]"
                raise ProjectFileError(large_name, rule, f"{1000.0 * large:.4g}", True)


class HousingGeometry(Saved, frozen=True, kw_only=True):
    """The housing of an enclosed variant around the turning cup.

    Parameters
    ----------
    diameter, length : float
        Outside. [m]
    gap, face_clearance : float
        From the rim to the wall, and from the cup's face to the cover. [m]
    mass : float
        [kg]
    emissivity : float
        Of the outside.
    flange_contact : float
        Conductance of the joint between flange and housing. [W/K]
    """

    diameter: Positive = msgspec.field(name="diameter_m")
    length: Positive = msgspec.field(name="length_m")
    gap: Positive = msgspec.field(name="gap_m")
    face_clearance: Positive = msgspec.field(name="face_clearance_m")
    mass: Positive = msgspec.field(name="mass_kg")
    emissivity: Emissivity = 0.85
    flange_contact: Positive = msgspec.field(name="flange_contact_W_K", default=2.0)


class BellOpenings(Saved, frozen=True, kw_only=True):
    """Openings in the face of an open rotor's bell, through which air reaches the end winding.

    Parameters
    ----------
    share : float
        Share of the face that is open.
    mean_radius : float
        Radius at which they lie. [m]
    """

    share: Share
    mean_radius: Positive = msgspec.field(name="mean_radius_m")
