"""What a single change would bring: which input the answer hangs on most."""

from __future__ import annotations

from core.evaluation.what_helps import Change
from core.sheet.blocks import Cell, Column, Paragraph, Section, Table
from core.sheet.cells import figures, number
from core.sheet.subject import Subject, about_chosen
from core.units import Kind


def changes_section(subject: Subject, changes: tuple[Change, ...]) -> Section | None:
    """Return the single changes of the chosen candidate with what each gains; None without any."""
    if not changes:
        return None
    columns = (
        Column("Change", weight=1.2),
        figures("Gain of the smallest margin", Kind.RATIO),
        figures("Torque reserve then", Kind.NUMBER),
        figures("Winding then", Kind.TEMPERATURE),
        Column("Remark", weight=1.5),
    )
    rows = tuple(
        (
            Cell(change.proposal.label),
            number(change.gained, Kind.RATIO),
            number(change.after.torque_reserve, Kind.NUMBER),
            number(change.after.winding_temp, Kind.TEMPERATURE),
            Cell(change.reason, "soft"),
        )
        for change in changes
    )
    words = Paragraph(
        "Each row changes one thing and computes all again. The gain is that of the smallest margin over its "
        "target; where it is zero, another criterion governs.",
        "soft",
    )
    return Section("What a single change would bring", (*about_chosen(subject), words, Table(columns, rows)))
