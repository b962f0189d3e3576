"""What tells the electronics where the rotor is: Hall sensors, an encoder, or the motor itself."""

from typing import Annotated, Literal

import msgspec
from msgspec import Meta

from core.project.saved import Count, Name, NotNegative, Positive, Saved, Share, Temperature, Text

EncoderStart = Literal["alignment", "Hall sensors", "absolute"]
LeastShare = Annotated[float, Meta(gt=0.0, lt=1.0)]


class HallSensors(Saved, frozen=True, kw_only=True, tag_field="kind", tag="Hall sensors"):
    """Hall sensors at the magnets.

    Parameters
    ----------
    edge_error : float
        Largest error of an edge, electrical. [rad]
    highest_temp : float, optional
        Of the board; it takes the temperature of the stator core. [degC]
    """

    name: Name = "three Hall sensors"
    origin: Text = ""
    sensors: Count = 3
    edge_error: NotNegative = msgspec.field(name="edge_error_rad", default=0.0)
    largest_signal_frequency: Positive | None = msgspec.field(
        name="largest_signal_frequency_Hz", default=None
    )
    highest_temp: Temperature | None = msgspec.field(name="highest_temp_degC", default=None)


class Encoder(Saved, frozen=True, kw_only=True, tag_field="kind", tag="encoder"):
    """An encoder.

    Parameters
    ----------
    counts : int
        Counts per turn, all edges counted.
    edges_per_line : int
        Edges that one line gives, 4 for two channels.
    start : {"alignment", "Hall sensors", "absolute"}
        How the rotor's angle is known at switch-on.
    at_load : bool
        Whether it sits at the load, behind the gear.
    highest_temp : float, optional
        [degC]
    length, mass, inertia : float
        What it adds to the motor. [m, kg, kg m2]
    """

    name: Name = "encoder"
    origin: Text = ""
    counts: Count
    edges_per_line: Count = 4
    start: EncoderStart = "alignment"
    index: bool = True
    at_load: bool = False
    largest_signal_frequency: Positive | None = msgspec.field(
        name="largest_signal_frequency_Hz", default=None
    )
    largest_speed: Positive | None = msgspec.field(name="largest_speed_rad_s", default=None)
    highest_temp: Temperature | None = msgspec.field(name="highest_temp_degC", default=None)
    length: NotNegative = msgspec.field(name="length_m", default=0.0)
    mass: NotNegative = msgspec.field(name="mass_kg", default=0.0)
    inertia: NotNegative = msgspec.field(name="inertia_kg_m2", default=0.0)


class Sensorless(Saved, frozen=True, kw_only=True, tag_field="kind", tag="sensorless"):
    """The back-EMF alone.

    Parameters
    ----------
    least_emf_share : float
        Back-EMF at the lowest speed over the supply voltage.
    start_torque_share : float
        Torque at the blind start over the continuous torque.
    """

    name: Name = "sensorless"
    origin: Text = ""
    least_emf_share: LeastShare = 0.1
    start_torque_share: Share = 0.3


Feedback = HallSensors | Encoder | Sensorless


class MotionQuality(Saved, frozen=True, kw_only=True):
    """What the motion must be like, at the load; an absent one is not asked for.

    Parameters
    ----------
    lowest_speed : float, optional
        Lowest controlled speed of the load. [rad/s]
    speed_ripple : float, optional
        Largest swing of the speed at that speed, peak to peak over mean.
    position_accuracy : float, optional
        Of the load. [rad]
    loop_bandwidth : float, optional
        Wanted bandwidth of the speed loop. [Hz]
    start_torque_share : float, optional
        Torque that the start must give, over the continuous torque.
    edges_per_bandwidth : float
        Signal edges per second over the bandwidth, assumed.
    """

    lowest_speed: Positive | None = msgspec.field(name="lowest_speed_rad_s", default=None)
    speed_ripple: Positive | None = None
    position_accuracy: Positive | None = msgspec.field(name="position_accuracy_rad", default=None)
    loop_bandwidth: Positive | None = msgspec.field(name="loop_bandwidth_Hz", default=None)
    start_torque_share: Positive | None = None
    edges_per_bandwidth: Positive = 10.0
