"""How evenly the motor turns slowly: what cogging does to the speed, and what turns the shaft without power.

All of it without a control loop: what a loop evens out depends on its bandwidth against the cogging.
"""

from __future__ import annotations

from core.evaluation.criterion import MOTOR, Criterion, checked, not_checked
from core.evaluation.duty import DerivedDuty, derived_duty
from core.evaluation.feedback_needs import ratio_of
from core.evaluation.motor_model import MotorModel
from core.evaluation.remembered import remembered
from core.findings import Finding
from core.physics.low_speed import (
    cogging_frequency,
    cogging_speed_swing,
    lowest_smooth_speed,
    unpowered_shaft,
)
from core.physics.winding import cogging_periods
from core.project.application import Application, Requirements
from core.project.transmission import Transmission
from core.records import dataclass
from core.results import Margin
from core.sentences import Sentence, joined, sentence
from core.units import Kind


@dataclass(frozen=True, slots=True)
class SmoothRunning:
    """Margin and findings of slow running, None and empty where nothing is asked or known."""

    margin: Margin | None
    findings: tuple[Finding, ...]


def smooth_running(
    application: Application, transmission: Transmission | None, motor: MotorModel
) -> SmoothRunning:
    """Return how evenly a motor turns at the lowest speed that is asked for.

    The load's inertia counts where the duty comes from it; entered segments and traces do not tell it.
    """
    load = -1.0
    if application.duty_from == "load":
        derived = derived_duty(application.load, transmission)
        if isinstance(derived, DerivedDuty):
            # the least inertia of a load that changes swings most
            load = float(derived.load.terms.inertia.min()) / derived.gear.ratio**2
    return _smooth(application.requirements, transmission, motor, load)


@remembered()
def _smooth(
    requirements: Requirements, transmission: Transmission | None, motor: MotorModel, load_inertia: float
) -> SmoothRunning:
    """Return the result for a load's inertia at the motor, below zero where it is not known. [kg m2]"""
    motion = requirements.motion
    cogging, slots = motor.motor.cogging_torque, motor.motor.slots
    missing = "cogging torque" if cogging is None else "number of slots" if slots is None else None
    if missing or cogging is None or slots is None:
        asked = motion.lowest_speed is not None and motion.speed_ripple is not None
        why = f"missing: {missing} of {motor.motor.name}"
        return SmoothRunning(not_checked(_criterion(requirements), why) if asked else None, ())
    inertia = motor.inertia + max(load_inertia, 0.0)
    inertia += 0.0 if transmission is None else transmission.input_inertia
    periods = cogging_periods(slots, motor.constants.pole_pairs)
    at_rest = _without_power(motor, cogging, periods)
    if motion.lowest_speed is None or inertia <= 0.0:
        return SmoothRunning(None, (at_rest,))
    swing = _swing(cogging, periods, inertia, motion.lowest_speed * ratio_of(transmission), load_inertia)
    if motion.speed_ripple is None:
        return SmoothRunning(None, (_swing_finding(swing), at_rest))
    margin = _margin(requirements, motion.speed_ripple, swing)
    return SmoothRunning(margin, (at_rest,))


@dataclass(frozen=True, slots=True)
class _Swing:
    """What cogging does at a speed of the motor. [N m, 1/turn, kg m2, rad/s, -, Hz]"""

    cogging: float
    periods: int
    inertia: float
    speed: float
    ripple: float
    frequency: float
    bodies: str


def _swing(cogging: float, periods: int, inertia: float, speed: float, load_inertia: float) -> _Swing:
    bodies = "rotor and load" if load_inertia >= 0.0 else "the rotor alone, as the load is not known"
    ripple = float(cogging_speed_swing(cogging, periods, inertia, speed).ripple)
    frequency = float(cogging_frequency(periods, speed))
    return _Swing(cogging, periods, inertia, speed, ripple, frequency, bodies)


def _criterion(requirements: Requirements, required: bool = True) -> Criterion:
    target = requirements.targets.feedback
    return Criterion(
        "smooth_running", "Smooth running at the lowest speed", Kind.RATIO, target, required=required
    )


def _margin(requirements: Requirements, allowed: float, swing: _Swing) -> Margin:
    """Return the margin of the swing; not required where the loop is faster than the cogging."""
    bandwidth = requirements.motion.loop_bandwidth
    faster = bandwidth is not None and bandwidth > swing.frequency
    smooth = lowest_smooth_speed(swing.cogging, swing.periods, swing.inertia, allowed)
    used = sentence(
        "; of {limit}: {used}. Without a loop it is smooth enough from {smooth} of the motor on.",
        limit=(allowed, Kind.RATIO),
        used=(swing.ripple / allowed, Kind.RATIO),
        smooth=(smooth, Kind.SPEED),
    )
    equation = joined(_words(swing), used)
    criterion = _criterion(requirements, required=not faster)
    return checked(criterion, swing.ripple, allowed, MOTOR, equation, why=_of_the_loop(bandwidth, swing))


def _words(swing: _Swing) -> Sentence:
    return sentence(
        f"cogging of {{cogging}}, {swing.periods} periods a turn, swings {{inertia}} ({swing.bodies}) at "
        "{speed} of the motor by {ripple}, highest less lowest speed over the mean",
        cogging=(swing.cogging, Kind.TORQUE),
        inertia=(swing.inertia, Kind.INERTIA),
        speed=(swing.speed, Kind.SPEED),
        ripple=(swing.ripple, Kind.RATIO),
    )


def _of_the_loop(bandwidth: float | None, swing: _Swing) -> Sentence:
    frequency = {"frequency": (swing.frequency, Kind.FREQUENCY)}
    if bandwidth is None:
        return sentence(
            "without a control loop; one with more bandwidth than the {frequency} of the cogging evens out "
            "part of it, at the price of current",
            **frequency,
        )
    numbers = frequency | {"bandwidth": (bandwidth, Kind.FREQUENCY)}
    if bandwidth > swing.frequency:
        return sentence(
            "without a control loop; the one of {bandwidth} is faster than the {frequency} of the cogging "
            "and evens out part of it, at the price of current",
            **numbers,
        )
    return sentence(
        "the control loop of {bandwidth} is slower than the {frequency} of the cogging and does not help",
        **numbers,
    )


def _swing_finding(swing: _Swing) -> Finding:
    text = joined("At the lowest speed ", _words(swing), ". ", _of_the_loop_alone(swing))
    values = {"speed_ripple": swing.ripple, "cogging_Hz": swing.frequency, "inertia_kg_m2": swing.inertia}
    return Finding("low_speed_swing", "note", text, values)


def _of_the_loop_alone(swing: _Swing) -> Sentence:
    text = "A control loop with more bandwidth than {frequency} evens out part of it."
    return sentence(text, frequency=(swing.frequency, Kind.FREQUENCY))


def _without_power(motor: MotorModel, cogging: float, periods: int) -> Finding:
    """Return what turns the shaft without power, with the drag that is there at any speed as friction."""
    shaft = unpowered_shaft(cogging, motor.drag.constant, periods)
    rests = f"it snaps into one of {periods} places a turn" if shaft.snaps else "it rests anywhere"
    text = sentence(
        "Without power {torque} at the shaft turns the motor, cogging {cogging} and friction {friction}; "
        + rests
        + ".",
        torque=(shaft.turning_torque, Kind.TORQUE),
        cogging=(cogging, Kind.TORQUE),
        friction=(motor.drag.constant, Kind.TORQUE),
    )
    values = {"turning_torque_Nm": shaft.turning_torque, "rest_positions": float(shaft.rest_positions)}
    return Finding("torque_to_turn_unpowered", "note", text, values)
