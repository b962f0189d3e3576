"""How a motor is mounted, and what stands around it: plate, bracket, guard, box."""

from typing import Annotated

import msgspec
from msgspec import Meta

from core.errors import ProjectFileError
from core.project.saved import Name, NotNegative, Positive, Saved, Share

Emissivity = Annotated[float, Meta(gt=0.0, le=1.0)]


class Plate(Saved, frozen=True, kw_only=True):
    """A plate in the free air that carries the motor on one face.

    Parameters
    ----------
    material : str
        In words.
    conductivity : float
        Thermal conductivity; a plastic plate is a plate with a low one. [W/(m K)]
    side : float
        Side of the square plate; another shape counts with its equal area. [m]
    thickness : float
        [m]
    emissivity : float
        Of both faces.
    joint_resistance : float
        Thermal resistance of the joint between flange and plate times its area. [K m2/W]
    """

    material: Name = "aluminium"
    conductivity: Positive = msgspec.field(name="conductivity_W_mK", default=160.0)
    side: Positive = msgspec.field(name="side_m")
    thickness: Positive = msgspec.field(name="thickness_m")
    emissivity: Emissivity = 0.85
    joint_resistance: NotNegative = msgspec.field(name="joint_resistance_K_m2_W", default=2e-4)


class Bracket(Saved, frozen=True, kw_only=True):
    """A bracket or arm between the motor and a large body at ambient temperature.

    Parameters
    ----------
    conductivity : float
        [W/(m K)]
    section, length : float
        Cross-section that conducts and the way to the body. [m2, m]
    perimeter : float
        Outline of the section, which the air cools. [m]
    """

    material: Name = "aluminium"
    conductivity: Positive = msgspec.field(name="conductivity_W_mK", default=160.0)
    section: Positive = msgspec.field(name="section_m2")
    length: Positive = msgspec.field(name="length_m")
    perimeter: Positive = msgspec.field(name="perimeter_m")
    emissivity: Emissivity = 0.85
    joint_resistance: NotNegative = msgspec.field(name="joint_resistance_K_m2_W", default=2e-4)


class Mounting(Saved, frozen=True, kw_only=True):
    """How the motor is mounted: as its data sheet says, or in one of four ways of the project.

    Parameters
    ----------
    name : str
        The mounting in words, as it stands in the headline of a chart.
    housing_ambient_resistance : float, optional
        Thermal resistance from housing to ambient at standstill with this mounting. [K/W]
    plate : Plate, optional
        A plate of the project.
    bracket : Bracket, optional
        A bracket of the project.
    insulated : bool
        The flange gives no heat to what carries it.

    Raises
    ------
    ProjectFileError
        If more than one way is given.
    """

    name: Name = "plate as in the data sheet"
    housing_ambient_resistance: Positive | None = msgspec.field(
        name="housing_ambient_resistance_K_W", default=None
    )
    plate: Plate | None = None
    bracket: Bracket | None = None
    insulated: bool = False

    def __post_init__(self) -> None:
        super().__post_init__()
        ways = {
            "housing_ambient_resistance_K_W": self.housing_ambient_resistance is not None,
            "plate": self.plate is not None,
            "bracket": self.bracket is not None,
            "insulated": self.insulated,
        }
        given = [way for way, is_given in ways.items() if is_given]
        if len(given) > 1:
            rule = "a mounting is given in one way only; remove all but one of"
            raise ProjectFileError("mounting", rule, ", ".join(given), True)

    @property
    def as_stated(self) -> bool:
        """Whether each motor sits on the plate of its own data sheet."""
        return not (self.insulated or self.housing_ambient_resistance or self.plate or self.bracket)


class Guard(Saved, frozen=True, kw_only=True, tag_field="kind", tag="guard"):
    """A guard around the rotor, with openings.

    Parameters
    ----------
    open_share : float
        Share of its surface that is open.
    clearance : float
        Distance from the rotor on all sides; it counts as room that the motor takes. [m]
    """

    open_share: Share
    clearance: Positive = msgspec.field(name="clearance_m", default=0.01)
    emissivity: Emissivity = 0.85


class Box(Saved, frozen=True, kw_only=True, tag_field="kind", tag="box"):
    """A closed box in which the motor sits with its mounting; its air is warmer than the ambient.

    Parameters
    ----------
    width, depth, height : float
        Inside dimensions. [m]
    wall_thickness, wall_conductivity : float
        [m, W/(m K)]
    emissivity : float
        Of the walls, inside and outside.
    other_heat : float
        Heat of everything else in the box: electronics, a second motor, a brake coil. [W]
    """

    width: Positive = msgspec.field(name="width_m")
    depth: Positive = msgspec.field(name="depth_m")
    height: Positive = msgspec.field(name="height_m")
    wall_material: Name = "plastic"
    wall_thickness: Positive = msgspec.field(name="wall_thickness_m", default=0.003)
    wall_conductivity: Positive = msgspec.field(name="wall_conductivity_W_mK", default=0.2)
    emissivity: Emissivity = 0.85
    other_heat: NotNegative = msgspec.field(name="other_heat_W", default=0.0)
