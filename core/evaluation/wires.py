"""What the cables of a project add: to the leads of the motor, to the source, and what they must carry."""

from __future__ import annotations

import math

from core.evaluation.remembered import remembered
from core.physics.conductors import (
    FLEXIBLE_CONDUCTORS,
    Conductor,
    awg_conductor,
    conductor_resistance,
    pair_resistance,
)
from core.project.application import Supply
from core.project.candidate import Candidate
from core.project.fittings import Cable

SQUARE_MM = 1e-6  # [m2]


def source_resistance(supply: Supply) -> float:
    """Return the resistance of source and supply leads, both ways: what is stated and the cable. [ohm]"""
    cable = supply.cable
    if cable is None:
        return supply.source_resistance
    return supply.source_resistance + _both_ways(cable)


@remembered()
def _both_ways(cable: Cable) -> float:
    return float(pair_resistance(conductor_of(cable), cable.length, cable.temp))


def lead_resistance(candidate: Candidate) -> float:
    """Return the resistance of one conductor from electronics to motor: the cable's, else as stated. [ohm]"""
    cable = candidate.cable
    if cable is None:
        return candidate.lead_resistance
    return float(conductor_resistance(conductor_of(cable), cable.length, cable.temp))


def conductor_of(cable: Cable) -> Conductor:
    """Return one conductor of a cable.

    A section between the nominal ones has the resistivity of the nominal one next to it, lay and
    tolerance of the strands included.
    """
    if cable.gauge is not None:
        return awg_conductor(cable.gauge)
    assert cable.section is not None  # a cable has one of the two
    area = cable.section * SQUARE_MM
    near = min(FLEXIBLE_CONDUCTORS, key=lambda one: abs(math.log(one.area / area)))
    if math.isclose(near.area, area, rel_tol=1e-9):
        return near
    per_length = near.resistance_per_length * near.area / area
    return Conductor(f"{cable.section:g} mm²", area, per_length)
