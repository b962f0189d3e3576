"""The criteria of the place: room, mass, and surroundings that rule a variant out.

A guard around an open rotor keeps fingers away and takes room; a closed box keeps everything away.
"""

from __future__ import annotations

from typing import Literal

from core.evaluation.criterion import MOTOR, Criterion, Place, answered, checked, excluded, not_checked
from core.evaluation.fitted_size import FittedSize, fitted_size
from core.evaluation.motor_model import MotorModel
from core.evaluation.remembered import remembered
from core.project.application import Application, Requirements, Site
from core.project.candidate import Candidate
from core.project.mounting import Box, Guard
from core.results import Margin
from core.sentences import sentence
from core.units import Kind

Hazard = Literal["dust", "magnetic_swarf", "liquid", "reach_of_fingers"]

_LABELS: dict[Hazard, str] = {
    "dust": "Dust",
    "magnetic_swarf": "Magnetic swarf",
    "liquid": "Liquid",
    "reach_of_fingers": "Reach of fingers",
}
_ASK: dict[Hazard, str] = {
    "dust": "say whether there is dust",
    "magnetic_swarf": "say whether there is magnetic swarf",
    "liquid": "say whether liquid can reach the motor",
    "reach_of_fingers": "say whether fingers can reach the motor",
}
_WHY_OUT: dict[Hazard, str] = {
    "dust": "dust settles in the air gap and the bearings of this variant",
    "magnetic_swarf": "the magnets of this variant collect swarf until the rotor rubs",
    "liquid": "liquid reaches the winding of this variant",
    "reach_of_fingers": "fingers can reach the turning rotor: only a guard or another variant helps",
}


def place_margins(application: Application, candidate: Candidate, motor: MotorModel) -> list[Margin]:
    """Return envelope and surroundings of a candidate."""
    site = application.site
    return [*_envelope(application.requirements, site, candidate), *_surroundings(site, motor)]


@remembered()
def _envelope(requirements: Requirements, site: Site, candidate: Candidate) -> tuple[Margin, ...]:
    envelope, size = requirements.envelope, fitted_size(candidate, site)
    target, counted = requirements.targets.envelope, _counted(size)
    guarded = isinstance(site.around, Guard) and candidate.variant == "open rotor"
    with_guard, and_guard = (" with guard", " and guard") if guarded else ("", "")
    rows = (
        ("diameter", f"Diameter{with_guard}", Kind.LENGTH, size.diameter, envelope.largest_diameter, ""),
        (
            "length",
            f"Length with fittings{and_guard}",
            Kind.LENGTH,
            size.length,
            envelope.largest_length,
            counted,
        ),
        ("mass", "Mass", Kind.MASS, size.mass, envelope.largest_mass, counted),
    )
    margins = []
    for code, label, kind, demand, limit, words in rows:
        if limit is None:
            continue  # nothing was asked for
        criterion = Criterion(code, label, kind, target)
        if demand is None:
            margins.append(not_checked(criterion, f"missing: {label.lower()} of the motor"))
            continue
        equation = sentence(
            "{demand} of {limit}: {used}" + words,
            demand=(demand, kind),
            limit=(limit, kind),
            used=(demand / limit, Kind.RATIO),
        )
        margins.append(checked(criterion, demand, limit, MOTOR, equation))
    return tuple(margins)


def _counted(size: FittedSize) -> str:
    """Return which parts are counted in length and mass, and which state neither."""
    parts = ("encoder", "brake", "mass of the built-in electronics")
    counted = [part for part in parts if part in size.counted]
    unknown = [part for part in size.left_out if part != "transmission"]
    return (f"; with {', '.join(counted)}" if counted else "") + (
        f"; without {', '.join(unknown)}, not stated" if unknown else ""
    )


@remembered()
def _surroundings(site: Site, motor: MotorModel) -> tuple[Margin, ...]:
    return tuple(_hazard(hazard, site, motor) for hazard in _LABELS)


def _hazard(hazard: Hazard, site: Site, motor: MotorModel) -> Margin:
    criterion = Criterion(hazard, _LABELS[hazard], Kind.NUMBER)
    answer = getattr(site.surroundings, hazard)
    stands = getattr(motor.variant.tolerates, hazard)
    kind = motor.variant.kind
    if answer == "no":
        return answered(criterion, Place("none here"), "")
    if isinstance(site.around, Box):
        return answered(criterion, Place("in a closed box"), "the box keeps it away as long as it is closed")
    if stands is True:
        return answered(criterion, Place(f"the variant ({kind}) tolerates it"), "")
    if answer == "unknown":
        return not_checked(criterion, _ASK[hazard])
    if hazard == "reach_of_fingers" and isinstance(site.around, Guard):
        why = "only with openings that no finger passes: local rules and IEC 60529 say how that is tested"
        return answered(criterion, Place("behind a guard"), why)
    if stands is None:
        return not_checked(
            criterion, f"the parts file does not say whether the variant ({kind}) tolerates it"
        )
    return excluded(criterion, Place(f"the variant ({kind})"), _WHY_OUT[hazard])
