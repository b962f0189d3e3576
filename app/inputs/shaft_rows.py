"""What is asked about forces on the shaft of each candidate, and what was decided about it."""

from __future__ import annotations

from typing import Any

from app.inputs.asked import Asked, CandidateQuestions, candidate_at, whose
from app.inputs.candidate_figures import SHAFT
from app.inputs.rows import Binding, QuantityRow, TextRow
from core.project import part_edits
from core.project.candidate import Candidate
from core.project.fittings import ShaftForce
from core.project.project import Project
from core.units import DisplayUnits, Kind

TITLE, VERDICT_TITLE = "Shaft", "Verdict"
_HOUR = 3600.0  # [s]


def _force(
    field: str, label: str, kind: Kind, optional: bool = False, scale: float = 1.0, **more: Any
) -> Asked:
    """Return the row of a force on the shaft; a shaft of which nothing is said carries none."""

    def binding(index: int) -> Binding:
        def read(project: Project) -> Any:
            candidate = candidate_at(project, index)
            value = getattr((candidate and candidate.shaft_force) or ShaftForce(), field)
            return None if value is None else value * scale

        def write(project: Project, value: Any) -> Project:
            kept = None if value is None else value / scale
            return part_edits.change_shaft_force(project, index, **{field: kept})

        return Binding(read, write, whose("the shaft", index))

    absent = more.pop("absent", "")
    return Asked(QuantityRow(("shaft_force", field), label, kind, optional, absent), binding, **more)


def summary(candidate: Candidate, units: DisplayUnits) -> str:
    """Return what pulls at the shaft in a few words."""
    force = candidate.shaft_force
    if force is None:
        return "nothing pulls at the shaft"
    radial, axial = (units.format_quantity(value, Kind.FORCE) for value in (force.radial, force.axial))
    return f"radial {radial}, axial {axial}"


def _no_bearings(candidate: Candidate) -> str:
    motor = candidate.motor
    unknown = candidate.shaft_force is not None and motor is not None and motor.bearing_data is None
    return "not checked: the bearings of this frame are not known" if unknown else ""


QUESTIONS = CandidateQuestions(
    TITLE, "shaft_force", "shaft",
    (
        _force("radial", "Radial force", Kind.FORCE, remark=_no_bearings),
        _force("distance", "At distance", Kind.LENGTH),
        _force("axial", "Axial force", Kind.FORCE),
        _force("wanted_life", "Wanted life", Kind.LIFE, True, _HOUR,
               remark=lambda candidate: "missing: life of the bearings is not checked"
               if candidate.shaft_force is not None and candidate.shaft_force.wanted_life is None else ""),
    ),
    summary, SHAFT,
)  # fmt: skip


DROPPED_LABEL = "Dropped for"


def verdict_summary(candidate: Candidate, _units: DisplayUnits) -> str:
    """Return whether a candidate is dropped, and why."""
    return f"dropped: {candidate.dropped_because}" if candidate.dropped_because else "not dropped"


VERDICT_QUESTIONS = CandidateQuestions(
    VERDICT_TITLE,
    "verdict",
    "verdict",
    (
        Asked(TextRow(("dropped_because",), DROPPED_LABEL, optional=True), wide=True),
        Asked(TextRow(("note",), "Note", optional=True), wide=True),
    ),
    verdict_summary,
)
