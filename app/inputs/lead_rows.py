"""What is asked about winding, leads, cable and choke of each candidate, and about a cable to the supply."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from app.inputs.asked import SQUARE_MM, Asked, CandidateQuestions, candidate_at, whose
from app.inputs.candidate_figures import CABLE, WINDING
from app.inputs.rows import Binding, ChoiceRow, QuantityRow
from core.project import part_edits
from core.project.candidate import Candidate
from core.project.fittings import Cable
from core.project.part_edits import cable_way
from core.project.project import Project
from core.units import DisplayUnits, Kind

WINDING_TITLE, TITLE = "Winding", "Cable and choke"
SECTION, GAUGE = "section", "gauge"
CABLE_WAYS = ((SECTION, "by cross-section"), (GAUGE, "by wire gauge"))
MOTOR_CABLE_WAYS = (("none", "resistance"), (SECTION, "cross-section"), (GAUGE, "wire gauge"))
_DIGITS = 12  # what a conversion adds to the digits that are typed is noise beyond these


def section_in_square_mm(section: float) -> float:
    """Return a cross-section as a cable holds it, without the noise of the conversion. [mm2]

    Examples
    --------
    >>> section_in_square_mm(0.75e-6)
    0.75
    """
    return float(f"{section / SQUARE_MM:.{_DIGITS}g}")


def shown_figure(cable: Cable | None, field: str) -> Any:
    """Return a figure of a cable as a row shows it, None without a cable. [SI]"""
    value = getattr(cable, field, None)
    return value * SQUARE_MM if field == SECTION and value is not None else value


def kept_figure(field: str, value: float) -> Any:
    """Return a typed figure as a cable holds it."""
    if field == SECTION:
        return section_in_square_mm(value)
    return part_edits.whole_number("wire gauge", value) if field == GAUGE else value


def _cable_figure(field: str) -> Callable[[int], Binding]:
    def binding(index: int) -> Binding:
        return Binding(
            lambda project: shown_figure(_cable(project, index), field),
            lambda project, value: part_edits.change_motor_cable(
                project, index, **{field: kept_figure(field, value)}
            ),
            whose("the cable", index),
        )

    return binding


def _way(index: int) -> Binding:
    return Binding(
        lambda project: cable_way(_cable(project, index)),
        lambda project, way: part_edits.wire_motor(project, index, way),
        whose("", index),
    )


def _cable(project: Project, index: int) -> Cable | None:
    candidate = candidate_at(project, index)
    return None if candidate is None else candidate.cable


def _given_by(way: str) -> Callable[[Candidate], bool]:
    return lambda candidate: cable_way(candidate.cable) == way


def _has_cable(candidate: Candidate) -> bool:
    return candidate.cable is not None


def _no_lead(candidate: Candidate) -> str:
    return "assumed: leads without resistance" if candidate.lead_resistance == 0.0 else ""


def cable_words(cable: Cable, units: DisplayUnits) -> str:
    """Return a cable in a few words."""
    length = units.format_quantity(cable.length, Kind.CABLE_LENGTH)
    if cable.section is None:
        return f"{length} of AWG {cable.gauge}"
    return f"{length} of {units.format_quantity(cable.section * SQUARE_MM, Kind.AREA)}"


def summary(candidate: Candidate, units: DisplayUnits) -> str:
    """Return cable and choke in a few words."""
    if candidate.cable is None:
        leads = f"one lead {units.format_quantity(candidate.lead_resistance, Kind.RESISTANCE)}"
    else:
        leads = cable_words(candidate.cable, units)
    if candidate.choke == 0.0:
        return f"{leads}, no choke"
    return f"{leads}, choke {units.format_quantity(candidate.choke, Kind.INDUCTANCE)}"


def winding_summary(candidate: Candidate, units: DisplayUnits) -> str:
    """Return the winding in a few words."""
    winding = candidate.chosen_winding
    if winding is None:
        return "no winding"
    return f"{winding.name}, {units.format_quantity(winding.resistance.value, Kind.RESISTANCE)}"


CABLE_QUESTIONS = CandidateQuestions(
    TITLE,
    "motor_cable",
    "cable",
    (
        Asked(ChoiceRow(("cable",), "Leads by", MOTOR_CABLE_WAYS), _way),
        Asked(
            QuantityRow(("lead_resistance",), "One lead", Kind.RESISTANCE),
            wanted=_given_by("none"),
            remark=_no_lead,
        ),
        Asked(
            QuantityRow(("cable", "length"), "Length", Kind.CABLE_LENGTH), _cable_figure("length"), _has_cable
        ),
        Asked(
            QuantityRow(("cable", SECTION), "Cross-section", Kind.AREA),
            _cable_figure(SECTION),
            _given_by(SECTION),
        ),
        Asked(
            QuantityRow(("cable", GAUGE), "Gauge, AWG", Kind.NUMBER), _cable_figure(GAUGE), _given_by(GAUGE)
        ),
        Asked(
            QuantityRow(("cable", "temp"), "Conductor at", Kind.TEMPERATURE),
            _cable_figure("temp"),
            _has_cable,
        ),
        Asked(QuantityRow(("choke",), "Choke, a lead", Kind.INDUCTANCE)),
    ),
    summary,
    CABLE,
)
WINDING_QUESTIONS = CandidateQuestions(WINDING_TITLE, "winding", "winding", (), winding_summary, WINDING)
