"""A motor frame with its windings and its open-rotor and enclosed variants, as a data sheet gives them."""

from typing import Annotated, Literal

import msgspec
from msgspec import Meta

from core.errors import ProjectFileError
from core.physics.conventions import (
    BackEmfConvention,
    InductanceConvention,
    ResistanceConvention,
    SpeedConstantConvention,
    TorqueConstantConvention,
)
from core.project.fittings import ShaftBearings
from core.project.motor_geometry import BellOpenings, FrameGeometry, HousingGeometry
from core.project.motor_heat import (
    ContinuousPoint,
    DataSheetHeat,
    GeometryHeat,
    HeatLink,
    HeatNode,
    NetworkHeat,
)
from core.project.saved import Count, Name, NotNegative, Positive, Saved, Temperature, Text

__all__ = [
    "BackEmfConstant", "BellOpenings", "ContinuousPoint", "DataSheetHeat", "Fitting", "FrameGeometry",
    "GeometryHeat", "HeatLink", "HeatNode", "HousingGeometry", "Inductance", "Leads", "Motor",
    "NetworkHeat", "NoLoadPoint", "Resistance", "ShaftEnd", "SpeedConstant", "ThermalClass",
    "Tolerates", "TorqueConstant", "Variant", "VariantKind", "Winding",
]  # fmt: skip

ThermalClass = Literal["A", "E", "B", "F", "H"]
VariantKind = Literal["open rotor", "enclosed"]
# what `core.physics.materials.magnet_flux_factor` holds for
MagnetCoefficient = Annotated[float, Meta(ge=-0.01, le=0.0)]
Fitting = Literal["encoder", "brake", "gear", "built-in electronics", "Hall sensors"]


class TorqueConstant(Saved, frozen=True, kw_only=True):
    """A torque constant with the kind of ampere that it means."""

    value: Positive = msgspec.field(name="value_Nm_A")
    convention: TorqueConstantConvention


class BackEmfConstant(Saved, frozen=True, kw_only=True):
    """A back-EMF constant with the kind of volt that it means."""

    value: Positive = msgspec.field(name="value_V_s_rad")
    convention: BackEmfConvention


class SpeedConstant(Saved, frozen=True, kw_only=True):
    """A speed constant with the kind of volt that it means."""

    value: Positive = msgspec.field(name="value_rad_s_V")
    convention: SpeedConstantConvention


class Resistance(Saved, frozen=True, kw_only=True):
    """A winding resistance, between which points it was measured, and at which temperature."""

    value: Positive = msgspec.field(name="value_ohm")
    convention: ResistanceConvention = "line-to-line"
    temp: Temperature = msgspec.field(name="at_degC", default=25.0)


class Inductance(Saved, frozen=True, kw_only=True):
    """A winding inductance and between which points it was measured."""

    value: NotNegative = msgspec.field(name="value_H")
    convention: InductanceConvention = "line-to-line"


class Winding(Saved, frozen=True, kw_only=True):
    """One winding of a frame. At least one of the three constants must be given.

    Parameters
    ----------
    turns_per_coil : int, optional
        Turns of one coil; ratios of turns scale the constants of a frame.
    connection : {"star", "delta"}
        How the phases are joined.
    peak_current : float, optional
        Largest current the winding may carry for a short time, in the ampere of six-step commutation. [A]
    demagnetisation_current : float, optional
        Current that weakens the magnets for good, at `demagnetisation_temp`. [A]
    """

    name: Name
    torque_constant: TorqueConstant | None = None
    back_emf_constant: BackEmfConstant | None = None
    speed_constant: SpeedConstant | None = None
    resistance: Resistance
    inductance: Inductance
    turns_per_coil: Count | None = None
    connection: Literal["star", "delta"] = "star"
    peak_current: Positive | None = msgspec.field(name="peak_current_A", default=None)
    demagnetisation_current: Positive | None = msgspec.field(name="demagnetisation_current_A", default=None)
    demagnetisation_temp: Temperature | None = msgspec.field(name="demagnetisation_at_degC", default=None)
    second_demagnetisation_current: Positive | None = msgspec.field(
        name="second_demagnetisation_current_A", default=None
    )
    second_demagnetisation_temp: Temperature | None = msgspec.field(
        name="second_demagnetisation_at_degC", default=None
    )
    linear_current: Positive | None = msgspec.field(name="linear_current_A", default=None)
    saturated_current: Positive | None = msgspec.field(name="saturated_current_A", default=None)
    saturated_torque: Positive | None = msgspec.field(name="saturated_torque_Nm", default=None)


class NoLoadPoint(Saved, frozen=True, kw_only=True):
    """Drag measured without load: speed and the torque that is needed to turn the rotor."""

    speed: Positive = msgspec.field(name="speed_rad_s")
    drag_torque: NotNegative = msgspec.field(name="drag_torque_Nm")


class Tolerates(Saved, frozen=True, kw_only=True):
    """What the variant stands, and whether its turning parts can be reached; None is unknown."""

    dust: bool | None = None
    magnetic_swarf: bool | None = None
    liquid: bool | None = None
    reach_of_fingers: bool | None = None


class Variant(Saved, frozen=True, kw_only=True):
    """The open-rotor or the enclosed form of a frame.

    Parameters
    ----------
    kind : {"open rotor", "enclosed"}
        Which form it is.
    rotor_inertia : float
        Moment of inertia of all that turns with the shaft. [kg m2]
    mass, diameter, length : float
        Without fittings. [kg, m, m]
    length_with_fittings : float, optional
        With all that is fitted in the delivered state (encoder, leads outlet). [m]
    largest_speed : float, optional
        Mechanical limit. [rad/s]
    no_load : tuple of NoLoadPoint
        Drag at one or more speeds.
    heat : DataSheetHeat, GeometryHeat or NetworkHeat, optional
        Thermal data.
    outside_surface : str
        What the part that can be touched is made of.
    rim_diameter : float, optional
        Diameter of the part that turns in the open. [m]
    """

    kind: VariantKind
    rotor_inertia: NotNegative = msgspec.field(name="rotor_inertia_kg_m2")
    mass: Positive | None = msgspec.field(name="mass_kg", default=None)
    diameter: Positive | None = msgspec.field(name="diameter_m", default=None)
    length: Positive | None = msgspec.field(name="length_m", default=None)
    length_with_fittings: Positive | None = msgspec.field(name="length_with_fittings_m", default=None)
    largest_speed: Positive | None = msgspec.field(name="largest_speed_rad_s", default=None)
    no_load: tuple[NoLoadPoint, ...] = ()
    heat: DataSheetHeat | GeometryHeat | NetworkHeat | None = None
    tolerates: Tolerates = Tolerates()
    outside_surface: Literal["bare metal", "coated metal", "plastic"] = "bare metal"
    rim_diameter: Positive | None = msgspec.field(name="rim_diameter_m", default=None)
    can_be_fitted_with: tuple[Fitting, ...] = ()
    protection: Text = ""


class ShaftEnd(Saved, frozen=True, kw_only=True):
    """One end of the shaft."""

    diameter: Positive = msgspec.field(name="diameter_m")
    length: NotNegative = msgspec.field(name="length_m")
    flat: NotNegative | None = msgspec.field(name="flat_depth_m", default=None)


class Leads(Saved, frozen=True, kw_only=True):
    """The motor's leads as delivered."""

    count: Count
    section: Positive = msgspec.field(name="section_mm2")
    insulation: Text = ""
    length: NotNegative = msgspec.field(name="length_m")


class Motor(Saved, frozen=True, kw_only=True):
    """A frame: everything its windings and variants share, and these two lists.

    Parameters
    ----------
    name : str
        The frame in plain words.
    pole_pairs, slots : int
        p and Q; `winding_layers` is 1 or 2 coil sides a slot.
    emf_shape : {"sinusoidal", "trapezoidal"}
        Shape of the back-EMF between two leads.
    magnet_temp_coefficient : float
        Reversible change of remanence. [1/K]
    magnet_limit : float, optional
        Highest temperature of the magnets. [degC]
    thermal_class : {"A", "E", "B", "F", "H"}, optional
        Thermal class of the winding; `winding_limit` states a limit that differs from it. [degC]
    cogging_torque : float, optional
        Amplitude of the cogging (detent) torque. [N m]
    geometry : FrameGeometry, optional
        Inner dimensions; a variant whose heat is given as "geometry" needs them.
    """

    name: Name
    origin: Text = ""
    pole_pairs: Count
    slots: Count | None = None
    winding_layers: Literal[1, 2] | None = None
    emf_shape: Literal["sinusoidal", "trapezoidal"] = "sinusoidal"
    magnet_temp_coefficient: MagnetCoefficient = msgspec.field(
        name="magnet_temp_coefficient_per_K", default=-0.0011
    )
    magnet_ref_temp: Temperature = msgspec.field(name="magnet_ref_degC", default=25.0)
    magnet_limit: Temperature | None = msgspec.field(name="magnet_limit_degC", default=None)
    thermal_class: ThermalClass | None = None
    winding_limit: Temperature | None = msgspec.field(name="winding_limit_degC", default=None)
    cogging_torque: NotNegative | None = msgspec.field(name="cogging_torque_Nm", default=None)
    bearings: Text = ""
    bearing_data: ShaftBearings | None = None
    hall_limit: Temperature | None = msgspec.field(name="hall_limit_degC", default=None)
    lubrication: Text = ""
    shaft_front: ShaftEnd | None = None
    shaft_rear: ShaftEnd | None = None
    leads: Leads | None = None
    connector: Text = ""
    geometry: FrameGeometry | None = None
    windings: tuple[Winding, ...] = ()
    variants: tuple[Variant, ...] = ()

    def __post_init__(self) -> None:
        super().__post_init__()
        for index, variant in enumerate(self.variants):
            if not isinstance(variant.heat, GeometryHeat):
                continue
            place = f"variants[{index}].heat"
            if self.geometry is None:
                rule = "heat from dimensions needs the dimensions of the frame (geometry) of"
                raise ProjectFileError(place, rule, self.name, True)
            if variant.kind == "enclosed" and variant.heat.housing is None:
                rule = "needs the dimensions of the housing of"
                raise ProjectFileError(place, rule, f"{self.name}, {variant.kind}", True)
