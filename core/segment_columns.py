"""The columns of a table of segments: what they hold, and by which words a heading names them."""

from __future__ import annotations

import re
from typing import Final, Literal

from core.errors import UnitError
from core.number_entry import shown
from core.records import dataclass
from core.units import DisplayUnits, Kind, find_unit

Field = Literal["name", "duration", "shaft_torque", "speed_start", "speed_end", "speed", "ignored"]

LABELS: Final[dict[Field, str]] = {
    "name": "name",
    "duration": "duration",
    "shaft_torque": "shaft torque",
    "speed_start": "speed at start",
    "speed_end": "speed at end",
    "speed": "speed",
    "ignored": "not read",
}
KINDS: Final[dict[Field, Kind]] = {
    "duration": Kind.TIME,
    "shaft_torque": Kind.TORQUE,
    "speed_start": Kind.SPEED,
    "speed_end": Kind.SPEED,
    "speed": Kind.SPEED,
}

_NAME = {"name", "segment", "step", "phase", "label", "description", "comment", "note"}
_NUMBER = {"number", "no", "nr", "#", "row"}
_RESULT = {"motor", "current", "voltage"}
_START = {"start", "begin", "beginning", "from", "initial", "first"}
_END = {"end", "to", "final", "last", "finish"}
_FILLING = {"at", "of", "the", "in", "shaft", "load", "segment", "step", "total", "used"}
_WORDS: Final[dict[Field, set[str]]] = {
    "duration": {"duration", "durations"},
    "shaft_torque": {"torque", "moment"},
    "speed": {"speed", "velocity"},
}
WORDS_READ: Final = "duration, torque, speed, speed at start, speed at end, name"

_BRACKETED = re.compile(r"^(.*?)[\[(](.*)[\])]\s*$", re.DOTALL)
_WORD = re.compile(r"[^\s_,:;]+")


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a pasted table: what it holds and the unit of its bare numbers."""

    field: Field
    unit: str = ""

    @property
    def label(self) -> str:
        """The column in words."""
        return LABELS[self.field]


def column(field: Field, units: DisplayUnits) -> Column:
    """Return the column of a field whose bare numbers are in the display unit."""
    return Column(field, units.symbol(KINDS[field]) if field in KINDS else "")


def heading(field: Field, units: DisplayUnits) -> str:
    """Return the heading under which a column is copied, as `shaft torque (mN·m)`."""
    return f"{LABELS[field]} ({units.symbol(KINDS[field])})" if field in KINDS else LABELS[field]


def column_of_heading(text: str, units: DisplayUnits) -> Column | None:
    """Return the column that a heading names, with the unit in it; None where no word is known.

    Raises
    ------
    UnitError
        If the heading names a column but its unit, or a word beside it, cannot be read: a unit that is
        passed over would be a silent mistake.

    Examples
    --------
    >>> column_of_heading("Speed at end [rad/s]", DisplayUnits())
    Column(field='speed_end', unit='rad/s')
    >>> column_of_heading("duration_ms", DisplayUnits()).unit
    'ms'
    """
    bracketed = _BRACKETED.match(text)
    words = _WORD.findall(bracketed[1] if bracketed else text)
    plain = [word.casefold().strip(".") for word in words]
    field = _field(set(plain))
    if field is None:
        if plain and plain[0] == "time":
            raise UnitError(f"{shown(text)} may mean points in time or durations: name the column 'duration'")
        return None
    if field not in KINDS:
        return Column(field)
    known = _WORDS["speed" if field.startswith("speed") else field] | _START | _END | _FILLING
    rest = [word for word, key in zip(words, plain, strict=True) if key not in known]
    unit = [bracketed[2]] if bracketed and bracketed[2].strip() else []
    return Column(field, _unit(unit + rest, field, units))


def units_row(cells: list[str], columns: tuple[Column, ...]) -> tuple[Column, ...] | None:
    """Return the columns with the units of a row that holds nothing but units; None if it is another row."""
    read: list[Column] = []
    for cell, old in zip(cells, columns, strict=False):
        unit = cell.strip().strip("[]()")
        if old.field not in KINDS or not unit:
            read.append(old)
            continue
        try:
            read.append(Column(old.field, find_unit(unit, KINDS[old.field]).symbol))
        except UnitError:
            return None
    has_units = any(cell.strip() and c.field in KINDS for cell, c in zip(cells, columns, strict=False))
    return (*read, *columns[len(read) :]) if has_units else None


def _field(words: set[str]) -> Field | None:
    """Return the field that the words of a heading name."""
    if words & _RESULT:
        return "ignored"
    for field, names in _WORDS.items():
        if words & names:
            if field != "speed" or not words & (_START | _END):
                return field
            return "speed_start" if words & _START else "speed_end"
    if words & _NUMBER:
        return "ignored"
    return "name" if words & _NAME else None


def _unit(parts: list[str], field: Field, units: DisplayUnits) -> str:
    """Return the unit that the rest of a heading spells, the display unit where there is no rest."""
    kind = KINDS[field]
    if not parts:
        return units.symbol(kind)
    try:
        return find_unit(" ".join(parts), kind).symbol
    except UnitError:
        if len(parts) == 2:  # `speed_rad_s`, where the stroke of the unit could not be written
            return find_unit("/".join(parts), kind).symbol
        raise
