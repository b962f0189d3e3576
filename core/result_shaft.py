"""What a result file says about the shaft and its bearings, and about what happens when something fails."""

from __future__ import annotations

import math
from typing import Annotated

import msgspec
from msgspec import Meta

from core.result_entry import Entry, Reasons, finite
from core.results import CandidateResult
from core.sentences import as_text
from core.units import DisplayUnits


class ShaftLoadEntry(Entry, frozen=True, kw_only=True):
    """Forces on the shaft end, reactions and L10 lives of the bearings; null lives do not end."""

    radial: float = msgspec.field(name="radial_N")
    axial: float = msgspec.field(name="axial_N")
    distance: float = msgspec.field(name="distance_m")
    front_reaction: float = msgspec.field(name="front_reaction_N")
    rear_reaction: float = msgspec.field(name="rear_reaction_N")
    front_life: float | None = msgspec.field(name="front_life_h")
    rear_life: float | None = msgspec.field(name="rear_life_h")
    wanted_life: float | None = msgspec.field(name="wanted_life_h")
    allowed_radial: Annotated[float | None, Meta(description="at this distance for the wanted life")] = (
        msgspec.field(name="allowed_radial_N")
    )
    why_null: Reasons


class FaultEntry(Entry, frozen=True, kw_only=True):
    """One fault: what happens, with which energy, and what is needed against it."""

    code: str
    fault: str
    effect: str
    measure: str
    energy: Annotated[float | None, Meta(description="stored or set free; null where none or not known")] = (
        msgspec.field(name="energy_J")
    )
    values: Annotated[dict[str, float | None], Meta(description="numbers in SI, the unit in the key")]


class FaultTableEntry(Entry, frozen=True, kw_only=True):
    """The faults of a candidate with the inertia at the motor shaft that they were computed with."""

    inertia: float = msgspec.field(name="inertia_kg_m2")
    whole_inertia: Annotated[bool, Meta(description="whether the inertia of the load is in it")]
    rows: tuple[FaultEntry, ...]


def shaft_load_entry(candidate: CandidateResult) -> ShaftLoadEntry | None:
    """Return the load of a candidate's shaft, None without forces, bearing data or turns."""
    load = candidate.shaft_load
    if load is None:
        return None
    lives = {"front_life_h": load.front_life, "rear_life_h": load.rear_life}
    unloaded = "infinite: nothing loads this bearing"
    return ShaftLoadEntry(
        radial=load.radial,
        axial=load.axial,
        distance=load.distance,
        front_reaction=load.front_reaction,
        rear_reaction=load.rear_reaction,
        front_life=finite(load.front_life),
        rear_life=finite(load.rear_life),
        wanted_life=load.wanted_life,
        allowed_radial=finite(load.allowed_here),
        why_null={name: unloaded for name, life in lives.items() if math.isinf(life)},
    )


def fault_table_entry(candidate: CandidateResult, units: DisplayUnits) -> FaultTableEntry | None:
    """Return the faults of a candidate, None where no duty or load is known."""
    table = candidate.faults
    if table is None:
        return None
    return FaultTableEntry(
        inertia=table.inertia,
        whole_inertia=table.whole_inertia,
        rows=tuple(
            FaultEntry(
                code=row.code,
                fault=row.fault,
                effect=as_text(row.effect, units),
                measure=row.measure,
                energy=finite(row.energy),
                values={name: finite(value) for name, value in row.values.items()},
            )
            for row in table.rows
        ),
    )
