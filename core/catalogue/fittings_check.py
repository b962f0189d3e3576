"""Check whether figures of electronics, feedback, brakes and transmissions can belong together.

Bounds are common practice, no source, for what goes with motors up to a few hundred watts.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from core.catalogue.parts_file import PartsFile
from core.findings import Finding
from core.project.drive import Drive
from core.project.feedback import Encoder, Feedback, HallSensors
from core.project.fittings import HoldingBrake
from core.project.transmission import Transmission
from core.sentences import joined, sentence
from core.units import Kind

PWM_RANGE = (1e3, 500e3)  # a switching frequency in kilohertz would be far below [Hz]
LARGEST_CAPACITANCE = 0.1  # one in microfarad would be far above [F]
LARGEST_EDGE_ERROR = math.pi / 6.0  # half the way to the next edge of three sensors [rad electrical]
LARGEST_BRAKE_DELAY = 1.0  # one in milliseconds would be far above [s]
BRAKE_INERTIA_TIME = 0.1  # in which the brake would speed its own inertia to 100 rad/s [s]


def check_fittings(parts: PartsFile) -> tuple[Finding, ...]:
    """Return what is implausible in the lists beside the motors; empty where nothing is."""
    found: list[Finding] = []
    for drive in parts.drives:
        found += _drive_findings(drive)
    for device in parts.feedback:
        found += _feedback_findings(device)
    for brake in parts.brakes:
        found += _brake_findings(brake)
    for transmission in parts.transmissions:
        found += _transmission_findings(transmission)
    return tuple(found)


def _drive_findings(drive: Drive) -> Iterator[Finding]:
    continuous, peak = drive.continuous_current, drive.peak_current
    if continuous is not None and peak is not None and peak < continuous:
        below = sentence(
            "peak current {peak} is below the continuous current, {continuous}",
            peak=(peak, Kind.CURRENT),
            continuous=(continuous, Kind.CURRENT),
        )
        text = joined(f"{drive.name}: ", below)
        values = {"peak_current_A": peak, "continuous_current_A": continuous}
        yield Finding("peak_below_continuous", "serious", text, values)
    trip, highest = drive.trip_voltage, drive.highest_supply
    if trip is not None and highest is not None and trip <= highest:
        within = sentence(
            "it trips at {trip}, within its supply range up to {highest}",
            trip=(trip, Kind.VOLTAGE),
            highest=(highest, Kind.VOLTAGE),
        )
        text = joined(f"{drive.name}: ", within)
        values = {"trip_voltage_V": trip, "highest_supply_V": highest}
        yield Finding("trip_below_supply", "serious", text, values)
    frequency = drive.pwm_frequency
    if frequency is not None and not PWM_RANGE[0] <= frequency <= PWM_RANGE[1]:
        outside = sentence(
            "switching frequency {frequency} is outside the usual {low} to {high}",
            frequency=(frequency, Kind.FREQUENCY),
            low=(PWM_RANGE[0], Kind.FREQUENCY),
            high=(PWM_RANGE[1], Kind.FREQUENCY),
        )
        text = joined(f"{drive.name}: ", outside)
        yield Finding("pwm_frequency_implausible", "warning", text, {"pwm_frequency_Hz": frequency})
    if drive.bus_capacitance > LARGEST_CAPACITANCE:
        much = sentence(
            "{capacitance} on the bus, usually at most {largest}",
            capacitance=(drive.bus_capacitance, Kind.CAPACITANCE),
            largest=(LARGEST_CAPACITANCE, Kind.CAPACITANCE),
        )
        text = joined(f"{drive.name}: ", much)
        values = {"bus_capacitance_F": drive.bus_capacitance}
        yield Finding("bus_capacitance_implausible", "warning", text, values)


def _feedback_findings(device: Feedback) -> Iterator[Finding]:
    if isinstance(device, HallSensors) and device.edge_error >= LARGEST_EDGE_ERROR:
        far = sentence(
            "edge error {error} reaches the next edge; it is electrical, usually well below {largest}",
            error=(device.edge_error, Kind.ANGLE),
            largest=(LARGEST_EDGE_ERROR, Kind.ANGLE),
        )
        text = joined(f"{device.name}: ", far)
        yield Finding("edge_error_implausible", "warning", text, {"edge_error_rad": device.edge_error})
    if not isinstance(device, Encoder) or device.largest_speed is None:
        return
    limit = device.largest_signal_frequency
    reached = device.counts / device.edges_per_line * device.largest_speed / (2.0 * math.pi)
    # a speed in rpm that has just the limit of the signal is off by rounding
    if limit is not None and reached > limit * (1.0 + 1e-9):
        beyond = sentence(
            "at its largest speed {reached} of signal, of {limit}",
            reached=(reached, Kind.FREQUENCY),
            limit=(limit, Kind.FREQUENCY),
        )
        text = joined(f"{device.name}: ", beyond)
        yield Finding(
            "encoder_speed_beyond_signal", "warning", text, {"signal_Hz": reached, "limit_Hz": limit}
        )


def _brake_findings(brake: HoldingBrake) -> Iterator[Finding]:
    for name in ("engage_delay", "release_delay", "pull_in_time"):
        value = getattr(brake, name)
        if value > LARGEST_BRAKE_DELAY:
            words = name.replace("_", " ")
            above = sentence(
                "{value} is above the usual {largest}",
                value=(value, Kind.TIME),
                largest=(LARGEST_BRAKE_DELAY, Kind.TIME),
            )
            text = joined(f"{brake.name}: {words} ", above)
            yield Finding("brake_delay_implausible", "warning", text, {f"{name}_s": value})
    largest = brake.holding_torque * BRAKE_INERTIA_TIME / 100.0
    if brake.inertia > largest:
        large = sentence(
            "inertia {inertia} is too large for a brake of {torque}, usually below {largest}",
            inertia=(brake.inertia, Kind.INERTIA),
            torque=(brake.holding_torque, Kind.TORQUE),
            largest=(largest, Kind.INERTIA),
        )
        text = joined(f"{brake.name}: ", large)
        yield Finding("brake_inertia_implausible", "warning", text, {"inertia_kg_m2": brake.inertia})


def _transmission_findings(transmission: Transmission) -> Iterator[Finding]:
    name, ratios = transmission.name, transmission.available_ratios
    if ratios and transmission.ratio not in ratios:
        listed = ", ".join(f"{ratio:g}" for ratio in ratios)
        text = f"{name}: its ratio {transmission.ratio:g} is none of those it can be had in ({listed})"
        yield Finding("ratio_not_available", "warning", text, {"ratio": transmission.ratio})
    lasting, short = transmission.continuous_torque, transmission.intermittent_torque
    if lasting is not None and short is not None and short < lasting:
        below = sentence(
            "intermittent torque {short} is below the continuous one, {lasting}",
            short=(short, Kind.LOAD_TORQUE),
            lasting=(lasting, Kind.LOAD_TORQUE),
        )
        between = joined(f"{name}: ", below)
        values = {"intermittent_torque_Nm": short, "continuous_torque_Nm": lasting}
        yield Finding("gear_torques_swapped", "serious", between, values)
    back = transmission.back_driving_efficiency
    if back is not None and back > transmission.efficiency:
        words = (
            f"{name}: it loses less while the load drives ({back:.4g}) than while the motor does "
            f"({transmission.efficiency:.4g})"
        )
        values = {"back_driving_efficiency": back, "efficiency": transmission.efficiency}
        yield Finding("back_driving_above_driving", "warning", words, values)
