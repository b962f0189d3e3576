"""Rows of a spreadsheet as segments, and segments as rows: all or nothing, the bad cell named.

Read are cells separated by tabs, semicolons or commas, in quotes or not, with a decimal point or comma,
units in the cells, in the heading or in a row of their own, columns in any order where a heading names them.
Without a heading the columns stand as `duration, torque, speed at start, speed at end`, or with one speed for
the whole segment, and a name may stand before or behind them.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Sequence
from typing import Any, Final

from core.errors import AmpturnError, InputRangeError, UnitError
from core.number_entry import split_number
from core.project.duty_cycle import Segment
from core.segment_columns import (
    KINDS,
    LABELS,
    WORDS_READ,
    Column,
    Field,
    column,
    column_of_heading,
    heading,
    units_row,
)
from core.unit_table import spellings, unit_key
from core.units import MINUS, DisplayUnits, Kind, accepted_units, parse_cell

LONGEST_TEXT: Final = 2_000_000  # characters, some 40,000 rows
COPIED: Final[tuple[Field, ...]] = ("name", "duration", "shaft_torque", "speed_start", "speed_end")
_POSITIONS: Final[dict[int, tuple[Field, ...]]] = {
    3: ("duration", "shaft_torque", "speed"),
    4: ("duration", "shaft_torque", "speed_start", "speed_end"),
}
_QUOTED = re.compile(r'"(?:[^"]|"")*"')
_DECIMAL_POINT_OR_UNIT = re.compile(r"[0-9]\.[0-9]|[0-9]\s*[A-Za-zµ°/]")

_Rows = list[tuple[int, list[str]]]  # row number as pasted, from 1, and its cells


class PasteError(AmpturnError, ValueError):
    """A pasted table is refused. `row` and `column` count from 1 in what was pasted, 0 where all is meant."""

    def __init__(self, row: int, column: int, reason: str) -> None:
        places = [f"row {row}"] * bool(row) + [f"column {column}"] * bool(column)
        super().__init__(f"Nothing was pasted: {', '.join([*places, reason])}")
        self.row, self.column, self.reason = row, column, reason

    def __reduce__(self) -> tuple[type[PasteError], tuple[int, int, str]]:
        return type(self), (self.row, self.column, self.reason)


def read_segments(text: str, units: DisplayUnits) -> tuple[Segment, ...]:
    """Read pasted rows as segments; a bare number is in the unit of its heading, else in the display unit.

    Raises
    ------
    PasteError
        If any cell cannot be read, with its row and column and what is accepted.

    Examples
    --------
    >>> pasted = "duration;torque;speed start;speed end" + chr(10) + "40 ms;58;0;2500"
    >>> [(s.duration, s.shaft_torque, s.speed_start) for s in read_segments(pasted, DisplayUnits())]
    [(0.04, 0.058, 0.0)]
    """
    rows = _rows_of(text)
    columns, rows = _columns_and_rows(rows, text, units)
    if not rows:
        raise PasteError(0, 0, "there is a heading, but no row under it")
    return tuple(_segment(number, cells, columns) for number, cells in rows)


def write_segments(segments: Sequence[Segment], units: DisplayUnits) -> str:
    """Return segments as tab-separated rows under a heading, as a spreadsheet takes them.

    The minus sign is the plain one of the keyboard, as spreadsheets know no other.
    """
    out = io.StringIO()
    writer = csv.writer(out, delimiter="\t", lineterminator="\n")
    writer.writerow([heading(field, units) for field in COPIED])
    for segment in segments:
        numbers = (
            units.format_entry(getattr(segment, field), KINDS[field]).replace(MINUS, "-")
            for field in COPIED[1:]
        )
        writer.writerow([" ".join(segment.name.split()), *numbers])
    return out.getvalue()


def _rows_of(text: str) -> _Rows:
    """Split the text into rows of cells; empty rows are passed over but counted."""
    if len(text) > LONGEST_TEXT:
        raise PasteError(0, 0, f"the text has {len(text)} characters, at most {LONGEST_TEXT} are read")
    plain = text.removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n")
    bare = _QUOTED.sub("", plain)
    separator = next((mark for mark in "\t;," if mark in bare), "\t")
    rows: _Rows = []
    number = 0
    try:
        for number, cells in enumerate(csv.reader(io.StringIO(plain), delimiter=separator, strict=True), 1):
            if any(cell.strip() for cell in cells):
                rows.append((number, [cell.strip() for cell in cells]))
    except csv.Error as error:
        raise PasteError(number + 1, 0, f"the quotation marks do not match ({error})") from error
    if not rows:
        raise PasteError(0, 0, f"there are no rows; needed are columns with {WORDS_READ}")
    return rows


def _columns_and_rows(rows: _Rows, text: str, units: DisplayUnits) -> tuple[tuple[Column, ...], _Rows]:
    """Find out what each column holds; return that and the rows that hold segments."""
    number, first = rows[0]
    has_numbers = any(_looks_like_quantity(cell) for cell in first)
    named = None if has_numbers else _headed_columns(number, first, units)
    columns, rest = (named, rows[1:]) if named else (_columns_by_position(rows, text, units), rows)
    if rest and not any(_looks_like_quantity(cell) for cell in rest[0][1]):
        with_units = units_row(rest[0][1], columns)
        if with_units is not None:
            columns, rest = with_units, rest[1:]
    return columns, rest


def _looks_like_quantity(cell: str) -> bool:
    """Tell whether a cell is a number, alone or with a unit of a duty cycle; `1 accelerate` is a name."""
    try:
        _, unit = split_number(cell.strip('"'))
    except UnitError:
        return cell[:1].isdigit() and not any(letter.isalpha() for letter in cell)
    return not unit or any(unit_key(unit) in spellings(kind) for kind in (Kind.TIME, Kind.TORQUE, Kind.SPEED))


def _headed_columns(row: int, cells: list[str], units: DisplayUnits) -> tuple[Column, ...] | None:
    """Return the columns that a heading names, None where not one word of it is known."""
    found: list[Column | None] = []
    for place, cell in enumerate(cells, 1):
        try:
            found.append(column_of_heading(cell, units) if cell else Column("ignored"))
        except UnitError as error:
            raise PasteError(row, place, str(error)) from error
    if not any(c is not None and c.field in KINDS for c in found):
        return None
    columns: list[Column] = []
    for place, (cell, known) in enumerate(zip(cells, found, strict=True), 1):
        if known is None:
            raise PasteError(row, place, f"the heading '{cell[:40]}' is not known; read are {WORDS_READ}")
        if known.field != "ignored" and known.field in [c.field for c in columns]:
            raise PasteError(row, place, f"a second column with {known.label}")
        columns.append(known)
    fields = {c.field for c in columns}
    speeds: tuple[Field, ...] = ("speed",) if "speed" in fields else ("speed_start", "speed_end")
    needed: tuple[Field, ...] = ("duration", "shaft_torque", *speeds)
    for field in needed:
        if field not in fields:
            raise PasteError(row, 0, f"no column with {LABELS[field]}; needed are duration, torque and speed")
    return tuple(columns)


def _columns_by_position(rows: _Rows, text: str, units: DisplayUnits) -> tuple[Column, ...]:
    """Return the columns of a table without a heading."""
    number, first = rows[0]
    count = len(first)
    name_first = all(cells and not _looks_like_quantity(cells[0]) for _, cells in rows)
    name_last = all(len(cells) == count and not _looks_like_quantity(cells[-1]) for _, cells in rows)
    named = (name_first or name_last) and count - 1 in _POSITIONS
    fields = _POSITIONS.get(count - 1 if named else count)
    if fields is None:
        raise PasteError(
            number,
            0,
            f"{count} cell{'s' if count != 1 else ''} and no heading; write a heading ({WORDS_READ}), "
            "or the columns duration, torque, speed at start, speed at end, "
            "with a name before or behind them if wanted",
        )
    if not named and not re.search(r'[\t;"]', text) and not _DECIMAL_POINT_OR_UNIT.search(text):
        raise PasteError(
            number,
            0,
            "the commas may separate cells or decimals; "
            "separate the cells by tabs or semicolons, or write a heading",
        )
    columns = [column(field, units) for field in fields]
    name = [Column("name")] if named else []
    return tuple(name + columns) if name_first else tuple(columns + name)


def _segment(row: int, cells: list[str], columns: tuple[Column, ...]) -> Segment:
    """Read one row, or refuse it with the place of the bad cell."""
    if any(cells[len(columns) :]):
        place = next(i for i, cell in enumerate(cells) if i >= len(columns) and cell)
        raise PasteError(row, place + 1, f"'{cells[place][:40]}' stands beyond the {len(columns)} columns")
    read: dict[str, Any] = {}
    places: dict[str, int] = {}
    name = ""
    for place, (cell, known) in enumerate(zip(_padded(cells, len(columns)), columns, strict=True), 1):
        if known.field == "name":
            name = " ".join(cell.split())
        elif known.field != "ignored":
            for field in ("speed_start", "speed_end") if known.field == "speed" else (known.field,):
                read[field], places[field] = _value(row, place, cell, known), place
    try:
        return Segment(name=name, **read)
    except InputRangeError as error:
        place = places.get(error.name, 0)
        raise PasteError(row, place, str(error)) from error


def _padded(cells: list[str], count: int) -> list[str]:
    return cells[:count] + [""] * (count - len(cells))


def _value(row: int, place: int, cell: str, known: Column) -> float:
    """Read one cell; the refusal says what is accepted."""
    kind = KINDS[known.field]
    try:
        return parse_cell(cell, kind, known.unit)
    except UnitError as error:
        reason = str(error)
        if "accepted" not in reason:
            reason += (
                f"; accepted: 12.5 or 12,5, alone or with a unit ({', '.join(accepted_units(kind)[:5])})"
            )
        raise PasteError(row, place, f"{known.label}: {reason}") from error
