r"""What a data sheet and a project say about heat: resistances, time constants, a rated point, a mounting."""

from __future__ import annotations

from core.errors import InputRangeError
from core.findings import Finding
from core.physics.heat_network import HeatNetwork
from core.physics.heat_pieces import CopperLaw
from core.physics.input_ranges import require_finite, require_not_negative, require_positive
from core.records import dataclass

CONSTANT_MAGNETS = CopperLaw()
"""Copper of IEC 60034-1 referred to 25 degC, magnets that keep their flux. [-]"""


@dataclass(frozen=True, slots=True)
class HeatFigures:
    r"""Thermal figures of a data sheet, on the stated plate, at standstill.

    Parameters
    ----------
    winding_to_housing : float
        R_wh (open rotor: winding to stator). [K/W]
    housing_to_ambient : float
        R_ha (open rotor: stator to ambient). [K/W]
    winding_time_constant : float
        :math:`\tau_w = R_{wh} C_w`. [s]
    motor_time_constant : float
        :math:`\tau_m = R_{ha} (C_w + C_h)`. [s]

    References
    ----------
    Definitions of the time constants: common practice, no source.
    """

    winding_to_housing: float
    housing_to_ambient: float
    winding_time_constant: float
    motor_time_constant: float

    def __post_init__(self) -> None:
        require_positive("thermal resistance winding to housing", self.winding_to_housing, "K/W")
        require_positive("thermal resistance housing to ambient", self.housing_to_ambient, "K/W")
        require_positive("time constant of the winding", self.winding_time_constant, "s")
        least = self.housing_to_ambient * self.winding_capacity
        if not self.motor_time_constant > least:
            rule = f"> {least:.4g} s = R_ha tau_w / R_wh, so that the housing keeps a heat capacity"
            raise InputRangeError("time constant of the motor", self.motor_time_constant, "s", rule)

    @property
    def winding_capacity(self) -> float:
        """Heat capacity of the winding. [J/K]"""
        return self.winding_time_constant / self.winding_to_housing

    @property
    def housing_capacity(self) -> float:
        """Heat capacity of everything else, on the stated plate. [J/K]"""
        return self.motor_time_constant / self.housing_to_ambient - self.winding_capacity


@dataclass(frozen=True, slots=True)
class RotorFigures:
    """A rotor node, where its figures are known.

    Parameters
    ----------
    core_to_rotor : float
        Thermal resistance from stator core to rotor through gap and bearings. [K/W]
    capacity : float
        Heat capacity of the rotor. [J/K]
    rotor_to_ambient : float, optional
        Thermal resistance from rotor to ambient at standstill; none inside a housing. [K/W]

    References
    ----------
    Own formulation.
    """

    core_to_rotor: float
    capacity: float
    rotor_to_ambient: float | None = None

    def __post_init__(self) -> None:
        require_positive("thermal resistance core to rotor", self.core_to_rotor, "K/W")
        require_positive("heat capacity of the rotor", self.capacity, "J/K")
        if self.rotor_to_ambient is not None:
            require_positive("thermal resistance rotor to ambient", self.rotor_to_ambient, "K/W")


@dataclass(frozen=True, slots=True)
class RatedPoint:
    r"""One stated continuous torque and what was known of the losses there.

    Parameters
    ----------
    shaft_torque : float
        Continuous torque at the shaft. [N m]
    speed : float
        Rated speed, above zero. [rad/s]
    ambient_temp : float
        Ambient to which the torque refers. [degC]
    winding_limit : float
        Mean winding temperature to which it refers. [degC]
    drag_torque : float
        Drag torque at the rated speed. [N m]
    core_drag_torque : float
        Part of it whose heat enters the core: iron and bearings; windage goes to the air. [N m]
    copper_per_torque_squared : float
        K_0 at the reference temperatures. [W/(N m)^2]
    extra_copper : float, default 0
        Copper loss of the current ripple at reference. [W]
    copper_law : CopperLaw, default constant magnets at 25 degC
        Reference temperatures and magnet coefficient. [-]

    References
    ----------
    Own formulation.
    """

    shaft_torque: float
    speed: float
    ambient_temp: float
    winding_limit: float
    drag_torque: float
    core_drag_torque: float
    copper_per_torque_squared: float
    extra_copper: float = 0.0
    copper_law: CopperLaw = CONSTANT_MAGNETS

    def __post_init__(self) -> None:
        require_positive("rated torque", self.shaft_torque, "N m")
        require_positive("rated speed", self.speed, "rad/s")
        require_not_negative("drag torque at rated speed", self.drag_torque, "N m")
        require_finite("rated ambient", self.ambient_temp, "degC")
        if not self.winding_limit > self.ambient_temp:
            rule = f"above the rated ambient of {self.ambient_temp:g} degC"
            raise InputRangeError("rated winding limit", self.winding_limit, "degC", rule)
        if not 0.0 <= self.core_drag_torque <= self.drag_torque:
            rule = f"between 0 and the drag torque of {self.drag_torque:g} N m"
            raise InputRangeError("drag torque that heats the core", self.core_drag_torque, "N m", rule)


@dataclass(frozen=True, slots=True)
class Mounting:
    r"""Where the motor sits in the project, as far as it differs from the data sheet.

    Parameters
    ----------
    ambient_temp : float
        Ambient air. [degC]
    housing_to_ambient : float, optional
        R_ha of this mounting; by default that of the data sheet. [K/W]
    plate_share : float, default 0
        Share of the standstill heat that the mounting plate takes, a sink of its own. [-]
    plate_temp : float, optional
        Temperature of the plate; by default ambient. [degC]
    convection_factor : float, default 1
        Natural and rotor-driven convection relative to sea level: thin air carries less, vacuum none. [-]

    References
    ----------
    Own formulation.
    """

    ambient_temp: float
    housing_to_ambient: float | None = None
    plate_share: float = 0.0
    plate_temp: float | None = None
    convection_factor: float = 1.0

    def __post_init__(self) -> None:
        require_finite("ambient temperature", self.ambient_temp, "degC")
        require_not_negative("convection factor", self.convection_factor, "")
        if self.housing_to_ambient is not None:
            require_positive("thermal resistance of the mounting", self.housing_to_ambient, "K/W")
        if not 0.0 <= self.plate_share < 1.0:
            raise InputRangeError("share of heat into the plate", self.plate_share, "", "from 0 to below 1")


@dataclass(frozen=True, slots=True)
class DataSheetNetwork:
    """A network and what was used and assumed to make it.

    Parameters
    ----------
    network : HeatNetwork
        Ready for the project's ambient and mounting. [-]
    findings : tuple of Finding
        Figures used, assumptions, time constants. [-]

    References
    ----------
    Own formulation.
    """

    network: HeatNetwork
    findings: tuple[Finding, ...]
