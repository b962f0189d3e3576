"""What power over the cycle and braking have to say about the supply, its wires and the electronics."""

from __future__ import annotations

from core.evaluation.bus_state import LEAST_ENERGY_BACK, BusState
from core.evaluation.duty import gear_of
from core.evaluation.motor_model import MotorModel
from core.evaluation.operating_points import lowest_voltage
from core.evaluation.remembered import remembered
from core.evaluation.supply_course import SupplyState
from core.evaluation.wires import conductor_of, source_resistance
from core.findings import Finding
from core.physics.conductors import WIRING_CAUTION, conductor_load
from core.physics.load_terms import AxisLoad
from core.project.application import Application, Supply
from core.project.fittings import Cable
from core.project.mechanism import Mechanism
from core.project.transmission import Transmission
from core.sentences import Sentence, sentence
from core.units import Kind, format_number

CLOSE_RATING = 1.1  # rating over the highest supply voltage; common practice, no source
SMALL_SHARE = 0.1  # of the energy of motion, below which looking at the load alone misleads
PUMPING = 1.02  # energy on the bus over that of the largest event, from which they add up noticeably
SQUARE_MM = 1e-6  # [m2]
LONG_SUPPLY_LEADS = 0.5  # [m] beyond which the bus wants a capacitor at the electronics; common practice
LONG_MOTOR_CABLE = 3.0  # [m] beyond which screens and chokes are looked at; common practice, no source


def feeding_findings(
    application: Application,
    transmission: Transmission | None,
    motor: MotorModel,
    state: SupplyState,
    bus: BusState,
) -> tuple[Finding, ...]:
    """Return the findings of one candidate about what feeds it."""
    supply = application.supply
    found = [_out_of_reach(supply, state), _above_rating(bus), *_clamp(supply, bus), _wiring(supply, state)]
    if bus.returned >= LEAST_ENERGY_BACK:
        found.append(_battery(supply, bus))
        if supply.takes_energy_back != "yes":
            found += [_cannot_sink(supply, bus), _close_rating(bus), _pumped(state, bus)]
            found.append(_not_in_the_load(application, transmission, motor))
    if supply.cable is not None and supply.cable.length > LONG_SUPPLY_LEADS:
        found.append(_long_supply_leads(supply.cable))
    return tuple(finding for finding in found if finding is not None)


def _out_of_reach(supply: Supply, state: SupplyState) -> Finding | None:
    """Return a finding where all that is asked at once is more than the source can give."""
    lowest, resistance, power = lowest_voltage(supply), source_resistance(supply), state.peak.power
    if lowest is None or 4.0 * resistance * power <= lowest**2:
        return None
    most = lowest**2 / (4.0 * resistance)
    text = sentence(
        "The electronics ask for {power} at once; over {resistance} a source of {lowest} gives at most "
        "{most}. Its voltage collapses and the electronics switch off.",
        power=(power, Kind.POWER),
        resistance=(resistance, Kind.RESISTANCE),
        lowest=(lowest, Kind.VOLTAGE),
        most=(most, Kind.POWER),
    )
    values = {"power_W": power, "largest_power_W": most}
    return Finding("supply_power_out_of_reach", "serious", text, values, state.peak.segment)


def _above_rating(bus: BusState) -> Finding | None:
    if bus.start is None or bus.rating is None or bus.start < bus.rating:
        return None
    text = sentence(
        f"The supply reaches {{start}}, the {bus.rating_of} is {{rating}}: it is passed without any braking.",
        start=(bus.start, Kind.VOLTAGE),
        rating=(bus.rating, Kind.VOLTAGE),
    )
    return Finding("supply_above_rating", "serious", text, {"start_V": bus.start, "rating_V": bus.rating})


def _clamp(supply: Supply, bus: BusState) -> list[Finding | None]:
    """Return what is wrong with a clamp that is given."""
    clamp, resistance, needed = supply.clamp_voltage, supply.clamp_resistance, bus.resistor
    found: list[Finding | None] = []
    if clamp is None:
        return found
    if bus.start is not None and clamp <= bus.start:
        text = sentence(
            "The clamp switches on at {clamp}, which the supply itself reaches: it burns what that gives.",
            clamp=(clamp, Kind.VOLTAGE),
        )
        values = {"clamp_V": clamp, "start_V": bus.start}
        found.append(Finding("clamp_below_supply", "serious", text, values))
    if bus.rating is not None and clamp >= bus.rating:
        text = sentence(
            f"The clamp switches on at {{clamp}}, the {bus.rating_of} is {{rating}}: it comes too late.",
            clamp=(clamp, Kind.VOLTAGE),
            rating=(bus.rating, Kind.VOLTAGE),
        )
        found.append(
            Finding("clamp_above_rating", "serious", text, {"clamp_V": clamp, "rating_V": bus.rating})
        )
    if resistance is not None and needed is not None and resistance > needed.largest_resistance:
        text = sentence(
            "The clamp resistor of {resistance} cannot take the {power} that braking returns at {clamp}: "
            "with more than {largest} the bus rises on.",
            resistance=(resistance, Kind.RESISTANCE),
            power=(needed.peak_power, Kind.POWER),
            clamp=(clamp, Kind.VOLTAGE),
            largest=(needed.largest_resistance, Kind.RESISTANCE),
        )
        values = {"resistance_ohm": resistance, "largest_ohm": needed.largest_resistance}
        found.append(Finding("clamp_resistance_too_large", "warning", text, values))
    return found


def _wiring(supply: Supply, state: SupplyState) -> Finding | None:
    """Return what wire and fuse have to carry, with the words that leave the choice to the code."""
    mean, rms, peak = state.demand.mean_current, state.rms_current, state.demand.peak_current
    if mean is None or rms is None or peak is None or rms <= 0.0:
        return None
    values = {"mean_A": mean, "rms_A": rms, "peak_A": peak}
    numbers = {"mean": (mean, Kind.CURRENT), "rms": (rms, Kind.CURRENT), "peak": (peak, Kind.CURRENT)}
    words = "Supply leads and fuse carry {mean} in the mean, {rms} rms, {peak} at most"
    if supply.cable is not None:
        conductor = conductor_of(supply.cable)
        density = conductor_load(conductor, mean, rms, max(peak, rms)).rms_density
        values["rms_density_A_m2"] = density
        words += f", in {conductor.name} {format_number(density * SQUARE_MM, 2)} A/mm² rms"
    return Finding("supply_leads_carry", "note", sentence(f"{words}. {WIRING_CAUTION}", **numbers), values)


@remembered()
def cable_findings(cable: Cable | None) -> tuple[Finding, ...]:
    """Return what a long cable between electronics and motor leaves unchecked here."""
    if cable is None or cable.length <= LONG_MOTOR_CABLE:
        return ()
    text = sentence(
        "The motor cable is {length} long: its resistance is counted, what its pulses do is not. Screen it, "
        "lay the lines of the signals apart from its phases, and have chokes or filters checked; the supply "
        "of a sensor loses voltage on the way too.",
        length=(cable.length, Kind.LENGTH),
    )
    return (Finding("long_motor_cable", "note", text, {"length_m": cable.length}),)


@remembered()
def _long_supply_leads(cable: Cable) -> Finding:
    text = sentence(
        "The supply leads are {length} long: their inductance makes the capacitor of the electronics carry "
        "the pulses alone, and rings with it. A capacitor close to the electronics helps; lengthen the motor "
        "cable rather than the supply leads.",
        length=(cable.length, Kind.LENGTH),
    )
    return Finding("long_supply_leads", "note", text, {"length_m": cable.length})


def _battery(supply: Supply, bus: BusState) -> Finding | None:
    if supply.battery_energy is None or supply.takes_energy_back != "yes":
        return None
    text = sentence(
        "The battery takes back {energy} per cycle. A full or cold one does not, and its protection may "
        "open: then the bus rises as with a supply that cannot sink.",
        energy=(bus.returned, Kind.ENERGY),
    )
    values = {"energy_back_J": bus.returned}
    return Finding("battery_full", "note", text, values)


def _cannot_sink(supply: Supply, bus: BusState) -> Finding | None:
    """Return what happens without a measure, and what would hold the bus."""
    if supply.takes_energy_back != "no" or supply.clamp_voltage is not None or bus.grows:
        return None
    if bus.rating is None or bus.start is None or bus.start >= bus.rating:
        return None
    harmless = bus.free is not None and bus.free <= bus.rating
    needed, resistor = bus.needed_capacitance(bus.surplus), bus.resistor
    if harmless or needed is None or resistor is None:
        return None
    values = {"rating_V": bus.rating, "required_F": needed, "clamp_ohm": resistor.largest_resistance}
    if bus.free is not None:
        values["voltage_V"] = bus.free
    text = sentence(
        f"The supply cannot take energy back. {_without_a_measure(bus)} Together {{needed}} on the bus hold "
        "it, or a clamp resistor of at most {largest} for {peak} peak and {mean} mean.",
        start=(bus.start, Kind.VOLTAGE),
        free=(bus.free or 0.0, Kind.VOLTAGE),
        rating=(bus.rating, Kind.VOLTAGE),
        energy=(bus.surplus, Kind.ENERGY),
        needed=(needed, Kind.CAPACITANCE),
        largest=(resistor.largest_resistance, Kind.RESISTANCE),
        peak=(resistor.peak_power, Kind.POWER),
        mean=(resistor.mean_power, Kind.POWER),
    )
    return Finding("supply_cannot_sink", "warning", text, values)


def _without_a_measure(bus: BusState) -> str:
    if bus.free is None:
        return "How far {energy} raise the bus above {start} on a {rating} rating depends on its capacitance."
    return "Without any measure: {free} on a {rating} rating."


def _close_rating(bus: BusState) -> Finding | None:
    if bus.start is None or bus.rating is None or not bus.start < bus.rating < CLOSE_RATING * bus.start:
        return None
    text = sentence(
        f"The {bus.rating_of} of {{rating}} is only just above the {{start}} of the supply: little energy "
        "takes the bus there.",
        rating=(bus.rating, Kind.VOLTAGE),
        start=(bus.start, Kind.VOLTAGE),
    )
    return Finding("rating_close_to_supply", "warning", text, {"rating_V": bus.rating, "start_V": bus.start})


def _pumped(state: SupplyState, bus: BusState) -> Finding | None:
    """Return a finding where braking events add up, because little is used between them."""
    if bus.grows:
        surplus = -float(state.returning.energy.sum())
        text = sentence(
            "Each cycle returns {surplus} more than it takes: the bus rises from cycle to cycle, whatever "
            "its capacitance. Only a clamp or a supply that sinks stops it.",
            surplus=(surplus, Kind.ENERGY),
        )
        return Finding("bus_pumped", "serious", text, {"surplus_per_cycle_J": surplus})
    if bus.surplus <= PUMPING * bus.largest_event:
        return None
    text = sentence(
        "Braking follows braking before the energy is used: {surplus} stand on the bus at once, where one "
        "event returns {event} at most.",
        surplus=(bus.surplus, Kind.ENERGY),
        event=(bus.largest_event, Kind.ENERGY),
    )
    values = {"surplus_J": bus.surplus, "largest_event_J": bus.largest_event}
    return Finding("bus_pumped", "warning", text, values)


def _not_in_the_load(
    application: Application, transmission: Transmission | None, motor: MotorModel
) -> Finding | None:
    """Return where the energy of motion is, if next to nothing of it is in the load."""
    if application.duty_from != "load" or application.load is None:
        return None
    bodies = inertias(application.load.mechanism, transmission, motor.inertia)
    total = sum(bodies.values())
    share = bodies["load"] / total if total > 0.0 else 1.0
    if not 0.0 < share < SMALL_SHARE:
        return None
    shares = {name: (inertia / total, Kind.RATIO) for name, inertia in bodies.items()}
    others = [name for name in bodies if name != "load" and shares[name][0] > 0.0]
    words = ", ".join(f"{name} {{{name.replace(' ', '_')}}}" for name in others)
    text: Sentence = sentence(
        f"The load holds only {{load}} of the energy of motion that braking must get rid of: {words}. Losses "
        "take part of it; a small load does not mean little energy.",
        **{name.replace(" ", "_"): share for name, share in shares.items()},
    )
    return Finding("energy_not_in_the_load", "note", text, {"load_share": share})


def inertias(
    mechanism: Mechanism, transmission: Transmission | None, rotor_inertia: float
) -> dict[str, float]:
    """Return the moments of inertia by body, all seen at the motor shaft. [kg m2]"""
    axis = _axis_load(mechanism)
    gear = gear_of(transmission)
    square = gear.ratio**2
    return {
        "load": axis.payload_inertia / square,
        "mechanism": axis.own_inertia / square,
        "gear": gear.input_inertia,
        "rotor": rotor_inertia,
    }


@remembered()
def _axis_load(mechanism: Mechanism) -> AxisLoad:
    from core.evaluation.load_side import physics_mechanism  # only where there is a load

    return physics_mechanism(mechanism).axis_load()
