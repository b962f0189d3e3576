r"""Loads that travel along a line: screw, belt or rack, drum or winch, wheel drive.

The payload's coordinate is in metres; positive travel on an incline goes up. The inclination has no
default, so that gravity is never forgotten: 0 says that the way is level.
"""

from __future__ import annotations

import math
from dataclasses import field

from core.errors import InputRangeError
from core.physics.body_inertia import GRAVITY
from core.physics.input_ranges import require_finite, require_not_negative, require_positive
from core.physics.load_friction import LinearFriction
from core.physics.load_terms import AxisLoad
from core.records import dataclass


def slope_from_percent(percent: float) -> float:
    r"""Return the angle of a slope given as rise over level run.

    Parameters
    ----------
    percent : float
        Rise per hundred of level run. [%]

    Returns
    -------
    slope : float
        :math:`\arctan(p/100)`. [rad]

    References
    ----------
    Definition of a grade, common practice, no source.

    Examples
    --------
    >>> round(math.degrees(slope_from_percent(100.0)), 9)
    45.0
    """
    require_finite("slope", percent, "%")
    return math.atan(percent / 100.0)


def back_efficiency_of(efficiency: float) -> float:
    r"""Return the back-driving efficiency of a mechanism of which only the efficiency is known.

    Parameters
    ----------
    efficiency : float
        Efficiency while the load takes power. [-]

    Returns
    -------
    back_efficiency : float
        :math:`2 - 1/\eta`; negative: self-locking. [-]

    Notes
    -----
    The same loss torque in both directions. Near :math:`\tan(\lambda - \varphi)/\tan\lambda` of a
    screw while lead and friction angle are small.

    References
    ----------
    First principles.

    Examples
    --------
    >>> back_efficiency_of(0.8), back_efficiency_of(0.4)
    (0.75, -0.5)
    """
    _require_efficiency(efficiency)
    return 2.0 - 1.0 / efficiency


def _require_efficiency(efficiency: float) -> None:
    if not 0.0 < efficiency <= 1.0:
        raise InputRangeError("efficiency", efficiency, "", "> 0 and <= 1")


def _require_incline(name: str, angle: float) -> None:
    if not -0.5 * math.pi - 1e-9 <= angle <= 0.5 * math.pi + 1e-9:
        raise InputRangeError(name, angle, "rad", "-pi/2 to pi/2")


@dataclass(frozen=True, slots=True)
class ScrewDrive:
    r"""Lead screw or ball screw that moves a mass; the input axis is the screw.

    Attributes
    ----------
    mass : float
        Mass that travels. [kg]
    lead : float
        Travel per turn. [m]
    inclination : float
        Angle of the way above the horizontal in positive travel: 0 level, pi/2 straight up. [rad]
    efficiency : float or None
        Efficiency while the screw drives the load, if that is known. [-]
    friction_angle : float or None
        Friction angle of the thread, if that is known instead; needs the pitch diameter. [rad]
    pitch_diameter : float or None
        Diameter at which the thread bears. [m]
    screw_inertia : float
        Inertia of screw and coupling. [kg m2]
    preload_torque : float
        Drag torque of a preloaded nut and of the end bearings. [N m]
    friction : LinearFriction
        Guides, wipers, seals. [-]
    process_force : float
        Force in a fixed direction, at rest too; positive resists positive travel. [N]
    resisting_force : float
        Force against the motion, as of cutting. [N]
    """

    mass: float
    lead: float
    inclination: float
    efficiency: float | None = None
    friction_angle: float | None = None
    pitch_diameter: float | None = None
    screw_inertia: float = 0.0
    preload_torque: float = 0.0
    friction: LinearFriction = field(default_factory=LinearFriction)
    process_force: float = 0.0
    resisting_force: float = 0.0

    def __post_init__(self) -> None:
        """Refuse a screw whose losses are not fixed by exactly one figure."""
        require_not_negative("mass", self.mass, "kg")
        require_positive("lead", self.lead, "m")
        _require_incline("inclination", self.inclination)
        require_not_negative("screw inertia", self.screw_inertia, "kg m2")
        require_not_negative("preload torque", self.preload_torque, "N m")
        require_finite("process force", self.process_force, "N")
        require_not_negative("resisting force", self.resisting_force, "N")
        givens = (self.efficiency is not None) + (self.friction_angle is not None)
        if givens != 1:
            raise InputRangeError("givens of a screw (efficiency, friction angle)", givens, "", "exactly one")
        if self.efficiency is not None:
            _require_efficiency(self.efficiency)
        if self.pitch_diameter is not None:
            require_positive("pitch diameter", self.pitch_diameter, "m")
        if self.friction_angle is not None:
            self._require_thread(self.friction_angle)

    def _require_thread(self, friction_angle: float) -> None:
        if self.pitch_diameter is None:
            raise InputRangeError("pitch diameter", math.nan, "m", "given with the friction angle")
        if not 0.0 <= friction_angle < 0.5 * math.pi - math.atan(self.lead / (math.pi * self.pitch_diameter)):
            raise InputRangeError(
                "friction angle", friction_angle, "rad", ">= 0, and with the lead angle below pi/2"
            )

    @property
    def lead_angle(self) -> float | None:
        """Angle of the thread at the pitch diameter, None if that is not known. [rad]"""
        return None if self.pitch_diameter is None else math.atan(self.lead / (math.pi * self.pitch_diameter))

    @property
    def drive_efficiency(self) -> float:
        r"""Efficiency while the load takes power, :math:`\tan\lambda / \tan(\lambda + \varphi)`. [-]"""
        if self.efficiency is not None:
            return self.efficiency
        angle, friction = self.lead_angle, self.friction_angle
        assert angle is not None
        assert friction is not None
        return math.tan(angle) / math.tan(angle + friction)

    @property
    def back_efficiency(self) -> float:
        r"""Torque at the screw over lossless torque while the load gives power; negative: self-locking. [-]

        :math:`\tan(\lambda - \varphi)/\tan\lambda`; :math:`2 - 1/\eta` without a pitch diameter.
        """
        angle, friction = self.lead_angle, self.friction_angle
        if angle is None:
            return back_efficiency_of(self.drive_efficiency)
        if friction is None:
            friction = math.atan(math.tan(angle) / self.drive_efficiency) - angle
        return math.tan(angle - friction) / math.tan(angle)

    def axis_load(self) -> AxisLoad:
        """Return what slide and screw ask of the screw."""
        per_turn = self.lead / (2.0 * math.pi)
        weight = self.mass * GRAVITY
        running = self.friction.force(weight * math.cos(self.inclination)) * per_turn
        return AxisLoad(
            input_per_payload=1.0 / per_turn,
            payload_inertia=self.mass * per_turn**2,
            own_inertia=self.screw_inertia,
            gravity_torque=weight * math.sin(self.inclination) * per_turn,
            friction_torque=running,
            friction_viscous=self.friction.viscous * per_turn**2,
            own_friction=self.preload_torque,
            breakaway_torque=running * self.friction.breakaway_ratio + self.preload_torque,
            steady_torque=self.process_force * per_turn,
            resisting_torque=self.resisting_force * per_turn,
            efficiency=self.drive_efficiency,
            back_efficiency=self.back_efficiency,
        )


@dataclass(frozen=True, slots=True)
class BeltDrive:
    r"""Belt, chain, rack or conveyor that moves a mass; the input axis is the pulley or pinion.

    Attributes
    ----------
    mass : float
        Mass that travels, belt or rack included. [kg]
    pulley_radius : float
        Pitch radius of pulley or pinion. [m]
    inclination : float
        Angle of the way above the horizontal in positive travel: 0 level, pi/2 straight up. [rad]
    pulley_inertia : float
        Inertia of all pulleys, seen at the input. [kg m2]
    efficiency : float
        Efficiency of the mesh or the bending belt while the load takes power. [-]
    friction : LinearFriction
        Guides, wipers, seals. [-]
    process_force : float
        Force in a fixed direction, at rest too; positive resists positive travel. [N]
    resisting_force : float
        Force against the motion. [N]
    """

    mass: float
    pulley_radius: float
    inclination: float
    pulley_inertia: float = 0.0
    efficiency: float = 1.0
    friction: LinearFriction = field(default_factory=LinearFriction)
    process_force: float = 0.0
    resisting_force: float = 0.0

    def __post_init__(self) -> None:
        """Refuse what no belt can be."""
        require_not_negative("mass", self.mass, "kg")
        require_positive("pulley radius", self.pulley_radius, "m")
        _require_incline("inclination", self.inclination)
        require_not_negative("pulley inertia", self.pulley_inertia, "kg m2")
        _require_efficiency(self.efficiency)
        require_finite("process force", self.process_force, "N")
        require_not_negative("resisting force", self.resisting_force, "N")

    def axis_load(self) -> AxisLoad:
        """Return what mass and pulleys ask of the driven pulley."""
        r, weight = self.pulley_radius, self.mass * GRAVITY
        running = self.friction.force(weight * math.cos(self.inclination)) * r
        return AxisLoad(
            input_per_payload=1.0 / r,
            payload_inertia=self.mass * r**2,
            own_inertia=self.pulley_inertia,
            gravity_torque=weight * math.sin(self.inclination) * r,
            friction_torque=running,
            friction_viscous=self.friction.viscous * r**2,
            breakaway_torque=running * self.friction.breakaway_ratio,
            steady_torque=self.process_force * r,
            resisting_torque=self.resisting_force * r,
            efficiency=self.efficiency,
            back_efficiency=back_efficiency_of(self.efficiency),
        )


@dataclass(frozen=True, slots=True)
class DrumWinch:
    r"""Drum that winds a rope; positive travel winds in. The input axis is the drum.

    Attributes
    ----------
    mass : float
        Mass on the rope. [kg]
    drum_radius : float
        Radius to the middle of the rope. [m]
    inclination : float
        Angle of the pull above the horizontal: pi/2 for a hoist, 0 for hauling on the level. [rad]
    counterweight : float
        Mass that goes down while the load goes up. [kg]
    drum_inertia : float
        Inertia of drum and brake. [kg m2]
    efficiency : float
        Efficiency of rope and pulleys while the load takes power. [-]
    friction : LinearFriction
        Guides or rolling of the load, and drag. [-]
    resisting_force : float
        Further force against the motion. [N]
    """

    mass: float
    drum_radius: float
    inclination: float
    counterweight: float = 0.0
    drum_inertia: float = 0.0
    efficiency: float = 1.0
    friction: LinearFriction = field(default_factory=LinearFriction)
    resisting_force: float = 0.0

    def __post_init__(self) -> None:
        """Refuse what no winch can be."""
        require_not_negative("mass", self.mass, "kg")
        require_positive("drum radius", self.drum_radius, "m")
        if not 0.0 <= self.inclination <= 0.5 * math.pi + 1e-9:
            raise InputRangeError("inclination", self.inclination, "rad", "0 to pi/2: a rope only pulls")
        require_not_negative("counterweight", self.counterweight, "kg")
        require_not_negative("drum inertia", self.drum_inertia, "kg m2")
        _require_efficiency(self.efficiency)
        require_not_negative("resisting force", self.resisting_force, "N")

    def axis_load(self) -> AxisLoad:
        """Return what load, counterweight and drum ask of the drum."""
        r, weight = self.drum_radius, self.mass * GRAVITY
        running = self.friction.force(weight * math.cos(self.inclination)) * r
        return AxisLoad(
            input_per_payload=1.0 / r,
            payload_inertia=(self.mass + self.counterweight) * r**2,
            own_inertia=self.drum_inertia,
            gravity_torque=(weight * math.sin(self.inclination) - self.counterweight * GRAVITY) * r,
            friction_torque=running,
            friction_viscous=self.friction.viscous * r**2,
            breakaway_torque=running * self.friction.breakaway_ratio,
            resisting_torque=self.resisting_force * r,
            efficiency=self.efficiency,
            back_efficiency=back_efficiency_of(self.efficiency),
        )


@dataclass(frozen=True, slots=True)
class WheelDrive:
    r"""Vehicle on driven wheels that share its load equally; the input axis is one driven wheel.

    Attributes
    ----------
    mass : float
        Mass of the vehicle with its payload. [kg]
    wheel_radius : float
        Rolling radius. [m]
    slope : float
        Angle of the ground above the horizontal in positive travel. [rad]
    driven_wheels : int
        Number of wheels with a drive each. [-]
    friction : LinearFriction
        `coefficient` is the rolling resistance, `constant` the drag of something towed. [-]
    wheels : int
        Number of all wheels, for their inertia. [-]
    wheel_inertia : float
        Inertia of one wheel. [kg m2]
    drag_area : float
        Drag coefficient times frontal area. [m2]
    air_density : float
        Density of the air. [kg/m3]
    efficiency : float
        Efficiency of what lies between this axis and the ground while driving. [-]
    centre_height : float
        Height of the centre of mass above the ground; 0: tipping is not checked. [m]
    support_distance : float
        Distance along the ground from the centre of mass to the nearer axle. [m]
    """

    mass: float
    wheel_radius: float
    slope: float
    driven_wheels: int
    friction: LinearFriction
    wheels: int = 4
    wheel_inertia: float = 0.0
    drag_area: float = 0.0
    air_density: float = 1.2
    efficiency: float = 1.0
    centre_height: float = 0.0
    support_distance: float = 0.0

    def __post_init__(self) -> None:
        """Refuse what no vehicle can be."""
        require_positive("mass", self.mass, "kg")
        require_positive("wheel radius", self.wheel_radius, "m")
        _require_incline("slope", self.slope)
        if self.driven_wheels < 1:
            raise InputRangeError("number of driven wheels", self.driven_wheels, "", ">= 1")
        if self.wheels < self.driven_wheels:
            raise InputRangeError(
                "number of wheels", self.wheels, "", f">= the {self.driven_wheels} driven ones"
            )
        for name, unit in (
            ("wheel_inertia", "kg m2"),
            ("drag_area", "m2"),
            ("air_density", "kg/m3"),
            ("centre_height", "m"),
            ("support_distance", "m"),
        ):
            require_not_negative(name.replace("_", " "), getattr(self, name), unit)
        _require_efficiency(self.efficiency)

    @property
    def tipping_acceleration(self) -> float:
        r"""Change of speed at which an axle lifts, the slope against it; infinite if not checked. [m/s2]

        :math:`g\,(b\cos\alpha - h\sin|\alpha|)/h`, moments about the nearer axle.
        """
        h, b, angle = self.centre_height, self.support_distance, abs(self.slope)
        return GRAVITY * (b * math.cos(angle) - h * math.sin(angle)) / h if h > 0.0 else math.inf

    def axis_load(self) -> AxisLoad:
        """Return what the vehicle asks of each driven wheel."""
        r, n, weight = self.wheel_radius, self.driven_wheels, self.mass * GRAVITY
        running = self.friction.force(weight * math.cos(self.slope)) * r / n
        return AxisLoad(
            input_per_payload=1.0 / r,
            payload_inertia=(self.mass * r**2 + (self.wheels - n) * self.wheel_inertia) / n,
            own_inertia=self.wheel_inertia,
            gravity_torque=weight * math.sin(self.slope) * r / n,
            friction_torque=running,
            friction_viscous=self.friction.viscous * r**2 / n,
            breakaway_torque=running * self.friction.breakaway_ratio,
            square_torque=0.5 * self.air_density * self.drag_area * r**3 / n,
            efficiency=self.efficiency,
            back_efficiency=back_efficiency_of(self.efficiency),
        )
