"""The table of feedback: Hall sensors, encoder or none against each requirement of a candidate."""

from __future__ import annotations

import math

import numpy as np
from msgspec.structs import replace

from core.evaluation.feedback_needs import feedback_kind, needs_of, place_of, ratio_of, sensor_of
from core.evaluation.motor_model import MotorModel
from core.evaluation.operating_points import OperatingPoints
from core.feedback_results import FeedbackCell, FeedbackRow, FeedbackTable, Verdict
from core.physics import feedback as physics
from core.physics.feedback import position_error_at_load
from core.physics.feedback_adequacy import FeedbackCheck, FeedbackPlace, feedback_adequacy
from core.physics.low_speed import hall_start_torque
from core.project.application import Application
from core.project.candidate import Candidate
from core.project.drive import FeedbackKind
from core.project.feedback import Feedback, HallSensors, MotionQuality, Sensorless
from core.project.transmission import Transmission
from core.sentences import sentence
from core.units import Kind

# Of the Hall sensors of a motor that are not chosen: common practice, no source. [rad electrical]
ASSUMED_EDGE_ERROR = math.radians(4.0)

_CABLING: dict[FeedbackKind, str] = {
    "Hall sensors": "five signal wires beside the phases: supply, ground and one for each of three sensors",
    "encoder": "four to eight signal wires, more where it is absolute or has Hall signals; shield them",
    "sensorless": "none beside the phases",
}
_FAILURE: dict[FeedbackKind, str] = {
    "Hall sensors": "a wrong or stuck state can drive the motor off; two of eight states are not valid "
    "and tell of a broken wire",
    "encoder": "lost counts turn the electrical angle, a frozen signal can drive the motor off; check it "
    "against voltage and current",
    "sensorless": "the motor falls out of step and stops, or does not start",
}
_VERDICTS: dict[bool | None, Verdict] = {True: "pass", False: "fail", None: "unknown"}


def possible_feedback(candidate: Candidate) -> dict[FeedbackKind, Feedback]:
    """Return the feedback of each kind: that of the candidate, else one with the figures of a new one."""
    limit = None if candidate.motor is None else candidate.motor.hall_limit
    halls = HallSensors(
        name=f"three Hall sensors, edges assumed within {math.degrees(ASSUMED_EDGE_ERROR):g}° electrical",
        edge_error=ASSUMED_EDGE_ERROR,
        highest_temp=limit,
    )
    by_kind: dict[FeedbackKind, Feedback] = {"Hall sensors": halls, "sensorless": Sensorless()}
    if candidate.feedback is not None:
        by_kind[feedback_kind(candidate.feedback)] = candidate.feedback
    return by_kind


def feedback_table(
    application: Application,
    candidate: Candidate,
    motor: MotorModel,
    top_speed: float,
    points: OperatingPoints | None = None,
    lasting_at_rest: float | None = None,
) -> FeedbackTable:
    """Return what each feedback can do about what is asked, and about what the cycle holds at rest.

    Hall sensors and running without a sensor are those of the candidate where they are chosen, else with
    the figures that a new one starts with; an encoder stands in the table where one is chosen.
    """
    chosen, by_kind = candidate.feedback, possible_feedback(candidate)
    order: tuple[FeedbackKind, ...] = ("Hall sensors", "encoder", "sensorless")
    possible = [by_kind[kind] for kind in order if kind in by_kind]
    held = held_at_rest(points)
    rows = (
        _row(
            application,
            replace(candidate, feedback=one),
            motor,
            top_speed,
            one is chosen,
            _held(one, held, lasting_at_rest),
        )
        for one in possible
    )
    return FeedbackTable(tuple(rows))


def held_at_rest(points: OperatingPoints | None) -> float:
    """Return the largest torque of the motor while it stands still through a part of the cycle. [N m]"""
    if points is None:
        return 0.0
    standing = (points.speed.reshape(-1, 2) == 0.0).all(axis=1)
    return float(np.abs(points.em_torque.reshape(-1, 2)[standing]).max(initial=0.0))


def _held(feedback: Feedback, held: float, lasting: float | None) -> FeedbackCell | None:
    """Return whether a motor without a sensor holds what the cycle asks at rest; None where nothing is asked.

    A current that stands still holds like a stepping motor: the rotor gives way by up to a quarter of an
    electrical period before it pulls in full, and slips beyond. As at a start, a share of the torque is what
    can be relied on (common practice, no source).
    """
    if not isinstance(feedback, Sensorless) or held <= 0.0:
        return None
    if lasting is None:
        unknown = sentence("Not checked: the torque that lasts at rest is not known.")
        return FeedbackCell("torque held at rest", Kind.TORQUE, held, None, "unknown", unknown)
    ability = feedback.start_torque_share * lasting
    reason = sentence(
        "Without a sensor a standing current holds {ability}, {share} of what lasts at rest, and gives way "
        "by up to a quarter of an electrical period; the cycle holds {held}.",
        ability=(ability, Kind.TORQUE),
        share=(feedback.start_torque_share, Kind.RATIO),
        held=(held, Kind.TORQUE),
    )
    verdict = _VERDICTS[held <= ability]
    return FeedbackCell("torque held at rest", Kind.TORQUE, held, ability, verdict, reason)


def _row(
    application: Application,
    candidate: Candidate,
    motor: MotorModel,
    top_speed: float,
    chosen: bool,
    held: FeedbackCell | None,
) -> FeedbackRow:
    feedback, gear = candidate.feedback, candidate.transmission
    assert feedback is not None
    motion, kind = application.requirements.motion, feedback_kind(feedback)
    sensor, place = sensor_of(feedback, motor), place_of(motion, gear, application.supply, motor)
    checks = feedback_adequacy(sensor, needs_of(motion, gear, top_speed), place)
    return FeedbackRow(
        kind=kind,
        name=feedback.name,
        chosen=chosen,
        taken=kind in candidate.drive.feedback_kinds if candidate.drive.feedback_kinds else None,
        fits=_fits(candidate, kind),
        edges=sensor.counts if isinstance(sensor, physics.Encoder) else sensor.edges_per_turn,
        position_error=_position_error(sensor, place),
        start_torque=_start_torque(sensor, motor),
        cells=(*(_cell(check) for check in checks), *([] if held is None else [held])),
        cabling=_CABLING[kind],
        when_it_fails=_FAILURE[kind],
        edge_rate=_edge_rate(sensor, motion, gear),
    )


def _edge_rate(sensor: physics.Feedback, motion: MotionQuality, gear: Transmission | None) -> float | None:
    """Return the edges a second at the wanted lowest speed of the load. [Hz]"""
    if motion.lowest_speed is None or isinstance(sensor, physics.Sensorless):
        return None
    if isinstance(sensor, physics.HallSensors):
        return float(physics.edge_rate(sensor.edges_per_turn, motion.lowest_speed * ratio_of(gear)))
    faster = 1.0 if sensor.at_load else ratio_of(gear)
    return float(physics.edge_rate(sensor.counts, motion.lowest_speed * faster))


def _fits(candidate: Candidate, kind: FeedbackKind) -> bool | None:
    """Return whether the variant can carry a kind of feedback; None where it lists nothing."""
    if kind == "sensorless" or (kind == "encoder" and candidate.encoder_on_motor is None):
        return True
    listed = () if candidate.chosen_variant is None else candidate.chosen_variant.can_be_fitted_with
    return kind in listed if listed else None


def _position_error(sensor: physics.Feedback, place: FeedbackPlace) -> float | None:
    if isinstance(sensor, physics.Sensorless):
        return None
    return position_error_at_load(sensor, place.gear_ratio, place.backlash)


def _start_torque(sensor: physics.Feedback, motor: MotorModel) -> float | None:
    """Return the least share of the torque at a start."""
    if isinstance(sensor, physics.Sensorless):
        return sensor.start_torque_share
    if isinstance(sensor, physics.HallSensors):
        return sensor.least_start_torque
    if sensor.start == "Hall signals":
        return hall_start_torque().least
    if sensor.start == "absolute" and not sensor.at_load:
        return math.cos(min(motor.constants.pole_pairs * sensor.position_error, 0.5 * math.pi))
    return None


def _cell(check: FeedbackCheck) -> FeedbackCell:
    verdict = _VERDICTS[check.ok]
    return FeedbackCell(check.requirement, check.kind, check.demand, check.ability, verdict, check.reason)
