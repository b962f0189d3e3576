"""What braking does to the bus: voltage reached, what holds it, and the lowest rating on it."""

from __future__ import annotations

import math

from core.evaluation.feed import highest_voltage
from core.evaluation.supply_course import SupplyState
from core.evaluation.wires import source_resistance
from core.physics.bus import ClampResistor, bus_rise, clamp_resistor, required_capacitance
from core.physics.power_course import bus_surplus
from core.physics.voltage import sagged_voltage
from core.project.application import Supply
from core.project.drive import Drive
from core.records import dataclass

LEAST_ENERGY_BACK = 0.01  # [J] less than this per cycle raises no capacitor noticeably


@dataclass(frozen=True, slots=True)
class BusState:
    """The bus of one candidate at the highest voltage of the source, cold winding and magnets.

    `start` [V] is that voltage, `rating` [V] the lowest on the bus with `rating_of` in words, None where
    not known. `returned` [J] is what braking returns per cycle, `surplus` [J] the largest energy that
    stands on the bus at once while the supply takes none, infinite where a cycle returns more than it
    takes, and `largest_event` [J] that of one stretch. `free` [V] is the voltage that `capacitance` [F]
    alone lets the bus reach, `held` [V] that with the clamp, `sunk` [V] that of a supply which takes the
    energy back over its own resistance.
    """

    start: float | None
    capacitance: float
    rating: float | None
    rating_of: str
    returned: float
    surplus: float
    largest_event: float
    free: float | None
    held: float | None
    sunk: float | None
    resistor: ClampResistor | None

    @property
    def grows(self) -> bool:
        """Whether a cycle returns more than it takes."""
        return math.isinf(self.surplus)

    @property
    def reached(self) -> float | None:
        """Voltage that is reached where the supply takes nothing back; None where it cannot be told. [V]"""
        return self.free if self.held is None else self.held

    def needed_capacitance(self, energy: float) -> float | None:
        """Return the capacitance that keeps the rating for an energy; None where none would. [F]"""
        if self.start is None or self.rating is None or self.rating <= self.start or math.isinf(energy):
            return None
        return required_capacitance(self.start, self.rating, energy)


def bus_state(state: SupplyState, supply: Supply, drive: Drive) -> BusState:
    """Return what the braking events of a cycle do to the bus."""
    start = highest_voltage(supply)
    capacitance = drive.bus_capacitance + supply.capacitance
    rating, rating_of = _rating(drive)
    events = state.events
    returns = events.energy.size > 0
    surplus = bus_surplus(state.returning).peak if returns else 0.0
    clamp_voltage = supply.clamp_voltage or rating
    resistor = None
    if clamp_voltage is not None:
        resistor = clamp_resistor(events, state.returning.cycle_time, clamp_voltage)
    free = _free(start, surplus, capacitance)
    return BusState(
        start=start,
        capacitance=capacitance,
        rating=rating,
        rating_of=rating_of,
        returned=events.total_energy,
        surplus=surplus,
        largest_event=float(events.energy.max()) if returns else 0.0,
        free=free,
        held=_held(supply, resistor, start, free),
        sunk=_sunk(supply, start, float(events.peak_power.max()) if returns else 0.0),
        resistor=resistor,
    )


def _rating(drive: Drive) -> tuple[float | None, str]:
    """Return the lowest rating on the bus and what it is."""
    ratings = [
        (voltage, words)
        for voltage, words in (
            (drive.trip_voltage, "trip voltage of the electronics"),
            (drive.highest_supply, "highest supply of the electronics"),
        )
        if voltage is not None
    ]
    return min(ratings) if ratings else (None, "")


def _free(start: float | None, surplus: float, capacitance: float) -> float | None:
    if start is None:
        return None
    if surplus == 0.0:
        return start
    if capacitance == 0.0:
        return None
    return math.inf if math.isinf(surplus) else float(bus_rise(start, surplus, capacitance))


def _held(
    supply: Supply, resistor: ClampResistor | None, start: float | None, free: float | None
) -> float | None:
    """Return the voltage to which the given clamp lets the bus rise.

    Switched on for good, a resistor takes the largest power returned at `sqrt(R P)`: the bus cannot rise
    beyond that, nor beyond what the capacitor alone would let it reach.
    """
    clamp, resistance = supply.clamp_voltage, supply.clamp_resistance
    if clamp is None or resistance is None or start is None:
        return None
    peak = 0.0 if resistor is None else resistor.peak_power
    top = max(start, clamp if peak > 0.0 else start, math.sqrt(resistance * peak))
    return top if free is None else min(top, free)


def _sunk(supply: Supply, start: float | None, peak: float) -> float | None:
    if start is None:
        return None
    return float(sagged_voltage(start, source_resistance(supply), -peak)[0])
