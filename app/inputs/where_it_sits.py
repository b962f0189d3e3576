"""Where it sits: air, mounting, and what the motor meets there."""

from __future__ import annotations

from app.inputs.rows import YES_NO, ChoiceRow, QuantityRow, Row, TextRow
from core.project.application import Application
from core.units import DisplayUnits, Kind

TITLE = "Where it sits"

_UNKNOWN = "unknown: not checked"
_SURROUNDINGS = (
    ("dust", "Dust"),
    ("magnetic_swarf", "Magnetic swarf"),
    ("liquid", "Liquid"),
    ("reach_of_fingers", "Fingers can reach it"),
)

ROWS: tuple[Row, ...] = (
    QuantityRow(
        ("site", "ambient"),
        "Highest ambient",
        Kind.TEMPERATURE,
        optional=True,
        absent="missing: no temperature is checked",
    ),
    QuantityRow(
        ("site", "lowest_ambient"),
        "Lowest ambient",
        Kind.TEMPERATURE,
        optional=True,
        absent="missing: cold magnets are not considered",
    ),
    TextRow(("site", "mounting", "name"), "Mounting"),
    QuantityRow(
        ("site", "mounting", "housing_ambient_resistance"),
        "Housing to ambient",
        Kind.THERMAL_RESISTANCE,
        optional=True,
        placeholder="data sheet",
    ),
    *(ChoiceRow(("site", "surroundings", name), label, YES_NO, _UNKNOWN) for name, label in _SURROUNDINGS),
)


def summary(application: Application, units: DisplayUnits) -> str:
    """Return the group in one line."""
    site = application.site
    ambient = (
        "ambient missing"
        if site.ambient is None
        else "ambient " + units.format_quantity(site.ambient, Kind.TEMPERATURE)
    )
    answers = [f"{label.lower()} {getattr(site.surroundings, name)}" for name, label in _SURROUNDINGS[:3]]
    fingers = f"fingers {site.surroundings.reach_of_fingers}"
    return ", ".join([ambient, site.mounting.name, *answers, fingers])
