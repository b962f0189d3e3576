"""The criteria of the transmission: output torque, lasting and for moments, and input speed."""

from __future__ import annotations

from core.evaluation.criterion import WHOLE_CYCLE, Criterion, Place, checked, not_checked
from core.evaluation.duty import DerivedDuty, derived_duty
from core.physics.gear_findings import gear_demand
from core.project.application import Application
from core.project.transmission import Transmission
from core.results import Margin
from core.sentences import sentence
from core.units import Kind


def gear_margins(application: Application, transmission: Transmission | None) -> list[Margin]:
    """Return the margins of a transmission against its limits; none for direct drive."""
    if transmission is None:
        return []
    targets = application.requirements.targets
    limits = (
        (Criterion("gear_peak_torque", "Peak torque of the transmission", Kind.TORQUE, targets.peak),
         transmission.intermittent_torque),
        (Criterion("gear_torque", "Continuous torque of the transmission", Kind.TORQUE, targets.peak),
         transmission.continuous_torque),
        (Criterion("gear_speed", "Input speed of the transmission", Kind.SPEED, targets.speed),
         transmission.largest_input_speed),
    )  # fmt: skip
    if application.duty_from == "segments":
        why = "the duty is entered at the motor shaft, so the torque at the load is not known"
        return [not_checked(criterion, why) for criterion, limit in limits if limit is not None]
    derived = derived_duty(application.load, transmission)
    if not isinstance(derived, DerivedDuty):
        return [not_checked(criterion, "the duty cycle is empty") for criterion, _limit in limits]
    demand = gear_demand(derived.timeline)
    phase = derived.load.phase
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
