"""The unit edge: what people type and see on one side, SI floats (temperatures in degC) on the other.

Fields, tables, charts and files with units all pass through here, so that a quantity is read and shown in
one way. `core.number_entry` has the grammar of numbers, `core.unit_table` the units. pint is loaded only by
`convert`, which import of foreign files uses; typed entry never reaches it.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from tokenize import TokenError
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, TypeVar

import numpy as np

from core.errors import UnitError
from core.number_entry import shown, split_number
from core.numeric import FloatArray
from core.unit_table import UNITS, Kind, Unit, spellings, unit_key

if TYPE_CHECKING:
    import pint

__all__ = [
    "MINUS",
    "DisplayUnits",
    "Kind",
    "Unit",
    "accepted_units",
    "convert",
    "find_unit",
    "format_number",
    "parse_cell",
    "parse_quantity",
    "si_symbol",
]

MINUS = "\N{MINUS SIGN}"
_NBSP = "\N{NO-BREAK SPACE}"
# Beyond these powers of ten a fixed number is longer than its scientific form and is misread.
_SMALLEST_FIXED_POWER, _LARGEST_FIXED_POWER = -5, 7
# Digits of a value shown for editing: more than anyone types, fewer than the noise of a conversion.
_ENTRY_DIGITS = 12

_FloatOrArray = TypeVar("_FloatOrArray", float, FloatArray)


def accepted_units(kind: Kind) -> tuple[str, ...]:
    """Return the symbols of the units that may be typed for `kind`, the usual one first."""
    return tuple(unit.symbol for unit in UNITS[kind])


def si_symbol(kind: Kind) -> str:
    """Return the symbol of the unit in which the core calculates `kind`."""
    return next(u.symbol for u in UNITS[kind] if u.multiplier == u.divisor == 1.0 and u.offset == 0.0)


def find_unit(text: str, kind: Kind) -> Unit:
    """Return the unit that `text` spells for `kind`, or refuse it naming the accepted ones."""
    known = spellings(kind)
    unit = known.get(text) or known.get(unit_key(text))
    if unit is not None:
        return unit
    reason = _reason(unit_key(text), kind) or f"is not known for the kind '{kind}'"
    symbols = [symbol for symbol in accepted_units(kind) if symbol]
    accepted = f"accepted: {', '.join(symbols)}" if symbols else "accepted: the number alone"
    raise UnitError(f"unit {shown(text)} {reason}; {accepted}")


def parse_quantity(text: str, kind: Kind, default_unit: str) -> float:
    """Read a typed quantity; a number without a unit is in `default_unit`, the one on show.

    Parameters
    ----------
    text : str
        What was typed, as `12 mN*m`, `1.7 oz*in`, `12,5` or `25 degC`.
    kind : Kind
        What the number measures; it decides which units are accepted.
    default_unit : str
        Unit of a bare number.

    Returns
    -------
    float
        The value in SI, a temperature in degrees Celsius. [SI unit of the kind]

    Raises
    ------
    UnitError
        If the number is missing, ambiguous or not finite, or if the unit is not one of `kind`.

    Examples
    --------
    >>> parse_quantity("12 mN*m", Kind.TORQUE, "N·m")
    0.012
    >>> parse_quantity("77 °F", Kind.TEMPERATURE, "°C")
    25.0
    """
    number, unit_text = split_number(text)
    unit = find_unit(unit_text or default_unit, kind)
    value = number * unit.multiplier / unit.divisor + unit.offset
    if not math.isfinite(value):
        raise UnitError(f"{shown(text)} is too large for a {kind}")
    return value


def parse_cell(text: str, kind: Kind, default_unit: str) -> float:
    """Read a cell of a pasted table: as `parse_quantity`, with the quotes of a spreadsheet taken off."""
    bare = text.strip()
    if len(bare) >= 2 and bare[0] == bare[-1] == '"':
        bare = bare[1:-1].replace('""', '"')
    if not bare.strip():
        raise UnitError(f"the cell is empty: a {kind} is needed")
    return parse_quantity(bare, kind, default_unit)


def format_number(value: float, significant: int = 3) -> str:
    """Show `value` rounded to `significant` digits, with the true minus sign.

    Scientific form is used only below 1e-5 and from 1e7 on. Never raises: a view may show what it gets.

    Examples
    --------
    >>> format_number(0.012345), format_number(-1234.5), format_number(24.0), format_number(2e-6)
    ('0.0123', '−1230', '24.0', '2.00e−6')
    """
    if not math.isfinite(value):
        return "–" if math.isnan(value) else ("∞" if value > 0.0 else MINUS + "∞")
    if value == 0.0:
        return "0"
    digits = max(significant, 1)
    rounded = f"{abs(value):.{digits - 1}e}"
    mantissa, power_text = rounded.split("e")
    power = int(power_text)
    if _SMALLEST_FIXED_POWER <= power < _LARGEST_FIXED_POWER:
        text = f"{float(rounded):.{max(digits - 1 - power, 0)}f}"
    else:
        text = f"{mantissa}e{power}".replace("-", MINUS)
    return MINUS + text if value < 0.0 else text


def _trimmed(number: str) -> str:
    """Drop the zeros that end a decimal fraction."""
    mantissa, mark, power = number.partition("e")
    return (mantissa.rstrip("0").rstrip(".") if "." in mantissa else mantissa) + mark + power


@dataclass(frozen=True)
class DisplayUnits:
    """The unit in which each kind is shown. `DisplayUnits()` has the usual ones of the trade.

    Examples
    --------
    >>> display = DisplayUnits().with_units({Kind.TORQUE: "oz*in"})
    >>> display.symbol(Kind.TORQUE), display.format_quantity(1000.0, Kind.SPEED, 4)
    ('ozf·in', '9549\\xa0rpm')
    """

    units: Mapping[Kind, Unit] = field(
        default_factory=lambda: MappingProxyType({kind: rows[0] for kind, rows in UNITS.items()}), hash=False
    )

    def with_units(self, chosen: Mapping[Kind, str]) -> DisplayUnits:
        """Return a copy with some kinds shown in other units, each in any accepted spelling."""
        found = {kind: find_unit(text, kind) for kind, text in chosen.items()}
        return DisplayUnits(MappingProxyType({**self.units, **found}))

    def symbol(self, kind: Kind) -> str:
        """Return the unit as shown beside a number; empty for a plain number."""
        return self.units[kind].symbol

    def to_display(self, value: _FloatOrArray, kind: Kind) -> _FloatOrArray:
        """Convert an SI value or array to the display unit."""
        unit = self.units[kind]
        return (value - unit.offset) * unit.divisor / unit.multiplier

    def from_display(self, number: _FloatOrArray, kind: Kind) -> _FloatOrArray:
        """Convert a number or array in the display unit to SI."""
        unit = self.units[kind]
        return number * unit.multiplier / unit.divisor + unit.offset

    def parse(self, text: str, kind: Kind) -> float:
        """Read typed text; a bare number is in the display unit. See `parse_quantity`."""
        return parse_quantity(text, kind, self.units[kind].symbol)

    def format_value(self, value: float, kind: Kind, significant: int = 3) -> str:
        """Show an SI value in the display unit, without the unit: for cells under a heading with it."""
        return format_number(float(self.to_display(value, kind)), significant)

    def format_quantity(self, value: float, kind: Kind, significant: int = 3) -> str:
        """Show an SI value with its display unit, kept on one line by a no-break space."""
        number, symbol = self.format_value(value, kind, significant), self.units[kind].symbol
        joint = "" if symbol in ("", "°") else _NBSP
        return f"{number}{joint}{symbol}"

    def format_entry(self, value: float, kind: Kind) -> str:
        """Show an SI value for editing, in the display unit, with every digit that was typed."""
        return _trimmed(self.format_value(value, kind, _ENTRY_DIGITS))


def convert(value: _FloatOrArray, from_unit: str, to_unit: str) -> _FloatOrArray:
    """Convert between any two units of one dimension, for files that name units of their own.

    Here `oz` and `lb` are masses, as everywhere outside data sheets; torque columns need ozf and lbf.
    Loads pint at the first call.

    Examples
    --------
    >>> round(convert(1.0, "mile/hour", "m/s"), 5)
    0.44704
    """
    from pint import PintError  # 0.2 s, needed only when a foreign file is imported

    try:
        units = [_registry().Unit(_pint_text(text)) for text in (from_unit, to_unit)]
        converted: Any = _registry().Quantity(value, units[0]).m_as(units[1])
    # Text that is no unit makes pint raise errors of its own, of the tokenizer and of plain Python.
    except (
        PintError,
        TokenError,
        ValueError,
        TypeError,
        AttributeError,
        ArithmeticError,
        AssertionError,
    ) as e:
        raise UnitError(f"cannot convert {shown(from_unit)} to {shown(to_unit)}: {e}") from e
    if not np.all(np.isfinite(converted)):
        raise UnitError(f"converting {shown(from_unit)} to {shown(to_unit)} gives no finite number")
    result: _FloatOrArray = converted
    return result


# Names, products and one-digit powers: pint would compute `9**9**9**9` for hours.
_UNIT_TEXT = re.compile(r"[A-Za-z_%0-9*/(). -]{0,60}")
_POWER_OF_POWER = re.compile(r"[)]\*\*|\*\*[^*/()]*\*\*|\*\*\(?-?[0-9]{2}|[0-9]{5}|\*\*\*")


def _pint_text(unit: str) -> str:
    text = unit_key(unit).replace("Ohm", "ohm").replace("^", "**")
    if not _UNIT_TEXT.fullmatch(text) or _POWER_OF_POWER.search(text):
        raise UnitError(f"{shown(unit)} is not a product of units with small powers")
    return text


@lru_cache(maxsize=1)
def _registry() -> pint.UnitRegistry[Any]:
    from pint import UnitRegistry

    return UnitRegistry()


_MASS_TIMES_LENGTH = {"kg*cm": "kgf·cm", "kgcm": "kgf·cm", "kg*m": "kgf·m", "kgm": "kgf·m", "g*cm": "gf·cm"}
_MASS_AS_FORCE = {"kg": "kgf", "g": "gf", "lb": "lbf", "lbs": "lbf", "oz": "ozf"}
_TORQUES = (Kind.TORQUE, Kind.LOAD_TORQUE, Kind.TORQUE_CONSTANT)
_INERTIAS = (Kind.INERTIA, Kind.LOAD_INERTIA)
_ENERGIES = (Kind.ENERGY, Kind.BATTERY_ENERGY)
_LENGTH_NOT_SQUARED = {
    "kg*m": "kg·m²", "kgm": "kg·m²", "kg*cm": "kg·cm²", "kgcm": "kg·cm²", "g*cm": "g·cm²", "gcm": "g·cm²",
    "oz*in": "oz·in² or ozf·in·s²", "lb*in": "lb·in² or lbf·in·s²", "lb*ft": "lb·ft²",
}  # fmt: skip
_CHARGES = ("Ah", "A*h", "mAh", "mA*h")


def _reason(key: str, kind: Kind) -> str | None:
    """Say why a unit that looks right is not accepted, where the mistake is a known one."""
    stem, per, denominator = key.partition("/")
    if kind in _TORQUES and stem in _MASS_TIMES_LENGTH:
        force = _MASS_TIMES_LENGTH[stem] + per + denominator
        return f"is a mass times a length, a {kind} needs a force: write {force} if that is meant"
    if kind in _TORQUES and stem in _MASS_AS_FORCE:
        return f"is a mass, a {kind} needs a force times a length: write {_MASS_AS_FORCE[stem]} with a length"
    if kind in _INERTIAS and key in _LENGTH_NOT_SQUARED:
        return f"has no square of a length, a {kind} needs one: write {_LENGTH_NOT_SQUARED[key]}"
    if kind in _ENERGIES and key in _CHARGES:
        return "is a charge, not an energy: multiply it by the voltage and write W·h"
    if kind is Kind.TEMPERATURE and key in ("deg", "degree", "degrees"):
        return "does not say which degree: write °C, °F or K"
    if kind is Kind.FORCE and key in _MASS_AS_FORCE:
        return f"is a mass: write {_MASS_AS_FORCE[key]} for the weight of that mass, or N"
    if kind is Kind.ANGLE and key == "%":
        return "is a slope, not an angle (100 % is 45°): write the angle"
    if kind is Kind.SPEED and key in ("1/s", "s^-1", "Hz"):
        return "may mean rad/s or turns per second: write rad/s or rev/s"
    if kind is Kind.ELECTRICAL_FREQUENCY and key in spellings(Kind.SPEED):
        return "may mean the shaft of any motor: write eRPM for electrical speed, or rpm of 2 poles"
    alike = [u.symbol for spelling, u in spellings(kind).items() if spelling.casefold() == key.casefold()]
    if alike:
        return (
            f"is not known (capital and small letters differ: is {' or '.join(dict.fromkeys(alike))} meant?)"
        )
    others = [str(other) for other in Kind if key in spellings(other)]
    return f"is a unit of {others[0]}, not of {kind}" if others else None
