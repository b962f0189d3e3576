"""What the data of the supply leave open or contradict."""

from __future__ import annotations

from itertools import pairwise

from core.findings import Finding
from core.project.application import Supply
from core.sentences import sentence
from core.units import Kind


def supply_findings(supply: Supply) -> tuple[Finding, ...]:
    """Return a finding where the nominal voltage stands in for the lowest, and where voltages contradict."""
    nominal, lowest, highest = supply.nominal_voltage, supply.lowest_voltage, supply.highest_voltage
    found = []
    if lowest is None and nominal is not None:
        text = sentence(
            "No lowest supply voltage is given: the nominal {nominal} is taken as the lowest.",
            nominal=(nominal, Kind.VOLTAGE),
        )
        found.append(Finding("lowest_voltage_assumed", "assumed", text, {"lowest_V": nominal}))
    names = (("lowest", lowest), ("nominal", nominal), ("highest", highest))
    given = [(name, voltage) for name, voltage in names if voltage is not None]
    turned = [(low, high) for low, high in pairwise(given) if low[1] > high[1]]
    if turned:
        (lower, low), (upper, high) = turned[0]
        text = sentence(
            f"The supply voltages contradict each other: the {lower} voltage, {{low}}, is above the {upper} "
            "voltage, {high}. Each is used as it stands.",
            low=(low, Kind.VOLTAGE),
            high=(high, Kind.VOLTAGE),
        )
        values = {f"{name}_V": voltage for name, voltage in given}
        found.append(Finding("supply_voltages_contradict", "warning", text, values))
    return tuple(found)
