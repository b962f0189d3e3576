"""Loads that turn about an axis: table or disc, arm, and the load that is given directly.

A mass off the axis asks for gravity unless the axis is vertical, so the tilt of the axis or the angle
of the arm has no default.
"""

from __future__ import annotations

import math
from dataclasses import field

from core.errors import InputRangeError
from core.physics.body_inertia import GRAVITY
from core.physics.input_ranges import require_finite, require_not_negative
from core.physics.load_friction import RotaryFriction
from core.physics.load_terms import AxisLoad
from core.records import dataclass


@dataclass(frozen=True, slots=True)
class RotaryTable:
    r"""Table, disc, drum or platform about its bearing axis, with a mass off that axis.

    Attributes
    ----------
    inertia : float
        Inertia about the bearing axis of all that is centred, and of the off-centre mass about its own
        centre; its offset is added here. [kg m2]
    axis_tilt : float
        Angle between the bearing axis and the vertical: 0 for a turntable, pi/2 for a rotisserie. [rad]
    off_centre_mass : float
        Mass whose centre is off the axis. [kg]
    off_centre_distance : float
        Distance of that centre from the axis. [m]
    lowest_position : float
        Position at which the mass hangs lowest. [rad]
    friction : RotaryFriction
        Bearings and seals. [-]
    steady_torque : float
        Process in a fixed direction; positive resists positive motion. [N m]
    resisting_torque : float
        Process against the motion. [N m]
    """

    inertia: float
    axis_tilt: float
    off_centre_mass: float = 0.0
    off_centre_distance: float = 0.0
    lowest_position: float = 0.0
    friction: RotaryFriction = field(default_factory=RotaryFriction)
    steady_torque: float = 0.0
    resisting_torque: float = 0.0

    def __post_init__(self) -> None:
        """Refuse what no table can be."""
        require_not_negative("inertia", self.inertia, "kg m2")
        require_not_negative("off-centre mass", self.off_centre_mass, "kg")
        require_not_negative("off-centre distance", self.off_centre_distance, "m")
        if not 0.0 <= self.axis_tilt <= math.pi:
            raise InputRangeError("tilt of the axis", self.axis_tilt, "rad", "0 to pi")
        require_finite("lowest position", self.lowest_position, "rad")
        require_not_negative("resisting torque", self.resisting_torque, "N m")

    @property
    def gravity_moment(self) -> float:
        """Torque of the off-centre mass about a horizontal axis, at its highest. [N m]"""
        return self.off_centre_mass * GRAVITY * self.off_centre_distance

    def axis_load(self) -> AxisLoad:
        """Return what the table asks of its own axis."""
        offset = self.off_centre_mass * self.off_centre_distance**2
        # sin(pi) leaves 1e-16: a table upside down has a vertical axis too
        tilt = math.sin(self.axis_tilt)
        return AxisLoad(
            payload_inertia=self.inertia + offset,
            gravity_swing=self.gravity_moment * tilt if tilt > 1e-12 else 0.0,
            gravity_phase=-self.lowest_position,
            friction_torque=self.friction.constant,
            friction_viscous=self.friction.viscous,
            breakaway_torque=self.friction.breakaway,
            steady_torque=self.steady_torque,
            resisting_torque=self.resisting_torque,
        )


@dataclass(frozen=True, slots=True)
class SwingArm:
    r"""Arm about a horizontal axis, with a payload at its end.

    Attributes
    ----------
    payload_mass : float
        Mass at the end. [kg]
    lever : float
        Distance of the payload's centre from the axis that is driven. [m]
    arm_mass : float
        Mass of the arm itself, with what it carries on the way, as further motors. [kg]
    arm_centre : float
        Distance of the arm's own centre of mass from the axis. [m]
    zero_angle : float
        Angle of the arm above the horizontal at position 0; positive motion raises it from there. [rad]
    arm_inertia : float
        Inertia of the arm about its own centre of mass. [kg m2]
    payload_inertia : float
        Inertia of the payload about its own centre of mass. [kg m2]
    counter_mass : float
        Counterweight on the other side. [kg]
    counter_lever : float
        Distance of the counterweight from the axis. [m]
    friction : RotaryFriction
        Bearings and seals. [-]
    """

    payload_mass: float
    lever: float
    arm_mass: float
    arm_centre: float
    zero_angle: float
    arm_inertia: float = 0.0
    payload_inertia: float = 0.0
    counter_mass: float = 0.0
    counter_lever: float = 0.0
    friction: RotaryFriction = field(default_factory=RotaryFriction)

    def __post_init__(self) -> None:
        """Refuse negative masses and levers."""
        for name, unit in (
            ("payload_mass", "kg"),
            ("lever", "m"),
            ("arm_mass", "kg"),
            ("arm_centre", "m"),
            ("arm_inertia", "kg m2"),
            ("payload_inertia", "kg m2"),
            ("counter_mass", "kg"),
            ("counter_lever", "m"),
        ):
            require_not_negative(name.replace("_", " "), getattr(self, name), unit)
        require_finite("angle at position 0", self.zero_angle, "rad")

    @property
    def gravity_moment(self) -> float:
        """Gravity torque with the arm level, less the counterweight. [N m]"""
        load = self.payload_mass * self.lever + self.arm_mass * self.arm_centre
        return GRAVITY * (load - self.counter_mass * self.counter_lever)

    def axis_load(self) -> AxisLoad:
        """Return what the arm asks of its axis."""
        inertia = (
            self.payload_inertia
            + self.payload_mass * self.lever**2
            + self.arm_inertia
            + self.arm_mass * self.arm_centre**2
            + self.counter_mass * self.counter_lever**2
        )
        return AxisLoad(
            payload_inertia=inertia,
            gravity_swing=self.gravity_moment,
            gravity_phase=self.zero_angle + 0.5 * math.pi,
            friction_torque=self.friction.constant,
            friction_viscous=self.friction.viscous,
            breakaway_torque=self.friction.breakaway,
        )


@dataclass(frozen=True, slots=True)
class DirectRotaryLoad:
    r"""Inertia, friction and torque given at the axis: centrifuge, flywheel, or a load worked out elsewhere.

    Attributes
    ----------
    inertia : float
        Inertia. [kg m2]
    steady_torque : float
        Torque in a fixed direction, gravity of a hoist included, at rest too; positive resists positive
        motion. No default: 0 says that there is none. [N m]
    friction : RotaryFriction
        Bearings and seals. [-]
    resisting_torque : float
        Torque against the motion, absent at rest. [N m]
    square_torque : float
        Torque against the motion that goes with the square of the speed, as windage. [N m s2/rad2]
    """

    inertia: float
    steady_torque: float
    friction: RotaryFriction = field(default_factory=RotaryFriction)
    resisting_torque: float = 0.0
    square_torque: float = 0.0

    def __post_init__(self) -> None:
        """Refuse loads that would drive themselves."""
        require_not_negative("inertia", self.inertia, "kg m2")
        require_finite("steady torque", self.steady_torque, "N m")
        require_not_negative("resisting torque", self.resisting_torque, "N m")
        require_not_negative("torque with the square of speed", self.square_torque, "N m s2/rad2")

    def axis_load(self) -> AxisLoad:
        """Return the load itself."""
        return AxisLoad(
            payload_inertia=self.inertia,
            friction_torque=self.friction.constant,
            friction_viscous=self.friction.viscous,
            breakaway_torque=self.friction.breakaway,
            steady_torque=self.steady_torque,
            resisting_torque=self.resisting_torque,
            square_torque=self.square_torque,
        )
