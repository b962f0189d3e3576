"""What the data of the electronics mean for this motor: pulses, control, frequency, currents as stated."""

from __future__ import annotations

import math

import numpy as np

from core.evaluation.feed import highest_voltage
from core.evaluation.motor_model import MotorModel
from core.evaluation.operating_points import OperatingPoints
from core.evaluation.remembered import remembered
from core.evaluation.ripple_side import loop_resistance
from core.findings import Finding
from core.physics.electrical_frequency import electrical_frequency, speed_at_frequency
from core.physics.machine_constants import no_load_speed
from core.physics.pwm_ripple import periods_per_time_constant
from core.physics.voltage import available_voltage
from core.project.application import Supply
from core.results import Margin, SupplyDemand
from core.sentences import sentence
from core.units import Kind

PULSES_PER_PERIOD = 10.0  # of the electrical frequency, common practice, no source
PERIODS_OF_CONTROL = 3.0  # in the electrical time constant, common practice, no source
MUCH_APART = 1.5  # motor current over supply current, from which the two are told apart in words


def electronics_findings(
    supply: Supply,
    motor: MotorModel,
    points: OperatingPoints | None,
    power: SupplyDemand | None,
    margins: tuple[Margin, ...],
) -> tuple[Finding, ...]:
    """Return what is doubtful about motor and electronics together, and what is easily mistaken."""
    in_the_cycle = (_few_pulses(motor, points), _amplitude(motor, margins), _supply_current(points, power))
    return (*(found for found in in_the_cycle if found is not None), *_whatever_the_duty(supply, motor))


@remembered()
def _whatever_the_duty(supply: Supply, motor: MotorModel) -> tuple[Finding, ...]:
    found = (
        _slow_control(motor),
        _frequency_first(supply, motor),
        _more_than_the_motor(motor),
        _heat_of_built_in(motor),
    )
    return tuple(finding for finding in found if finding is not None)


def _few_pulses(motor: MotorModel, points: OperatingPoints | None) -> Finding | None:
    pulses = motor.drive.pwm_frequency
    if pulses is None or points is None:
        return None
    frequency = float(np.max(electrical_frequency(points.speed, motor.constants.pole_pairs)))
    if frequency == 0.0 or pulses / frequency >= PULSES_PER_PERIOD:
        return None
    text = sentence(
        f"At {{speed}} the electrical frequency is {{frequency}}, and {{pulses}} pulses make "
        f"{pulses / frequency:.1f} to a period. Below {PULSES_PER_PERIOD:.0f} the current is no longer what "
        "the commutation means it to be, and torque and losses differ from those computed here.",
        speed=(float(np.abs(points.speed).max()), Kind.SPEED),
        frequency=(frequency, Kind.ELECTRICAL_FREQUENCY),
        pulses=(pulses, Kind.FREQUENCY),
    )
    numbers = {"pwm_frequency_Hz": pulses, "electrical_frequency_Hz": frequency}
    return Finding("few_pulses_per_period", "warning", text, numbers)


def _slow_control(motor: MotorModel) -> Finding | None:
    frequency = motor.drive.control_frequency or motor.drive.pwm_frequency
    inductance, resistance = motor.constants.inductance, loop_resistance(motor)
    if frequency is None or inductance <= 0.0:
        return None
    periods = periods_per_time_constant(inductance, resistance, frequency)
    if periods >= PERIODS_OF_CONTROL:
        return None
    outcome = (
        "the current follows each pulse and the control cannot shape it"
        if periods < 1.0
        else "the control has little time to shape the current"
    )
    text = sentence(
        f"The electrical time constant L / R = {{inductance}} / {{resistance}} = {{tau}} is {periods:.2g} "
        f"periods of the control at {{frequency}}: {outcome}. Faster pulses, a choke, or less "
        "resistance in winding and leads help.",
        inductance=(inductance, Kind.INDUCTANCE),
        resistance=(resistance, Kind.RESISTANCE),
        tau=(inductance / resistance, Kind.TIME),
        frequency=(frequency, Kind.FREQUENCY),
    )
    numbers = {"time_constant_s": inductance / resistance, "control_frequency_Hz": frequency}
    return Finding("slow_current_control", "serious" if periods < 1.0 else "warning", text, numbers)


def _frequency_first(supply: Supply, motor: MotorModel) -> Finding | None:
    """Return a finding where the electronics stop commutating before the voltage is used up."""
    limit, voltage, drive = motor.drive.largest_electrical_frequency, highest_voltage(supply), motor.drive
    if limit is None or voltage is None:
        return None
    pole_pairs = motor.constants.pole_pairs
    ends = float(speed_at_frequency(limit, pole_pairs))
    available = available_voltage(motor.commutation, voltage, drive.largest_duty, drive.modulation)
    reach = float(no_load_speed(motor.constants, motor.commutation, available))
    if reach <= ends:
        return None
    text = sentence(
        "The electronics commutate up to {limit}, which with "
        f"{pole_pairs} pole pairs is {{ends}} at the shaft; the voltage would let the unloaded motor run to "
        "{reach}. A light load can pass the limit that the duty keeps. A limit stated as an electrical "
        f"speed is {pole_pairs} times that of the shaft.",
        limit=(limit, Kind.ELECTRICAL_FREQUENCY),
        ends=(ends, Kind.SPEED),
        reach=(reach, Kind.SPEED),
    )
    numbers = {"largest_frequency_Hz": limit, "commutation_ends_rad_s": ends, "no_load_rad_s": reach}
    return Finding("commutation_ends_before_voltage", "note", text, numbers)


def _amplitude(motor: MotorModel, margins: tuple[Margin, ...]) -> Finding | None:
    """Return a finding where the way a current is stated decides whether it is met."""
    lasting = next((one for one in margins if one.criterion == "continuous_current"), None)
    if motor.commutation != "sinusoidal" or lasting is None or lasting.status != "missed":
        return None
    if lasting.demand is None or lasting.limit is None:
        return None
    rms = lasting.demand / math.sqrt(2.0)
    if rms > lasting.limit * (1.0 - lasting.target):
        return None
    text = sentence(
        "The continuous current of the electronics counts as an amplitude: an amplitude of {demand} is "
        "{rms} rms. If the data sheet states an rms value, enter it times √2; then it is met.",
        demand=(lasting.demand, Kind.CURRENT),
        rms=(rms, Kind.CURRENT),
    )
    numbers = {"amplitude_A": lasting.demand, "rms_A": rms, "limit_A": lasting.limit}
    return Finding("current_stated_as_amplitude", "note", text, numbers)


def _more_than_the_motor(motor: MotorModel) -> Finding | None:
    drive, own = motor.drive.peak_current, motor.peak_current
    if drive is None or own is None or drive <= own:
        return None
    text = sentence(
        "The electronics can give {drive}, more than the {own} that the motor may carry "
        f"({motor.peak_reason}). Set their limit, in motor current, no higher; electronics may "
        "overshoot the limit that is set.",
        drive=(drive, Kind.CURRENT),
        own=(own, Kind.CURRENT),
    )
    numbers = {"electronics_A": drive, "motor_A": own}
    return Finding("electronics_above_motor_current", "warning", text, numbers)


def _supply_current(points: OperatingPoints | None, power: SupplyDemand | None) -> Finding | None:
    if points is None or power is None or power.peak_current is None:
        return None
    motor, supply = float(points.current.max()), power.peak_current
    if supply <= 0.0 or motor < MUCH_APART * supply:
        return None
    text = sentence(
        "The motor takes up to {motor} while the supply delivers up to {supply}: a current limit in ampere "
        "of the supply is not one of the motor.",
        motor=(motor, Kind.CURRENT),
        supply=(supply, Kind.CURRENT),
    )
    return Finding("supply_is_not_motor_current", "note", text, {"motor_A": motor, "supply_A": supply})


def _heat_of_built_in(motor: MotorModel) -> Finding | None:
    if not motor.drive.built_in:
        return None
    text = sentence(
        "The electronics are built into the motor: {idle} of idle power and what their switches lose under "
        "current warm its outside. Temperatures, torque reserve and continuous torque count it.",
        idle=(motor.drive.idle_power, Kind.POWER),
    )
    return Finding("built_in_electronics_heat", "note", text, {"idle_W": motor.drive.idle_power})
