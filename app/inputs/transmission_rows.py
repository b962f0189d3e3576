"""What is asked about the transmission of each candidate: none is direct drive."""

from __future__ import annotations

from typing import Any

from app.inputs.asked import Asked, CandidateQuestions, PartRow, bound_to_part, candidate_at, named, whose
from app.inputs.candidate_figures import GEAR
from app.inputs.rows import Binding, ChoiceRow, QuantityRow, TextRow
from core.errors import AmpturnError
from core.number_entry import split_number
from core.project import part_edits
from core.project.candidate import Candidate
from core.project.project import Project
from core.project.transmission import Transmission
from core.units import DisplayUnits, Kind, format_number

TITLE = "Transmission"
DIRECT, OWN = "direct drive", "gear or belt, own figures"
ANY_RATIO = "any"
_YES_NO = ((True, "yes"), (False, "no"))
_WHOSE = "the transmission"


def _is_geared(candidate: Candidate) -> bool:
    return candidate.transmission is not None


def _number(
    field: str, label: str, kind: Kind, optional: bool = False, absent: str = "", hint: str = "", **more: Any
) -> Asked:
    row = QuantityRow(("transmission", field), label, kind, optional, absent, hint)
    return Asked(row, bound_to_part("transmission", field, _WHOSE), _is_geared, **more)


def _unit_ratio(candidate: Candidate) -> str:
    gear = candidate.transmission
    return "assumed: load and motor turn alike" if gear is not None and gear.ratio == 1.0 else ""


def _no_loss(candidate: Candidate) -> str:
    gear = candidate.transmission
    return "assumed: no loss" if gear is not None and gear.efficiency == 1.0 else ""


def _ratios(index: int) -> Binding:
    def write(project: Project, text: Any) -> Project:
        return part_edits.change_part(project, index, "transmission", available_ratios=read_ratios(text))

    def read(project: Project) -> str:
        candidate = candidate_at(project, index)
        return ratios_in_words(None if candidate is None else candidate.transmission)

    return Binding(read, write, whose(_WHOSE, index))


def read_ratios(text: str) -> tuple[float, ...]:
    """Return ratios from a typed list; "any" says that there is no list.

    Examples
    --------
    >>> read_ratios("14; 9 25,5"), read_ratios("any")
    ((9.0, 14.0, 25.5), ())
    """
    if text.strip().lower() == ANY_RATIO:
        return ()
    ratios = []
    for part in text.replace(";", " ").split():
        number, rest = split_number(part)
        if rest or number <= 0.0:
            raise AmpturnError(f"{part} is no ratio: write numbers above 0, as 9; 14; 25, or {ANY_RATIO}")
        ratios.append(number)
    return tuple(sorted(set(ratios)))


def ratios_in_words(transmission: Transmission | None) -> str:
    """Return the ratios in which a transmission can be had, as they are typed."""
    if transmission is None or not transmission.available_ratios:
        return ANY_RATIO
    return "; ".join(f"{ratio:g}" for ratio in transmission.available_ratios)


def summary(candidate: Candidate, units: DisplayUnits) -> str:
    """Return the transmission in a few words."""
    transmission = candidate.transmission
    if transmission is None:
        return DIRECT
    efficiency = units.format_quantity(transmission.efficiency, Kind.RATIO)
    return f"{format_number(transmission.ratio)} : 1, efficiency {efficiency}"


QUESTIONS = CandidateQuestions(
    TITLE, "transmission", "transmission",
    (
        Asked(
            PartRow("transmission", "To the load", lambda shelf: shelf.transmissions, DIRECT,
                    ((OWN, part_edits.OWN_TRANSMISSION),)),
            wide=True,
        ),
        named("transmission", _WHOSE),
        _number("ratio", "Ratio, to 1", Kind.NUMBER, remark=_unit_ratio),
        _number("efficiency", "Efficiency", Kind.RATIO, remark=_no_loss),
        _number("back_driving_efficiency", "Driven back", Kind.RATIO, True,
                "assumed: 2 − 1/efficiency", "assumed"),
        _number("drag_torque", "Drag, input", Kind.TORQUE),
        _number("input_inertia", "Inertia, input", Kind.INERTIA),
        _number("backlash", "Backlash", Kind.ANGLE),
        _number("continuous_torque", "Cont. torque", Kind.LOAD_TORQUE, True,
                "missing: continuous torque at the load is not checked"),
        _number("intermittent_torque", "Peak torque", Kind.LOAD_TORQUE, True,
                "missing: peak torque at the load is not checked"),
        _number("largest_input_speed", "Input speed", Kind.SPEED, True,
                "missing: input speed is not checked"),
        Asked(TextRow(("transmission", "available_ratios"), "Ratios to have"), _ratios, _is_geared),
        Asked(ChoiceRow(("transmission", "on_motor"), "On the motor", _YES_NO),
              bound_to_part("transmission", "on_motor", _WHOSE), _is_geared),
    ),
    summary, GEAR,
)  # fmt: skip
