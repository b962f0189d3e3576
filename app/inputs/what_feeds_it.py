"""What feeds it: the direct voltage at the drive electronics and its source."""

from __future__ import annotations

from app.inputs.rows import YES_NO, ChoiceRow, QuantityRow, Questions, Row
from core.project.application import Application
from core.units import DisplayUnits, Kind

TITLE = "What feeds it"

ROWS: tuple[Row, ...] = (
    QuantityRow(
        ("supply", "nominal_voltage"),
        "Nominal voltage",
        Kind.VOLTAGE,
        optional=True,
    ),
    QuantityRow(
        ("supply", "lowest_voltage"),
        "Lowest voltage",
        Kind.VOLTAGE,
        optional=True,
        absent=lambda application: (
            "missing: voltage reserve is not checked"
            if application.supply.nominal_voltage is None
            else "assumed: the nominal voltage"
        ),
    ),
    QuantityRow(
        ("supply", "highest_voltage"),
        "Highest voltage",
        Kind.VOLTAGE,
        optional=True,
        absent=lambda application: (
            "" if application.supply.nominal_voltage is None else "assumed: the nominal voltage"
        ),
    ),
    QuantityRow(("supply", "source_resistance"), "Source and its leads", Kind.RESISTANCE),
    ChoiceRow(
        ("supply", "takes_energy_back"),
        "Takes energy back",
        YES_NO,
        "unknown: judged as if it could not",
    ),
)


def summary(application: Application, units: DisplayUnits) -> str:
    """Return the group in one line."""
    supply = application.supply
    voltages = (
        ("", supply.nominal_voltage),
        ("lowest ", supply.lowest_voltage),
        ("highest ", supply.highest_voltage),
    )
    words = [
        f"{word}{units.format_quantity(value, Kind.VOLTAGE)}" for word, value in voltages if value is not None
    ]
    back = {"yes": "takes energy back", "no": "takes no energy back", "unknown": "energy back unknown"}
    return ", ".join([*(words or ["voltage missing"]), back[supply.takes_energy_back]])


SUPPLY = Questions(TITLE, "what_feeds_it", "supply", ROWS, summary)
