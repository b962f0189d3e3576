"""The criteria of the supply: voltage of the bus on braking, its clamp, and the range of the electronics."""

from __future__ import annotations

from core.evaluation.bus_state import BusState
from core.evaluation.criterion import WHOLE_CYCLE, Criterion, Place, answered, checked, missed, not_checked
from core.evaluation.motor_model import MotorModel
from core.evaluation.operating_points import lowest_voltage
from core.evaluation.supply_course import SupplyState
from core.evaluation.wires import source_resistance
from core.physics.voltage import sagged_voltage
from core.project.application import Application, Supply, Targets
from core.results import Margin
from core.sentences import Sentence, sentence
from core.units import Kind

_EMPTY = "the duty cycle is empty"


def supply_margins(
    application: Application, motor: MotorModel, state: SupplyState | None, bus: BusState | None
) -> list[Margin]:
    """Return the voltage of the bus on braking, the range under sag and, where one is given, the clamp."""
    supply = application.supply
    on_braking, under_sag, clamp = supply_criteria(application.requirements.targets)
    clamped = supply.clamp_voltage is not None
    if state is None or bus is None:
        return [not_checked(one, _EMPTY) for one in (on_braking, under_sag, *([clamp] if clamped else []))]
    margins = [_bus_voltage(on_braking, supply, bus), _range(under_sag, supply, motor, state)]
    return [*margins, _clamp(clamp, supply, bus)] if clamped else margins


def supply_criteria(targets: Targets) -> tuple[Criterion, Criterion, Criterion]:
    """Return the criteria of the bus on braking, of the range under sag and of the clamp."""
    return (
        Criterion("bus_voltage", "Bus voltage on braking", Kind.VOLTAGE, targets.supply),
        Criterion("supply_range", "Supply within its range under sag", Kind.VOLTAGE, targets.supply),
        Criterion("clamp_power", "Clamp power", Kind.POWER, targets.supply),
    )


def _bus_voltage(criterion: Criterion, supply: Supply, bus: BusState) -> Margin:
    start, rating = bus.start, bus.rating
    if start is None:
        return not_checked(criterion, "missing: highest (or nominal) voltage of the supply")
    if rating is None:
        return not_checked(criterion, "missing: trip voltage or highest supply of the electronics")
    if start >= rating:  # whatever braking does
        return checked(criterion, start, rating, WHOLE_CYCLE, _at_rest_words(start, bus, rating))
    if bus.surplus == 0.0:
        return answered(criterion, WHOLE_CYCLE, "no energy flows back")
    if supply.takes_energy_back == "yes":
        return _sunk(criterion, bus, rating)
    if supply.takes_energy_back == "unknown":
        return not_checked(criterion, "missing: whether the supply takes energy back")
    return _blocked(criterion, supply, bus, start, rating)


def _sunk(criterion: Criterion, bus: BusState, rating: float) -> Margin:
    """Return the margin where the supply takes the energy back over its own resistance."""
    if bus.sunk is not None and bus.sunk > rating:
        equation = sentence(
            "the supply takes the energy back, over a resistance that raises the bus to {voltage}; of "
            f"{{rating}}, {bus.rating_of}: {{used}}",
            voltage=(bus.sunk, Kind.VOLTAGE),
            rating=(rating, Kind.VOLTAGE),
            used=(bus.sunk / rating, Kind.RATIO),
        )
        return checked(criterion, bus.sunk, rating, WHOLE_CYCLE, equation)
    return answered(criterion, WHOLE_CYCLE, "the supply takes the energy back")


def _blocked(criterion: Criterion, supply: Supply, bus: BusState, start: float, rating: float) -> Margin:
    """Return the margin where the energy stays on the bus."""
    if supply.clamp_voltage is not None and supply.clamp_resistance is None:
        return not_checked(criterion, "missing: resistance of the clamp")
    reached = bus.reached
    if reached is None:
        return not_checked(criterion, "missing: capacitance on the bus, of electronics and supply")
    if reached == float("inf"):
        why = (
            "each cycle returns more than it takes: the bus rises from cycle to cycle, and only a clamp "
            "stops it"
        )
        return missed(criterion, WHOLE_CYCLE, why)
    if bus.held is not None and (bus.free is None or bus.held < bus.free):
        equation = _clamped_words(supply, bus, reached, rating)
    else:
        equation = sentence(
            f"√(U² + 2 E / C) = √({{start}}² + 2 × {{energy}} / {{capacitance}}) = {{reached}}; of "
            f"{{rating}}, {bus.rating_of}: {{used}}",
            start=(start, Kind.VOLTAGE),
            energy=(bus.surplus, Kind.ENERGY),
            capacitance=(bus.capacitance, Kind.CAPACITANCE),
            reached=(reached, Kind.VOLTAGE),
            rating=(rating, Kind.VOLTAGE),
            used=(reached / rating, Kind.RATIO),
        )
    return checked(criterion, reached, rating, WHOLE_CYCLE, equation)


def _clamped_words(supply: Supply, bus: BusState, reached: float, rating: float) -> Sentence:
    peak = 0.0 if bus.resistor is None else bus.resistor.peak_power
    return sentence(
        "the larger of the clamp's {clamp} and √(R P) = √({resistance} × {power}): {reached}; of {rating}, "
        f"{bus.rating_of}: {{used}}",
        clamp=(supply.clamp_voltage or 0.0, Kind.VOLTAGE),
        resistance=(supply.clamp_resistance or 0.0, Kind.RESISTANCE),
        power=(peak, Kind.POWER),
        reached=(reached, Kind.VOLTAGE),
        rating=(rating, Kind.VOLTAGE),
        used=(reached / rating, Kind.RATIO),
    )


def _at_rest_words(start: float, bus: BusState, rating: float) -> Sentence:
    return sentence(
        f"highest voltage of the supply {{start}}, without any braking; of {{rating}}, {bus.rating_of}: "
        "{used}",
        start=(start, Kind.VOLTAGE),
        rating=(rating, Kind.VOLTAGE),
        used=(start / rating, Kind.RATIO),
    )


def _clamp(criterion: Criterion, supply: Supply, bus: BusState) -> Margin:
    if bus.start is not None and supply.clamp_voltage is not None and supply.clamp_voltage <= bus.start:
        why = sentence(
            "the clamp switches on at {clamp}, the supply itself reaches {start} and feeds it without end",
            clamp=(supply.clamp_voltage, Kind.VOLTAGE),
            start=(bus.start, Kind.VOLTAGE),
        )
        return missed(criterion, WHOLE_CYCLE, why)
    if bus.resistor is None:
        return answered(criterion, WHOLE_CYCLE, "no energy flows back")
    if supply.takes_energy_back == "yes":
        return answered(criterion, WHOLE_CYCLE, "the supply takes the energy back")
    limit = supply.clamp_power
    if limit is None:
        return not_checked(criterion, "missing: mean power that the clamp resistor stands")
    demand = bus.resistor.mean_power
    equation = sentence(
        "all that braking returns, over the cycle: {demand}; of {limit}: {used}; up to {energy} at once, "
        "returned with up to {peak}",
        demand=(demand, Kind.POWER),
        limit=(limit, Kind.POWER),
        used=(demand / limit, Kind.RATIO),
        energy=(bus.resistor.largest_energy, Kind.ENERGY),
        peak=(bus.resistor.peak_power, Kind.POWER),
    )
    return checked(criterion, demand, limit, WHOLE_CYCLE, equation)


def _range(criterion: Criterion, supply: Supply, motor: MotorModel, state: SupplyState) -> Margin:
    lowest, needed = lowest_voltage(supply), motor.drive.lowest_supply
    if lowest is None:
        return not_checked(criterion, "missing: lowest (or nominal) voltage of the supply")
    if needed is None:
        return not_checked(criterion, "missing: lowest supply of the electronics")
    peak = state.peak
    voltage, reachable = sagged_voltage(lowest, source_resistance(supply), peak.power)
    words = sentence(f"segment {peak.segment + 1}, {{power}} from the supply", power=(peak.power, Kind.POWER))
    place = Place(words, peak.segment, peak.instant)
    if not reachable:
        why = sentence(
            "the supply cannot deliver {power} over its own resistance, at whatever voltage",
            power=(peak.power, Kind.POWER),
        )
        return missed(criterion, place, why)
    equation = sentence(
        "the electronics need {needed}; of {lowest} the drop over {resistance} at {power} leaves {left}: "
        "{used}",
        needed=(needed, Kind.VOLTAGE),
        lowest=(lowest, Kind.VOLTAGE),
        resistance=(source_resistance(supply), Kind.RESISTANCE),
        power=(peak.power, Kind.POWER),
        left=(float(voltage), Kind.VOLTAGE),
        used=(needed / float(voltage), Kind.RATIO),
    )
    return checked(criterion, needed, float(voltage), place, equation)
