"""A table of the sheet as a CSV file that a spreadsheet reads as numbers and never as formulas.

Lines, commas and quotes follow RFC 4180. A cell that a spreadsheet could take for a formula gets an
apostrophe in front, unless it is a plain number.
"""

from __future__ import annotations

import csv
import io
import math
import re
from collections.abc import Sequence
from typing import Final

from core.sentences import as_text
from core.sheet.blocks import Cell, Column, Sheet, Table, flat
from core.units import DisplayUnits, Kind, format_number

DIGITS: Final = 6  # a spreadsheet calculates on, so it gets more than the eye needs
_FORMULA: Final = ("=", "+", "-", "@", "\t", "\r")
_PLAIN_NUMBER: Final = re.compile(r"[+-]?\d+(?:\.\d+)?(?:[eE][+-]?\d+)?")
_NBSP: Final = "\N{NO-BREAK SPACE}"


def csv_text(table: Table, units: DisplayUnits = DisplayUnits()) -> str:  # noqa: B008 - it is frozen
    """Return a table as the text of a CSV file, numbers bare and their units in the heads.

    A column of numbers of several kinds is followed by a column of its units. Words that stand before a row
    become a column of their own.

    Examples
    --------
    >>> from core.sheet.cells import figures, number
    >>> columns = (Column("part"), figures("mass", Kind.MASS))
    >>> csv_text(Table(columns, ((Cell("=gear"), number(0.25, Kind.MASS)),)))
    "part,mass (kg)\\r\\n'=gear,0.25\\r\\n"
    """
    parts = [_column(table, place, column, units) for place, column in enumerate(table.columns)]
    if table.groups:
        parts.insert(0, [["group", *_group_of_rows(table, units)]])
    columns = [column for part in parts for column in part]
    stream = io.StringIO(newline="")
    csv.writer(stream).writerows([[safe_cell(text) for text in row] for row in zip(*columns, strict=True)])
    return stream.getvalue()


def safe_cell(text: str) -> str:
    """Return a cell that no spreadsheet takes for a formula.

    Examples
    --------
    >>> safe_cell("-12.5"), safe_cell("+1e-3"), safe_cell("-1+1"), safe_cell("@sum"), safe_cell("a=b")
    ('-12.5', '+1e-3', "'-1+1", "'@sum", 'a=b')
    """
    if text.lstrip(" \n").startswith(_FORMULA) and not _PLAIN_NUMBER.fullmatch(text):
        return f"'{text}"
    return text


def _group_of_rows(table: Table, units: DisplayUnits) -> list[str]:
    starts = {row: as_text(words, units) for row, words in table.groups}
    found, group = [], ""
    for row in range(len(table.rows)):
        group = starts.get(row, group)
        found.append(group)
    return found


def _column(table: Table, place: int, column: Column, units: DisplayUnits) -> list[list[str]]:
    """Return a column of the file, and the one of its units where its numbers are of several kinds."""
    cells = [row[place] for row in table.rows]
    has_bars = any(cell.bar is not None for cell in cells)
    if has_bars and all(cell.bar is not None or not as_text(cell.text, units) for cell in cells):
        return []  # bars show what another column says
    kinds = {quantity[1] for cell in cells if (quantity := cell.quantity) is not None}
    kind = column.kind or (next(iter(kinds)) if len(kinds) == 1 else None)
    head = Column(column.head, kind=kind).title(units) if kinds <= {kind} else column.title(units)
    values = [_value(cell, units) for cell in cells]
    if kinds <= {kind}:
        return [[head, *values]]
    symbols = ["" if cell.quantity is None else units.symbol(cell.quantity[1]) for cell in cells]
    bare = as_text(column.head, units)
    return [[bare, *values], [f"{bare}, unit".lstrip(", "), *symbols]]


def _value(cell: Cell, units: DisplayUnits) -> str:
    quantity = cell.quantity
    if quantity is not None:
        return _number(*quantity, units)
    return as_text(cell.text, units).replace(_NBSP, " ")


def _number(value: float, kind: Kind, units: DisplayUnits) -> str:
    shown = float(units.to_display(value, kind))
    return f"{shown:.{DIGITS}g}" if math.isfinite(shown) else format_number(shown)


def cells_of(table: Table, units: DisplayUnits) -> Sequence[Sequence[str]]:
    """Return heads and cells as they are printed, for the clipboard."""
    heads = [column.title(units) for column in table.columns]
    rows = [
        [
            column.shown(cell, units).replace(_NBSP, " ")
            for cell, column in zip(row, table.columns, strict=True)
        ]
        for row in table.rows
    ]
    return [heads, *rows]


def csv_of_sheet(sheet: Sheet, units: DisplayUnits = DisplayUnits()) -> str:  # noqa: B008 - it is frozen
    """Return all tables of a sheet in one text, each under its section and caption, empty lines between."""
    parts = []
    for number, section in enumerate(sheet.sections, start=1):
        for block in flat(section.blocks):
            if isinstance(block, Table):
                stream = io.StringIO(newline="")
                words = [f"{number}", section.title, as_text(block.caption, units).replace(_NBSP, " ")]
                csv.writer(stream).writerow([safe_cell(word) for word in words if word])
                parts.append(stream.getvalue() + csv_text(block, units))
    return "\r\n".join(parts)
