"""The criteria of the shaft: life of both bearings under what pulls at the shaft end."""

from __future__ import annotations

import math

import numpy as np

from core.evaluation.criterion import WHOLE_CYCLE, Criterion, checked, not_checked
from core.evaluation.motor_model import MotorModel
from core.evaluation.remembered import remembered
from core.numeric import FloatArray, read_only
from core.physics.bearing_life import Bearing, life_in_hours
from core.physics.shaft_duty import ShaftDuty
from core.physics.shaft_load import (
    BearingPair,
    ShaftLife,
    allowed_radial_force,
    bearing_reactions,
    shaft_life,
)
from core.project.application import Targets
from core.project.fittings import ShaftBearings, ShaftForce
from core.results import Margin
from core.sentences import sentence
from core.shaft_results import ShaftLoad
from core.units import Kind

DRAWN_POINTS = 41
LONG_SHAFT = 0.030  # [m] how far the chart goes where no shaft length is known
HOUR = 3600.0  # [s]
TURN = 2.0 * math.pi  # [rad]


def shaft_load(force: ShaftForce | None, motor: MotorModel, duty: ShaftDuty | None) -> ShaftLoad | None:
    """Return loads and lives of the bearings; None without forces, bearing data or turns."""
    bearings = motor.motor.bearing_data
    if force is None or bearings is None or duty is None:
        return None
    speed = mean_speed(duty)
    if speed <= 0.0:
        return None
    return _load(force, bearings, speed, _shaft_length(motor))


@remembered(size=4)
def mean_speed(duty: ShaftDuty) -> float:
    """Return the time mean of the amount of the speed over the cycle, rests included. [rad/s]"""
    turned = 0.5 * np.abs(duty.speed_start + duty.speed_end) * duty.duration
    return float(turned.sum()) / duty.cycle_time


def _shaft_length(motor: MotorModel) -> float:
    end = motor.motor.shaft_front
    return end.length if end is not None and end.length > 0.0 else LONG_SHAFT


@remembered()
def pair_of(bearings: ShaftBearings) -> BearingPair:
    """Return the bearings as the equations take them; the front one locates the shaft."""
    front, rear = (Bearing(one.dynamic_rating, one.static_rating) for one in (bearings.front, bearings.rear))
    return BearingPair(front, rear, bearings.front_distance, bearings.span, preload=bearings.preload)


@remembered()
def _life(force: ShaftForce, bearings: ShaftBearings) -> ShaftLife:
    # the forces of a project do not change over the cycle, so that its turns all weigh the same
    return shaft_life(pair_of(bearings), force.radial, force.distance, force.axial, np.ones(1))


@remembered()
def _load(force: ShaftForce, bearings: ShaftBearings, speed: float, shaft_length: float) -> ShaftLoad:
    pair, life = pair_of(bearings), _life(force, bearings)
    front, rear = bearing_reactions(pair, force.radial, force.distance)
    distances, allowed = _allowed(force, bearings, speed, shaft_length)
    here = None
    if allowed is not None:
        assert force.wanted_life is not None  # `_allowed` asks for it
        turns = force.wanted_life * HOUR * speed / TURN
        here = float(allowed_radial_force(pair, force.distance, force.axial, turns))
    return ShaftLoad(
        radial=force.radial,
        axial=force.axial,
        distance=force.distance,
        front_reaction=float(front),
        rear_reaction=float(rear),
        front_life=float(life_in_hours(life.front_life, speed)),
        rear_life=float(life_in_hours(life.rear_life, speed)),
        wanted_life=force.wanted_life,
        distances=distances,
        allowed=allowed,
        allowed_here=here,
    )


def _allowed(
    force: ShaftForce, bearings: ShaftBearings, speed: float, shaft_length: float
) -> tuple[FloatArray, FloatArray | None]:
    """Return the allowed radial force over the distance from the mounting face."""
    distances = np.linspace(0.0, max(shaft_length, 1.1 * force.distance), DRAWN_POINTS)
    allowed = None
    if force.wanted_life is not None:
        turns = force.wanted_life * HOUR * speed / TURN
        allowed = allowed_radial_force(pair_of(bearings), distances, force.axial, turns)
        read_only(allowed)
    read_only(distances)
    return distances, allowed


def shaft_margins(
    targets: Targets, force: ShaftForce | None, motor: MotorModel, duty: ShaftDuty | None
) -> list[Margin]:
    """Return the life of both bearings against the wanted one; none without forces on the shaft."""
    if force is None:
        return []
    rows = _criteria(targets)
    why = _why_not(force, motor, duty)
    if why or duty is None:
        return [not_checked(row, why) for row in rows]
    return list(_lives(targets, force, motor, mean_speed(duty)))


@remembered()
def _lives(targets: Targets, force: ShaftForce, motor: MotorModel, speed: float) -> tuple[Margin, ...]:
    bearings, wanted = motor.motor.bearing_data, force.wanted_life
    assert bearings is not None  # `_why_not` asks for both
    assert wanted is not None
    load, life = _load(force, bearings, speed, _shaft_length(motor)), _life(force, bearings)
    each = (
        (load.front_life, life.front_load, bearings.front.dynamic_rating),
        (load.rear_life, life.rear_load, bearings.rear.dynamic_rating),
    )
    rows = _criteria(targets)
    return tuple(_life_margin(row, wanted, *values, speed) for row, values in zip(rows, each, strict=True))


def _why_not(force: ShaftForce, motor: MotorModel, duty: ShaftDuty | None) -> str:
    if motor.motor.bearing_data is None:
        return f"missing: ratings and places of the bearings of {motor.motor.name}"
    if duty is None:
        return "the duty cycle is empty"
    if force.wanted_life is None:
        return "missing: the wanted life of the bearings"
    return "the shaft never turns, which no rating life holds for" if mean_speed(duty) <= 0.0 else ""


@remembered()
def _criteria(targets: Targets) -> tuple[Criterion, Criterion]:
    return (
        Criterion("front_bearing_life", "Life of the front bearing", Kind.LIFE, targets.bearing),
        Criterion("rear_bearing_life", "Life of the rear bearing", Kind.LIFE, targets.bearing),
    )


def _life_margin(
    criterion: Criterion, wanted: float, hours: float, load: float, rating: float, speed: float
) -> Margin:
    """Return wanted life over rating life as the utilisation."""
    endless = math.isinf(hours)
    words = "beyond any number" if endless else "{life}"
    equation = sentence(
        f"L10 = 10⁶ (C / P)³ = 10⁶ ({{rating}} / {{load}})³ turns, at {{speed}} on average {words}; wanted "
        "{wanted}: {used}",
        life=(0.0 if endless else hours * HOUR, Kind.LIFE),
        wanted=(wanted * HOUR, Kind.LIFE),
        rating=(rating, Kind.FORCE),
        load=(load, Kind.FORCE),
        speed=(speed, Kind.SPEED),
        used=(wanted / hours, Kind.RATIO),
    )
    return checked(criterion, wanted * HOUR, hours * HOUR, WHOLE_CYCLE, equation)
