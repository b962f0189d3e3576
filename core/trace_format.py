"""How a trace file is written: found from its first lines, shown in a preview, and open to correction."""

from __future__ import annotations

import codecs
import csv
import re
from collections import Counter
from dataclasses import replace
from pathlib import Path
from typing import Final

from core.errors import AmpturnError, UnitError
from core.records import dataclass
from core.trace_columns import FIELDS, KINDS, TraceColumn, TraceField, column_of, unit_in_cell
from core.units import accepted_units, find_unit

PREVIEW_ROWS: Final = 50
# Bytes looked at to find out how a file is written.
_SAMPLE: Final = 65536
COMMENT_MARKS: Final = ("#", "%", "//")
SEPARATORS: Final = ("\t", ";", ",")
_WITH_COMMA = re.compile(r"[+-]?\d*,\d+(?:[eE][+-]?\d+)?")
_WITH_POINT = re.compile(r"[+-]?\d*\.\d+(?:[eE][+-]?\d+)?")
_NUMBER = re.compile(r"[+-]?(?:\d+[.,]?\d*|[.,]\d+)(?:[eE][+-]?\d+)?")


class TraceError(AmpturnError, ValueError):
    """A trace file is refused. `row` is the line in the file, `column` the column, both from 1; 0 for all."""

    def __init__(self, row: int, column: int, rule: str) -> None:
        places = [f"row {row}"] * bool(row) + [f"column {column}"] * bool(column)
        super().__init__(f"{', '.join(places)}: {rule}" if places else rule)
        self.row, self.column, self.rule = row, column, rule

    def __reduce__(self) -> tuple[type[TraceError], tuple[int, int, str]]:
        return type(self), (self.row, self.column, self.rule)


@dataclass(frozen=True, slots=True)
class TraceFormat:
    """How the rows of a trace file are to be read.

    `first_row` is the line (from 1) of the first row of numbers; `cells` the number of cells in a row.
    """

    encoding: str
    separator: str
    decimal: str
    heading_row: int
    first_row: int
    cells: int
    columns: tuple[TraceColumn, ...]

    def column(self, field: TraceField) -> TraceColumn:
        """Return the column taken for a field, or refuse with the reason why there is none."""
        found = [column for column in self.columns if column.field == field]
        if len(found) == 1:
            return found[0]
        if not found:
            raise TraceError(
                self.heading_row, 0, f"no column with {field} was found; needed are time, torque and speed"
            )
        numbers = " and ".join(str(column.number + 1) for column in found)
        raise TraceError(
            self.heading_row, found[1].number + 1, f"columns {numbers} all hold {field}: choose one"
        )

    def unit(self, field: TraceField) -> str:
        """Return the unit of a field, or refuse if the file names none: a guess would be silent."""
        column = self.column(field)
        if column.unit:
            return column.unit
        accepted = ", ".join(accepted_units(KINDS[field])[:6])
        reason = column.problem or f"no unit of {field} is given in the heading; choose one of {accepted}"
        raise TraceError(self.heading_row, column.number + 1, reason)

    def problems(self) -> tuple[str, ...]:
        """Return in words what keeps the file from being read as it stands; empty if nothing does."""
        found = []
        for field in FIELDS:
            try:
                self.unit(field)
            except TraceError as error:
                found.append(str(error))
        return tuple(found)

    def with_column(self, field: TraceField, number: int, unit: str) -> TraceFormat:
        """Return the format with a field read from the column of this number (from 0) and in this unit."""
        if not 0 <= number < self.cells:
            raise TraceError(0, number + 1, f"there are {self.cells} columns")
        symbol = find_unit(unit, KINDS[field]).symbol
        columns = []
        for column in self.columns:
            if column.number == number:
                columns.append(replace(column, field=field, unit=symbol, problem=""))
            elif column.field == field:
                columns.append(replace(column, field=None, unit="", problem=""))
            else:
                columns.append(column)
        return replace(self, columns=tuple(columns))


@dataclass(frozen=True, slots=True)
class TracePreview:
    """What a file looks like: how it seems to be written, and its first rows of numbers as text."""

    format: TraceFormat
    rows: tuple[tuple[str, ...], ...]


def preview_trace(path: Path) -> TracePreview:
    """Look at the first rows of a trace file and find out how it is written.

    Raises
    ------
    TraceError
        If the file is empty or no rows of numbers are found.
    """
    sample, encoding = _sample_of(path)
    lines = sample.removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n").split("\n")
    if path.stat().st_size > _SAMPLE and len(lines) > 1:
        lines.pop()  # cut off somewhere
    if not any(line.strip() for line in lines):
        raise TraceError(0, 0, "the file is empty")
    separator = _separator(lines)
    rows = [(number, split_row(line, separator)) for number, line in enumerate(lines, 1) if line.strip()]
    first = next((k for k, (_, cells) in enumerate(rows) if _is_row_of_numbers(cells)), None)
    if first is None:
        raise TraceError(0, 0, "no row of numbers was found: needed are at least three columns of numbers")
    data = [cells for _, cells in rows[first:] if not is_comment(cells[0])]
    cells = Counter(len(row) for row in data).most_common(1)[0][0]
    heading_row, columns = _headed(rows[:first], cells)
    if heading_row:
        _refuse_more_cells_than_headings(dict(rows)[heading_row], rows[first][0], data, separator)
    decimal = _decimal(data)
    form = TraceFormat(encoding, separator, decimal, heading_row, rows[first][0], cells, columns)
    return TracePreview(form, tuple(map(tuple, data[:PREVIEW_ROWS])))


def split_row(line: str, separator: str) -> list[str]:
    """Split a line into its cells, quotes taken off; marks that do not match are left as they are."""
    try:
        return [cell.strip() for cell in next(csv.reader([line], delimiter=separator, strict=True), [""])]
    except csv.Error:
        return [cell.strip() for cell in line.split(separator)]


def is_comment(cell: str) -> bool:
    """Tell whether a line that begins with this cell is a comment."""
    return cell.lstrip().startswith(COMMENT_MARKS)


def _sample_of(path: Path) -> tuple[str, str]:
    with path.open("rb") as file:
        start = file.read(_SAMPLE)
    if start.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return start[: len(start) // 2 * 2].decode("utf-16", errors="replace"), "utf-16"
    if b"\0" in start:
        raise TraceError(0, 0, "this is no text file: it holds zero bytes")
    try:
        return codecs.getincrementaldecoder("utf-8")().decode(start), "utf-8"
    except UnicodeDecodeError:
        return start.decode("cp1252", errors="replace"), "cp1252"


def _separator(lines: list[str]) -> str:
    """Return the mark that splits most lines into as many cells each; a comma only as the last choice."""
    late = [line for line in lines if line.strip() and not is_comment(line)][-PREVIEW_ROWS:]
    for mark in SEPARATORS:
        counts = Counter(len(split_row(line, mark)) for line in late)
        if not counts:
            continue
        cells, lines_so = counts.most_common(1)[0]
        if cells >= 3 and lines_so * 2 > len(late):
            return mark
    raise TraceError(
        0, 0, "the rows have no three columns: cells are separated by tabs, semicolons or commas"
    )


def _is_row_of_numbers(cells: list[str]) -> bool:
    if len(cells) < 3 or is_comment(cells[0]):
        return False
    return sum(bool(_NUMBER.fullmatch(cell)) for cell in cells) * 2 > len(cells)


def _decimal(data: list[list[str]]) -> str:
    cells = [cell for row in data for cell in row]
    commas = sum(bool(_WITH_COMMA.fullmatch(cell)) for cell in cells)
    points = sum(bool(_WITH_POINT.fullmatch(cell)) for cell in cells)
    return "," if commas > points else "."


def _headed(before: list[tuple[int, list[str]]], cells: int) -> tuple[int, tuple[TraceColumn, ...]]:
    """Return the row of the heading above the numbers, 0 if there is none, and the columns it names."""
    best: tuple[int, int, tuple[TraceColumn, ...]] = (0, 0, ())
    for place, (_, row) in enumerate(before):
        row = [row[0].lstrip("#%/ "), *row[1:]] if is_comment(row[0]) else row
        columns = tuple(column_of(k, text) for k, text in enumerate(row[:cells]))
        known = len({column.field for column in columns} - {None})
        if known > best[0]:
            best = (known, place, columns)
    known, place, columns = best
    columns += tuple(TraceColumn(number, "") for number in range(len(columns), cells))
    if not known:
        return 0, columns
    if place + 1 < len(before):
        columns = _with_units_row(columns, before[place + 1][1])
    return before[place][0], _without_wanted(columns)


def _refuse_more_cells_than_headings(
    heading: list[str], row: int, data: list[list[str]], separator: str
) -> None:
    """Refuse rows with numbers beyond the headings: most likely decimal commas were taken for separators."""
    beyond = [len(cells) for cells in data if any(cells[len(heading) :])]
    if len(beyond) * 2 <= len(data):
        return
    hint = ""
    if separator == ",":
        hint = ": decimal commas in a file separated by commas must stand in quotes"
    rule = f"the rows have {beyond[0]} cells, the heading {len(heading)}{hint}"
    raise TraceError(row, len(heading) + 1, rule)


def _with_units_row(columns: tuple[TraceColumn, ...], row: list[str]) -> tuple[TraceColumn, ...]:
    filled = []
    for column in columns:
        cell = row[column.number] if column.number < len(row) else ""
        unit = unit_in_cell(cell, column.field) if column.field and not column.unit else ""
        filled.append(replace(column, unit=unit, problem="") if unit else column)
    return tuple(filled)


def _without_wanted(columns: tuple[TraceColumn, ...]) -> tuple[TraceColumn, ...]:
    """Where a measured value stands beside a set value of the same kind, leave the set value out."""
    measured = {column.field for column in columns if not column.is_wanted_value}
    return tuple(
        replace(column, field=None, unit="", problem="")
        if column.is_wanted_value and column.field in measured
        else column
        for column in columns
    )


def multiplier(form: TraceFormat, field: TraceField) -> float:
    """Return what a number of this column is multiplied by to be in SI."""
    unit = find_unit(form.unit(field), KINDS[field])
    if unit.offset:
        raise UnitError(f"{unit.symbol} is no unit of {field}")
    return unit.multiplier / unit.divisor
