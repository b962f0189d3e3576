"""Each kind of feedback against what is asked of the motion."""

from __future__ import annotations

from core.feedback_results import FeedbackRow, FeedbackTable
from core.sheet.blocks import Block, Cell, Column, Section, Table, Tone
from core.sheet.cells import figures, number
from core.sheet.subject import Subject, about_chosen, lacking
from core.units import Kind

_VERDICTS: dict[str, tuple[str, Tone]] = {
    "pass": ("suits", "met"), "fail": ("does not suit", "missed"), "unknown": ("open", "soft")
}  # fmt: skip


def feedback(subject: Subject) -> Section:
    """Return each kind of feedback against what is asked of the motion."""
    title = "Feedback"
    found = subject.found
    table = None if found is None else found.feedback_table
    if table is None or not table.rows:
        return Section(title, (lacking(subject, "The comparison of feedback"),))
    columns = (
        Column("Feedback"),
        Column("Suits", weight=0.0),
        Column("Taken by the electronics, fits the motor", weight=0.7),
        figures("Edges a turn"),
        figures("Position error", Kind.ANGLE),
        figures("Torque at the start", Kind.RATIO),
        Column("Cabling"),
        Column("When it fails"),
    )
    rows = tuple(_feedback_row(row) for row in table.rows)
    return Section(
        title, (*about_chosen(subject), Table(columns, rows, compact=True), *_feedback_cells(table))
    )  # fmt: skip


def _answer(value: bool | None) -> str:
    return {True: "yes", False: "no", None: "not stated"}[value]


def _feedback_row(row: FeedbackRow) -> tuple[Cell, ...]:
    words, tone = _VERDICTS[row.verdict]
    name = f"{row.name}, chosen" if row.chosen else row.name
    return (
        Cell(name, "strong" if row.chosen else "plain"),
        Cell(words, tone),
        Cell(f"{_answer(row.taken)}, {_answer(row.fits)}"),
        Cell(str(row.edges)),
        number(row.position_error, Kind.ANGLE),
        number(row.start_torque, Kind.RATIO),
        Cell(row.cabling),
        Cell(row.when_it_fails),
    )


def _feedback_cells(table: FeedbackTable) -> list[Block]:
    rows = tuple(
        (
            Cell(row.name),
            Cell(cell.requirement),
            number(cell.demand, cell.kind),
            number(cell.ability, cell.kind),
            Cell(*_VERDICTS[cell.verdict]),
            Cell(cell.reason),
        )
        for row in table.rows
        for cell in row.cells
    )
    columns = (
        Column("Feedback"), Column("Requirement"), figures("Asked"), figures("Able"),
        Column("Suits", weight=0.0), Column("Why", weight=1.5),
    )  # fmt: skip
    return [Table(columns, rows, "What is asked of it", compact=True)] if rows else []
