"""The application: what moves, where it sits, what feeds it, what it must meet. Shared by all candidates."""

from typing import Annotated, Literal

import msgspec
from msgspec import Meta

from core.project.duty_cycle import Segment
from core.project.feedback import MotionQuality
from core.project.fittings import Cable
from core.project.load import DutySource, Load, TraceSource
from core.project.mounting import Box, Guard, Mounting
from core.project.paperwork import Paperwork
from core.project.saved import Name, NotNegative, Positive, Saved, Share, Temperature, Text

Answer = Literal["yes", "no", "unknown"]
Allowance = Annotated[float, Meta(ge=0.0, le=100.0)]  # a hot spot beyond 100 K is a mistyped temperature
Altitude = Annotated[float, Meta(ge=-500.0, le=11000.0)]  # where the standard atmosphere falls evenly
ContactTime = Literal[1, 10, 60, 600, 28800]


class Surroundings(Saved, frozen=True, kw_only=True):
    """What the motor meets where it sits; an unknown answer is reported as not checked."""

    dust: Answer = "unknown"
    magnetic_swarf: Answer = "unknown"
    liquid: Answer = "unknown"
    reach_of_fingers: Answer = "unknown"


class Site(Saved, frozen=True, kw_only=True):
    """Where it sits.

    Parameters
    ----------
    ambient : float, optional
        Highest temperature of the surrounding air. [degC]
    lowest_ambient : float, optional
        Lowest temperature at which the drive must start; cold magnets raise the back-EMF. [degC]
    altitude : float
        Above sea level; thin air cools less. [m]
    air : {"air", "vacuum"}
        In vacuum only radiation and conduction carry heat.
    mounting : Mounting
        Plate, bracket or thermal resistance.
    around : Guard or Box, optional
        What keeps the free air away; without it the motor stands free.
    surroundings : Surroundings
        Dust, swarf, liquid, reach of fingers.
    """

    ambient: Temperature | None = msgspec.field(name="ambient_degC", default=None)
    lowest_ambient: Temperature | None = msgspec.field(name="lowest_ambient_degC", default=None)
    altitude: Altitude = msgspec.field(name="altitude_m", default=0.0)
    air: Literal["air", "vacuum"] = "air"
    mounting: Mounting = Mounting()
    around: Guard | Box | None = None
    surroundings: Surroundings = Surroundings()


class Supply(Saved, frozen=True, kw_only=True):
    """What feeds it: direct voltage at the drive electronics.

    Parameters
    ----------
    nominal_voltage, lowest_voltage, highest_voltage : float, optional
        Voltages; the lowest one decides what speed is reached, the highest one the no-load speed. [V]
    source_resistance : float
        Resistance of source and supply leads, both ways. [ohm]
    takes_energy_back : {"yes", "no", "unknown"}
        Whether braking energy can flow back.
    cable : Cable, optional
        From the source to the electronics; its two conductors add to `source_resistance`.
    capacitance : float
        On the bus, beside that of the electronics. [F]
    clamp_voltage : float, optional
        At which a clamp resistor switches on. [V]
    clamp_resistance, clamp_power : float, optional
        Of that resistor, and the mean power it stands. [ohm, W]
    battery_energy : float, optional
        Usable energy of a battery. [J]
    """

    nominal_voltage: Positive | None = msgspec.field(name="nominal_voltage_V", default=None)
    lowest_voltage: Positive | None = msgspec.field(name="lowest_voltage_V", default=None)
    highest_voltage: Positive | None = msgspec.field(name="highest_voltage_V", default=None)
    source_resistance: NotNegative = msgspec.field(name="source_resistance_ohm", default=0.0)
    takes_energy_back: Answer = "unknown"
    cable: Cable | None = None
    capacitance: NotNegative = msgspec.field(name="capacitance_F", default=0.0)
    clamp_voltage: Positive | None = msgspec.field(name="clamp_voltage_V", default=None)
    clamp_resistance: Positive | None = msgspec.field(name="clamp_resistance_ohm", default=None)
    clamp_power: Positive | None = msgspec.field(name="clamp_power_W", default=None)
    battery_energy: Positive | None = msgspec.field(name="battery_energy_J", default=None)


class Envelope(Saved, frozen=True, kw_only=True):
    """The room there is: limits of the motor with its fittings. An absent limit is not asked for."""

    largest_diameter: Positive | None = msgspec.field(name="largest_diameter_m", default=None)
    largest_length: Positive | None = msgspec.field(name="largest_length_m", default=None)
    largest_mass: Positive | None = msgspec.field(name="largest_mass_kg", default=None)


class Targets(Saved, frozen=True, kw_only=True):
    """Margins that the user wants, per kind of criterion, as a share of the limit.

    The defaults are common practice, no source.
    """

    torque_reserve: Share = 0.15
    temperature: Share = 0.10
    touch: Share = 0.0
    peak: Share = 0.10
    voltage: Share = 0.10
    speed: Share = 0.05
    frequency: Share = 0.10
    envelope: Share = 0.0
    supply: Share = 0.0
    ripple: Share = 0.0
    feedback: Share = 0.0
    brake: Share = 0.0
    bearing: Share = 0.0


class Requirements(Saved, frozen=True, kw_only=True):
    """What it must meet.

    Parameters
    ----------
    targets : Targets
        Wanted margins.
    envelope : Envelope
        Room and mass.
    touch_contact : int
        Contact time for which the outside must be safe to touch where fingers can reach it: 1 s, 10 s,
        1 min, 10 min or 8 h. [s]
    short_time : float
        Time of the short-time torque drawn in the speed-torque plane. [s]
    hot_spot_allowance : float
        By how much the hottest place of the winding is above its mean temperature. [K]
    motion : MotionQuality
        Lowest speed, ripple, accuracy and bandwidth.
    holding_factor : float
        Torque of a holding brake over the largest torque it must hold, common practice, no source.
    largest_drop : float, optional
        How far the load may move before the brake holds. [rad]
    largest_ripple : float
        Largest current ripple, peak to peak, over the continuous current, common practice, no source.
    """

    targets: Targets = Targets()
    envelope: Envelope = Envelope()
    touch_contact: ContactTime = msgspec.field(name="touch_contact_s", default=1)
    short_time: Positive = msgspec.field(name="short_time_s", default=10.0)
    hot_spot_allowance: Allowance = msgspec.field(name="hot_spot_allowance_K", default=10.0)
    motion: MotionQuality = MotionQuality()
    holding_factor: Positive = 2.0
    largest_drop: Positive | None = msgspec.field(name="largest_drop_rad", default=None)
    largest_ripple: Positive = 0.4


class Application(Saved, frozen=True, kw_only=True):
    """What is shared by all candidates.

    Parameters
    ----------
    duty_from : {"segments", "load", "trace"}
        Whether the duty at the motor shaft is `duty_cycle` as it stands, derived from `load`, or read
        from `trace`. What is not in use is kept, so that there is a way back.
    paperwork : Paperwork, optional
        Where the requirement comes from and who answers for the sheet.
    """

    title: Name = "Untitled application"
    notes: Text = ""
    duty_from: DutySource = "segments"
    duty_cycle: tuple[Segment, ...] = ()
    load: Load | None = None
    trace: TraceSource | None = None
    site: Site = Site()
    supply: Supply = Supply()
    requirements: Requirements = Requirements()
    paperwork: Paperwork | None = None
