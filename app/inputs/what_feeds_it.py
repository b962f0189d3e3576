"""What feeds it: the direct voltage at the drive electronics, its source, and what braking does to it."""

from __future__ import annotations

from collections.abc import Callable

from app.inputs.application_group import ApplicationGroup
from app.inputs.candidate_figures import SUPPLY as SUPPLY_FIGURES
from app.inputs.lead_rows import CABLE_WAYS, cable_words, kept_figure, shown_figure
from app.inputs.rows import (
    YES_NO,
    Binding,
    ChoiceRow,
    QuantityRow,
    Questions,
    Row,
    ValueRow,
    bound_to_application,
)
from core.project import edits, part_edits
from core.project.application import Application
from core.project.part_edits import cable_way
from core.units import DisplayUnits, Kind

TITLE = "What feeds it"
CABLE: edits.Place = ("supply", "cable")


def _too_low(application: Application) -> str:
    """Say which smaller voltage stands above the highest one."""
    supply = application.supply
    smaller = (("nominal", supply.nominal_voltage), ("lowest", supply.lowest_voltage))
    return _against("below", [name for name, value in smaller if _exceeds(value, supply.highest_voltage)])


def _too_high(application: Application) -> str:
    """Say which larger voltage stands below the lowest one."""
    supply = application.supply
    larger = (("nominal", supply.nominal_voltage), ("highest", supply.highest_voltage))
    return _against("above", [name for name, value in larger if _exceeds(supply.lowest_voltage, value)])


def _against(word: str, names: list[str]) -> str:
    return f"{word} the {' and the '.join(names)} voltage: one cannot be right" if names else ""


def _exceeds(smaller: float | None, larger: float | None) -> bool:
    return smaller is not None and larger is not None and smaller > larger


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
        remark=_too_high,
    ),
    QuantityRow(
        ("supply", "highest_voltage"),
        "Highest voltage",
        Kind.VOLTAGE,
        optional=True,
        absent=lambda application: (
            "" if application.supply.nominal_voltage is None else "assumed: the nominal voltage"
        ),
        remark=_too_low,
    ),
    QuantityRow(
        ("supply", "source_resistance"),
        "Source and its leads",
        Kind.RESISTANCE,
        remark=lambda application: (
            "assumed: source without resistance" if application.supply.source_resistance == 0.0 else ""
        ),
    ),
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


def _has_cable(application: Application) -> bool:
    return application.supply.cable is not None


def _given_by(way: str) -> Callable[[Application], bool]:
    return lambda application: cable_way(application.supply.cable) == way


def _clamps(application: Application) -> bool:
    return application.supply.clamp_voltage is not None


MORE_TITLE = "Cable, braking, battery"
MORE_ROWS: tuple[Row, ...] = (
    ChoiceRow(CABLE, "Cable to the source", (("none", "none"), *CABLE_WAYS)),
    QuantityRow((*CABLE, "length"), "Its length", Kind.CABLE_LENGTH, only_if=_has_cable),
    QuantityRow((*CABLE, "section"), "Cross-section", Kind.AREA, only_if=_given_by("section")),
    QuantityRow((*CABLE, "gauge"), "Gauge, AWG", Kind.NUMBER, only_if=_given_by("gauge")),
    QuantityRow((*CABLE, "temp"), "Conductors at", Kind.TEMPERATURE, only_if=_has_cable),
    QuantityRow(("supply", "capacitance"), "Bus capacitance", Kind.CAPACITANCE),
    QuantityRow(("supply", "clamp_voltage"), "Clamp switches at", Kind.VOLTAGE, True, placeholder="no clamp"),
    QuantityRow(
        ("supply", "clamp_resistance"),
        "Clamp resistor",
        Kind.RESISTANCE,
        True,
        "missing: bus voltage on braking is not checked",
        only_if=_clamps,
    ),
    QuantityRow(
        ("supply", "clamp_power"),
        "It stands, mean",
        Kind.POWER,
        True,
        "missing: power of the clamp is not checked",
        only_if=_clamps,
    ),
    QuantityRow(("supply", "battery_energy"), "Battery", Kind.BATTERY_ENERGY, True, placeholder="no battery"),
)


def more_summary(application: Application, units: DisplayUnits) -> str:
    """Return cable, clamp and battery in one line."""
    supply = application.supply
    words = ["no cable" if supply.cable is None else f"cable {cable_words(supply.cable, units)}"]
    if supply.capacitance > 0.0:
        words.append(units.format_quantity(supply.capacitance, Kind.CAPACITANCE))
    if supply.clamp_voltage is None:
        words.append("no clamp")
    else:
        words.append(f"clamp at {units.format_quantity(supply.clamp_voltage, Kind.VOLTAGE)}")
    if supply.battery_energy is not None:
        words.append(f"battery {units.format_quantity(supply.battery_energy, Kind.BATTERY_ENERGY)}")
    return ", ".join(words)


SUPPLY = Questions(TITLE, "what_feeds_it", "supply", ROWS, summary, source=SUPPLY_FIGURES)
SUPPLY_MORE = Questions(MORE_TITLE, "supply_more", "supply", MORE_ROWS, more_summary, open_at_first=False)


class SupplyMoreGroup(ApplicationGroup):
    """Choosing how a cable is given brings its fields; without a cable they read as not given."""

    def _binding(self, row: ValueRow) -> Binding:
        return bound_to_supply(row.place)


def bound_to_supply(place: edits.Place) -> Binding:
    """Return how a row of the supply is read and written, its cable included."""
    if place == CABLE:
        return Binding(lambda project: cable_way(project.application.supply.cable), part_edits.wire_supply)
    if place[:2] != CABLE:
        return bound_to_application(place)
    field = place[2]
    return Binding(
        lambda project: shown_figure(project.application.supply.cable, field),
        lambda project, value: part_edits.change_supply_cable(project, **{field: kept_figure(field, value)}),
        " of the cable",
    )
