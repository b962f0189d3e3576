"""What braking does to the supply, in sentences: the energies, the losses, the voltage without a measure."""

from __future__ import annotations

import math

from core.project.application import Supply
from core.sentences import Sentence, sentence
from core.supply_results import BusRise, EnergySplit
from core.units import Kind


def statements(supply: Supply, rise: BusRise, split: EnergySplit | None) -> tuple[str | Sentence, ...]:
    """Return what there is to say about braking, nothing where no power flows back."""
    if split is None:
        return ("No power flows back into the supply.",)
    said: list[str | Sentence] = []
    if split.released > 0.0:
        said += [_energies(split), _losses(split)]
    if supply.takes_energy_back == "yes":
        said.append("The supply takes the energy back.")
    else:
        said += _without_measure(rise)
    return tuple(said)


def _energies(split: EnergySplit) -> Sentence:
    """Return which body or cause holds how much of the energy."""
    words, values = [], {}
    for number, part in enumerate(split.parts):
        words.append(f"{part.name} {{e{number}}} ({{s{number}}})")
        values[f"e{number}"] = (part.energy, Kind.ENERGY)
        values[f"s{number}"] = (part.energy / split.released, Kind.RATIO)
    return sentence(
        f"The largest braking event releases {{released}}: {', '.join(words)}.",
        released=(split.released, Kind.ENERGY),
        **values,
    )


def _losses(split: EnergySplit) -> Sentence:
    if split.lost < 0.0:  # the event is longer than what slows down, driven from outside
        return sentence("{returned} of energy come back.", returned=(split.returned, Kind.ENERGY))
    return sentence(
        "Friction, gear, winding, iron and electronics keep {lost} of it; {returned} come back, with a cold "
        "motor.",
        lost=(split.lost, Kind.ENERGY),
        returned=(split.returned, Kind.ENERGY),
    )


def _without_measure(rise: BusRise) -> list[str | Sentence]:
    """Return the voltage without a clamp, and the one that a calculation without losses gives."""
    if rise.voltage is None or rise.start_voltage is None:
        return ["How far the bus rises without any measure depends on its capacitance, which is not known."]
    if math.isinf(rise.voltage):
        return ["Without any measure the bus rises from cycle to cycle: more comes back than is taken."]
    rating = " on a {rating} rating" if rise.rating is not None else ""
    values = {
        "voltage": (rise.voltage, Kind.VOLTAGE),
        "rating": (rise.rating or 0.0, Kind.VOLTAGE),
        "start": (rise.start_voltage, Kind.VOLTAGE),
        "capacitance": (rise.capacitance, Kind.CAPACITANCE),
    }
    words = f"Without any measure: {{voltage}}{rating}, from {{start}} on {{capacitance}}"
    if rise.lossless_voltage is not None:
        words += "; {lossless} if nothing were lost"
        values["lossless"] = (rise.lossless_voltage, Kind.VOLTAGE)
    said: list[str | Sentence] = [sentence(f"{words}.", **values)]
    if rise.required_capacitance is not None and rise.rating is not None:
        needed = {"needed": (rise.required_capacitance, Kind.CAPACITANCE)}
        words = "{needed} on the bus keep it below {rating}"
        if rise.lossless_capacitance is not None:
            words += "; {lossless} if nothing were lost"
            needed["lossless"] = (rise.lossless_capacitance, Kind.CAPACITANCE)
        said.append(sentence(f"{words}.", rating=(rise.rating, Kind.VOLTAGE), **needed))
    return said
