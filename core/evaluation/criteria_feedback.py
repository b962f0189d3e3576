"""The criteria of the feedback: what is asked of the motion, its own limits, and what it stands.

What the motion asks and what the parts alone decide is remembered; each cycle adds its highest speed and
its temperatures.
"""

from __future__ import annotations

from core.evaluation.criteria_heat import RUN_AWAY, temperature_margin
from core.evaluation.criterion import (
    MOTOR,
    WHOLE_CYCLE,
    Criterion,
    answered,
    checked,
    excluded,
    missed,
    not_checked,
)
from core.evaluation.feedback_needs import feedback_kind, needs_of, place_of, ratio_of, sensor_of
from core.evaluation.heat_model import stator_side
from core.evaluation.motor_model import MotorModel
from core.evaluation.part_limits import encoder_limit, hall_limit, has_hall_board
from core.evaluation.remembered import remembered
from core.evaluation.temperatures import CycleTemperatures
from core.physics.feedback import Sensorless
from core.physics.feedback_adequacy import FeedbackCheck, feedback_adequacy
from core.physics.temperatures import RepeatingState, RunAway
from core.project.application import Requirements, Supply
from core.project.candidate import Candidate
from core.project.feedback import Encoder, MotionQuality
from core.records import dataclass
from core.results import Margin, PeakTemperature
from core.sentences import joined, sentence
from core.units import Kind


@dataclass(frozen=True, slots=True)
class _Row:
    """How a requirement on the feedback becomes a criterion."""

    code: str
    label: str
    kind: Kind
    wanted: str  # field of `MotionQuality` that asks for it, empty where it is always asked


_ROWS = {
    "lowest speed": _Row("feedback_lowest_speed", "Lowest speed of the feedback", Kind.SPEED, "lowest_speed"),
    "speed ripple": _Row("feedback_speed_ripple", "Speed read by the feedback", Kind.RATIO, "speed_ripple"),
    "position accuracy": _Row(
        "feedback_position", "Position of the load by the feedback", Kind.ANGLE, "position_accuracy"
    ),
    "loop bandwidth": _Row(
        "feedback_bandwidth", "Bandwidth of the speed loop", Kind.FREQUENCY, "loop_bandwidth"
    ),
    "electrical angle": _Row("feedback_angle", "Electrical angle by the encoder", Kind.ANGLE, ""),
    "start under load": _Row("feedback_start", "Start under load", Kind.RATIO, "start_torque_share"),
}
_AT_LEAST = ("loop bandwidth", "start under load")  # what the feedback can do must reach the demand
_NONE = "missing: the feedback (Hall sensors, encoder or sensorless)"


def feedback_margins(
    requirements: Requirements,
    supply: Supply,
    candidate: Candidate,
    motor: MotorModel,
    top_speed: float,
    temps: CycleTemperatures | None,
) -> list[Margin]:
    """Return the margins of the feedback; none where nothing is asked and nothing is chosen.

    Parameters
    ----------
    top_speed : float
        Highest speed of the motor in the cycle, zero without one. [rad/s]
    """
    return [
        *_by_choice(requirements, supply, candidate, motor),
        *_by_speed(requirements, candidate, motor, top_speed),
        *_by_heat(requirements, candidate, motor, temps),
    ]


@remembered()
def _by_choice(
    requirements: Requirements, supply: Supply, candidate: Candidate, motor: MotorModel
) -> tuple[Margin, ...]:
    """Return what the cycle does not change: what is asked of the motion, and whether electronics take it."""
    motion, target, feedback = requirements.motion, requirements.targets.feedback, candidate.feedback
    if feedback is None:
        wanted = [row for row in _ROWS.values() if row.wanted and getattr(motion, row.wanted) is not None]
        return tuple(not_checked(_criterion(row, target), _NONE) for row in wanted)
    taken = _taken(candidate)
    checks = chosen_checks(motion, supply, candidate, motor)
    return (*(() if taken is None else (taken,)), *(_margin(check, target) for check in checks))


def chosen_checks(
    motion: MotionQuality, supply: Supply, candidate: Candidate, motor: MotorModel
) -> tuple[FeedbackCheck, ...]:
    """Return what is asked of the motion against the chosen feedback; nothing without one."""
    feedback, gear = candidate.feedback, candidate.transmission
    if feedback is None:
        return ()
    sensor = sensor_of(feedback, motor)
    found = feedback_adequacy(sensor, needs_of(motion, gear), place_of(motion, gear, supply, motor))
    if isinstance(feedback, Encoder) and feedback.at_load and feedback.start == "Hall sensors":
        # Hall sensors at the motor tell the angle: the encoder behind the gear does not have to
        return tuple(check for check in found if check.requirement != "electrical angle")
    return found


def _criterion(row: _Row, target: float) -> Criterion:
    return Criterion(row.code, row.label, row.kind, target)


def _margin(check: FeedbackCheck, target: float) -> Margin:
    criterion = _criterion(_ROWS[check.requirement], target)
    if check.ok is None:
        return not_checked(criterion, str(check.reason).removeprefix("Not checked: ").removesuffix("."))
    if check.ability is None:
        return missed(criterion, MOTOR, check.reason)
    demand, limit = check.ability, check.demand
    if check.requirement in _AT_LEAST:
        demand, limit = limit, demand
    used = sentence(
        " {demand} of {limit}: {used}",
        demand=(demand, check.kind),
        limit=(limit, check.kind),
        used=(demand / limit if limit > 0.0 else float("inf"), Kind.RATIO),
    )
    return checked(criterion, demand, limit, MOTOR, joined(check.reason, used))


def _taken(candidate: Candidate) -> Margin | None:
    """Return whether the electronics take the kind of feedback; None where they do not say."""
    kinds, feedback = candidate.drive.feedback_kinds, candidate.feedback
    if not kinds or feedback is None:
        return None
    criterion, kind = (
        Criterion("feedback_kind", "Feedback of the electronics", Kind.NUMBER),
        feedback_kind(feedback),
    )
    if kind in kinds:
        return answered(criterion, MOTOR, f"the electronics take {kind}")
    return excluded(criterion, MOTOR, f"the electronics do not take {kind}, only {' or '.join(kinds)}")


def _by_speed(
    requirements: Requirements, candidate: Candidate, motor: MotorModel, top_speed: float
) -> list[Margin]:
    """Return frequency of the signal and speed of an encoder, where their limits are known."""
    feedback = candidate.feedback
    if feedback is None or top_speed <= 0.0:
        return []
    target, sensor = requirements.targets.feedback, sensor_of(feedback, motor)
    if isinstance(sensor, Sensorless):
        return []
    encoder = feedback if isinstance(feedback, Encoder) else None
    speed = top_speed / (ratio_of(candidate.transmission) if encoder and encoder.at_load else 1.0)
    found, limit = [], sensor.largest_signal_frequency
    if limit is not None:
        criterion = Criterion(
            "feedback_frequency", "Signal frequency of the feedback", Kind.FREQUENCY, target
        )
        found.append(_at_speed(criterion, float(sensor.signal_frequency(speed)), limit, speed))
    if encoder is not None and encoder.largest_speed is not None:
        criterion = Criterion("encoder_speed", "Speed of the encoder", Kind.SPEED, target)
        found.append(_at_speed(criterion, speed, encoder.largest_speed, speed))
    return found


def _at_speed(criterion: Criterion, demand: float, limit: float, speed: float) -> Margin:
    equation = sentence(
        "{demand} at {speed} of the sensor, of {limit}: {used}",
        demand=(demand, criterion.kind),
        speed=(speed, Kind.SPEED),
        limit=(limit, criterion.kind),
        used=(demand / limit, Kind.RATIO),
    )
    return checked(criterion, demand, limit, WHOLE_CYCLE, equation)


def sensor_heat_criteria(requirements: Requirements) -> tuple[Criterion, Criterion]:
    """Return the criteria of the temperatures of Hall board and encoder."""
    target = requirements.targets.temperature
    return (
        Criterion("hall_temperature", "Temperature of the Hall board", Kind.TEMPERATURE, target),
        Criterion("encoder_temperature", "Temperature of the encoder", Kind.TEMPERATURE, target),
    )


def _by_heat(
    requirements: Requirements, candidate: Candidate, motor: MotorModel, temps: CycleTemperatures | None
) -> list[Margin]:
    """Return the temperatures of Hall board and encoder."""
    found = []
    hall, encoder = sensor_heat_criteria(requirements)
    if has_hall_board(candidate):
        node = -1 if temps is None else temps.heat.network.core
        found.append(_temperature(hall, "Hall board", hall_limit(candidate), node, temps))
    if candidate.encoder_on_motor is not None:
        node = -1 if temps is None else stator_side(temps.heat.network, motor.variant.kind)
        found.append(_temperature(encoder, "encoder", encoder_limit(candidate), node, temps))
    return found


def _temperature(
    criterion: Criterion, part: str, limit: float | None, node: int, temps: CycleTemperatures | None
) -> Margin:
    if limit is None:
        return not_checked(criterion, f"missing: highest temperature of the {part}")
    if temps is None:
        return not_checked(criterion, "the temperatures of the cycle are not known")
    if isinstance(temps.state, RunAway):
        return missed(criterion, WHOLE_CYCLE, RUN_AWAY, "torque_reserve")
    peak = _peak(part, temps.heat.network.nodes[node], limit, node, temps.state)
    return temperature_margin(criterion, peak, temps.heat.ambient, f"highest temperature of the {part}")


def _peak(part: str, name: str, limit: float, node: int, state: RepeatingState) -> PeakTemperature:
    return PeakTemperature(
        role=part,
        node=name,
        temp=float(state.peak[node]),
        mean=float(state.mean[node]),
        limit=limit,
        segment=int(state.peak_segment[node]),
        instant=float(state.peak_time[node]),
    )
