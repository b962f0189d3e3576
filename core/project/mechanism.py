"""What moves: the mechanism between payload and axis, with the figures a person knows.

A tilt, slope or inclination has no default: gravity is never left out silently.
"""

from typing import Annotated

import msgspec
from msgspec import Meta

from core.errors import InputRangeError
from core.project.saved import Count, NotNegative, Positive, Saved

Angle = Annotated[float, Meta(ge=-100.0, le=100.0)]
Efficiency = Annotated[float, Meta(gt=0.0, le=1.0)]


class RotaryFriction(Saved, frozen=True, kw_only=True):
    """Friction of bearings and seals."""

    constant: NotNegative = msgspec.field(name="constant_Nm", default=0.0)
    viscous: NotNegative = msgspec.field(name="viscous_Nm_s_per_rad", default=0.0)
    breakaway: NotNegative = msgspec.field(name="breakaway_Nm", default=0.0)


class LinearFriction(Saved, frozen=True, kw_only=True):
    """Friction of guides, seals or rolling; `coefficient` is force over pressing force."""

    coefficient: NotNegative = 0.0
    constant: NotNegative = msgspec.field(name="constant_N", default=0.0)
    viscous: NotNegative = msgspec.field(name="viscous_N_s_per_m", default=0.0)
    breakaway_ratio: Annotated[float, Meta(ge=1.0)] = 1.0


class RotaryTable(Saved, frozen=True, kw_only=True, tag_field="mechanism", tag="rotary table"):
    """Table, disc or drum about its axis; `axis_tilt` is counted from the vertical."""

    inertia: NotNegative = msgspec.field(name="inertia_kg_m2")
    axis_tilt: Angle = msgspec.field(name="axis_tilt_rad")
    off_centre_mass: NotNegative = msgspec.field(name="off_centre_mass_kg", default=0.0)
    off_centre_distance: NotNegative = msgspec.field(name="off_centre_distance_m", default=0.0)
    lowest_position: float = msgspec.field(name="lowest_position_rad", default=0.0)
    steady_torque: float = msgspec.field(name="steady_torque_Nm", default=0.0)
    resisting_torque: NotNegative = msgspec.field(name="resisting_torque_Nm", default=0.0)
    friction: RotaryFriction = RotaryFriction()


class SwingArm(Saved, frozen=True, kw_only=True, tag_field="mechanism", tag="arm"):
    """Arm about a horizontal axis with a payload; `zero_angle` is above the horizontal at position 0."""

    payload_mass: NotNegative = msgspec.field(name="payload_mass_kg")
    lever: NotNegative = msgspec.field(name="lever_m")
    arm_mass: NotNegative = msgspec.field(name="arm_mass_kg")
    arm_centre: NotNegative = msgspec.field(name="arm_centre_m")
    zero_angle: Angle = msgspec.field(name="zero_angle_rad")
    arm_inertia: NotNegative = msgspec.field(name="arm_inertia_kg_m2", default=0.0)
    payload_inertia: NotNegative = msgspec.field(name="payload_inertia_kg_m2", default=0.0)
    counter_mass: NotNegative = msgspec.field(name="counter_mass_kg", default=0.0)
    counter_lever: NotNegative = msgspec.field(name="counter_lever_m", default=0.0)
    friction: RotaryFriction = RotaryFriction()


class DirectRotaryLoad(Saved, frozen=True, kw_only=True, tag_field="mechanism", tag="inertia and torque"):
    """Inertia, friction and torque given at the axis."""

    inertia: NotNegative = msgspec.field(name="inertia_kg_m2")
    steady_torque: float = msgspec.field(name="steady_torque_Nm")
    resisting_torque: NotNegative = msgspec.field(name="resisting_torque_Nm", default=0.0)
    square_torque: NotNegative = msgspec.field(name="square_torque_Nm_s2_per_rad2", default=0.0)
    friction: RotaryFriction = RotaryFriction()


class ScrewDrive(Saved, frozen=True, kw_only=True, tag_field="mechanism", tag="screw"):
    """Lead or ball screw. Either `efficiency`, or `friction_angle` with `pitch_diameter`."""

    mass: NotNegative = msgspec.field(name="mass_kg")
    lead: Positive = msgspec.field(name="lead_m")
    inclination: Angle = msgspec.field(name="inclination_rad")
    efficiency: Efficiency | None = None
    friction_angle: NotNegative | None = msgspec.field(name="friction_angle_rad", default=None)
    pitch_diameter: Positive | None = msgspec.field(name="pitch_diameter_m", default=None)
    screw_inertia: NotNegative = msgspec.field(name="screw_inertia_kg_m2", default=0.0)
    preload_torque: NotNegative = msgspec.field(name="preload_torque_Nm", default=0.0)
    process_force: float = msgspec.field(name="process_force_N", default=0.0)
    resisting_force: NotNegative = msgspec.field(name="resisting_force_N", default=0.0)
    friction: LinearFriction = LinearFriction()

    def __post_init__(self) -> None:
        super().__post_init__()
        given = (self.efficiency is not None) + (self.friction_angle is not None)
        if given != 1:
            raise InputRangeError(
                "givens of the screw (efficiency, friction_angle)", given, "", "exactly one"
            )
        if self.friction_angle is not None and self.pitch_diameter is None:
            raise InputRangeError("pitch_diameter", 0.0, "m", "given beside a friction angle")


class BeltDrive(Saved, frozen=True, kw_only=True, tag_field="mechanism", tag="belt or rack"):
    """Belt, chain, rack or conveyor."""

    mass: NotNegative = msgspec.field(name="mass_kg")
    pulley_radius: Positive = msgspec.field(name="pulley_radius_m")
    inclination: Angle = msgspec.field(name="inclination_rad")
    pulley_inertia: NotNegative = msgspec.field(name="pulley_inertia_kg_m2", default=0.0)
    efficiency: Efficiency = 1.0
    process_force: float = msgspec.field(name="process_force_N", default=0.0)
    resisting_force: NotNegative = msgspec.field(name="resisting_force_N", default=0.0)
    friction: LinearFriction = LinearFriction()


class DrumWinch(Saved, frozen=True, kw_only=True, tag_field="mechanism", tag="drum or winch"):
    """Drum that winds a rope; positive travel winds in."""

    mass: NotNegative = msgspec.field(name="mass_kg")
    drum_radius: Positive = msgspec.field(name="drum_radius_m")
    inclination: Angle = msgspec.field(name="inclination_rad")
    counterweight: NotNegative = msgspec.field(name="counterweight_kg", default=0.0)
    drum_inertia: NotNegative = msgspec.field(name="drum_inertia_kg_m2", default=0.0)
    efficiency: Efficiency = 1.0
    resisting_force: NotNegative = msgspec.field(name="resisting_force_N", default=0.0)
    friction: LinearFriction = LinearFriction()


class WheelDrive(Saved, frozen=True, kw_only=True, tag_field="mechanism", tag="wheels"):
    """Vehicle on driven wheels; `friction.coefficient` is the rolling resistance."""

    mass: NotNegative = msgspec.field(name="mass_kg")
    wheel_radius: Positive = msgspec.field(name="wheel_radius_m")
    slope: Angle = msgspec.field(name="slope_rad")
    driven_wheels: Count
    friction: LinearFriction
    wheels: Count = 4
    wheel_inertia: NotNegative = msgspec.field(name="wheel_inertia_kg_m2", default=0.0)
    drag_area: NotNegative = msgspec.field(name="drag_area_m2", default=0.0)
    air_density: NotNegative = msgspec.field(name="air_density_kg_m3", default=1.2)
    efficiency: Efficiency = 1.0


class FanLoad(Saved, frozen=True, kw_only=True, tag_field="mechanism", tag="fan or flow pump"):
    """Torque with the square of the speed, from one known point."""

    torque: NotNegative = msgspec.field(name="torque_Nm")
    speed: Positive = msgspec.field(name="speed_rad_s")
    inertia: NotNegative = msgspec.field(name="inertia_kg_m2", default=0.0)
    friction: RotaryFriction = RotaryFriction()


class DisplacementPump(Saved, frozen=True, kw_only=True, tag_field="mechanism", tag="displacement pump"):
    """Torque with the pressure, whatever the speed."""

    displacement: Positive = msgspec.field(name="displacement_m3")
    pressure: NotNegative = msgspec.field(name="pressure_Pa")
    efficiency: Efficiency
    dry_start_torque: NotNegative = msgspec.field(name="dry_start_torque_Nm", default=0.0)
    inertia: NotNegative = msgspec.field(name="inertia_kg_m2", default=0.0)
    friction: RotaryFriction = RotaryFriction()


Mechanism = (
    RotaryTable
    | SwingArm
    | DirectRotaryLoad
    | ScrewDrive
    | BeltDrive
    | DrumWinch
    | WheelDrive
    | FanLoad
    | DisplacementPump
)
LINEAR = (ScrewDrive, BeltDrive, DrumWinch, WheelDrive)
COUNTS = ("driven_wheels", "wheels")


def whole_number(name: str, value: float) -> int:
    """Return a count that was typed as a number, or refuse it.

    Examples
    --------
    >>> whole_number("wheels", 4.0)
    4
    """
    if value != int(value):
        raise InputRangeError(name, value, "", "a whole number")
    return int(value)
