"""What happens when something fails."""

from __future__ import annotations

from core.fault_results import FaultRow
from core.sentences import sentence
from core.sheet.blocks import Cell, Column, Paragraph, Section, Table
from core.sheet.cells import figures, number
from core.sheet.subject import Subject, about_chosen, lacking
from core.units import Kind


def faults(subject: Subject) -> Section:
    """Return what happens when something fails."""
    title = "Faults"
    found = subject.found
    table = None if found is None else found.faults
    if found is None or table is None:
        return Section(title, (lacking(subject, "The table of faults"),))
    columns = (
        Column("Fault", weight=0.7),
        Column("What happens", weight=1.6),
        figures("Energy", Kind.ENERGY),
        Column("What is needed", weight=1.2),
    )
    rows = tuple(_fault_row(row) for row in table.rows)
    words = "with the load" if table.whole_inertia else "without the load, whose inertia is not known"
    inertia = sentence(
        f"Computed with {{inertia}} at the motor shaft, {words}.", inertia=(table.inertia, Kind.INERTIA)
    )
    return Section(
        title, (*about_chosen(subject), Table(columns, rows, compact=True), Paragraph(inertia, "soft"))
    )


def _fault_row(row: FaultRow) -> tuple[Cell, ...]:
    return Cell(row.fault, "strong"), Cell(row.effect), number(row.energy, Kind.ENERGY), Cell(row.measure)
