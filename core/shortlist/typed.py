"""What is typed about a search: ranges with units, and mountings in a few words."""

from __future__ import annotations

import re
from typing import Final

from core.errors import AmpturnError, UnitError
from core.project.mounting import Mounting, Plate
from core.units import DisplayUnits, Kind

_PLATE: Final = re.compile(r"plate\s+(?P<side>.+?)\s*[x×]\s*(?P<thickness>.+)", re.DOTALL)
_MOUNTINGS: Final = "'data sheet', 'insulated', 'plate 80 mm x 3 mm' or a thermal resistance as '4 K/W'"


def range_of(text: str, kind: Kind, units: DisplayUnits) -> tuple[float, float]:
    """Return the ends of a range in SI; a unit behind the second holds for both.

    Examples
    --------
    >>> range_of("20..50 mN*m/A", Kind.TORQUE_CONSTANT, DisplayUnits())
    (0.02, 0.05)

    Raises
    ------
    AmpturnError
        If it is not two rising numbers with two points between.
    """
    first, points, second = text.partition("..")
    if not points:
        raise AmpturnError(f"a range is written as FROM..TO, got '{text}'")
    try:
        high = units.parse(second, kind)
        low = _with_unit_of(first, second, kind, units)
    except UnitError as error:
        raise AmpturnError(f"range '{text}': {error}") from error
    if not low < high:
        raise AmpturnError(f"range '{text}': its first end must be below the second")
    return low, high


def values_of(text: str, kind: Kind, units: DisplayUnits) -> tuple[float, ...]:
    """Return one value, or both ends and the middle of a range, in SI.

    Examples
    --------
    >>> values_of("20..60 degC", Kind.TEMPERATURE, DisplayUnits())
    (20.0, 40.0, 60.0)
    """
    if ".." in text:
        low, high = range_of(text, kind, units)
        return low, 0.5 * (low + high), high
    return (units.parse(text, kind),)


def mounting_of(text: str, units: DisplayUnits) -> Mounting:
    """Return a mounting that is written in words; its name is the text.

    Raises
    ------
    AmpturnError
        If the words are none of a mounting.
    """
    words = text.strip()
    plate = _PLATE.fullmatch(words)
    try:
        if words == "data sheet":
            return Mounting(name=words)
        if words == "insulated":
            return Mounting(name=words, insulated=True)
        if plate is not None:
            side, thickness = (units.parse(plate[name], Kind.LENGTH) for name in ("side", "thickness"))
            return Mounting(name=words, plate=Plate(side=side, thickness=thickness))
        resistance = units.parse(words, Kind.THERMAL_RESISTANCE)
        return Mounting(name=words, housing_ambient_resistance=resistance)
    except AmpturnError as error:
        raise AmpturnError(f"mounting '{text}' must be {_MOUNTINGS} ({error})") from error


def _with_unit_of(first: str, second: str, kind: Kind, units: DisplayUnits) -> float:
    """Return the first end, in the unit of the second where it has none itself."""
    if re.search(r"[^\W\d_]|[°%]", first):
        return units.parse(first, kind)
    unit = re.sub(r"^[\s\d.,+\-\u2212]*([eE][+-]?\d+)?", "", second)
    return units.parse(f"{first} {unit}", kind)
