"""What is commonly mistaken about feedback and slow running, said where the inputs show it."""

from __future__ import annotations

import math

import numpy as np

from core.evaluation.criteria_feedback import chosen_checks
from core.evaluation.feedback_needs import TIMER_FREQUENCY, ratio_of, sensor_of
from core.evaluation.free_speed import free_speed
from core.evaluation.motor_model import MotorModel
from core.evaluation.operating_points import OperatingPoints, lowest_voltage
from core.evaluation.remembered import remembered
from core.findings import Caution, Finding
from core.physics import feedback as physics
from core.physics.feedback import edge_rate
from core.physics.low_speed import hall_start_torque
from core.physics.machine_constants import no_load_speed
from core.physics.voltage import available_voltage
from core.project.application import Requirements, Supply
from core.project.candidate import Candidate
from core.project.feedback import Encoder, HallSensors, MotionQuality, Sensorless
from core.results import Margin, PlaneCurves
from core.sentences import sentence
from core.units import Kind, format_number

# A winding that could turn so many times faster than it ever does is made for another job: common
# practice, no source.
MUCH_TOO_FAST = 10.0
# An electrical angle that is off by less costs less than two ten-thousandths of the torque: its cosine.
NOTABLE_DRIFT = math.radians(1.0)


def feedback_findings(
    requirements: Requirements,
    supply: Supply,
    candidate: Candidate,
    motor: MotorModel,
    points: OperatingPoints | None,
    curves: PlaneCurves,
    margins: list[Margin],
    top_speed: float,
) -> tuple[Finding, ...]:
    """Return what is mistaken; `margins` are those of the feedback, `top_speed` of the motor. [rad/s]"""
    found = (
        *_by_choice(requirements, supply, candidate, motor),
        *(_too_fast(margin) for margin in margins if margin.criterion in _TOO_FAST),
        _breaks_away(candidate, points, curves),
        _much_too_fast(requirements.motion, supply, motor, top_speed),
    )
    return tuple(finding for finding in found if finding is not None)


@remembered()
def _by_choice(
    requirements: Requirements, supply: Supply, candidate: Candidate, motor: MotorModel
) -> tuple[Finding, ...]:
    """Return what no cycle changes."""
    motion = requirements.motion
    found = (
        _slow_halls(motion, candidate, motor),
        _sinusoidal_halls(motion, candidate),
        _counts(candidate, motor),
        _behind_backlash(motion, candidate, motor),
        _angle_through_gear(motion, supply, candidate, motor),
        _weak_start(motion, candidate),
        _timer_assumed(motion, candidate),
    )
    return tuple(finding for finding in found if finding is not None)


def _slow_halls(motion: MotionQuality, candidate: Candidate, motor: MotorModel) -> Finding | None:
    """Return the finding of a speed loop on Hall sensors that is faster than their news."""
    feedback, lowest, bandwidth = candidate.feedback, motion.lowest_speed, motion.loop_bandwidth
    if not isinstance(feedback, HallSensors) or lowest is None or bandwidth is None:
        return None
    edges = 2 * feedback.sensors * motor.constants.pole_pairs
    speed = lowest * ratio_of(candidate.transmission)
    rate, wanted = float(edge_rate(edges, speed)), motion.edges_per_bandwidth * bandwidth
    if rate >= wanted:
        return None
    text = sentence(
        "The Hall sensors tell the speed only {rate} at {speed} of the motor, once in {step}; a loop of "
        "{bandwidth} wants {wanted}. Take an encoder, a slower loop or a larger ratio.",
        rate=(rate, Kind.FREQUENCY),
        speed=(speed, Kind.SPEED),
        step=(2.0 * math.pi / edges, Kind.ANGLE),
        bandwidth=(bandwidth, Kind.FREQUENCY),
        wanted=(wanted, Kind.FREQUENCY),
    )
    return Finding("hall_loop_too_slow", "warning", text, {"edge_rate_Hz": rate, "wanted_Hz": wanted})


def _sinusoidal_halls(motion: MotionQuality, candidate: Candidate) -> Finding | None:
    """Return the finding of sinusoidal current by Hall signals, where smooth or slow motion is asked."""
    feedback = candidate.feedback
    asked = motion.speed_ripple is not None or motion.lowest_speed is not None
    if not isinstance(feedback, HallSensors) or candidate.commutation != "sinusoidal" or not asked:
        return None
    start = hall_start_torque(feedback.sensors, feedback.edge_error)
    text = sentence(
        "Sinusoidal current by Hall signals alone is not smooth from rest: until a few edges have passed at "
        "a steady speed the angle is known to {step} electrical only, and the torque swings by {ripple}, "
        "down to {least}. Only an encoder makes it smooth from zero.",
        step=(math.pi / feedback.sensors, Kind.ANGLE),
        ripple=(start.ripple, Kind.RATIO),
        least=(start.least, Kind.RATIO),
    )
    values = {"torque_ripple": start.ripple, "least_torque_share": start.least}
    return Finding("halls_not_smooth_from_rest", "warning", text, values)


def _counts(candidate: Candidate, motor: MotorModel) -> Finding | None:
    """Return the finding of counts that do not divide by the pole pairs; an absolute angle is not counted."""
    feedback = candidate.feedback
    if not isinstance(feedback, Encoder) or feedback.start == "absolute" or feedback.at_load:
        return None
    pole_pairs = motor.constants.pole_pairs
    if feedback.counts % pole_pairs == 0:
        return None
    sensor = sensor_of(feedback, motor)
    assert isinstance(sensor, physics.Encoder)
    drift, each = sensor.angle_drift(pole_pairs), format_number(sensor.counts_per_pole_pair(pole_pairs), 6)
    until = "before the index sets it right" if feedback.index else "in each turn, and more in the next"
    text = sentence(
        f"{feedback.counts} counts do not divide by {pole_pairs} pole pairs, {each} a pole pair: electronics "
        f"that count whole ones lose {{drift}} electrical {until}. Check that they count a whole turn, or "
        "take other counts.",
        drift=(drift, Kind.ANGLE),
    )
    matters = drift > NOTABLE_DRIFT or not feedback.index
    return Finding("counts_per_pole_pair", "warning" if matters else "note", text, {"drift_rad": drift})


def _behind_backlash(motion: MotionQuality, candidate: Candidate, motor: MotorModel) -> Finding | None:
    """Return the finding of a sensor before a gear whose play is larger than what is asked at the load."""
    feedback, gear, allowed = candidate.feedback, candidate.transmission, motion.position_accuracy
    if gear is None or allowed is None or feedback is None:
        return None
    sensor = sensor_of(feedback, motor)
    if isinstance(sensor, physics.Sensorless) or (isinstance(feedback, Encoder) and feedback.at_load):
        return None
    half, step = 0.5 * gear.backlash, sensor.position_error / gear.ratio
    if half + step <= allowed or half <= step:
        return None
    text = sentence(
        "The sensor sits before the gear: its step is {step} at the load, but half of the backlash is {half} "
        "and {allowed} is asked. It does not see the play; only a sensor at the load, a gear with less play "
        "or a load that always presses to one side helps.",
        step=(step, Kind.ANGLE),
        half=(half, Kind.ANGLE),
        allowed=(allowed, Kind.ANGLE),
    )
    values = {"half_backlash_rad": half, "step_rad": step, "allowed_rad": allowed}
    return Finding("sensor_before_backlash", "warning", text, values)


def _angle_through_gear(
    motion: MotionQuality, supply: Supply, candidate: Candidate, motor: MotorModel
) -> Finding | None:
    """Return the finding of an encoder behind a gear that cannot tell the electrical angle."""
    feedback = candidate.feedback
    if not isinstance(feedback, Encoder) or not feedback.at_load:
        return None
    checks = chosen_checks(motion, supply, candidate, motor)
    check = next((one for one in checks if one.requirement == "electrical angle"), None)
    if check is None or check.ok is not False or check.ability is None:
        return None
    text = sentence(
        "The encoder sits at the load: through the transmission it tells the electrical angle of the motor "
        "to {step} only, {allowed} is allowed. The motor needs Hall sensors or an encoder of its own beside "
        "it.",
        step=(check.ability, Kind.ANGLE),
        allowed=(check.demand, Kind.ANGLE),
    )
    return Finding("encoder_behind_gear", "warning", text, {"angle_rad": check.ability})


def _weak_start(motion: MotionQuality, candidate: Candidate) -> Finding | None:
    """Return the finding of running without a sensor where a start under load is asked."""
    feedback, asked = candidate.feedback, motion.start_torque_share
    if not isinstance(feedback, Sensorless) or asked is None or asked <= feedback.start_torque_share:
        return None
    text = sentence(
        "Without a sensor the motor starts blind, with {has} of its continuous torque; {asked} is asked. It "
        "may rock or stall at the start: take Hall sensors or an encoder.",
        has=(feedback.start_torque_share, Kind.RATIO),
        asked=(asked, Kind.RATIO),
    )
    values = {"start_torque_share": feedback.start_torque_share, "asked_share": asked}
    return Finding("sensorless_start_under_load", "warning", text, values)


def _timer_assumed(motion: MotionQuality, candidate: Candidate) -> Finding | None:
    asked = motion.speed_ripple is not None and motion.lowest_speed is not None
    if not asked or candidate.feedback is None or isinstance(candidate.feedback, Sensorless):
        return None
    text = sentence(
        "The speed is taken to be read as finely as counting edges or timing them by {clock} allows.",
        clock=(TIMER_FREQUENCY, Kind.FREQUENCY),
    )
    return Finding("speed_reading_assumed", "assumed", text, {"timer_Hz": TIMER_FREQUENCY})


_TOO_FAST = {
    "feedback_frequency": ("feedback_signal_too_fast", "signal of the feedback", "counts are lost"),
    "encoder_speed": ("encoder_too_fast", "encoder", "its disc or its bearing may not bear it"),
}


def _too_fast(margin: Margin) -> Finding | None:
    """Return the finding of a signal or an encoder beyond its limit, not only beyond its target."""
    if margin.demand is None or margin.limit is None or margin.demand <= margin.limit:
        return None
    code, what, then = _TOO_FAST[margin.criterion]
    text = sentence(
        f"The {what} has {{demand}} at the highest speed, {{limit}} is allowed: beyond it {then}.",
        demand=(margin.demand, margin.kind),
        limit=(margin.limit, margin.kind),
    )
    unit = "Hz" if margin.kind is Kind.FREQUENCY else "rad_s"
    return Finding(code, "serious", text, {f"demand_{unit}": margin.demand, f"limit_{unit}": margin.limit})


def _breaks_away(candidate: Candidate, points: OperatingPoints | None, curves: PlaneCurves) -> Finding | None:
    """Return the finding of running without a sensor where the cycle starts from rest under much torque."""
    feedback = candidate.feedback
    if not isinstance(feedback, Sensorless) or points is None or curves.continuous is None:
        return None
    lasting = float(curves.continuous[0])
    speed, torque = points.speed.reshape(-1, 2), points.em_torque.reshape(-1, 2)
    leaves = (speed[:, 0] == 0.0) & (speed[:, 1] != 0.0)
    if not leaves.any() or not lasting > 0.0:
        return None
    needed = float(np.abs(torque[leaves, 0]).max())
    has = feedback.start_torque_share * lasting
    if needed <= has:
        return None
    text = sentence(
        "Leaving rest takes {needed}; a start without a sensor gives about {has}, {share} of the {lasting} "
        "that the motor holds at rest. It may not break away: take Hall sensors or an encoder.",
        needed=(needed, Kind.TORQUE),
        has=(has, Kind.TORQUE),
        share=(feedback.start_torque_share, Kind.RATIO),
        lasting=(lasting, Kind.TORQUE),
    )
    return Finding("sensorless_breakaway", "warning", text, {"needed_Nm": needed, "start_Nm": has})


def _much_too_fast(motion: MotionQuality, supply: Supply, motor: MotorModel, top: float) -> Finding | None:
    """Return the finding of a fast winding where slow or exact motion is asked."""
    if top <= 0.0 or (motion.lowest_speed is None and motion.position_accuracy is None):
        return None
    reach = _reach(supply, motor)
    if reach is None or reach < MUCH_TOO_FAST * top:
        return None
    text = sentence(
        "The winding turns up to {reach} at this supply, the cycle never more than {top}: a slower winding "
        "makes the same torque with less current, which is metered more finely. Cogging stays the same.",
        reach=(reach, Kind.SPEED),
        top=(top, Kind.SPEED),
    )
    return Finding("winding_much_too_fast", "note", text, {"reach_rad_s": reach, "highest_rad_s": top})


@remembered()
def _reach(supply: Supply, motor: MotorModel) -> float | None:
    """Return the no-load speed at the lowest voltage, None without one. [rad/s]"""
    voltage = lowest_voltage(supply)
    if voltage is None:
        return None
    available = available_voltage(
        motor.commutation, voltage, motor.drive.largest_duty, motor.drive.modulation
    )
    return float(no_load_speed(motor.constants, motor.commutation, available))


@remembered()
def lost_feedback(supply: Supply, candidate: Candidate, motor: MotorModel) -> tuple[Caution, ...]:
    """Return the caution of a feedback whose signal fails; running without a sensor loses step and stops."""
    feedback, reach = candidate.feedback, free_speed(supply, motor)
    if feedback is None or isinstance(feedback, Sensorless):
        return ()
    values: dict[str, float] = {}
    beyond = ""
    speed, limit = 0.0, motor.variant.largest_speed
    if reach is not None:
        speed = reach
        values = {"run_away_rad_s": speed}
        beyond = ", without load up to {speed}"
        if limit is not None and speed > limit:
            values["limit_rad_s"] = limit
            beyond += ", beyond its mechanical limit of {limit}"
    what = "encoder" if isinstance(feedback, Encoder) else "Hall sensors"
    text = sentence(
        f"A signal of the {what} that freezes, fails or is wired the wrong way round can make the motor run "
        f"off at full current{beyond}. Let the electronics check the signal, limit the speed, and provide "
        "a stop that does not depend on it.",
        speed=(speed, Kind.SPEED),
        limit=(limit or 0.0, Kind.SPEED),
    )
    return (Caution("feedback_lost", "Lost or wrong feedback", text, values),)
