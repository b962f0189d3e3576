"""What is asked about the feedback of each candidate: Hall sensors, an encoder, or none."""

from __future__ import annotations

from typing import Any

from app.inputs.asked import Asked, CandidateQuestions, PartRow, begun_with, bound_to_part, named
from app.inputs.candidate_figures import FEEDBACK
from app.inputs.rows import ChoiceRow, QuantityRow
from core.project import part_edits
from core.project.candidate import Candidate
from core.project.feedback import Encoder, HallSensors, Sensorless
from core.units import DisplayUnits, Kind

TITLE = "Feedback"
_YES_NO = ((True, "yes"), (False, "no"))
_AT = ((False, "the motor"), (True, "the load"))
_STARTS = (("alignment", "alignment"), ("Hall sensors", "Hall signals"), ("absolute", "absolute"))
_WHOLE = ("counts", "edges_per_line", "sensors")


def _is(*kinds: type) -> Any:
    return lambda candidate: isinstance(candidate.feedback, kinds)


def _feedback(field: str, label: str, kind: Kind, *kinds: type, **more: Any) -> Asked:
    def stored(value: float) -> Any:
        return part_edits.whole_number(field, value) if field in _WHOLE else value

    optional = more.pop("optional", False)
    row = QuantityRow(("feedback", field), label, kind, optional, more.pop("absent", ""))
    return Asked(row, bound_to_part("feedback", field, "the feedback", stored), _is(*kinds), **more)


def _encoder_choice(field: str, label: str, options: tuple[tuple[Any, str], ...]) -> Asked:
    row = ChoiceRow(("feedback", field), label, options)
    return Asked(row, bound_to_part("feedback", field, "the feedback"), _is(Encoder))


def _exact_edges(candidate: Candidate) -> str:
    feedback = candidate.feedback
    exact = isinstance(feedback, HallSensors) and feedback.edge_error == 0.0
    return "assumed: edges without error" if exact else ""


def summary(candidate: Candidate, _units: DisplayUnits) -> str:
    """Return the feedback in a few words."""
    return "no feedback chosen" if candidate.feedback is None else candidate.feedback.name


QUESTIONS = CandidateQuestions(
    TITLE, "feedback", "feedback",
    (
        Asked(
            PartRow(
                "feedback", "Feedback", lambda shelf: shelf.feedback, "not chosen",
                (
                    ("Hall sensors, own figures", part_edits.OWN_HALL_SENSORS),
                    ("encoder, own figures", part_edits.OWN_ENCODER),
                    ("sensorless, own figures", part_edits.OWN_SENSORLESS),
                ),
            ),
            remark=lambda candidate: "missing: feedback is not checked" if candidate.feedback is None
            else begun_with("feedback")(candidate),
            wide=True,
        ),
        named("feedback", "the feedback"),
        _feedback("sensors", "Sensors", Kind.NUMBER, HallSensors),
        _feedback("edge_error", "Edge error, el.", Kind.ANGLE, HallSensors, remark=_exact_edges),
        _feedback("counts", "Counts a turn", Kind.NUMBER, Encoder),
        _feedback("edges_per_line", "Edges a line", Kind.NUMBER, Encoder),
        _encoder_choice("start", "Angle at start", _STARTS),
        _encoder_choice("index", "Index pulse", _YES_NO),
        _encoder_choice("at_load", "It sits at", _AT),
        _feedback("least_emf_share", "EMF at lowest", Kind.RATIO, Sensorless),
        _feedback("start_torque_share", "Torque at start", Kind.RATIO, Sensorless),
        _feedback("largest_signal_frequency", "Signal up to", Kind.FREQUENCY, HallSensors, Encoder,
                  optional=True, absent="missing: frequency of the signal is not checked"),
        _feedback("largest_speed", "Speed up to", Kind.SPEED, Encoder, optional=True),
        _feedback("highest_temp", "Stands up to", Kind.TEMPERATURE, HallSensors, Encoder, optional=True),
        _feedback("length", "Adds length", Kind.LENGTH, Encoder),
        _feedback("mass", "Adds mass", Kind.MASS, Encoder),
        _feedback("inertia", "Adds inertia", Kind.INERTIA, Encoder),
    ),
    summary, FEEDBACK,
)  # fmt: skip
