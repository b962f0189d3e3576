"""The candidates against each other: side by side, and the losers with their reasons."""

from __future__ import annotations

from core.charts.comparison_charts import torque_ratio_chart
from core.charts.display_axis import letter
from core.evaluation.comparison import comparison, comparison_table
from core.evaluation.comparison_rows import ComparisonRow
from core.results import CandidateResult
from core.sentences import as_text, joined
from core.sheet.blocks import Block, Cell, Column, Paragraph, Picture, Section, Table, Words
from core.sheet.cells import DASH, listed, quantity
from core.sheet.margin_lists import margin_words
from core.sheet.subject import Subject


def side_by_side(subject: Subject) -> Section | None:
    """Return the table of all candidates and a verdict on each against the chosen one; None for one alone."""
    found = subject.found
    if found is None or not subject.others:
        return None
    table = comparison_table(subject.result)
    columns = (
        Column("Quantity"),
        *(Column(subject.name(index)) for index in table.indices),
        Column("Ahead", weight=0.0),
        Column("Note"),
    )
    rows: list[tuple[Cell, ...]] = []
    groups: list[tuple[int, Words]] = []
    for title, of_group in table.groups:
        groups.append((len(rows), title))
        rows += [_row(row, table.indices) for row in of_group]
    blocks: list[Block] = []
    for other in subject.others:
        against = comparison(subject.result, found.index, other.index)
        blocks.append(Paragraph(against.verdict, "strong"))
        if as_text(against.crossing, subject.units):
            blocks.append(Paragraph(against.crossing))
        if against.ratio is not None:
            chart = torque_ratio_chart(subject.result, found.index, other.index, subject.units)
            words = f"Continuous torque of {letter(found.index)} over that of {letter(other.index)}."
            blocks.append(Picture(chart, words, 70.0))
    blocks.append(Table(columns, tuple(rows), "All candidates", tuple(groups)))
    return Section("Side by side", tuple(blocks))


def _row(row: ComparisonRow, indices: tuple[int, ...]) -> tuple[Cell, ...]:
    cells = []
    for place, index in enumerate(indices):
        value = row.values[place]
        words: Words = row.texts[place] if value is None or row.kind is None else quantity(value, row.kind)
        cells.append(Cell(words or DASH, "strong" if place in row.best else "plain", index))
    ahead = ", ".join(letter(indices[place]) for place in row.best)
    return Cell(row.label), *cells, Cell(ahead), Cell(row.note, "soft")


def not_taken(subject: Subject) -> Section | None:
    """Return the candidates that are not chosen with the reasons; None where there is no other."""
    if not subject.others:
        return None
    columns = (Column("Candidate", weight=0.6), Column("Reason given"), Column("What its margins say"))
    rows = []
    for one in subject.others:
        reason = subject.project.candidates[one.index].dropped_because
        rows.append(
            (
                Cell(subject.name(one.index), candidate=one.index),
                Cell(reason or "none was written down", "plain" if reason else "soft"),
                Cell(what_margins_say(one)),
            )
        )
    return Section("Candidates that were not taken, and why", (Table(columns, tuple(rows)),))


def what_margins_say(one: CandidateResult) -> Words:
    """Return what excludes a candidate or governs it, in words."""
    if not one.margins:
        return f"nothing: {', '.join(one.missing) or 'it is not complete'} still needed"
    against = [
        margin for margin in one.margins if margin.required and margin.status in ("excluded", "missed")
    ]
    if against:
        return listed([margin_words(margin) for margin in against], "; ")
    if one.governing is None:
        return "no criterion has a number"
    return joined("all that is checked is met; governing is ", margin_words(one.governing))
