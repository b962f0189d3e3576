"""The supply, what braking does to its voltage, and how long a battery lasts."""

from __future__ import annotations

import math

from core.charts.display_axis import time_words
from core.results import CandidateResult
from core.sentences import sentence
from core.sheet.blocks import Beside, Block, Bullets, Cell, Column, Facts, Paragraph, Section, Table, Words
from core.sheet.cells import figures, given, number, quantity
from core.sheet.subject import Subject, about_chosen, lacking
from core.supply_results import BatteryRun, BrakingCourse, BusRise, ClampLoad, FeedCurrents, SupplyDetail
from core.units import Kind

_NEVER = "rises from cycle to cycle"


def supply_and_braking(subject: Subject) -> Section:
    """Return power and currents of the supply, the braking events, bus, clamp and battery."""
    title = "Supply and braking"
    found = subject.found
    detail = None if found is None else found.supply_detail
    if found is None or detail is None:
        return Section(title, (lacking(subject, "Power and currents of the supply"),))
    blocks: list[Block] = list(about_chosen(subject))
    demand = Facts(_demand(found, detail.currents), columns=1, compact=True)
    if len(detail.braking.start):
        heading = "The voltage of the bus"
        if subject.application.supply.takes_energy_back == "yes":
            heading += ", if the supply took nothing back, as with its line cut"
        bus: list[Block] = [Paragraph(heading, "strong"), Facts(_bus(detail.bus), columns=1, compact=True)]
        tables: tuple[Block, ...] = (_events(detail.braking), *_lines(detail))
        blocks.append(Beside(((Paragraph("Power and currents", "strong"), demand), tuple(bus))))
        if detail.clamp is not None:
            words = "Clamp resistor: what it needs, what is given"
            clamp = (Paragraph(words, "strong"), Facts(_clamp(detail.clamp), columns=1, compact=True))
            blocks.append(Beside((tables, clamp)))
        else:
            blocks.append(Beside(tuple((table,) for table in tables)))
    else:
        blocks.append(Beside(((demand,), tuple(_lines(detail)))))
    if detail.statements:
        blocks.append(Bullets(tuple(detail.statements)))
    blocks += _battery(subject, detail.battery)
    return Section(title, tuple(blocks))


def _demand(found: CandidateResult, currents: FeedCurrents) -> tuple[tuple[Words, Words], ...]:
    supply = found.supply
    power: tuple[tuple[Words, Words], ...] = ()
    if supply is not None:
        power = (
            ("Mean power", quantity(supply.mean_power, Kind.POWER)),
            ("Peak power", quantity(supply.peak_power, Kind.POWER)),
            ("Energy back per cycle", quantity(supply.energy_back, Kind.ENERGY)),
        )
    unknown = "not known: the voltage is missing or the supply cannot give the power"
    return (
        *power,
        ("Current of the supply, mean", quantity(currents.supply_mean, Kind.CURRENT, unknown)),
        ("Current of the supply, RMS", quantity(currents.supply_rms, Kind.CURRENT, unknown)),
        ("Current of the supply, peak", quantity(currents.supply_peak, Kind.CURRENT, unknown)),
        ("Current of the motor, RMS of its amplitude", quantity(currents.motor_rms, Kind.CURRENT)),
        ("Current of the motor, peak of its amplitude", quantity(currents.motor_peak, Kind.CURRENT)),
    )


def _events(braking: BrakingCourse) -> Table:
    columns = (
        figures("From", Kind.TIME),
        figures("lasts", Kind.TIME),
        figures("Energy back", Kind.ENERGY),
        figures("Peak power", Kind.POWER),
    )
    arrays = (braking.start, braking.duration, braking.energy, braking.peak_power)
    kinds = (Kind.TIME, Kind.TIME, Kind.ENERGY, Kind.POWER)
    rows = tuple(
        tuple(number(float(values[k]), kind) for values, kind in zip(arrays, kinds, strict=True))
        for k in range(len(braking.start))
    )
    return Table(columns, rows, "When power flows back, with a cold motor", compact=True)


def _voltage(value: float | None) -> Words:
    if value is not None and math.isinf(value):
        return _NEVER
    return quantity(value, Kind.VOLTAGE, "not known: the capacitance is missing")


def _bus(bus: BusRise) -> tuple[tuple[Words, Words], ...]:
    rating = quantity(bus.rating, Kind.VOLTAGE, "")
    return (
        ("Capacitance", quantity(bus.capacitance, Kind.CAPACITANCE)),
        ("From", quantity(bus.start_voltage, Kind.VOLTAGE, "not known: no supply voltage is given")),
        ("Up to, by the capacitance alone", _voltage(bus.voltage)),
        *given(
            (
                ("Up to, with the clamp", quantity(bus.held_voltage, Kind.VOLTAGE, "")),
                (f"Lowest rating: {bus.rating_of}" if bus.rating_of else "Lowest rating", rating),
                ("Capacitance that keeps it", quantity(bus.required_capacitance, Kind.CAPACITANCE, "")),
                ("Up to, if nothing were lost", quantity(bus.lossless_voltage, Kind.VOLTAGE, "")),
            )
        ),
    )


def _clamp(clamp: ClampLoad) -> tuple[tuple[Words, Words], ...]:
    return (
        ("Switches at", quantity(clamp.voltage, Kind.VOLTAGE)),
        ("Largest resistance", quantity(clamp.largest_resistance, Kind.RESISTANCE)),
        ("Peak power", quantity(clamp.peak_power, Kind.POWER)),
        ("Mean power", quantity(clamp.mean_power, Kind.POWER)),
        ("Largest energy at once", quantity(clamp.largest_energy, Kind.ENERGY)),
        ("Given resistance", quantity(clamp.given_resistance, Kind.RESISTANCE, "none")),
        ("Given mean power", quantity(clamp.given_power, Kind.POWER, "none")),
    )


def _lines(detail: SupplyDetail) -> list[Block]:
    if not detail.lines:
        return []
    rows = tuple((Cell(line.name), number(line.voltage, Kind.VOLTAGE)) for line in detail.lines)
    return [
        Table(
            (Column("Voltage"), figures("Value", Kind.VOLTAGE)),
            rows,
            "Voltages beside each other",
            compact=True,
        )
    ]


def _battery(subject: Subject, battery: BatteryRun | None) -> list[Block]:
    if battery is None:
        return []
    runs = "as long as it is charged: nothing is drawn"
    if math.isfinite(battery.run_time):
        runs = time_words(battery.run_time, subject.units)
    words = sentence(
        f"A cycle draws {{drawn}} from the battery and gives {{returned}} back: {{net}}. It lasts {runs}.",
        drawn=(battery.drawn, Kind.ENERGY),
        returned=(battery.returned, Kind.ENERGY),
        net=(battery.net, Kind.ENERGY),
    )
    return [Paragraph("Battery", "strong"), Paragraph(words)]
