"""The candidates against each other: side by side, and the losers with their reasons."""

from __future__ import annotations

from collections.abc import Sequence

from core.charts.comparison_charts import torque_ratio_chart
from core.charts.display_axis import letter
from core.evaluation.comparison import ComparisonTable, comparison, comparison_table
from core.evaluation.comparison_rows import ComparisonRow
from core.results import CandidateResult
from core.sentences import as_text, joined
from core.sheet.blocks import Beside, Block, Cell, Column, Paragraph, Picture, Section, Table, Words
from core.sheet.cells import DASH, listed, quantity
from core.sheet.margin_lists import margin_words
from core.sheet.subject import Subject

_IN_FULL = 3  # reasons against a candidate; of more the names tell enough
_TELLING = frozenset(
    {"above_target", "torque_reserve", "torque, standstill", "torque, mean speed",
     "torque, highest speed", "peak winding", "peak outside", "loss total", "supply mean power", "mass",
     "length", "diameter"}
)  # fmt: skip


def side_by_side(subject: Subject) -> Section | None:
    """Return a verdict on each candidate against the chosen one, and the telling rows; None for one alone."""
    found = subject.found
    if found is None or not subject.others:
        return None
    blocks: list[Block] = []
    charts: list[Block] = []
    for other in subject.others:
        against = comparison(subject.result, found.index, other.index)
        blocks.append(Paragraph(against.verdict, "strong"))
        if as_text(against.crossing, subject.units):
            blocks.append(Paragraph(against.crossing))
        if against.ratio is not None:
            chart = torque_ratio_chart(subject.result, found.index, other.index, subject.units)
            words = f"Continuous torque of {letter(found.index)} over that of {letter(other.index)}."
            charts.append(Picture(chart, words, 62.0, 0.5 if len(subject.others) > 1 else 1.0))
    table = comparison_table(subject.result)
    rows = [row for _, of_group in table.groups for row in of_group if row.code in _TELLING]
    telling = _table(rows, table.indices, "What tells them apart; all rows stand in the appendix")
    if len(subject.others) == 1:
        columns = [column for column in (tuple(charts), (telling,)) if column]
        blocks.append(Beside(tuple(columns)))
    else:
        blocks += [*charts, telling]
    return Section("Side by side", tuple(blocks))


def all_side_by_side(subject: Subject) -> Section | None:
    """Return the table of all candidates with every row; None for one alone."""
    if subject.found is None or not subject.others:
        return None
    table = comparison_table(subject.result)
    names = "; ".join(subject.name(index) for index in table.indices)
    # words need wide columns, which would leave no room for the names of the numbers
    halves = ((names, True), ("What is told in words", False))
    return Section("All rows side by side", tuple(_half(table, *half) for half in halves))


def _half(table: ComparisonTable, caption: str, numbers: bool) -> Table:
    groups: list[tuple[int, Words]] = []
    rows: list[ComparisonRow] = []
    for title, of_group in table.groups:
        wanted = [row for row in of_group if (row.kind is not None) is numbers]
        if wanted:
            groups.append((len(rows), title))
        rows += wanted
    return _table(rows, table.indices, caption, tuple(groups), with_notes=True)


def _table(
    rows: Sequence[ComparisonRow],
    indices: tuple[int, ...],
    caption: str,
    groups: tuple[tuple[int, Words], ...] = (),
    with_notes: bool = False,
) -> Table:
    heads = (Column(letter(k)) for k in indices)
    columns = (Column("Quantity", weight=0.5), *heads, Column("Ahead", weight=0.0))
    cells = [_row(row, indices) for row in rows]
    if with_notes:
        columns = (*columns, Column("Note"))
        cells = [(*made, Cell(row.note, "soft")) for made, row in zip(cells, rows, strict=True)]
    return Table(columns, tuple(cells), caption, groups, compact=True)


def _row(row: ComparisonRow, indices: tuple[int, ...]) -> tuple[Cell, ...]:
    cells = []
    for place in range(len(indices)):
        value = row.values[place]
        words: Words = row.texts[place] if value is None or row.kind is None else quantity(value, row.kind)
        cells.append(Cell(words or DASH, "strong" if place in row.best else "plain"))
    ahead = ", ".join(letter(indices[place]) for place in row.best)
    return Cell(row.label), *cells, Cell(ahead)


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
    return Section("Candidates not taken, and why", (Table(columns, tuple(rows)),))


def what_margins_say(one: CandidateResult) -> Words:
    """Return what excludes a candidate or governs it, in words."""
    if not one.margins:
        return f"nothing: {', '.join(one.missing) or 'it is not complete'} still needed"
    against = [
        margin for margin in one.margins if margin.required and margin.status in ("excluded", "missed")
    ]
    if against:
        first, more = against[:_IN_FULL], against[_IN_FULL:]
        words = listed([margin_words(margin) for margin in first], "; ")
        return joined(words, f"; also {', '.join(margin.label for margin in more)}") if more else words
    if one.governing is None:
        return "no criterion has a number"
    return joined("all that is checked is met; governing is ", margin_words(one.governing))
