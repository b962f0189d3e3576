"""The criteria of the transmission: output torque, lasting and for moments, and input speed."""

from __future__ import annotations

import numpy as np

from core.evaluation.criterion import WHOLE_CYCLE, Criterion, Place, checked, not_checked
from core.evaluation.duty import DerivedDuty, derived_duty
from core.numeric import IntArray
from core.physics.gear_findings import gear_demand
from core.physics.transmission import ShaftTimeline
from core.project.application import Application
from core.project.transmission import Transmission
from core.results import Margin
from core.sentences import sentence
from core.units import Kind

_NO_DUTY = "the duty cycle is empty"


def gear_margins(
    application: Application, transmission: Transmission | None, traced: ShaftTimeline | None = None
) -> list[Margin]:
    """Return the margins of a transmission against its limits; none for direct drive.

    `traced` is the duty of a trace that was measured behind the transmission.
    """
    if transmission is None:
        return []
    targets = application.requirements.targets
    limits = (
        (Criterion("gear_peak_torque", "Peak torque of the transmission", Kind.LOAD_TORQUE, targets.peak),
         transmission.intermittent_torque),
        (Criterion("gear_torque", "Continuous torque of the transmission", Kind.LOAD_TORQUE, targets.peak),
         transmission.continuous_torque),
        (Criterion("gear_speed", "Input speed of the transmission", Kind.SPEED, targets.speed),
         transmission.largest_input_speed),
    )  # fmt: skip
    duty = _at_the_load(application, transmission, traced)
    if isinstance(duty, str):
        entered = application.duty_from == "segments"
        return [not_checked(one, duty) for one, limit in limits if limit is not None or not entered]
    timeline, phase = duty
    demand = gear_demand(timeline)
    demands = (
        (demand.peak_torque, _in_segment(int(phase[demand.peak_torque_piece]))),
        (demand.mean_torque, WHOLE_CYCLE),
        (demand.peak_input_speed, _in_segment(int(phase[demand.peak_speed_piece]))),
    )
    return [
        not_checked(criterion, f"missing: limit of the transmission ({criterion.label.lower()})")
        if limit is None
        else _margin(criterion, value, limit, place)
        for (criterion, limit), (value, place) in zip(limits, demands, strict=True)
    ]


def _at_the_load(
    application: Application, transmission: Transmission | None, traced: ShaftTimeline | None
) -> tuple[ShaftTimeline, IntArray] | str:
    """Return the duty of a transmission and the segment of each of its pieces, or why it is not known."""
    if application.duty_from == "segments":
        return "the duty is entered at the motor shaft, so the torque at the load is not known"
    if application.duty_from == "load":
        derived = derived_duty(application.load, transmission)
        return (derived.timeline, derived.load.phase) if isinstance(derived, DerivedDuty) else _NO_DUTY
    source = application.trace
    if source is not None and source.at == "motor shaft":
        return "the trace was measured at the motor shaft, so the torque at the load is not known"
    if traced is None:
        return "the trace is not there"
    return traced, np.zeros(int(traced.piece[-1]) + 1, dtype=np.int64)


def _in_segment(segment: int) -> Place:
    return Place(f"segment {segment + 1}", segment)


def _margin(criterion: Criterion, demand: float, limit: float, place: Place) -> Margin:
    kind = criterion.kind
    equation = sentence(
        "{demand} of {limit}: {used}",
        demand=(demand, kind),
        limit=(limit, kind),
        used=(demand / limit, Kind.RATIO),
    )
    return checked(criterion, demand, limit, place, equation)
