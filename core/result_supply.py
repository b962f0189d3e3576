"""What a result file says about the supply: demand, braking, bus, clamp, currents, battery, energies."""

from __future__ import annotations

import math
from typing import Annotated

import msgspec
import numpy as np
from msgspec import Meta

from core.result_entry import Entry, Reasons, finite
from core.results import CandidateResult
from core.sentences import as_text
from core.supply_results import BusRise, ClampLoad, EnergySplit, SupplyDetail
from core.units import DisplayUnits


class BrakingEntry(Entry, frozen=True, kw_only=True):
    """One stretch in which power flows back, cold winding and magnets."""

    start: float = msgspec.field(name="start_s")
    duration: float = msgspec.field(name="duration_s")
    energy: float = msgspec.field(name="energy_J")
    peak_power: float = msgspec.field(name="peak_power_W")


class BusEntry(Entry, frozen=True, kw_only=True):
    """What energy that the supply does not take does to the bus; lossless: as a calculation by hand."""

    start_voltage: float | None = msgspec.field(name="start_voltage_V")
    capacitance: float = msgspec.field(name="capacitance_F")
    energy: float | None = msgspec.field(name="energy_J")
    voltage: float | None = msgspec.field(name="voltage_V")
    held_voltage: float | None = msgspec.field(name="held_voltage_V")
    rating: float | None = msgspec.field(name="rating_V")
    rating_of: str
    required_capacitance: float | None = msgspec.field(name="required_capacitance_F")
    lossless_energy: float | None = msgspec.field(name="lossless_energy_J")
    lossless_voltage: float | None = msgspec.field(name="lossless_voltage_V")
    lossless_capacitance: float | None = msgspec.field(name="lossless_capacitance_F")
    why_null: Reasons


class ClampEntry(Entry, frozen=True, kw_only=True):
    """The clamp resistor that takes all that braking returns, and the one that is given."""

    voltage: float = msgspec.field(name="voltage_V")
    largest_resistance: float = msgspec.field(name="largest_resistance_ohm")
    peak_power: float = msgspec.field(name="peak_power_W")
    mean_power: float = msgspec.field(name="mean_power_W")
    largest_energy: float = msgspec.field(name="largest_energy_J")
    given_resistance: float | None = msgspec.field(name="given_resistance_ohm")
    given_power: float | None = msgspec.field(name="given_power_W")


class BatteryEntry(Entry, frozen=True, kw_only=True):
    """Energy per cycle out of the battery; the run time is null where nothing is drawn."""

    drawn: float = msgspec.field(name="drawn_J")
    returned: float = msgspec.field(name="returned_J")
    net: float = msgspec.field(name="net_J")
    run_time: float | None = msgspec.field(name="run_time_s")


class SplitEntry(Entry, frozen=True, kw_only=True):
    """Where the energy of the largest braking event comes from, by body or cause."""

    start: float = msgspec.field(name="start_s")
    end: float = msgspec.field(name="end_s")
    parts: Annotated[dict[str, float], Meta(description="energy in J by body or cause")] = msgspec.field(
        name="parts_J"
    )
    released: float = msgspec.field(name="released_J")
    lost: float = msgspec.field(name="lost_J")
    returned: float = msgspec.field(name="returned_J")


class SupplyEntry(Entry, frozen=True, kw_only=True):
    """What the supply delivers over the cycle at its lowest voltage, and what comes back to it."""

    mean_power: float = msgspec.field(name="mean_power_W")
    peak_power: float = msgspec.field(name="peak_power_W")
    mean_current: float | None = msgspec.field(name="mean_current_A")
    rms_current: float | None = msgspec.field(name="rms_current_A")
    peak_current: float | None = msgspec.field(name="peak_current_A")
    motor_rms_current: float | None = msgspec.field(name="motor_rms_current_A")
    motor_peak_current: float | None = msgspec.field(name="motor_peak_current_A")
    energy_back: float = msgspec.field(name="energy_back_J")
    lowest_voltage: float | None = msgspec.field(name="lowest_voltage_V")
    braking: tuple[BrakingEntry, ...]
    bus: BusEntry | None
    clamp: ClampEntry | None
    battery: BatteryEntry | None
    split: SplitEntry | None
    statements: tuple[str, ...]


def supply_entry(candidate: CandidateResult, units: DisplayUnits) -> SupplyEntry | None:
    """Return the supply of a candidate as what stands in the file, None where there is none."""
    demand, detail = candidate.supply, candidate.supply_detail
    if demand is None:
        return None
    currents = None if detail is None else detail.currents
    battery = None if detail is None else detail.battery
    return SupplyEntry(
        mean_power=demand.mean_power,
        peak_power=demand.peak_power,
        mean_current=demand.mean_current,
        rms_current=None if currents is None else currents.supply_rms,
        peak_current=demand.peak_current,
        motor_rms_current=None if currents is None else currents.motor_rms,
        motor_peak_current=None if currents is None else currents.motor_peak,
        energy_back=demand.energy_back,
        lowest_voltage=None if detail is None else _lowest(detail),
        braking=() if detail is None else _braking(detail),
        bus=None if detail is None else _bus(detail.bus),
        clamp=None if detail is None or detail.clamp is None else _clamp(detail.clamp),
        battery=None
        if battery is None
        else BatteryEntry(
            drawn=battery.drawn,
            returned=battery.returned,
            net=battery.net,
            run_time=finite(battery.run_time),
        ),
        split=None if detail is None or detail.split is None else _split(detail.split),
        statements=() if detail is None else tuple(as_text(one, units) for one in detail.statements),
    )


def _lowest(detail: SupplyDetail) -> float | None:
    """Return the lowest voltage at the electronics; null where the supply cannot give the power."""
    if detail.at_lowest is None or detail.currents.supply_peak is None:
        return None
    return float(np.nanmin(detail.at_lowest.voltage))


def _braking(detail: SupplyDetail) -> tuple[BrakingEntry, ...]:
    events = detail.braking
    rows = zip(events.start, events.duration, events.energy, events.peak_power, strict=True)
    return tuple(
        BrakingEntry(start=float(t), duration=float(length), energy=float(e), peak_power=float(p))
        for t, length, e, p in rows
    )


def _bus(rise: BusRise) -> BusEntry:
    grows = "infinite: a cycle returns more than it takes"
    infinite = {
        name: grows
        for name, value in (("energy_J", rise.energy), ("voltage_V", rise.voltage))
        if value is not None and math.isinf(value)
    }
    if rise.voltage is None:
        infinite["voltage_V"] = "missing: highest voltage of the supply, or capacitance on the bus"
    return BusEntry(
        start_voltage=rise.start_voltage,
        capacitance=rise.capacitance,
        energy=finite(rise.energy),
        voltage=finite(rise.voltage),
        held_voltage=rise.held_voltage,
        rating=rise.rating,
        rating_of=rise.rating_of,
        required_capacitance=rise.required_capacitance,
        lossless_energy=rise.lossless_energy,
        lossless_voltage=rise.lossless_voltage,
        lossless_capacitance=rise.lossless_capacitance,
        why_null=infinite,
    )


def _clamp(clamp: ClampLoad) -> ClampEntry:
    return ClampEntry(
        voltage=clamp.voltage,
        largest_resistance=clamp.largest_resistance,
        peak_power=clamp.peak_power,
        mean_power=clamp.mean_power,
        largest_energy=clamp.largest_energy,
        given_resistance=clamp.given_resistance,
        given_power=clamp.given_power,
    )


def _split(split: EnergySplit) -> SplitEntry:
    return SplitEntry(
        start=split.start,
        end=split.end,
        parts={part.name: part.energy for part in split.parts},
        released=split.released,
        lost=split.lost,
        returned=split.returned,
    )
