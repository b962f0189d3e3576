"""The criteria of the electronics beside their currents: supply, commutation, overload time, rest, air.

That their supply does not fall below its range is in `criteria_supply`.
"""

from __future__ import annotations

import numpy as np

from core.evaluation.criterion import (
    MOTOR,
    WHOLE_CYCLE,
    Criterion,
    Place,
    answered,
    checked,
    excluded,
    missed,
    not_checked,
)
from core.evaluation.feed import highest_voltage
from core.evaluation.motor_model import MotorModel
from core.evaluation.operating_points import OperatingPoints
from core.evaluation.overload import longest_overload, resting_current
from core.evaluation.remembered import remembered
from core.physics.shaft_duty import ShaftDuty
from core.project.application import Application, Supply, Targets
from core.results import Margin, PeakTemperature
from core.sentences import sentence
from core.units import Kind


def electronics_margins(
    application: Application,
    motor: MotorModel,
    duty: ShaftDuty | None,
    points: OperatingPoints | None,
    peaks: tuple[PeakTemperature, ...],
) -> list[Margin]:
    """Return the margins of the electronics that their data and the cycle give."""
    targets = application.requirements.targets
    found = [
        *_whatever_the_duty(application.supply, targets, motor),
        _peak_time(targets, motor, duty, points),
        _at_rest(targets, motor, duty, points),
        _surroundings(application, motor, peaks),
    ]
    return [margin for margin in found if margin is not None]


@remembered()
def _whatever_the_duty(supply: Supply, targets: Targets, motor: MotorModel) -> tuple[Margin | None, ...]:
    return _highest_supply(supply, targets, motor), _commutation(motor)


def _highest_supply(supply: Supply, targets: Targets, motor: MotorModel) -> Margin:
    criterion = Criterion("highest_supply", "Highest supply of the electronics", Kind.VOLTAGE, targets.supply)
    limit, highest = motor.drive.highest_supply, highest_voltage(supply)
    if highest is None:
        return not_checked(criterion, "missing: highest (or nominal) voltage of the supply")
    if limit is None:
        return not_checked(criterion, "missing: highest supply voltage of the electronics")
    equation = sentence(
        "{highest} of {limit}: {used}; braking may raise it",
        highest=(highest, Kind.VOLTAGE),
        limit=(limit, Kind.VOLTAGE),
        used=(highest / limit, Kind.RATIO),
    )
    return checked(criterion, highest, limit, WHOLE_CYCLE, equation)


def _commutation(motor: MotorModel) -> Margin | None:
    """Return whether the electronics can commutate as chosen; None where every way is open."""
    kinds = motor.drive.commutations
    if not kinds:
        return None
    criterion = Criterion("commutation", "Commutation of the electronics", Kind.RATIO)
    if motor.commutation in kinds:
        return answered(criterion, MOTOR, f"the electronics can do {motor.commutation} commutation")
    why = f"the electronics cannot do {motor.commutation} commutation, only {' and '.join(kinds)}"
    return excluded(criterion, MOTOR, why)


def overload_criteria(targets: Targets) -> tuple[Criterion, Criterion]:
    """Return the criteria of the time above the continuous current and of the current at rest."""
    return (
        Criterion("peak_current_time", "Time above the continuous current", Kind.TIME, targets.peak),
        Criterion("standstill_current", "Current of the electronics at rest", Kind.CURRENT, targets.peak),
    )


def around_criterion(targets: Targets) -> Criterion:
    """Return the criterion of what is around the electronics."""
    return Criterion(
        "electronics_ambient", "Temperature around the electronics", Kind.TEMPERATURE, targets.temperature
    )


def _peak_time(
    targets: Targets, motor: MotorModel, duty: ShaftDuty | None, points: OperatingPoints | None
) -> Margin:
    criterion = overload_criteria(targets)[0]
    lasting, limit = motor.drive.continuous_current, motor.drive.peak_time
    if duty is None or points is None:
        return not_checked(criterion, "the duty cycle is empty")
    if lasting is None:
        return not_checked(criterion, "missing: continuous current of the electronics")
    run = longest_overload(duty, points, lasting)
    if run.time == 0.0:
        why = sentence("the current never exceeds {limit}", limit=(lasting, Kind.CURRENT))
        return answered(criterion, WHOLE_CYCLE, why)
    if limit is None:
        return not_checked(criterion, "missing: time for which the electronics carry their peak current")
    place = Place(f"from segment {run.segment + 1}", run.segment, run.instant)
    if run.time == np.inf:
        why = sentence("the current is above {limit} all the time", limit=(lasting, Kind.CURRENT))
        return missed(criterion, place, why, told_by="continuous_current")
    equation = sentence(
        "longest run above {lasting}: {time} of {limit}: {used}; all of it counts as peak current",
        lasting=(lasting, Kind.CURRENT),
        time=(run.time, Kind.TIME),
        limit=(limit, Kind.TIME),
        used=(run.time / limit, Kind.RATIO),
    )
    return checked(criterion, run.time, limit, place, equation)


def _at_rest(
    targets: Targets, motor: MotorModel, duty: ShaftDuty | None, points: OperatingPoints | None
) -> Margin | None:
    """Return the margin of the current at rest, which one or two switches carry; None without derating."""
    lasting, share = motor.drive.continuous_current, motor.drive.standstill_share
    if share == 1.0 or lasting is None or duty is None or points is None:
        return None
    criterion = overload_criteria(targets)[1]
    held = resting_current(duty, points)
    if held is None:
        return answered(criterion, WHOLE_CYCLE, "the motor never holds still under current")
    place = Place(f"segment {held.segment + 1}, at rest", held.segment, held.instant)
    equation = sentence(
        "{current} at rest, of {share} × {lasting} = {limit}: {used}",
        current=(held.current, Kind.CURRENT),
        share=(share, Kind.RATIO),
        lasting=(lasting, Kind.CURRENT),
        limit=(share * lasting, Kind.CURRENT),
        used=(held.current / (share * lasting) if share > 0.0 else float("inf"), Kind.RATIO),
    )
    return checked(criterion, held.current, share * lasting, place, equation)


def _surroundings(
    application: Application, motor: MotorModel, peaks: tuple[PeakTemperature, ...]
) -> Margin | None:
    """Return the margin of what is around the electronics; None where no limit is stated for loose ones."""
    drive, ambient = motor.drive, application.site.ambient
    limit, criterion = drive.highest_ambient, around_criterion(application.requirements.targets)
    if limit is None:
        missing = "missing: highest temperature around the electronics, which are built into the motor"
        return not_checked(criterion, missing) if drive.built_in else None
    if ambient is None:
        return not_checked(criterion, "missing: ambient temperature")
    numbers = {"ambient": (ambient, Kind.TEMPERATURE), "limit": (limit, Kind.TEMPERATURE)}
    if not drive.built_in:
        why = sentence("the air has up to {ambient}, the electronics stand {limit}", **numbers)
        return (answered if ambient <= limit else missed)(criterion, WHOLE_CYCLE, why)
    outside = next((peak for peak in peaks if peak.role == "outside"), None)
    if outside is None:
        return not_checked(criterion, "the temperature of the motor's outside is not known")
    equation = sentence(
        f"rise of the {outside.node} around the built-in electronics: "
        "({temp} − {ambient}) / ({limit} − {ambient})",
        temp=(outside.temp, Kind.TEMPERATURE),
        **numbers,
    )
    place = Place(f"segment {outside.segment + 1}", outside.segment, outside.instant)
    return checked(criterion, outside.temp, limit, place, equation, zero=ambient)
