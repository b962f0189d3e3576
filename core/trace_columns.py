"""The columns of a trace file: the words that name time, torque and speed, and where the unit is."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Final, Literal

from core.errors import UnitError
from core.records import dataclass
from core.units import Kind, find_unit

TraceField = Literal["time", "torque", "speed"]
FIELDS: Final[tuple[TraceField, ...]] = ("time", "torque", "speed")
KINDS: Final[dict[TraceField, Kind]] = {
    "time": Kind.TIME,
    "torque": Kind.TORQUE,
    "speed": Kind.SPEED,
}

_WORDS: Final[dict[TraceField, set[str]]] = {
    "time": {"time", "timestamp", "elapsed", "zeit", "temps"},
    "torque": {"torque", "moment", "drehmoment", "couple"},
    "speed": {"speed", "velocity", "omega", "ω", "drehzahl", "vitesse"},
}
# Single letters are read only where they are the whole name; T alone may be time or torque.
_LETTERS: Final[dict[str, TraceField]] = {"t": "time", "M": "torque", "n": "speed", "w": "speed"}
# What a controller wanted and not what was measured.
_WANTED: Final = {
    "setpoint",
    "set",
    "target",
    "command",
    "commanded",
    "reference",
    "ref",
    "demand",
    "desired",
}
_WANTED_IN_PART: Final = ("setpoint", "soll")
_BRACKETED = re.compile(r"^(.*?)[\[(<](.*?)[\])>]\s*$", re.DOTALL)
_WORD = re.compile(r"[^\s_:;,.()\[\]]+")


@dataclass(frozen=True, slots=True)
class TraceColumn:
    """One column of a trace file: its number from 0, its heading, and what it was taken for.

    `field` is None where no word is known; `unit` is empty where none was found; `problem` says why a
    unit that stands there cannot be used.
    """

    number: int
    heading: str
    field: TraceField | None = None
    unit: str = ""
    problem: str = ""

    @property
    def is_wanted_value(self) -> bool:
        """Whether the heading speaks of a set value rather than of a measured one."""
        words = {word.casefold() for word in _WORD.findall(self.heading)}
        return bool(words & _WANTED) or any(part in self.heading.casefold() for part in _WANTED_IN_PART)


def column_of(number: int, heading: str) -> TraceColumn:
    """Return what a heading says of its column.

    Examples
    --------
    >>> [column_of(0, text).unit for text in ("Torque [mN m]", "n / 1/min", "speed_rad_s", "t (ms)")]
    ['mN·m', 'rpm', 'rad/s', 'ms']
    """
    text = " ".join(heading.split())
    best = TraceColumn(number, heading)
    for name, unit in _splittings(text):
        field = _field(name) or (_field_of_letter(name, unit) if len(name) == 1 else None)
        if field is None:
            continue
        if not unit:
            return best if best.field else TraceColumn(number, heading, field)
        try:
            return TraceColumn(number, heading, field, find_unit(unit, KINDS[field]).symbol)
        except UnitError as error:
            if best.field is None:
                best = TraceColumn(number, heading, field, problem=str(error))
    return best if best.field else _of_unit_alone(number, heading, text)


def unit_in_cell(cell: str, field: TraceField) -> str:
    """Return the unit that a cell of a units row holds, empty where it holds none of this field."""
    try:
        return find_unit(cell.strip().strip("[]()<>").strip(), KINDS[field]).symbol if cell.strip() else ""
    except UnitError:
        return ""


def _splittings(text: str) -> Iterator[tuple[str, str]]:
    """Yield the ways in which a heading may be a name and a unit, the plainest first."""
    bracketed = _BRACKETED.match(text)
    if bracketed:
        yield bracketed[1].strip(), bracketed[2].strip()
        return
    for mark in (",", " in ", "/"):
        name, found, unit = text.partition(mark)
        if found:
            yield name.strip(), unit.strip()
    words = text.replace("_", " ").split()
    for count in range(1, len(words)):
        name, rest = " ".join(words[:count]), words[count:]
        for joint in (" ", "/"):
            unit = joint.join(rest)
            if _is_unit(unit):
                yield name, unit
    yield text, ""


def _is_unit(text: str) -> bool:
    for kind in KINDS.values():
        try:
            find_unit(text, kind)
        except UnitError:
            continue
        return True
    return False


def _field(name: str) -> TraceField | None:
    words = [word.casefold() for word in _WORD.findall(name)]
    found = [field for field in FIELDS if _WORDS[field] & set(words)]
    return found[0] if len(found) == 1 else None


def _field_of_letter(letter: str, unit: str) -> TraceField | None:
    """Return the field of a heading of one letter: T is time or torque as its unit says."""
    if letter == "T":
        return next((field for field in ("time", "torque") if unit_in_cell(unit, field)), None)
    return _LETTERS.get(letter)


def _of_unit_alone(number: int, heading: str, text: str) -> TraceColumn:
    """Return a column whose heading is nothing but a unit, as `rpm`."""
    for field in FIELDS:
        unit = unit_in_cell(text, field)
        if unit:
            return TraceColumn(number, heading, field, unit)
    return TraceColumn(number, heading)
