"""The drive electronics of a candidate, as a parts file or a person gives them."""

from typing import Literal

import msgspec

from core.errors import InputRangeError
from core.physics.conventions import Commutation
from core.project.saved import Name, NotNegative, Positive, Saved, Share, Temperature, Text

Modulation = Literal["space-vector", "sine-triangle"]
Switching = Literal["unipolar", "bipolar"]
FeedbackKind = Literal["Hall sensors", "encoder", "sensorless"]


class Drive(Saved, frozen=True, kw_only=True):
    """The drive electronics.

    Currents are amplitudes: link current in six-step, peak phase current in sinusoidal commutation.

    Parameters
    ----------
    continuous_current, peak_current : float, optional
        Limits. [A]
    peak_time : float, optional
        How long the peak current may last. [s]
    standstill_share : float
        Share of the continuous current that is allowed at standstill.
    lowest_supply, highest_supply : float, optional
        Supply range. [V]
    trip_voltage : float, optional
        Voltage on the bus at which the electronics switch off or fail. [V]
    bus_capacitance : float
        Capacitance on the bus inside the electronics. [F]
    largest_duty : float
        Largest usable share of the supply voltage. [-]
    modulation : {"space-vector", "sine-triangle"}
        How sinusoidal voltage is made; decides U/sqrt3 or U/2.
    switching : {"unipolar", "bipolar"}
        Six-step switching between zero and the supply voltage, or between plus and minus of it.
    pwm_frequency, control_frequency : float, optional
        Of the switching, and of the current control where it differs. [Hz]
    commutations : tuple
        Kinds of commutation it can do; empty is all.
    feedback_kinds : tuple
        Feedback it can take; empty is unknown.
    field_weakening : bool
        Whether it can weaken the field in sinusoidal commutation.
    on_resistance : float
        Of one switch. [ohm]
    device_drop : float
        Constant voltage drop of the conducting devices, six-step. [V]
    switching_time : float
        Time of one switching on and off together, for its loss. [s]
    largest_electrical_frequency : float, optional
        Electrical turns a second up to which they commutate. [Hz]
    idle_power : float
        What they take while the motor has no current. [W]
    built_in : bool
        Whether it is built into the motor, where its heat warms the motor.
    highest_ambient : float, optional
        Highest temperature around it; for built-in electronics that of the motor's outside. [degC]
    mass : float, optional
        Of the electronics, where it counts with the motor. [kg]
    """

    name: Name = "unnamed electronics"
    origin: Text = ""
    continuous_current: Positive | None = msgspec.field(name="continuous_current_A", default=None)
    peak_current: Positive | None = msgspec.field(name="peak_current_A", default=None)
    peak_time: Positive | None = msgspec.field(name="peak_time_s", default=None)
    standstill_share: Share = 1.0
    lowest_supply: Positive | None = msgspec.field(name="lowest_supply_V", default=None)
    highest_supply: Positive | None = msgspec.field(name="highest_supply_V", default=None)
    trip_voltage: Positive | None = msgspec.field(name="trip_voltage_V", default=None)
    bus_capacitance: NotNegative = msgspec.field(name="bus_capacitance_F", default=0.0)
    largest_duty: Positive = 0.95
    modulation: Modulation = "space-vector"
    switching: Switching = "unipolar"
    pwm_frequency: Positive | None = msgspec.field(name="pwm_frequency_Hz", default=None)
    control_frequency: Positive | None = msgspec.field(name="control_frequency_Hz", default=None)
    commutations: tuple[Commutation, ...] = ()
    feedback_kinds: tuple[FeedbackKind, ...] = ()
    field_weakening: bool = False
    on_resistance: NotNegative = msgspec.field(name="on_resistance_ohm", default=0.0)
    device_drop: NotNegative = msgspec.field(name="device_drop_V", default=0.0)
    switching_time: NotNegative = msgspec.field(name="switching_time_s", default=0.0)
    largest_electrical_frequency: Positive | None = msgspec.field(
        name="largest_electrical_frequency_Hz", default=None
    )
    idle_power: NotNegative = msgspec.field(name="idle_power_W", default=0.0)
    built_in: bool = False
    highest_ambient: Temperature | None = msgspec.field(name="highest_ambient_degC", default=None)
    mass: Positive | None = msgspec.field(name="mass_kg", default=None)

    def __post_init__(self) -> None:
        super().__post_init__()
        if self.largest_duty > 1.0:
            raise InputRangeError("largest_duty", self.largest_duty, "", "> 0 and <= 1")
        low, high = self.lowest_supply, self.highest_supply
        if low is not None and high is not None and not low < high:
            raise InputRangeError("highest_supply", high, "V", f"> the lowest supply of {low:g} V")
