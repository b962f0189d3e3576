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
    given = [voltage for voltage in (lowest, nominal, highest) if voltage is not None]
    turned = [(low, high) for low, high in pairwise(given) if low > high]
    if turned:
        text = sentence(
            "The supply voltages contradict each other: {low} is given below {high}. Each is used as "
            "it stands.",
            low=(turned[0][0], Kind.VOLTAGE),
            high=(turned[0][1], Kind.VOLTAGE),
        )
        names = (("lowest_V", lowest), ("nominal_V", nominal), ("highest_V", highest))
        values = {name: voltage for name, voltage in names if voltage is not None}
        found.append(Finding("supply_voltages_contradict", "warning", text, values))
    return tuple(found)
