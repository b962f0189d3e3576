"""How a table of parts is written, and reading its cells: encoding, separator, decimal mark, units.

What can be read in two ways is refused with the reason: a separator that is not clear refuses the file, a
number that is not clear its row.
"""

from __future__ import annotations

import csv
import difflib
import io
import re
from collections.abc import Callable, Iterator
from typing import Final, Literal

from core.catalogue.part_columns import BETWEEN_ENTRIES, KIND_COLUMN, ROW_KINDS, columns_of
from core.catalogue.sheet_figures import SheetFigure, Value
from core.errors import AmpturnError, UnitError
from core.number_entry import shown, split_number
from core.records import dataclass
from core.units import Kind, accepted_units, find_unit, parse_quantity

SEPARATORS: Final = {"\t": "tab", ";": "semicolon", ",": "comma"}
LONGEST_CELL: Final = 20_000
COMMENT: Final = "#"

CellValue = Value | tuple[Value, ...]
Decimals = Literal["point", "comma", "both", "none"]


class CsvError(AmpturnError, ValueError):
    """A whole table is refused. `line` counts from 1; 0 is all of it."""

    def __init__(self, line: int, rule: str) -> None:
        super().__init__(f"line {line}: {rule}" if line else rule)
        self.line, self.rule = line, rule

    def __reduce__(self) -> tuple[type[CsvError], tuple[int, str]]:
        return type(self), (self.line, self.rule)


@dataclass(frozen=True, slots=True)
class Column:
    """A column of the table: the text of its heading, the figure's key (empty where unknown), its unit."""

    heading: str
    key: str
    unit: str


@dataclass(frozen=True, slots=True)
class Row:
    """A row: the line on which it begins and its cells."""

    line: int
    cells: list[str]


def decoded(content: bytes) -> str:
    """Return the text of a table in UTF-8; any other encoding is refused naming the byte that shows it."""
    if content[:2] in (b"\xff\xfe", b"\xfe\xff"):
        raise CsvError(1, "the table is written in UTF-16; save it as UTF-8")
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        byte = content[error.start]
        raise CsvError(
            line, f"byte 0x{byte:02X} at place {error.start + 1} of the file is not UTF-8; save it as UTF-8"
        ) from error


def rows_of(text: str) -> tuple[tuple[Column, ...], list[Row]]:
    """Return the columns and the rows of a table, without what is empty or begins with #."""
    separator, heading_line = _separator(text)
    found = _split(text, separator)
    heading = next(row for row in found if row.line >= heading_line)
    columns = tuple(_column(cell, heading.line) for cell in heading.cells)
    _require_once(columns, heading.line)
    return columns, list(found)


def _split(text: str, separator: str) -> Iterator[Row]:
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    line = 1
    try:
        for cells in reader:
            begins, line = line, reader.line_num + 1
            if any(cell.strip() for cell in cells) and not cells[0].lstrip().startswith(COMMENT):
                yield Row(begins, cells)
    except csv.Error as error:
        raise CsvError(line, f"the cells cannot be told apart from here on ({error})") from error


def _separator(text: str) -> tuple[str, int]:
    """Return the separator under which the heading has known columns, and the line of the heading."""
    for number, line in enumerate(io.StringIO(text), 1):
        if not line.strip() or line.lstrip().startswith(COMMENT):
            continue
        known = {mark: _known_columns(line.rstrip("\r\n"), mark) for mark in SEPARATORS}
        most = max(known.values())
        best = [mark for mark, count in known.items() if count == most]
        if most == 0:
            raise CsvError(number, "the heading has no known column; the columns command lists them")
        if most == 1 and sum(mark in line for mark in SEPARATORS) == 0:
            return ",", number  # one column alone has no separator
        if len(best) > 1:
            names = " and ".join(SEPARATORS[mark] for mark in best)
            raise CsvError(number, f"the heading can be read with {names} between the cells; use one of them")
        return best[0], number
    raise CsvError(0, "the table is empty: a heading is needed")


def _known_columns(line: str, separator: str) -> int:
    try:
        cells = next(csv.reader([line], delimiter=separator), [])
    except csv.Error:
        return 0
    return sum(_named(cell)[0] in _KNOWN for cell in cells)


_HEADING = re.compile(r"(?P<name>[^\[(]*)(?:[\[(](?P<unit>.*)[\])])?")


def _plain(name: str) -> str:
    return " ".join(re.sub("[-_]", " ", name).casefold().split())


_KEYS: Final = {_plain(one.key): one for kind in ROW_KINDS for one in columns_of(kind)}
_KNOWN: Final = {*_KEYS, _plain(KIND_COLUMN)}


def _column(cell: str, line: int) -> Column:
    name, unit = _named(cell)
    if name == _plain(KIND_COLUMN):
        return Column(cell.strip(), KIND_COLUMN, "")
    figure = _KEYS.get(name)
    if figure is None:
        return Column(cell.strip(), "", unit)
    if unit and figure.kind is not None:
        try:
            unit = _unit(unit, figure.kind)
        except UnitError as error:
            raise CsvError(line, f"column {shown(figure.key)}: {error}") from error
    elif unit:
        raise CsvError(line, f"column {shown(figure.key)} has no unit, got {shown(unit)}")
    return Column(cell.strip(), figure.key, unit)


def _named(cell: str) -> tuple[str, str]:
    """Return the name of a heading in plain letters, and the unit beside it."""
    match = _HEADING.fullmatch(cell.strip())
    return (_plain(match["name"]), (match["unit"] or "").strip()) if match else ("", "")


def _unit(text: str, kind: Kind) -> str:
    """Return the symbol of a unit; a heading may also write g cm2 for g cm^2."""
    try:
        return find_unit(text, kind).symbol
    except UnitError as error:
        raised = re.sub(r"(?<=[A-Za-z])([23])(?![0-9])", r"^\1", text)
        if raised == text:
            raise
        try:
            return find_unit(raised, kind).symbol
        except UnitError:
            raise error from None


def _require_once(columns: tuple[Column, ...], line: int) -> None:
    keys = [column.key for column in columns if column.key]
    double = next((key for key in keys if keys.count(key) > 1), None)
    if double is not None:
        raise CsvError(line, f"column {shown(double)} is there twice")


def nearest_column(heading: str) -> str:
    """Return the known column that an unknown heading is most like, empty where none is."""
    name = _plain(heading.split("[")[0].split("(")[0])
    found = difflib.get_close_matches(name, list(_KEYS), 1, 0.8)
    return _KEYS[found[0]].key if found else ""


_LEADING = re.compile(r"[+\-\N{MINUS SIGN}]?\s?([0-9][0-9.,]*)")
_LIKE_THOUSANDS = re.compile(r"[1-9][0-9]{0,2}[.,][0-9]{3}")


def decimals_of(columns: tuple[Column, ...], rows: list[Row]) -> Decimals:
    """Return which decimal mark the numbers use, from those that can be read in one way only."""
    numeric = [i for i, one in enumerate(columns) if one.key and _is_number(_KEYS.get(_plain(one.key)))]
    marks = set()
    for row in rows:
        for index in numeric:
            cell = row.cells[index] if index < len(row.cells) else ""
            if ("," in cell or "." in cell) and (match := _LEADING.match(cell.strip())):
                body = match[1]
                if body.count(",") + body.count(".") == 1 and not _LIKE_THOUSANDS.fullmatch(body):
                    marks.add("comma" if "," in body else "point")
    if len(marks) == 2:
        return "both"
    return "comma" if "comma" in marks else "point" if marks else "none"


def _is_number(figure: SheetFigure | None) -> bool:
    return figure is not None and figure.kind is not None


def cell_reader(figure: SheetFigure, unit: str, decimals: Decimals) -> Callable[[str], CellValue]:
    """Return what reads the cells of a column; it raises `UnitError` with the reason."""
    if figure.many:
        one = cell_reader(_single(figure), unit, decimals)
        return lambda text: tuple(_scalar(one(part)) for part in text.split(BETWEEN_ENTRIES))
    if figure.kind is not None:
        return _number_reader(figure.kind, unit, decimals)
    if figure.whole:
        return _whole
    if figure.choices:
        words = {_plain(choice): choice for choice in figure.choices}
        return lambda text: _word(text, words)
    return _text


def _single(figure: SheetFigure) -> SheetFigure:
    return SheetFigure(figure.key, figure.level, figure.hint, figure.kind, choices=figure.choices)


def _scalar(value: CellValue) -> Value:
    assert not isinstance(value, tuple)
    return value


_SIMPLE = re.compile(r"-?[0-9]{1,15}(?:\.[0-9]{1,15})?")


def _number_reader(kind: Kind, unit: str, decimals: Decimals) -> Callable[[str], float]:
    bare = "" in accepted_units(kind)  # a plain number has no unit
    default = find_unit(unit, kind) if unit or bare else None

    def read(text: str) -> float:
        plain = _one_reading(text.strip(), decimals)
        if default is not None and _SIMPLE.fullmatch(plain):
            return float(plain) * default.multiplier / default.divisor + default.offset
        if default is None and not split_number(plain)[1]:
            usual = accepted_units(kind)[0]
            raise UnitError(f"{shown(text)} has no unit: put it into the heading, as [{usual}], or beside it")
        return parse_quantity(plain, kind, unit)

    return read


def _one_reading(text: str, decimals: Decimals) -> str:
    """Return a number with the mark of the table; one that may be thousands there is refused."""
    match = _LEADING.match(text)
    if match is None or not _LIKE_THOUSANDS.fullmatch(match[1]):
        return text
    if "," in match[1] and decimals == "comma":
        return text.replace(",", ".", 1)
    if "." in match[1] and decimals in ("comma", "both"):
        whole, _, rest = match[1].partition(".")
        raise UnitError(
            f"{shown(text)} is ambiguous in a table with decimal commas, the point may separate thousands: "
            f"write {whole}{rest} or {whole},{rest}0"
        )
    return text


def _whole(text: str) -> float:
    number, unit = split_number(text)
    if unit or number != int(number) or abs(number) > 1e9:
        raise UnitError(f"{shown(text)} is not a whole number")
    return number


def _word(text: str, words: dict[str, str]) -> str:
    found = words.get(_plain(text))
    if found is None:
        raise UnitError(f"{shown(text)} is none of {', '.join(repr(word) for word in words.values())}")
    return found


def _text(text: str) -> str:
    bare = text.strip()
    if any(letter < " " and letter not in "\t\r\n" for letter in bare):
        raise UnitError(f"{shown(ascii(bare))} holds a control character")
    return bare
