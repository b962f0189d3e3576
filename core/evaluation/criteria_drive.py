"""The criteria of torque, current, voltage, speed and frequency."""

from __future__ import annotations

import numpy as np

from core.evaluation.criterion import WHOLE_CYCLE, Criterion, Place, checked, missed, not_checked
from core.evaluation.losses import mean_square_current
from core.evaluation.motor_model import MotorModel
from core.evaluation.operating_points import OperatingPoints, VoltageDemand
from core.numeric import FloatArray
from core.physics.drag import drag_torque
from core.physics.shaft_duty import ShaftDuty
from core.project.application import Targets
from core.results import Margin
from core.sentences import sentence
from core.units import Kind


def drive_margins(
    targets: Targets,
    duty: ShaftDuty | None,
    points: OperatingPoints | None,
    voltage: VoltageDemand | None,
    motor: MotorModel,
) -> list[Margin]:
    """Return peak torque, peak and continuous current, voltage reserve, speed and frequency."""
    if duty is None or points is None:
        return [not_checked(criterion, "the duty cycle is empty") for criterion in drive_criteria(targets)]
    peak_torque, peak_current, lasting_current, reserve, speed, frequency = drive_criteria(targets)
    return [
        _peak_torque(peak_torque, points, motor),
        _peak_current(peak_current, points, motor),
        _lasting_current(lasting_current, duty, motor),
        _voltage(reserve, points, voltage, motor),
        _speed(speed, points, motor),
        _frequency(frequency, points, motor),
    ]


def drive_criteria(targets: Targets) -> tuple[Criterion, ...]:
    """Return the criteria in the order of `drive_margins`."""
    return (
        Criterion("peak_torque", "Peak torque of the motor", Kind.TORQUE, targets.peak),
        Criterion("peak_current", "Peak current of the electronics", Kind.CURRENT, targets.peak),
        Criterion("continuous_current", "Continuous current of the electronics", Kind.CURRENT, targets.peak),
        Criterion("voltage_reserve", "Voltage reserve", Kind.VOLTAGE, targets.voltage),
        Criterion("mechanical_speed", "Mechanical speed", Kind.SPEED, targets.speed),
        Criterion(
            "electrical_frequency", "Electrical frequency", Kind.ELECTRICAL_FREQUENCY, targets.frequency
        ),
    )


def _at(points: OperatingPoints, index: int) -> Place:
    """Return the place of an operating point: its segment, and start or end of it."""
    end = "end" if index % 2 else "start"
    segment = int(points.segment[index])
    words = sentence(
        f"{end} of segment {segment + 1}, {{torque}} at {{speed}}",
        torque=(float(points.delivered[index]), Kind.TORQUE),
        speed=(float(points.speed[index]), Kind.SPEED),
    )
    return Place(words, segment, float(points.instant[index]))


def _peak_torque(criterion: Criterion, points: OperatingPoints, motor: MotorModel) -> Margin:
    if motor.peak_current is None:
        return not_checked(criterion, "missing: peak current of the winding")
    # the drag takes its share of the peak torque while driving and adds to it while braking
    drag = np.asarray(drag_torque(motor.drag, np.abs(points.speed))) * np.sign(points.speed)
    em_limit = motor.torque_of(motor.peak_current, points.torque_constant)
    limit: FloatArray = em_limit - drag * np.sign(points.delivered)
    # where the drag alone takes the whole peak torque nothing can be delivered
    used = np.where(limit > 0.0, np.abs(points.delivered) / np.where(limit > 0.0, limit, 1.0), np.inf)
    index = int(np.argmax(used))
    demand = float(np.abs(points.delivered[index]))
    law = "proportional to current" if motor.saturation is None else "with saturation"
    equation = sentence(
        f"|T_shaft + J alpha| / (T(I_peak) − drag) = {{demand}} / ({{largest}} at {{current}} − {{drag}}) = "
        f"{{used}}; {motor.peak_reason}, torque taken as {law}",
        demand=(demand, Kind.TORQUE),
        largest=(float(em_limit[index]), Kind.TORQUE),
        current=(motor.peak_current, Kind.CURRENT),
        drag=(float(em_limit[index] - limit[index]), Kind.TORQUE),
        used=(float(used[index]), Kind.RATIO),
    )
    why = "" if limit[index] > 0.0 else "the drag alone takes more than the peak torque"
    return checked(criterion, demand, float(limit[index]), _at(points, index), equation, why=why)


def _peak_current(criterion: Criterion, points: OperatingPoints, motor: MotorModel) -> Margin:
    limit = motor.drive.peak_current
    if limit is None:
        return not_checked(criterion, "missing: peak current of the electronics")
    index = int(np.argmax(points.current))
    demand = float(points.current[index])
    equation = sentence(
        "|T_em| / k_t at hot magnets = {torque} / {constant} = {demand}; of {limit}: {used}",
        torque=(abs(float(points.em_torque[index])), Kind.TORQUE),
        constant=(float(points.torque_constant[index]), Kind.TORQUE_CONSTANT),
        demand=(demand, Kind.CURRENT),
        limit=(limit, Kind.CURRENT),
        used=(demand / limit, Kind.RATIO),
    )
    return checked(criterion, demand, limit, _at(points, index), equation)


def _lasting_current(criterion: Criterion, duty: ShaftDuty, motor: MotorModel) -> Margin:
    limit = motor.drive.continuous_current
    if limit is None:
        return not_checked(criterion, "missing: continuous current of the electronics")
    demand = float(np.sqrt(mean_square_current(duty, motor)))
    law = "T_em / k_t" if motor.saturation is None else "I(T_em), with saturation"
    equation = sentence(
        f"rms({law}) at hot magnets over the whole cycle of {{cycle}} = {{demand}}, amplitude like the limit "
        "of {limit}: {used}",
        cycle=(duty.cycle_time, Kind.TIME),
        demand=(demand, Kind.CURRENT),
        limit=(limit, Kind.CURRENT),
        used=(demand / limit, Kind.RATIO),
    )
    return checked(criterion, demand, limit, WHOLE_CYCLE, equation)


def _voltage(
    criterion: Criterion, points: OperatingPoints, voltage: VoltageDemand | None, motor: MotorModel
) -> Margin:
    if voltage is None:
        return not_checked(criterion, "missing: lowest (or nominal) voltage of the supply")
    index = int(np.argmax(voltage.utilisation))
    if np.isinf(voltage.utilisation[index]):
        index = int(np.argmax(voltage.power))
        why = sentence(
            "the supply cannot deliver {power} over its own resistance, at whatever voltage",
            power=(float(voltage.power[index]), Kind.POWER),
        )
        return missed(criterion, _at(points, index), why)
    required, available = float(voltage.required[index]), float(voltage.available[index])
    words = f", {voltage.case_words(index)}"
    place = _at(points, index)
    where = sentence(f"{'end' if index % 2 else 'start'} of segment {int(points.segment[index]) + 1}{words}")
    what = "peak phase voltage" if motor.commutation == "sinusoidal" else "link voltage times PWM duty"
    equation = sentence(
        f"required / available {what} = {{required}} / {{available}} = {{used}}{words}, at {{speed}}",
        required=(required, Kind.VOLTAGE),
        available=(available, Kind.VOLTAGE),
        used=(required / available, Kind.RATIO),
        speed=(float(points.speed[index]), Kind.SPEED),
    )
    return checked(criterion, required, available, Place(where, place.segment, place.instant), equation)


def _speed(criterion: Criterion, points: OperatingPoints, motor: MotorModel) -> Margin:
    limit = motor.variant.largest_speed
    if limit is None:
        return not_checked(criterion, "missing: largest mechanical speed of the motor")
    index = int(np.argmax(np.abs(points.speed)))
    demand = abs(float(points.speed[index]))
    equation = sentence(
        "{demand} of {limit}: {used}",
        demand=(demand, Kind.SPEED),
        limit=(limit, Kind.SPEED),
        used=(demand / limit, Kind.RATIO),
    )
    return checked(criterion, demand, limit, _at(points, index), equation)


def _frequency(criterion: Criterion, points: OperatingPoints, motor: MotorModel) -> Margin:
    limit = motor.drive.largest_electrical_frequency
    if limit is None:
        return not_checked(criterion, "missing: largest electrical frequency of the electronics")
    index = int(np.argmax(np.abs(points.speed)))
    pole_pairs = motor.constants.pole_pairs
    demand = abs(float(points.speed[index])) * pole_pairs / (2.0 * np.pi)
    equation = sentence(
        f"pole pairs × turns per second = {pole_pairs} × {{speed}} = {{demand}}; of {{limit}}: {{used}}",
        speed=(abs(float(points.speed[index])), Kind.SPEED),
        demand=(demand, Kind.ELECTRICAL_FREQUENCY),
        limit=(limit, Kind.ELECTRICAL_FREQUENCY),
        used=(demand / limit, Kind.RATIO),
    )
    return checked(criterion, demand, limit, _at(points, index), equation)
