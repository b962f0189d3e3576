"""Loads that move a fluid: fan, propeller or flow pump with the square of speed, and displacement pump."""

from __future__ import annotations

import math
from dataclasses import field

from core.errors import InputRangeError
from core.physics.input_ranges import require_not_negative, require_positive
from core.physics.load_friction import RotaryFriction
from core.physics.load_terms import AxisLoad
from core.records import dataclass


@dataclass(frozen=True, slots=True)
class FanLoad:
    r"""Fan, propeller, stirrer or flow pump, known from one point: torque goes with the square of speed.

    The law holds for one fluid, one system and fully turbulent flow.

    Attributes
    ----------
    torque : float
        Torque of the fluid at the known point. [N m]
    speed : float
        Speed at the known point. [rad/s]
    inertia : float
        Inertia of the wheel, entrained fluid included. [kg m2]
    friction : RotaryFriction
        Bearings and seals. [-]
    """

    torque: float
    speed: float
    inertia: float = 0.0
    friction: RotaryFriction = field(default_factory=RotaryFriction)

    def __post_init__(self) -> None:
        """Refuse a point that fixes no law."""
        require_not_negative("torque of the known point", self.torque, "N m")
        require_positive("speed of the known point", self.speed, "rad/s")
        require_not_negative("inertia", self.inertia, "kg m2")

    def axis_load(self) -> AxisLoad:
        """Return what the wheel asks of its shaft."""
        return AxisLoad(
            own_inertia=self.inertia,
            friction_torque=self.friction.constant,
            friction_viscous=self.friction.viscous,
            breakaway_torque=self.friction.breakaway,
            square_torque=self.torque / self.speed**2,
        )


@dataclass(frozen=True, slots=True)
class DisplacementPump:
    r"""Gear, piston, diaphragm or roller pump: torque goes with the pressure and not with the speed.

    Its valves hold the pressure at rest, so nothing is asked there.

    Attributes
    ----------
    displacement : float
        Volume per turn. [m3]
    pressure : float
        Pressure difference. [Pa]
    efficiency : float
        Hydraulic-mechanical efficiency. [-]
    dry_start_torque : float
        Torque at the instant of moving off, dry or after a long rest. [N m]
    inertia : float
        Inertia. [kg m2]
    friction : RotaryFriction
        Friction without pressure, as the squeezed tube of a roller pump. [-]
    """

    displacement: float
    pressure: float
    efficiency: float
    dry_start_torque: float = 0.0
    inertia: float = 0.0
    friction: RotaryFriction = field(default_factory=RotaryFriction)

    def __post_init__(self) -> None:
        """Refuse what no pump can be."""
        require_positive("displacement", self.displacement, "m3")
        require_not_negative("pressure", self.pressure, "Pa")
        if not 0.0 < self.efficiency <= 1.0:
            raise InputRangeError("hydraulic-mechanical efficiency", self.efficiency, "", "> 0 and <= 1")
        require_not_negative("dry start torque", self.dry_start_torque, "N m")
        require_not_negative("inertia", self.inertia, "kg m2")

    def speed_for_flow(self, flow: float, volumetric_efficiency: float = 1.0) -> float:
        """Return the speed for a flow [m3/s], with leakage by the volumetric efficiency. [rad/s]"""
        if not 0.0 < volumetric_efficiency <= 1.0:
            raise InputRangeError("volumetric efficiency", volumetric_efficiency, "", "> 0 and <= 1")
        return 2.0 * math.pi * flow / (self.displacement * volumetric_efficiency)

    def axis_load(self) -> AxisLoad:
        """Return what the pump asks of its shaft."""
        return AxisLoad(
            own_inertia=self.inertia,
            own_friction=self.friction.constant,
            friction_viscous=self.friction.viscous,
            breakaway_torque=max(self.dry_start_torque, self.friction.breakaway),
            resisting_torque=self.displacement * self.pressure / (2.0 * math.pi),
            efficiency=self.efficiency,
            back_efficiency=self.efficiency,
        )
