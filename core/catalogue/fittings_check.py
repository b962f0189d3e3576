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
        text = f"{drive.name}: peak current {peak:.4g} A is below the continuous current, {continuous:.4g} A"
        values = {"peak_current_A": peak, "continuous_current_A": continuous}
        yield Finding("peak_below_continuous", "serious", text, values)
    trip, highest = drive.trip_voltage, drive.highest_supply
    if trip is not None and highest is not None and trip <= highest:
        text = f"{drive.name}: it trips at {trip:.4g} V, within its supply range up to {highest:.4g} V"
        values = {"trip_voltage_V": trip, "highest_supply_V": highest}
        yield Finding("trip_below_supply", "serious", text, values)
    frequency = drive.pwm_frequency
    if frequency is not None and not PWM_RANGE[0] <= frequency <= PWM_RANGE[1]:
        low, high = PWM_RANGE
        bounds = f"{low:g} to {high:g} Hz"
        text = f"{drive.name}: switching frequency {frequency:.4g} Hz is outside the usual {bounds}"
        yield Finding("pwm_frequency_implausible", "warning", text, {"pwm_frequency_Hz": frequency})
    if drive.bus_capacitance > LARGEST_CAPACITANCE:
        usual = f"usually at most {LARGEST_CAPACITANCE:g} F"
        text = f"{drive.name}: {drive.bus_capacitance:.4g} F on the bus, {usual}"
        values = {"bus_capacitance_F": drive.bus_capacitance}
        yield Finding("bus_capacitance_implausible", "warning", text, values)


def _feedback_findings(device: Feedback) -> Iterator[Finding]:
    if isinstance(device, HallSensors) and device.edge_error >= LARGEST_EDGE_ERROR:
        text = (
            f"{device.name}: edge error {device.edge_error:.4g} rad reaches the next edge; it is electrical "
            f"and in rad, usually well below {LARGEST_EDGE_ERROR:.3g}"
        )
        yield Finding("edge_error_implausible", "warning", text, {"edge_error_rad": device.edge_error})
    if not isinstance(device, Encoder) or device.largest_speed is None:
        return
    limit = device.largest_signal_frequency
    reached = device.counts / device.edges_per_line * device.largest_speed / (2.0 * math.pi)
    if limit is not None and reached > limit:
        text = f"{device.name}: at its largest speed {reached:.4g} Hz of signal, of {limit:.4g} Hz"
        yield Finding(
            "encoder_speed_beyond_signal", "warning", text, {"signal_Hz": reached, "limit_Hz": limit}
        )


def _brake_findings(brake: HoldingBrake) -> Iterator[Finding]:
    for name in ("engage_delay", "release_delay", "pull_in_time"):
        value = getattr(brake, name)
        if value > LARGEST_BRAKE_DELAY:
            words = name.replace("_", " ")
            text = f"{brake.name}: {words} {value:.4g} s is above the usual {LARGEST_BRAKE_DELAY:g} s"
            yield Finding("brake_delay_implausible", "warning", text, {f"{name}_s": value})
    largest = brake.holding_torque * BRAKE_INERTIA_TIME / 100.0
    if brake.inertia > largest:
        text = (
            f"{brake.name}: inertia {brake.inertia:.4g} kg m2 is too large for a brake of "
            f"{brake.holding_torque:.4g} N m, usually below {largest:.3g} kg m2"
        )
        yield Finding("brake_inertia_implausible", "warning", text, {"inertia_kg_m2": brake.inertia})


def _transmission_findings(transmission: Transmission) -> Iterator[Finding]:
    name, ratios = transmission.name, transmission.available_ratios
    if ratios and transmission.ratio not in ratios:
        listed = ", ".join(f"{ratio:g}" for ratio in ratios)
        text = f"{name}: its ratio {transmission.ratio:g} is none of those it can be had in ({listed})"
        yield Finding("ratio_not_available", "warning", text, {"ratio": transmission.ratio})
    lasting, short = transmission.continuous_torque, transmission.intermittent_torque
    if lasting is not None and short is not None and short < lasting:
        text = f"{name}: intermittent torque {short:.4g} N m is below the continuous one, {lasting:.4g} N m"
        values = {"intermittent_torque_Nm": short, "continuous_torque_Nm": lasting}
        yield Finding("gear_torques_swapped", "serious", text, values)
    back = transmission.back_driving_efficiency
    if back is not None and back > transmission.efficiency:
        text = (
            f"{name}: it loses less while the load drives ({back:.4g}) than while the motor does "
            f"({transmission.efficiency:.4g})"
        )
        values = {"back_driving_efficiency": back, "efficiency": transmission.efficiency}
        yield Finding("back_driving_above_driving", "warning", text, values)
