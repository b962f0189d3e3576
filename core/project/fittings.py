"""Brake, cable, bearings and the forces on the shaft."""

import msgspec

from core.errors import ProjectFileError
from core.project.saved import Name, NotNegative, Positive, Saved, Share, Temperature, Text


class HoldingBrake(Saved, frozen=True, kw_only=True):
    """A brake that holds without power.

    Parameters
    ----------
    holding_torque : float
        Least static torque at the motor shaft. [N m]
    engage_delay, release_delay : float
        From switching off until it holds, from switching on until it is free. [s]
    largest_stop_energy, heat_power : float, optional
        Energy of one emergency stop, and mean power that it can give off. [J, W]
    pull_in_power, hold_voltage_share : float
        Power of the coil at its voltage, and share of the voltage at which it is held. [W, -]
    pull_in_time : float
        How long the full voltage is on. [s]
    on_motor : bool
        Whether the coil's heat goes into the motor.
    length, mass, inertia : float
        What it adds to the motor. [m, kg, kg m2]
    """

    name: Name = "holding brake"
    origin: Text = ""
    holding_torque: Positive = msgspec.field(name="holding_torque_Nm")
    engage_delay: NotNegative = msgspec.field(name="engage_delay_s", default=0.0)
    release_delay: NotNegative = msgspec.field(name="release_delay_s", default=0.0)
    largest_stop_energy: Positive | None = msgspec.field(name="largest_stop_energy_J", default=None)
    heat_power: Positive | None = msgspec.field(name="heat_power_W", default=None)
    pull_in_power: NotNegative = msgspec.field(name="pull_in_power_W", default=0.0)
    hold_voltage_share: Share = 1.0
    pull_in_time: NotNegative = msgspec.field(name="pull_in_time_s", default=0.0)
    on_motor: bool = True
    highest_temp: Temperature | None = msgspec.field(name="highest_temp_degC", default=None)
    length: NotNegative = msgspec.field(name="length_m", default=0.0)
    mass: NotNegative = msgspec.field(name="mass_kg", default=0.0)
    inertia: NotNegative = msgspec.field(name="inertia_kg_m2", default=0.0)


class Cable(Saved, frozen=True, kw_only=True):
    """A cable of flexible conductors, given by its section or its gauge.

    Parameters
    ----------
    length : float
        One way. [m]
    section : float, optional
        Nominal cross-section. [mm2]
    gauge : int, optional
        American wire gauge.
    temp : float
        Temperature of the conductors. [degC]

    Raises
    ------
    ProjectFileError
        If section and gauge are both given, or neither.
    """

    length: NotNegative = msgspec.field(name="length_m")
    section: Positive | None = msgspec.field(name="section_mm2", default=None)
    gauge: int | None = None
    temp: Temperature = msgspec.field(name="conductor_degC", default=60.0)

    def __post_init__(self) -> None:
        super().__post_init__()
        if (self.section is None) == (self.gauge is None):
            given = "neither" if self.section is None else f"{self.section:g} mm2 and gauge {self.gauge}"
            raise ProjectFileError(
                "cable", "is given by its section or by its gauge, one of the two; given", given, True
            )
        if self.gauge is not None and not -3 <= self.gauge <= 40:
            raise ProjectFileError("gauge", "must be between -3 (4/0) and 40", str(self.gauge), True)


class BearingData(Saved, frozen=True, kw_only=True):
    """One deep-groove ball bearing: dynamic and static load rating. [N]"""

    dynamic_rating: Positive = msgspec.field(name="dynamic_rating_N")
    static_rating: Positive = msgspec.field(name="static_rating_N")


class ShaftBearings(Saved, frozen=True, kw_only=True):
    """The two bearings of a motor.

    Parameters
    ----------
    front_distance : float
        From the mounting face back to the front bearing. [m]
    span : float
        From the front to the rear bearing. [m]
    preload : float
        Axial. [N]
    """

    front: BearingData
    rear: BearingData
    front_distance: NotNegative = msgspec.field(name="front_distance_m")
    span: Positive = msgspec.field(name="span_m")
    preload: NotNegative = msgspec.field(name="preload_N", default=0.0)


class ShaftForce(Saved, frozen=True, kw_only=True):
    """What pulls at the motor shaft from outside.

    Parameters
    ----------
    radial, axial : float
        Forces. [N]
    distance : float
        Of the radial force from the mounting face. [m]
    wanted_life : float, optional
        Hours of operation that the bearings are to last. [h]
    """

    radial: NotNegative = msgspec.field(name="radial_N", default=0.0)
    axial: NotNegative = msgspec.field(name="axial_N", default=0.0)
    distance: NotNegative = msgspec.field(name="distance_m", default=0.0)
    wanted_life: Positive | None = msgspec.field(name="wanted_life_h", default=None)
