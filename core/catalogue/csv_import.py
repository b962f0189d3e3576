"""Parts from a table of one's own: each row becomes a part or is named with the reason why not.

The columns are documented in `part_columns`, and printed by `ampturn parts columns`. The file is UTF-8, its
cells stand between commas, semicolons or tabs. Numbers follow `core.number_entry`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import field
from functools import lru_cache
from pathlib import Path
from threading import Event
from typing import Any, Final

from core.catalogue.csv_cells import (
    LONGEST_CELL,
    CellValue,
    Column,
    Row,
    cell_reader,
    decimals_of,
    decoded,
    nearest_column,
    rows_of,
)
from core.catalogue.gathered_motors import GatheredMotors
from core.catalogue.part_columns import KIND_COLUMN, MOTOR, PART_KINDS, ROW_KINDS, columns_of
from core.catalogue.parts_file import PartsFile
from core.errors import AmpturnError, InputRangeError
from core.number_entry import shown
from core.project import saved_file
from core.project.motor import Motor
from core.records import dataclass

LARGEST_TABLE: Final = 200_000_000  # [bytes]
_EACH: Final = 500  # rows, or frames, from one word of how far it is to the next
_SHARE_OF_ROWS: Final = 0.7  # of the time; the rest puts motors together
MOST_KEPT: Final = 4096  # cells of a column kept as read: most stand there many times

_LISTS: Final = {
    "electronics": "drives",
    "Hall sensors": "feedback",
    "encoder": "feedback",
    "sensorless": "feedback",
    "brake": "brakes",
    "gear": "transmissions",
}


@dataclass(frozen=True, slots=True)
class RejectedRow:
    """A row that is not taken: its line, the column and its text as far as one is to blame, and the rule."""

    line: int
    column: str
    value: str
    rule: str

    def __str__(self) -> str:
        where = f"line {self.line}, {self.column}" if self.column else f"line {self.line}"
        got = f" (the cell has {shown(self.value)})" if self.value and self.value not in self.rule else ""
        return f"{where}: {self.rule}{got}"


@dataclass(frozen=True, slots=True)
class CsvImport:
    """The parts of a table, how many rows they come from, the rows not taken, and what was left unread."""

    parts: PartsFile
    accepted: int
    rejected: tuple[RejectedRow, ...]
    notes: tuple[str, ...] = ()


@dataclass(slots=True)
class _Table:
    """What is read so far."""

    columns: tuple[Column, ...]
    motors: GatheredMotors = field(default_factory=GatheredMotors)
    parts: dict[str, list[Any]] = field(default_factory=dict)
    names: dict[tuple[str, str], int] = field(default_factory=dict)
    rejected: dict[int, RejectedRow] = field(default_factory=dict)


class _CellError(Exception):
    """A row is not taken because of one column."""

    def __init__(self, column: str, value: str, rule: str) -> None:
        super().__init__(rule)
        self.column, self.value, self.rule = column, value, rule


class ImportCancelledError(AmpturnError):
    """Reading was stopped by the one who asked for it."""


@dataclass(frozen=True, slots=True)
class Watcher:
    """Is told the share that is done, from 0 to 1; another thread may set `cancel` to stop the reading."""

    progress: Callable[[float], None]
    cancel: Event

    def tell(self, share: float) -> None:
        """Tell how far it is; `ImportCancelledError` where it is to stop."""
        if self.cancel.is_set():
            raise ImportCancelledError("reading the table was cancelled")
        self.progress(share)


def import_parts(path: Path, watcher: Watcher | None = None) -> CsvImport:
    """Return the parts in a table; `CsvError` or `ProjectFileError` where it cannot be read as a whole."""
    return parts_of_table(saved_file.read_bytes(path, LARGEST_TABLE), path.name, watcher)


def parts_of_table(content: bytes, origin: str = "", watcher: Watcher | None = None) -> CsvImport:
    """Return the parts in the bytes of a table."""
    watcher = watcher or Watcher(lambda _share: None, Event())
    columns, rows = rows_of(decoded(content))
    readers = _readers(columns, rows)
    table = _Table(columns)
    for number, row in enumerate(rows):
        if number % _EACH == 0:
            watcher.tell(_SHARE_OF_ROWS * number / len(rows))
        try:
            _take(table, row, readers)
        except _CellError as error:
            table.rejected[row.line] = RejectedRow(row.line, error.column, error.value, error.rule)
    motors, refused = _motors(table, watcher)
    cells = {row.line: row for row in rows if row.line in refused}
    for line, (key, rule) in refused.items():
        table.rejected[line] = RejectedRow(line, key, _cell(columns, cells[line], key), rule)
    lists: dict[str, Any] = {
        name: tuple(table.parts.get(name, ())) for name in dict.fromkeys(_LISTS.values())
    }
    parts = PartsFile(origin=f"imported from {origin}" if origin else "", motors=motors, **lists)
    rejected = tuple(table.rejected[line] for line in sorted(table.rejected))
    return CsvImport(parts, len(rows) - len(rejected), rejected, tuple(_notes(columns)))


def _motors(table: _Table, watcher: Watcher) -> tuple[tuple[Motor, ...], dict[int, tuple[str, str]]]:
    """Return the motors of a table, and for each line that cannot be taken its column and rule."""
    motors, refused = [], {}
    for number, (motor, lines) in enumerate(table.motors.built()):
        if number % _EACH == 0:
            watcher.tell(_SHARE_OF_ROWS + (1.0 - _SHARE_OF_ROWS) * number / table.motors.count)
        refused.update(lines)
        if motor is not None:
            motors.append(motor)
    return tuple(motors), refused


Readers = dict[str, list[tuple[int, str, Callable[[str], CellValue]] | None]]


def _readers(columns: tuple[Column, ...], rows: list[Row]) -> Readers:
    """Return for each kind of row what reads each of its columns, None where the kind has no such column."""
    decimals = decimals_of(columns, rows)
    found: Readers = {}
    for kind in ROW_KINDS:
        figures = {figure.key: figure for figure in columns_of(kind)}
        found[kind] = [
            (index, column.key, lru_cache(MOST_KEPT)(cell_reader(figures[column.key], column.unit, decimals)))
            if column.key in figures
            else None
            for index, column in enumerate(columns)
        ]
    return found


def _take(table: _Table, row: Row, readers: Readers) -> None:
    columns = table.columns
    if len(row.cells) != len(columns):
        rule = f"has {len(row.cells)} cells, the heading has {len(columns)}"
        raise _CellError("", "", f"{rule}; a cell that holds the separator needs quotes")
    kind = _kind_of(columns, row)
    figures = dict(_figures(columns, row, readers[kind], kind))
    if kind == MOTOR:
        key, rule = table.motors.take(row.line, figures)
        if rule:
            raise _CellError(key, _cell(columns, row, key), rule)
        return
    _take_part(table, row, kind, figures)


def _kind_of(columns: tuple[Column, ...], row: Row) -> str:
    text = _cell(columns, row, KIND_COLUMN)
    if not any(column.key == KIND_COLUMN for column in columns):
        return MOTOR
    found = next((kind for kind in ROW_KINDS if kind.casefold() == text.casefold()), None)
    if found is None:
        raise _CellError(KIND_COLUMN, text, f"{shown(text)} is none of {', '.join(ROW_KINDS)}")
    return found


def _figures(
    columns: tuple[Column, ...],
    row: Row,
    readers: list[tuple[int, str, Callable[[str], CellValue]] | None],
    kind: str,
) -> Iterator[tuple[str, CellValue]]:
    for column, reader, cell in zip(columns, readers, row.cells, strict=True):
        if not cell or cell.isspace() or not column.key or column.key == KIND_COLUMN:
            continue
        if len(cell) > LONGEST_CELL:
            rule = f"has {len(cell)} characters, at most {LONGEST_CELL} are read"
            raise _CellError(column.key, cell[:20], rule)
        if reader is None:
            raise _CellError(column.key, cell, f"a row of kind '{kind}' has no such figure")
        try:
            yield column.key, reader[2](cell)
        except AmpturnError as error:
            raise _CellError(column.key, cell, str(error)) from error


def _take_part(table: _Table, row: Row, kind: str, figures: dict[str, CellValue]) -> None:
    structure, columns = PART_KINDS[kind]
    for figure in columns:
        if figure.needed and figure.key not in figures:
            raise _CellError(figure.key, "", f"is needed ({figure.hint})")
    name, where = str(figures["name"]), _LISTS[kind]
    if (where, name) in table.names:
        line = table.names[where, name]
        raise _CellError(
            "name", name, f"{shown(name)} is also on line {line}; each part needs a name of its own"
        )
    fields: dict[str, Any] = {f.field: f.saved(figures[f.key]) for f in columns if f.key in figures}
    try:
        part = structure(**fields)
    except InputRangeError as error:
        key = next((f.key for f in columns if f.field == error.name), "")
        raise _CellError(key, _cell(table.columns, row, key), f"must be {error.rule}") from error
    except AmpturnError as error:
        raise _CellError("", "", str(error)) from error
    table.names[where, name] = row.line
    table.parts.setdefault(where, []).append(part)


def _cell(columns: tuple[Column, ...], row: Row, key: str) -> str:
    found = (cell for column, cell in zip(columns, row.cells, strict=False) if key and column.key == key)
    return next(found, "").strip()


def _notes(columns: tuple[Column, ...]) -> Iterator[str]:
    for column in columns:
        if column.key or not column.heading:
            continue
        near = nearest_column(column.heading)
        meant = f" (is {shown(near)} meant?)" if near else ""
        yield f"column {shown(column.heading)} is not known and was not read{meant}"
