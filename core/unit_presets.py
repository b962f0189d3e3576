"""Sets of display units to begin with; any single kind may be shown otherwise."""

from __future__ import annotations

from typing import Final

from core.unit_table import Kind
from core.units import DisplayUnits, si_symbol

_WITHOUT_A_CHOICE: Final = (Kind.NUMBER,)
_INCH: Final[dict[Kind, str]] = {
    Kind.TORQUE: "ozf·in", Kind.LOAD_TORQUE: "lbf·in", Kind.INERTIA: "oz·in²", Kind.LOAD_INERTIA: "lb·in²",
    Kind.MASS: "lb", Kind.LENGTH: "in", Kind.CABLE_LENGTH: "ft", Kind.AREA: "in²", Kind.ALTITUDE: "ft",
    Kind.FORCE: "lbf", Kind.LINEAR_SPEED: "in/s", Kind.ACCELERATION: "ft/s²", Kind.TEMPERATURE: "°F",
    Kind.TEMPERATURE_DIFFERENCE: "°F", Kind.TORQUE_CONSTANT: "ozf·in/A", Kind.MOTOR_CONSTANT: "ozf·in/√W",
    Kind.BACK_EMF_CONSTANT: "V/krpm", Kind.THERMAL_RESISTANCE: "°F/W", Kind.PRESSURE: "psi",
    Kind.VOLUME: "in³",
}  # fmt: skip


def _in_si() -> DisplayUnits:
    return DisplayUnits().with_units(
        {kind: si_symbol(kind) for kind in Kind if kind not in _WITHOUT_A_CHOICE}
    )


PRESETS: Final[dict[str, DisplayUnits]] = {
    "Drive engineer": DisplayUnits(),
    "SI as calculated": _in_si(),
    "Inch and ounce": DisplayUnits().with_units(_INCH),
}
"""Presets by their words: the usual units of the trade, those of the equations, those of inch drawings."""


def preset_of(units: DisplayUnits) -> str:
    """Return the words of the preset that units are, empty where they are none.

    Examples
    --------
    >>> preset_of(DisplayUnits()), preset_of(DisplayUnits().with_units({Kind.TIME: "min"}))
    ('Drive engineer', '')
    """
    return next((words for words, preset in PRESETS.items() if preset == units), "")
