"""What goes with the invented motors: electronics, feedback, brakes, transmissions, bearings. All invented.

No real product stands behind any of them. Figures fit the sizes of the frames and each other: a capacitor
and a trip voltage that belong to the supply range, an encoder whose signal lasts to its own largest speed.
"""

from __future__ import annotations

import math

from core.catalogue.demo_frames import Frame, printed
from core.catalogue.parts_file import PartsFile
from core.project.drive import Drive
from core.project.feedback import Encoder, Feedback, HallSensors, Sensorless
from core.project.fittings import BearingData, HoldingBrake, ShaftBearings
from core.project.transmission import Transmission

ORIGIN = "invented demo part, made by the recipe in core/catalogue/demo_recipe.py"
RPM = math.pi / 30.0  # [rad/s]

SMALL_DRIVE = "electronics for 4 A, 10 to 30 V"
LARGE_DRIVE = "electronics for 12 A, 10 to 56 V"
SMALLEST_DRIVE, MIDDLE_DRIVE = "electronics for 1.5 A, 8 to 30 V", "electronics for 6 A, 10 to 56 V"
SPUR_GEAR, PLANETARY_GEAR = "two-stage spur gear", "two-stage planetary gear"
ONE_BELT, TWO_BELTS = "one belt stage", "two belt stages"
HALLS, MAGNETIC_ENCODER = "three Hall sensors", "magnetic encoder, 4096 counts"
SMALL_BRAKE, LARGE_BRAKE = "holding brake, 0.15 N m", "holding brake, 0.8 N m"

LOAD_RATING = 45.0  # dynamic, of a bearing with a bore of 1 mm [N], growing as bore^1.75, assumed
STATIC_SHARE = 0.37  # static over dynamic rating, assumed
PRELOAD_SHARE = 0.015  # axial preload over dynamic rating, assumed


def demo_drives() -> tuple[Drive, ...]:
    """Return six invented drive electronics; the last is built into its motor."""
    return (*_drives_of_both_commutations(), *_six_step_drives())


def _drives_of_both_commutations() -> tuple[Drive, ...]:
    return (
        Drive(
            name=SMALL_DRIVE, origin=ORIGIN, continuous_current=4.0, peak_current=8.5, peak_time=3.0,
            standstill_share=0.8, lowest_supply=10.0, highest_supply=30.0, trip_voltage=35.0,
            bus_capacitance=470e-6, largest_duty=0.95, pwm_frequency=50e3, control_frequency=25e3,
            commutations=("six-step", "sinusoidal"), feedback_kinds=("Hall sensors", "encoder", "sensorless"),
            on_resistance=0.018, switching_time=60e-9, largest_electrical_frequency=1800.0, idle_power=0.6,
            highest_ambient=60.0, mass=0.045,
        ),
        Drive(
            name=LARGE_DRIVE, origin=ORIGIN, continuous_current=12.0, peak_current=30.0, peak_time=2.0,
            standstill_share=0.8, lowest_supply=10.0, highest_supply=56.0, trip_voltage=63.0,
            bus_capacitance=1000e-6, largest_duty=0.96, pwm_frequency=50e3, control_frequency=25e3,
            commutations=("six-step", "sinusoidal"), feedback_kinds=("Hall sensors", "encoder"),
            field_weakening=True, on_resistance=0.006, switching_time=80e-9,
            largest_electrical_frequency=2500.0, idle_power=1.4, highest_ambient=55.0, mass=0.16,
        ),
        Drive(
            name=SMALLEST_DRIVE, origin=ORIGIN, continuous_current=1.5, peak_current=3.5, peak_time=4.0,
            lowest_supply=8.0, highest_supply=30.0, trip_voltage=35.0, bus_capacitance=220e-6,
            largest_duty=0.95, pwm_frequency=60e3, control_frequency=30e3,
            commutations=("six-step", "sinusoidal"), feedback_kinds=("Hall sensors", "encoder", "sensorless"),
            on_resistance=0.06, switching_time=40e-9, largest_electrical_frequency=1800.0, idle_power=0.35,
            highest_ambient=65.0, mass=0.022,
        ),
        Drive(
            name=MIDDLE_DRIVE, origin=ORIGIN, continuous_current=6.0, peak_current=11.0, peak_time=3.0,
            standstill_share=0.8, lowest_supply=10.0, highest_supply=56.0, trip_voltage=63.0,
            bus_capacitance=1000e-6, largest_duty=0.96, pwm_frequency=50e3, control_frequency=25e3,
            commutations=("six-step", "sinusoidal"), feedback_kinds=("Hall sensors", "encoder"),
            on_resistance=0.010, switching_time=70e-9, largest_electrical_frequency=2500.0, idle_power=0.9,
            highest_ambient=60.0, mass=0.08,
        ),
    )  # fmt: skip


def _six_step_drives() -> tuple[Drive, ...]:
    return (
        Drive(
            name="six-step electronics for 6 A, 8 to 30 V", origin=ORIGIN, continuous_current=6.0,
            peak_current=15.0, peak_time=5.0, lowest_supply=8.0, highest_supply=30.0, trip_voltage=36.0,
            bus_capacitance=330e-6, largest_duty=0.98, switching="bipolar", pwm_frequency=40e3,
            commutations=("six-step",), feedback_kinds=("Hall sensors", "sensorless"), on_resistance=0.022,
            switching_time=70e-9, largest_electrical_frequency=1200.0, idle_power=0.4, highest_ambient=60.0,
            mass=0.038,
        ),
        Drive(
            name="built-in electronics for 3 A, 10 to 28 V", origin=ORIGIN, continuous_current=3.0,
            peak_current=7.0, peak_time=2.0, standstill_share=0.7, lowest_supply=10.0, highest_supply=28.0,
            trip_voltage=33.0, bus_capacitance=100e-6, largest_duty=0.95, pwm_frequency=50e3,
            commutations=("six-step",), feedback_kinds=("Hall sensors",), on_resistance=0.025,
            switching_time=50e-9, largest_electrical_frequency=1500.0, idle_power=0.3, built_in=True,
            highest_ambient=95.0, mass=0.016,
        ),
    )  # fmt: skip


def demo_feedback() -> tuple[Feedback, ...]:
    """Return Hall sensors, three encoders and the motor without any."""
    return (
        HallSensors(
            name=HALLS, origin=ORIGIN, edge_error=math.radians(4.0),
            largest_signal_frequency=5000.0, highest_temp=150.0,
        ),
        Encoder(
            name=MAGNETIC_ENCODER, origin=ORIGIN, counts=4096, start="Hall sensors",
            largest_signal_frequency=250e3, largest_speed=12_000.0 * RPM, highest_temp=110.0,
            length=0.009, mass=0.012, inertia=6.0e-8,
        ),
        Encoder(
            name="optical encoder, 20000 counts", origin=ORIGIN, counts=20_000, start="alignment",
            largest_signal_frequency=500e3, largest_speed=6000.0 * RPM, highest_temp=85.0,
            length=0.016, mass=0.034, inertia=2.4e-7,
        ),
        Encoder(
            name="absolute encoder, 16384 counts", origin=ORIGIN, counts=16_384, start="absolute",
            largest_signal_frequency=600e3, largest_speed=8000.0 * RPM, highest_temp=105.0,
            length=0.012, mass=0.021, inertia=1.1e-7,
        ),
        Sensorless(name="sensorless", origin=ORIGIN, least_emf_share=0.08, start_torque_share=0.3),
    )  # fmt: skip


def demo_brakes() -> tuple[HoldingBrake, ...]:
    """Return two spring-applied holding brakes."""
    return (
        HoldingBrake(
            name=SMALL_BRAKE, origin=ORIGIN, holding_torque=0.15, engage_delay=0.012, release_delay=0.025,
            largest_stop_energy=25.0, heat_power=1.5, pull_in_power=6.0, hold_voltage_share=0.5,
            pull_in_time=0.15, highest_temp=120.0, length=0.017, mass=0.055, inertia=3.0e-7,
        ),
        HoldingBrake(
            name=LARGE_BRAKE, origin=ORIGIN, holding_torque=0.8, engage_delay=0.018, release_delay=0.040,
            largest_stop_energy=140.0, heat_power=3.5, pull_in_power=11.0, hold_voltage_share=0.5,
            pull_in_time=0.2, highest_temp=130.0, length=0.024, mass=0.15, inertia=2.1e-6,
        ),
    )  # fmt: skip


def demo_transmissions() -> tuple[Transmission, ...]:
    """Return two belts and two gears, each in the ratio that a sample uses, with those it can be had in."""
    return (
        Transmission(
            name=ONE_BELT, origin=ORIGIN, ratio=4.0, efficiency=0.95, back_driving_efficiency=0.94,
            drag_torque=1.5e-3, input_inertia=1.5e-6, continuous_torque=1.8, intermittent_torque=3.2,
            largest_input_speed=6000.0 * RPM, available_ratios=(2.0, 3.0, 4.0, 5.0, 6.0),
        ),
        Transmission(
            name=TWO_BELTS, origin=ORIGIN, ratio=60.0, efficiency=0.90, back_driving_efficiency=0.88,
            drag_torque=1.0e-3, input_inertia=8.0e-7, continuous_torque=6.0, intermittent_torque=9.0,
            largest_input_speed=4000.0 * RPM, available_ratios=(30.0, 45.0, 60.0, 80.0),
        ),
        Transmission(
            name=SPUR_GEAR, origin=ORIGIN, ratio=18.0, efficiency=0.82, back_driving_efficiency=0.76,
            drag_torque=1.5e-3, input_inertia=4.0e-7, backlash=math.radians(1.2),
            continuous_torque=1.4, intermittent_torque=2.5, largest_input_speed=6500.0 * RPM,
            on_motor=True, available_ratios=(9.0, 14.0, 18.0, 25.0, 36.0),
        ),
        Transmission(
            name=PLANETARY_GEAR, origin=ORIGIN, ratio=25.0, efficiency=0.86, back_driving_efficiency=0.83,
            drag_torque=4.0e-3, input_inertia=9.0e-7, backlash=math.radians(0.8),
            continuous_torque=6.0, intermittent_torque=12.0, largest_input_speed=6500.0 * RPM,
            on_motor=True, available_ratios=(16.0, 20.0, 25.0, 36.0),
        ),
    )  # fmt: skip


def shaft_bearings(frame: Frame) -> ShaftBearings:
    """Return the two equal bearings of a frame, in the tube of its flange."""
    dynamic = LOAD_RATING * (1e3 * frame.shaft) ** 1.75
    bearing = BearingData(
        dynamic_rating=printed(dynamic, 3), static_rating=printed(STATIC_SHARE * dynamic, 3)
    )
    return ShaftBearings(
        front=bearing,
        rear=bearing,
        front_distance=printed(0.5 * frame.shaft, 2),
        span=printed(0.8 * frame.cup_length, 3),
        preload=printed(PRELOAD_SHARE * dynamic, 2),
    )


def feedback_named(parts: PartsFile, name: str) -> Feedback:
    """Return a feedback device of a parts file."""
    return next(device for device in parts.feedback if device.name == name)


def brake_named(parts: PartsFile, name: str) -> HoldingBrake:
    """Return a brake of a parts file."""
    return next(brake for brake in parts.brakes if brake.name == name)


def transmission_named(parts: PartsFile, name: str) -> Transmission:
    """Return a transmission of a parts file."""
    return next(one for one in parts.transmissions if one.name == name)
